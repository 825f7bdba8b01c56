"""Small lines are solved by one search: more at once would only wait for each other."""

from __future__ import annotations

from functools import partial

from offtool.core.pilot import balance

best_rate = partial(balance.best_rate, workers=1)
fewest_stations = partial(balance.fewest_stations, workers=1)
