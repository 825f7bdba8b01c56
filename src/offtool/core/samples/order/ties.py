"""Into which groups things are put, early to late, when only pairwise probabilities are known.

Kendall's tau-b of a grouping with the truth is (agreeing - contradicting pairs) / sqrt(ordered pairs) but
for what the truth alone decides. Its expectation is maximised: a tie costs the pairs it does not order, and
saves where they would be a guess.
"""

from __future__ import annotations

from math import sqrt

import numpy as np

from offtool.core.samples.order.changes import Numbers

Groups = list[list[int]]

PRICES = np.linspace(0, 0.975, 40)
"""What an ordered pair may cost, as a share of a sure one; the best lies near half of the mean lead."""


def group(earlier: Numbers) -> Groups:
    """The groups of the best expected agreement, early to late; `earlier[i, j]` is P(i before j)."""
    if not len(earlier):
        return []
    lead = earlier - earlier.T
    order = _order(lead)
    return [[order[place] for place in range(*ends)] for ends in _best_cuts(lead[np.ix_(order, order)])]


def _order(lead: Numbers) -> list[int]:
    """By mean lead; then neighbours are swapped while a pair stands against its lead."""
    order: list[int] = np.argsort(-lead.sum(axis=1), kind="stable").tolist()
    for _ in range(len(order)):
        swapped = False
        for place in range(len(order) - 1):
            one, next_ = order[place], order[place + 1]
            if lead[one, next_] < -1e-9:
                order[place : place + 2] = [next_, one]
                swapped = True
        if not swapped:
            break
    return order


def _best_cuts(lead: Numbers) -> list[tuple[int, int]]:
    """The runs of neighbours that are tied: the best of those that pay at some price of an ordered pair."""
    inside, pairs = _inside(lead), _inside(np.ones_like(lead))
    best, best_agreement = [(0, len(lead))], 0.0
    for price in PRICES:
        cuts = _cheapest(inside - price * pairs)
        ordered = pairs[0, -1] - sum(pairs[ends] for ends in cuts)
        agreeing = inside[0, -1] - sum(inside[ends] for ends in cuts)
        agreement = agreeing / sqrt(ordered) if ordered > 0 else 0.0
        if agreement > best_agreement + 1e-12:
            best, best_agreement = cuts, agreement
    return best


def _inside(lead: Numbers) -> Numbers:
    """[a, b]: the sum over all pairs of places a ≤ i < j < b."""
    size = len(lead)
    upper = np.triu(lead, 1)
    found = np.zeros((size + 1, size + 1))
    for end in range(1, size + 1):
        column = np.cumsum(upper[:end, end - 1][::-1])[::-1]
        found[:end, end] = found[:end, end - 1] + column
    return found


def _cheapest(cost: Numbers) -> list[tuple[int, int]]:
    """The runs that cover all places at the least summed cost."""
    size = len(cost) - 1
    least, begin = np.zeros(size + 1), np.zeros(size + 1, dtype=int)
    for end in range(1, size + 1):
        whole = least[:end] + cost[:end, end]
        begin[end] = int(whole.argmin())
        least[end] = whole[begin[end]]
    runs, end = [], size
    while end:
        runs.append((int(begin[end]), end))
        end = int(begin[end])
    return runs[::-1]
