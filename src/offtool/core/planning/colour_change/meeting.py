"""Resins that meet in a barrel: what must never happen, and what to run through between two."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.core.values import Caution
from offtool.handbook.colour_changes import (
    BETWEEN,
    TENDER,
    families,
    never_together,
    same_resin,
    unknown_resins,
)
from offtool.handbook.defects import PRACTICE

NOT_SAID = Caution(
    "The resin is not said. Make sure of it before anything is filled in: POM and PVC must never meet in a "
    "barrel.",
    PRACTICE,
)


_NOBODY = "nobody can say whether"


def is_of_resin_unsaid(caution: Caution) -> bool:
    """Whether a caution asks for a resin that nobody has said, or that is not known."""
    return NOT_SAID.text[1:] in caution.text or _NOBODY in caution.text


def unknown_meeting(old_resin: str, new_resin: str) -> str:
    """Why nobody can say whether one resin may follow the other: a name that is not known; else nothing."""
    old, new = old_resin.strip(), new_resin.strip()
    unknown = unknown_resins(old, new)
    if not unknown or old.casefold() == new.casefold():
        return ""
    if len(unknown) == 2:
        return f"{old} and {new} are no resins that are known: {_NOBODY} they may meet"
    said = f"{unknown[0]} is no resin that is known: {_NOBODY}"
    if unknown[0] == new:
        return f"{said} it may follow {old or 'what is in the barrel'}"
    return f"{said} {new or 'the resin of the trial'} may follow it"


def about_meeting(
    old_resin: str, new_resin: str, *, old_name: str = "", new_name: str = ""
) -> tuple[Caution, ...]:
    """What must be known before one resin follows another; a rule that hurts people comes first.

    No option takes it away.
    """
    return tuple(_about(old_resin, new_resin, old_name or "the old", new_name or "the new"))


def _about(old_resin: str, new_resin: str, old_name: str, new_name: str) -> Iterator[Caution]:
    rule = never_together(old_resin, new_resin)
    one, other = sorted((old_resin.strip(), new_resin.strip()))
    if rule is not None:
        yield Caution(f"{one} and {other}: {rule.why}. {rule.do}", rule.source)
        return
    if not one and not other:
        yield NOT_SAID
        return
    if not one or not other:
        unsaid = new_name if old_resin.strip() else old_name
        yield Caution(f"{unsaid}: {NOT_SAID.text[0].lower()}{NOT_SAID.text[1:]}", PRACTICE)
        return
    unknown = unknown_meeting(old_resin, new_resin)
    if unknown:
        yield Caution(f"{unknown}. Find out what it is before anything is filled in.", PRACTICE)
        return
    if not same_resin(old_resin, new_resin):
        tender = sorted((families(old_resin) ^ families(new_resin)) & TENDER)
        heat = "".join(f" {resin} breaks down in heat, and its gas hurts: all of it out before a zone is "
                       "heated up, and zones down before it goes in." for resin in tender)  # fmt: skip
        yield Caution(
            f"{one} and {other}: set the zones to what both bear; where their melt temperatures do "
            f"not meet, run {BETWEEN} or PP through between them, then raise or lower the zones. Half as "
            f"much again to twice as much goes through as for a colour alone.{heat}",
            PRACTICE,
        )
