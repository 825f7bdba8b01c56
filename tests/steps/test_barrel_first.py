"""What the barrel needs before and after a trial, by the resins that follow each other in it."""

from __future__ import annotations

from itertools import permutations

import pytest

from offtool.handbook.colour_changes import is_known_resin, never_together
from offtool.handbook.moulding import MOULDING_RESINS
from offtool.steps.barrel_first import NOTHING_TO_DO, barrel_steps

PRESS = "80 t"


@pytest.mark.parametrize("old", [None, "", "  "])
@pytest.mark.parametrize("new", ["POM", "PVC-P", "ABS", ""])
def test_nothing_goes_in_before_it_is_known_what_is_in_it(old: str | None, new: str) -> None:
    found = barrel_steps(old, new, PRESS)
    assert [one.do.startswith("STOP: find out what is in the barrel of 80 t") for one in found.before] == [
        True
    ]
    assert "never meet" in found.before[0].because


def test_a_trial_whose_resin_is_not_said_is_asked_for_it() -> None:
    assert barrel_steps("PVC-P", "", PRESS).before[0].do.startswith("STOP: find out the resin of the trial")


def test_acetal_after_a_hotter_resin_waits_for_the_zones_and_leaves_before_they_go_up() -> None:
    """ABS at 235 °C is beyond the 215 °C that acetal bears by the handbook."""
    found = barrel_steps("ABS", "POM", PRESS)
    assert len(found.before) == len(found.after) == 1
    assert "195 to 215 °C" in found.before[0].do
    assert "235 °C" in found.before[0].because
    assert found.after[0].do.startswith("Run all POM out")


def test_resins_that_run_alike_need_no_step() -> None:
    for old, new in (("ABS", "ABS"), ("POM", "POM"), ("ABS", "PP"), ("PS", "SAN")):
        found = barrel_steps(old, new, PRESS)
        assert (found.before, found.after) == ((), ())


def test_every_tender_resin_after_one_that_runs_hotter_than_it_bears_has_a_step_or_a_rule() -> None:
    for old, new in permutations(MOULDING_RESINS.values(), 2):
        found = barrel_steps(old.code, new.code, PRESS)
        is_hot = new.suffers_heat and old.melt_c[1] > new.melt_c[2]
        has_rule = never_together(old.code, new.code) is not None
        assert bool(found.before) == (is_hot and not has_rule), (old.code, new.code)


@pytest.mark.parametrize(
    ("old", "new"), [("PVC-P", "XYZ"), ("XYZ", "POM"), ("XYZ", "QRS"), ("P.V.C.", "POM")]
)
def test_a_resin_that_is_not_known_stops_the_trial(old: str, new: str) -> None:
    found = barrel_steps(old, new, PRESS)
    assert found.before[0].do.startswith("STOP: find out what ")
    assert "nobody can say whether" in found.unknown


def test_a_resin_after_itself_asks_for_nothing() -> None:
    assert barrel_steps("XYZ", "xyz", PRESS) == NOTHING_TO_DO


@pytest.mark.parametrize(
    "code", [*MOULDING_RESINS, "PC+ABS", "rABS", "PA66-GF30", "PP30", "聚丙烯", "Polyamid 6"]
)
def test_resins_of_the_handbook_and_their_usual_names_are_known(code: str) -> None:
    assert is_known_resin(code)


@pytest.mark.parametrize("code", ["XYZ", "GF30", "7", "P.V.C.", "水"])
def test_what_names_no_family_is_not_known(code: str) -> None:
    assert not is_known_resin(code)
