"""Plastics and a press that several tests share; invented."""

from __future__ import annotations

from offtool.core.planning.colour_change import (
    Plastic,
    ShotCosts,
    WashoutBelief,
    contents_of_press,
    expected_washout,
)

WHITE = Plastic(name="white", lab=(93.0, -0.5, 2.0), resin="ABS")
YELLOW = Plastic(name="yellow", lab=(84.0, 4.0, 75.0), resin="ABS")
ORANGE = Plastic(name="orange", lab=(63.0, 48.0, 60.0), resin="ABS")
RED = Plastic(name="red", lab=(42.0, 55.0, 35.0), resin="ABS")
BROWN = Plastic(name="brown", lab=(38.0, 14.0, 20.0), resin="ABS")
NAVY = Plastic(name="navy", lab=(28.0, 2.0, -15.0), resin="ABS")
BLACK = Plastic(name="black", lab=(25.0, 0.0, 0.0), resin="ABS")

SHOT = ShotCosts(shot_g=25.0, cycle_s=20.0, price_per_kg=3.0, per_hour=40.0)


def press(barrel_g: float = 150.0) -> WashoutBelief:
    """A press of which nothing but the barrel is known."""
    return expected_washout(contents_of_press(barrel_g))
