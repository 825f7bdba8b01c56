"""A change of colour from plain numbers, before any shot of the press was measured: for the bench."""

from __future__ import annotations

from offtool.core.formulas import formula
from offtool.core.planning.colour_change.belief import Contents, expected_washout
from offtool.core.planning.colour_change.change import ColourChange, Plastic, ShotCosts, colour_change
from offtool.core.planning.colour_change.mixing import LIMIT_DE, lightness_range, opponent_range
from offtool.core.values import Range
from offtool.handbook.colour_changes import USUAL_LIMIT_DE
from offtool.handbook.defects import PRACTICE


@formula(
    limits={
        "lightness_old": lightness_range("old"),
        "a_old": opponent_range("a", "old"),
        "b_old": opponent_range("b", "old"),
        "lightness_new": lightness_range("new"),
        "a_new": opponent_range("a", "new"),
        "b_new": opponent_range("b", "new"),
        "contents_g": Range(
            meaning="all melt between hopper and gate: 1.2 to 1.8 times the largest shot, half as much again "
            "to twice as much with a hot runner",
            unit="g",
            above=0,
            at_most=1e6,
            usual=(5, 20_000),
            source=PRACTICE,
        ),
        "shot_g": Range(
            meaning="one shot, runner and all",
            unit="g",
            above=0,
            at_most=1e5,
            usual=(0.5, 5000),
            source=PRACTICE,
        ),
        "cycle_s": Range(
            meaning="one cycle", unit="s", above=0, at_most=3600, usual=(3, 180), source=PRACTICE
        ),
        "limit_de": LIMIT_DE,
        "old_resin": Range(meaning="resin in the barrel; blank where both are one"),
        "new_resin": Range(meaning="resin that follows; blank where both are one"),
        "price_per_kg": Range(meaning="price of what is purged, money for 1 kg", at_least=0, at_most=1e6),
        "per_hour": Range(
            meaning="money for an hour of the press, with what a standing job loses", at_least=0, at_most=1e6
        ),
    },
    example={
        "lightness_old": 84.0,
        "a_old": 4.0,
        "b_old": 75.0,
        "lightness_new": 38.0,
        "a_new": 14.0,
        "b_new": 20.0,
        "contents_g": 120.0,
        "shot_g": 18.0,
        "cycle_s": 20.0,
    },
    source=f"washout in tanks and Kubelka-Munk mixing, see old_left, colour_of_mixture; ranges: {PRACTICE}",
)
def shots_to_change(
    *,
    lightness_old: float,
    a_old: float,
    b_old: float,
    lightness_new: float,
    a_new: float,
    b_new: float,
    contents_g: float,
    shot_g: float,
    cycle_s: float,
    limit_de: float = USUAL_LIMIT_DE,
    old_resin: str = "",
    new_resin: str = "",
    price_per_kg: float | None = None,
    per_hour: float | None = None,
) -> ColourChange:
    """How many shots, kilograms and minutes it takes from one colour to the next, before any was measured.

    Shots until the mean share of old in a shot, mixed by Kubelka-Munk, is within the limit; over the
    handbook's ranges of plug, stirred volumes and slow corners.

    Returns: ColourChange, with intervals nine of ten. Raises: ImpossibleInput for a colour that no surface
    has.

    Holds when: shots follow one another without a stop, at one weight, and both plastics hide what is behind.

    Example: yellow to brown takes a fraction of what brown to yellow takes.
    """
    contents = Contents(
        low_g=contents_g / 1.2, high_g=contents_g * 1.2, says=f"contents {contents_g:g} g as given"
    )
    return colour_change(
        Plastic(name="the old colour", lab=(lightness_old, a_old, b_old), resin=old_resin),
        Plastic(name="the new colour", lab=(lightness_new, a_new, b_new), resin=new_resin),
        belief=expected_washout(contents),
        costs=ShotCosts(shot_g=shot_g, cycle_s=cycle_s, price_per_kg=price_per_kg, per_hour=per_hour),
        limit_de=limit_de,
    )
