"""The unit of a drawing, the weight of a part and of a shot."""

from __future__ import annotations

import pytest

from offtool.core.planning.geometry import guess_unit, part_weight, shot_weight
from offtool.core.values import ImpossibleInput
from tests.labels import independent, published


def test_an_inch_is_25_4_mm() -> None:
    found = {one.unit: one.box_mm for one in guess_unit(1.0, 0.5, 0.25).tried}
    assert found["in"][0] == published("25.4", source="the inch by international agreement of 1959")
    assert found["in"] == pytest.approx((25.4, 12.7, 6.35))
    assert found["m"] == (1000, 500, 250)


@pytest.mark.parametrize(
    ("longest", "plausible"),
    [
        (0.04, ["m"]),
        (1.575, ["cm", "in"]),
        (40.0, ["mm", "cm"]),
        (30.0, ["mm", "cm", "in"]),
        (900.0, ["mm"]),
        (5e4, []),
    ],
)
def test_the_units_in_which_a_part_is_as_large_as_moulded_parts_are(
    longest: float, plausible: list[str]
) -> None:
    found = guess_unit(longest, longest / 2, longest / 3)
    assert [one.unit for one in found.tried if one.is_plausible] == plausible
    assert found.guess == (plausible[0] if len(plausible) == 1 else "")
    assert "guess" in found.cautions[0].text


def test_a_box_without_extent_is_refused() -> None:
    with pytest.raises(ImpossibleInput, match="no extent"):
        guess_unit(0.0, 0.0, 0.0)


def test_weight_is_volume_times_the_density_of_the_resin() -> None:
    assert part_weight(10, resin="ABS").weight_g == independent(10.5, way="10 x 1.05, by hand")
    assert part_weight(10, resin="pom").weight_g == independent(14.1, way="10 x 1.41, by hand")
    assert part_weight(10, density_g_cm3=1.2).source == "given"


def test_a_published_shot_of_polypropylene_has_its_weight() -> None:
    source = "a trade magazine's worked example of shot size against barrel: 182.2 cm³ at 0.90 g/cm³"
    assert part_weight(182.2, density_g_cm3=0.90).weight_g == published("164", source=source)


def test_a_resin_without_a_density_is_asked_for_it() -> None:
    with pytest.raises(ImpossibleInput, match="give its density"):
        part_weight(10, resin="unobtanium")
    with pytest.raises(ImpossibleInput, match="blank"):
        part_weight(10)


def test_a_shot_is_its_parts_and_its_runner() -> None:
    found = shot_weight(6.2, cavities=4, runner_g=5.5)
    assert found.shot_g == independent(30.3, way="4 x 6.2 + 5.5")
    assert found.runner_share == independent(5.5 / 30.3, way="by hand")
    assert shot_weight(6.2, cavities=4).runner_share == 0
