"""A seam judged from the record: its drawing, its welder, its strength, and pieces that were never welded."""

from __future__ import annotations

from math import radians, tan

import numpy as np
import pytest

from offtool.core.values import Verdict
from offtool.records.models import Programme, Seam
from offtool.records.queries.finding import NotInRecord
from offtool.steps.judge_seam import judge_seam, judge_seams
from offtool.steps.keep_weld_study import WeldStudyAbout, keep_weld_study, set_weld_study_aside
from offtool.steps.plain import as_plain
from tests.labels import independent
from tests.steps.clip import NOON, SLUG, csv_of
from tests.steps.jointed import a_seam, with_bore

REQUIRED = 90.0
SIZES = {"joint_width": 2.0, "seam_length": 120.0, "ridge_height": 0.4, "open_height": 18.5}
TIMES, PRESSURES = (0.2, 0.3, 0.4), (2.0, 2.5, 3.0)


@pytest.fixture
def welded(clip: Programme) -> Programme:
    """The clip welded to its lid with a ridge."""
    with_bore(clip)
    a_seam(sizes=SIZES, required_n=REQUIRED)
    return clip


def strength(time_s: float, pressure_bar: float) -> float:
    """The hidden truth: best at 0.3 s and 2.5 bar."""
    return 200 - 6000 * (time_s - 0.3) ** 2 - 60 * (pressure_bar - 2.5) ** 2


def study(*, each: int = 4, scale: float = 1.0, open_pieces: int = 0, seed: int = 2) -> bytes:
    """Pieces at nine settings; strength with a deviation of 8 N; some never welded at the end."""
    rng = np.random.default_rng(seed)
    rows: list[tuple[object, ...]] = []
    for time_s in TIMES:
        for pressure in PRESSURES:
            for _ in range(each):
                pull = scale * strength(time_s, pressure) + rng.normal(0, 8)
                height = 18.1 + rng.normal(0, 0.02)
                rows.append(
                    (
                        len(rows) + 1,
                        time_s,
                        pressure,
                        60,
                        f"{pull:.0f}",
                        "torn",
                        f"{height:.2f}",
                        "good",
                        "melted",
                    )
                )
    for _ in range(open_pieces):
        rows.append((len(rows) + 1, 0.2, 2.0, 60, "2", "peeled", "18.51", "good", "intact"))
    return csv_of(
        ["Piece", "Weld time [s]", "Pressure [bar]", "Amplitude peak-to-peak [µm]", "Strength [N]", "Failure",
         "Height [mm]", "Appearance", "Ridge"],
        rows,
    )  # fmt: skip


def keep_study(content: bytes, name: str = "W1") -> None:
    keep_weld_study(
        content, f"{name}.csv", programme=SLUG, seam="rim", study=name, about=WeldStudyAbout(),
        read_at=NOON, read_by="bench",
    )  # fmt: skip


def test_a_seam_without_a_pull_says_what_to_do_first(welded: Programme) -> None:
    found = judge_seam(SLUG, "rim")
    assert "no piece has been pulled yet" in found.headline
    assert found.verdict is Verdict.NOT_SHOWN
    assert found.actions[0].do.startswith("Weld and pull")


def test_a_strong_seam_holds_by_the_pulls_of_its_best_setting(welded: Programme) -> None:
    keep_study(study(each=10))
    found = judge_seam(SLUG, "rim")
    assert found.verdict is Verdict.HOLDS
    assert found.setting is not None
    assert found.strength is not None
    assert found.strength.pulls == 10
    assert strength(found.setting.time_s or 0, found.setting.pressure_bar or 0) > 180
    assert found.audit is not None


def test_a_weak_seam_does_not_hold(welded: Programme) -> None:
    keep_study(study(each=10, scale=0.2))
    found = judge_seam(SLUG, "rim")
    assert found.verdict is Verdict.FAILS
    assert "too weak" in found.headline
    assert found.audit is None


def test_the_window_holds_the_setting_that_is_truly_best(welded: Programme) -> None:
    keep_study(study(each=6))
    grid = (window := judge_seam(SLUG, "rim").window) and window.grid
    assert grid
    stand = {one.unit: one.stand_at for one in grid.axes}
    assert stand["s"] == pytest.approx(0.3, abs=0.06)
    assert stand["bar"] == pytest.approx(2.5, abs=0.35)


def test_pieces_that_were_never_welded_are_named(welded: Programme) -> None:
    keep_study(study(open_pieces=2))
    found = judge_seam(SLUG, "rim")
    assert {one.piece for one in found.not_welded} == {"37", "38"}
    assert found.actions[0].do.startswith("Set aside 2 pieces")


def test_a_study_set_aside_counts_no_longer_and_stays_listed(welded: Programme) -> None:
    keep_study(study(each=10))
    set_weld_study_aside(SLUG, "rim", "W1", reason="wrong nest", made_by="engineer")
    found = judge_seam(SLUG, "rim")
    assert found.strength is None
    assert [one.set_aside for one in found.studies] == ["wrong nest"]


def test_the_melt_is_that_of_the_ridge(welded: Programme) -> None:
    melt = judge_seam(SLUG, "rim").melt
    assert melt is not None
    volume = 0.4**2 * tan(radians(45)) * 120
    assert melt.volume_mm3.low == independent(volume, way="triangle times length, by hand")


def test_the_welder_is_judged_once_it_is_written_down(welded: Programme) -> None:
    assert judge_seam(SLUG, "rim").amplitude is None
    Seam.objects.update(frequency_khz=20.0, converter_um=20.0, booster_gain=1.5, horn_gain=2.0)
    amplitude = judge_seam(SLUG, "rim").amplitude
    assert amplitude is not None
    assert amplitude.amplitude_um == independent(60.0, way="20 times 1.5 times 2, by hand")


def test_the_cautions_of_the_welder_are_always_there(welded: Programme) -> None:
    said = " ".join(str(one) for one in judge_seam(SLUG, "rim").cautions)
    for word in ("horn", "hearing protection", "two-hand control", "differ by country"):
        assert word.lower() in said.lower()


def test_all_seams_of_a_product(welded: Programme) -> None:
    found = judge_seams(SLUG)
    assert found.headline == found.seams[0].headline
    assert [one.seam for one in found.seams] == ["rim"]


def test_a_product_without_seams_says_what_to_do_first(clip: Programme) -> None:
    assert judge_seams(SLUG).headline.startswith("No seam is named yet")


def test_a_seam_that_is_not_there_is_answered_with_the_nearest(welded: Programme) -> None:
    with pytest.raises(NotInRecord, match="did you mean 'rim'"):
        judge_seam(SLUG, "rims")


def test_the_answer_is_plain_data(welded: Programme) -> None:
    keep_study(study())
    plain = as_plain(judge_seam(SLUG, "rim"))
    assert plain["window"]["settings"]
    assert plain["design"]["rows"]
