"""The lines that a release review asks of a product: the usual list as edited, for its market and age."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from offtool.handbook.release_list import RELEASE_LIST, Change, Fed, ReleaseRequirement, changes_named
from offtool.handbook.terms import Market
from offtool.handbook.toy_law import MARKETS
from offtool.records.models import Programme, ReleaseLine
from offtool.records.queries import release_lines_of
from offtool.steps.review_found import LineNotAsked
from offtool.steps.sentences import listed

MARKET_UNSAID = "for which markets it is"
AGE_UNSAID = "from which age on it is"
YOUNGEST = 0.0
"""The age that is taken where none is said: everything is asked then."""
YOUR_OWN = "asked by this programme"

OF_THE_LAW = (Fed.TOY_TESTS, Fed.SMALL_PARTS, Fed.CERTIFICATE)
NOT_CONCEDED: Mapping[Fed, str] = {
    **dict.fromkeys(OF_THE_LAW, "no concession of a firm allows what the law asks"),
    Fed.SIGNATURES: "nobody signs by a concession",
}
"""Lines on which a concession allows nothing, and why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedLine:
    """One line as it is asked of this product."""

    code: str
    title: str
    asks: str
    fed_by: Fed
    stale_by: tuple[Change, ...]
    stale_after_days: int | None
    source: str
    markets: tuple[Market, ...]
    """Markets of this product that ask it; none where every market does."""
    is_own: bool = False
    is_edited: bool = False
    edited_because: str = ""
    """Why this programme asks it otherwise, as far as that was said."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewList:
    """What is asked and what is not, and what of market and age is still to be said."""

    asked: tuple[AskedLine, ...]
    not_asked: tuple[LineNotAsked, ...]
    unsaid: tuple[str, ...]


def markets_of(programme: Programme) -> tuple[Market, ...]:
    """The markets that were said, in the order of the handbook."""
    said = programme.markets.split()
    return tuple(one for one in Market if one.value in said)


def review_list(programme: Programme) -> ReviewList:
    """The list of a product: a line of its own with a code of the usual list stands in place of that one."""
    own = {one.code: one for one in release_lines_of(programme)}
    why = _why_edited(programme, own) if own else {}
    usual = {one.code for one in RELEASE_LIST}
    lines = [_Line(one, own.get(one.code), programme) for one in RELEASE_LIST]
    added = [_added(row) for code, row in own.items() if code not in usual]
    aside = [
        LineNotAsked(code=one.code, title=one.title or one.code, why=one.not_asked)
        for one in own.values()
        if one.code not in usual and one.not_asked
    ]
    return ReviewList(
        asked=tuple(
            replace(one, edited_because=why.get(one.code, ""))
            for one in _in_order(
                [one.asked() for one in lines if not one.why_not],
                [one for one in added if not own[one.code].not_asked],
            )
        ),
        not_asked=(*(one.not_asked() for one in lines if one.why_not), *aside),
        unsaid=tuple(_unsaid(programme)),
    )


def _why_edited(programme: Programme, own: Collection[str]) -> Mapping[str, str]:
    """Why each line of the programme's own is as it is: the reason of its newest edit."""
    edits = ReleaseLine.history.filter(programme_id=programme.pk).exclude(history_type="-")
    told = edits.order_by("history_date", "history_id").values_list("code", "history_change_reason")
    return {code: reason or "" for code, reason in told if code in own}


def _in_order(usual: Sequence[AskedLine], added: Sequence[AskedLine]) -> tuple[AskedLine, ...]:
    """Own lines stand before the signatures, which come last."""
    last = [one for one in usual if one.fed_by is Fed.SIGNATURES]
    return (*(one for one in usual if one.fed_by is not Fed.SIGNATURES), *added, *last)


def _unsaid(programme: Programme) -> Iterator[str]:
    if not markets_of(programme):
        yield MARKET_UNSAID
    if programme.from_months is None:
        yield AGE_UNSAID


class _Line:
    """A line of the usual list beside the programme's own word on it."""

    def __init__(self, usual: ReleaseRequirement, own: ReleaseLine | None, programme: Programme) -> None:
        self.usual, self.own, self.programme = usual, own, programme

    @property
    def markets(self) -> tuple[Market, ...]:
        """The markets of the product that ask it; where none is said, every market does."""
        months = self.programme.from_months
        age = months if months is not None else YOUNGEST
        said = markets_of(self.programme) or tuple(Market)
        return tuple(one for one in said if self.usual.applies(one.value, from_months=age))

    @property
    def why_not(self) -> str:
        """Why it is not asked; empty where it is."""
        if self.own is not None and self.own.not_asked:
            return self.own.not_asked
        if self.markets:
            return ""
        said = markets_of(self.programme)
        if said and not set(self.usual.markets) & {one.value for one in said}:
            return f"asked for {listed([MARKETS[one] for one in self.usual.markets])}; it is not sold there"
        low, high = self.usual.ages_months
        return f"asked for {low:g} to {high:g} months; it is from {self.programme.from_months or 0:g} months"

    def asked(self) -> AskedLine:
        """The line, with what the programme says otherwise."""
        usual, own = self.usual, self.own
        bound = len(usual.markets) < len(Market)
        return AskedLine(
            code=usual.code,
            title=(own.title if own else "") or usual.title,
            asks=(own.asks if own else "") or usual.asks,
            fed_by=Fed(own.fed_by) if own else usual.fed_by,
            stale_by=changes_named(own.stale_by) if own else usual.stale_by,
            stale_after_days=own.stale_after_days if own else usual.stale_after_days,
            source=(own.source if own else "") or usual.source,
            markets=self.markets if bound else (),
            is_edited=own is not None,
        )

    def not_asked(self) -> LineNotAsked:
        return LineNotAsked(code=self.usual.code, title=self.usual.title, why=self.why_not)


def _added(row: ReleaseLine) -> AskedLine:
    return AskedLine(
        code=row.code,
        title=row.title or row.code,
        asks=row.asks,
        fed_by=Fed(row.fed_by),
        stale_by=changes_named(row.stale_by),
        stale_after_days=row.stale_after_days,
        source=row.source or YOUR_OWN,
        markets=(),
        is_own=True,
    )
