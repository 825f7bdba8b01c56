"""A seam judged from the record: its drawing, its welder, its strength, and pieces that were never welded."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import radians, tan

import numpy as np
import pytest

from offtool.core.values import Verdict
from offtool.records.models import Programme, Seam, Tool, ToolState
from offtool.records.queries.finding import NotInRecord
from offtool.steps.judge_seam import judge_seam, judge_seams
from offtool.steps.keep_weld_study import WeldStudyAbout, keep_weld_study, set_weld_study_aside
from offtool.steps.plain import as_plain
from offtool.steps.seam_sentences import headline_of_all, without_strength
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


def pulls(values: Sequence[float], *, time: str = "0.3", looks: str = "good", ridge: str = "melted") -> str:
    return "".join(f"{time}-{i},{time},{value:.0f},{looks},{ridge}\n" for i, value in enumerate(values))


def table_of(*parts: str) -> bytes:
    return ("Piece,Weld time [s],Strength [N],Appearance,Ridge\n" + "".join(parts)).encode()


STRONG = [200 + 3 * i for i in range(30)]


def test_a_setting_of_which_nothing_is_known_is_never_chosen_beside_one_that_is(welded: Programme) -> None:
    keep_study(table_of(pulls([1000 + value for value in STRONG], time=""), pulls(STRONG)))
    found = judge_seam(SLUG, "rim")
    assert found.setting is not None
    assert found.setting.time_s == 0.3
    assert "unknown setting" not in found.headline


def test_the_only_setting_counts_even_if_nothing_is_known_of_it(welded: Programme) -> None:
    keep_study(table_of(pulls(STRONG, time="")))
    assert judge_seam(SLUG, "rim").headline.startswith("Rim holds at an unknown setting")


def test_pieces_that_are_all_open_are_not_taken_for_none_pulled(welded: Programme) -> None:
    welded_only = "".join(f"w{i},0.3,,18.1{i},,melted\n" for i in range(4))
    never_welded = "".join(f"o{i},0.3,{i + 2},18.5{i},peeled,intact\n" for i in range(3))
    head = "Piece,Weld time [s],Strength [N],Height [mm],Failure,Ridge\n"
    keep_study((head + welded_only + never_welded).encode())
    found = judge_seam(SLUG, "rim")
    assert (found.pulled, found.pulled_welded, found.strength) == (3, 0, None)
    assert "every piece that was pulled seems to be open" in found.headline
    assert "no piece has been pulled" not in found.headline


def test_pulls_that_the_formula_refuses_are_said_with_its_reason(welded: Programme) -> None:
    found = judge_seam(SLUG, "rim")
    refused = replace(found, pulled=4, pulled_welded=4, said=("weld window: the reason",))
    assert without_strength(refused) == "4 pieces pulled that cannot be judged; weld window: the reason"


def test_a_bound_below_zero_is_no_pull_at_all(welded: Programme) -> None:
    keep_study(table_of(pulls([40, 300, 90, 200])))
    found = judge_seam(SLUG, "rim")
    assert found.strength is not None
    assert found.strength.low_n is not None
    assert found.strength.low_n < 0
    assert "no pull at all is shown" in found.headline
    assert "-" not in found.headline
    assert "−" not in found.headline


def test_verdict_and_headline_look_at_strength_looks_and_steel_in_one_order(welded: Programme) -> None:
    keep_study(table_of(pulls(STRONG, looks="bad")))
    found = judge_seam(SLUG, "rim")
    assert found.verdict is Verdict.FAILS
    assert found.headline.startswith("Rim is strong enough at 0.3 s and does not look good")
    cut_since()
    found = judge_seam(SLUG, "rim")
    assert found.verdict is Verdict.FAILS
    assert found.headline.startswith("Rim did not look good at 0.3 s before its steel was cut")


def test_steel_cut_since_takes_back_what_held(welded: Programme) -> None:
    keep_study(table_of(pulls(STRONG)))
    assert judge_seam(SLUG, "rim").verdict is Verdict.HOLDS
    cut_since()
    found = judge_seam(SLUG, "rim")
    assert found.verdict is Verdict.NOT_SHOWN
    assert found.headline.startswith("Rim held at 0.3 s before its steel was cut")


def cut_since() -> None:
    """A new state of the tool that made both parts."""
    ToolState.objects.create(tool=Tool.objects.get(code="M1"), label="b", ordinal=2)


def test_seams_that_fail_on_looks_are_counted_apart_from_weak_ones(welded: Programme) -> None:
    keep_study(table_of(pulls(STRONG, looks="bad")))
    ugly = judge_seam(SLUG, "rim")
    set_weld_study_aside(SLUG, "rim", "W1", reason="again", made_by="engineer")
    keep_study(table_of(pulls([value / 20 for value in STRONG])), "W2")
    weak = judge_seam(SLUG, "rim")
    assert ugly.verdict is weak.verdict is Verdict.FAILS
    said = headline_of_all([ugly, weak, weak])
    assert said == "0 of 3 seams are shown to hold, 2 are too weak, 1 does not look good."


def test_an_audit_of_one_pull_speaks_of_that_pull(welded: Programme) -> None:
    keep_study(table_of(pulls(STRONG)))
    found = judge_seam(SLUG, "rim")
    assert found.audit is not None
    assert found.audit.chosen == "mean of the pulls"
    assert found.audit.plan(found.audit.chosen).pulls == 1
    (said,) = [one.do for one in found.actions if one.do.startswith("At each audit")]
    assert said.startswith("At each audit pull 1, and stop the welder where it comes apart below ")
