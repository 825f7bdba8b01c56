"""The whole cycle: near what shops see, and as ranges that move the right way."""

from __future__ import annotations

from dataclasses import fields
from typing import get_args

import pytest
from hypothesis import strategies as st

from offtool.core.planning.bracket import Bracket
from offtool.core.planning.cycle.closed_form import cooling_time_plate
from offtool.core.planning.cycle.whole import TAKE_OUT, CycleTime, TakeOut, cycle_time
from offtool.core.values import ImpossibleInput
from offtool.handbook.moulding import MOULDING_RESINS
from tests.core.laws import law
from tests.labels import independent


def brackets(found: CycleTime) -> list[Bracket]:
    return [each for one in fields(found) if isinstance(each := getattr(found, one.name), Bracket)]


@pytest.mark.parametrize("code", ["ABS", "PS-HI", "PP", "POM", "PVC-P"])
@pytest.mark.parametrize("wall_mm", [1.0, 1.5, 2.0])
def test_small_thin_parts_come_every_few_seconds_and_by_tens_a_minute(code: str, wall_mm: float) -> None:
    """Common practice, no source: a part every few seconds, some tens of small parts a minute."""
    found = cycle_time(wall_mm, resin=code, cavities=4, dry_cycle_s=2.0)
    assert 1 <= found.seconds_a_part.usual <= 5
    assert 10 <= found.parts_per_minute.usual <= 60
    assert 5 <= found.cycle_s.usual <= 20


def test_cooling_takes_the_usual_share_of_the_cycle() -> None:
    """Common practice, no source: cooling is 50 to 80 % of a cycle."""
    for wall in (1.5, 2.0, 2.5):
        found = cycle_time(wall, resin="ABS", dry_cycle_s=2.0)
        assert 0.5 <= found.cooling_s.usual / found.cycle_s.usual <= 0.82


def test_the_usual_cooling_is_the_closed_form_at_usual_values() -> None:
    resin = MOULDING_RESINS["ABS"]
    closed = cooling_time_plate(
        2.0,
        melt_c=resin.melt_c[1],
        mould_c=resin.mould_c[1],
        eject_c=resin.eject_c[1],
        diffusivity_mm2_s=resin.diffusivity_mm2_s[1],
    )
    assert cycle_time(2.0, resin="ABS").cooling_s.usual == independent(closed.time_s, way="closed form")


@law(
    code=st.sampled_from(sorted(MOULDING_RESINS)),
    wall=st.floats(0.5, 6),
    take_out=st.sampled_from(get_args(TakeOut)),
    screw=st.none() | st.floats(0.5, 40),
    gate=st.none() | st.floats(0.3, 4),
)
def test_stretches_add_up_and_every_range_is_in_order(
    code: str, wall: float, take_out: TakeOut, screw: float | None, gate: float | None
) -> None:
    found = cycle_time(wall, resin=code, cavities=3, take_out=take_out, screw_s=screw, gate_mm=gate)
    assert sum(one.seconds.usual for one in found.shares) == pytest.approx(found.cycle_s.usual)
    assert sum(one.seconds.high for one in found.shares) == pytest.approx(found.cycle_s.high)
    assert all(one.low <= one.usual <= one.high for one in brackets(found))
    assert found.parts_per_minute.low * found.cycle_s.high == pytest.approx(180)


@law(wall=st.floats(0.5, 5), more=st.floats(1.05, 2))
def test_a_thicker_wall_never_comes_sooner(wall: float, more: float) -> None:
    one, other = cycle_time(wall, resin="PP"), cycle_time(wall * more, resin="PP")
    assert other.cycle_s.low >= one.cycle_s.low
    assert other.cycle_s.usual > one.cycle_s.usual
    assert other.cycle_s.high > one.cycle_s.high


def test_what_is_known_narrows_the_range() -> None:
    loose = cycle_time(2.0, resin="ABS")
    tight = cycle_time(
        2.0, resin="ABS", melt_c=235.0, mould_c=55.0, eject_c=88.0, dry_cycle_s=2.0, fill_s=0.6
    )
    assert tight.cycle_s.high - tight.cycle_s.low < 0.8 * (loose.cycle_s.high - loose.cycle_s.low)
    assert tight.melt_c.is_point
    assert not loose.melt_c.is_point


def test_a_slow_screw_or_a_thick_gate_holds_the_press_up() -> None:
    quick, slow = cycle_time(1.0, resin="ABS"), cycle_time(1.0, resin="ABS", screw_s=12.0)
    assert slow.cycle_s.usual > quick.cycle_s.usual + 8
    assert any("outlast" in one.what for one in slow.shares)
    assert not any("taken to keep up" in str(one) for one in slow.cautions)
    assert any("taken to keep up" in str(one) for one in quick.cautions)


def test_twice_the_cavities_give_twice_the_parts() -> None:
    one, other = cycle_time(1.5, resin="ABS", cavities=2), cycle_time(1.5, resin="ABS", cavities=4)
    assert other.parts_per_minute.usual == pytest.approx(2 * one.parts_per_minute.usual)
    assert other.seconds_a_part.usual == pytest.approx(one.seconds_a_part.usual / 2)


def test_every_way_to_take_out_has_its_seconds_and_hands_take_longest() -> None:
    assert set(TAKE_OUT) == set(get_args(TakeOut))
    times = [cycle_time(1.5, resin="ABS", take_out=one).cycle_s.usual for one in get_args(TakeOut)]
    assert times == sorted(times)


def test_guards_and_trained_people_stand_on_the_result() -> None:
    said = " ".join(str(one) for one in cycle_time(1.5, resin="ABS").cautions)
    assert "only trained people" in said
    assert "rules of the shop" in said.replace("  ", " ")


@pytest.mark.parametrize(
    ("changed", "argument"),
    [({"resin": ""}, "resin"), ({"mould_c": 120.0}, "eject_c"), ({"melt_c": 60.0}, "eject_c")],
)
def test_what_cannot_be_is_refused(changed: dict[str, object], argument: str) -> None:
    with pytest.raises(ImpossibleInput) as refused:
        cycle_time(1.5, **{"resin": "ABS", **changed})  # type: ignore[arg-type]
    assert refused.value.argument == argument
