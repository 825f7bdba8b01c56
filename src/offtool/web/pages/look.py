"""The page on which pieces are looked at, at the press; and the page that sets a look aside."""

from __future__ import annotations

from dataclasses import dataclass, replace

from offtool.core.values import Caution
from offtool.handbook.defects import AT_THE_PRESS
from offtool.reports import words
from offtool.steps.look_at_pieces import PiecesLookedAt
from offtool.steps.press_findings import LookShown, PressFindings
from offtool.steps.sentences import cavities_in_words
from offtool.web.forms.judging import SetAsideForm
from offtool.web.forms.look import LookHeadForm, LookSheet
from offtool.web.pages.frame import AS_JSON, Crumb, Frame, TrialPlace, trial_frame
from offtool.web.pages.press import LookRow, PressSection, look_row, press_section, shot_named

HERE = "Look at pieces"


@dataclass(frozen=True, slots=True, kw_only=True)
class LookPage:
    """A block a cavity, and below it what has been seen so far."""

    frame: Frame
    place: TrialPlace
    headline: str
    head: LookHeadForm
    """Which shot, and who looks."""
    sheet: LookSheet
    lost_photographs: bool
    """A browser does not send a photograph again by itself."""
    all_cavities: str
    """Which cavities the button "nothing wrong" speaks of."""
    caution: Caution
    press: PressSection | None
    """None for a trial of a tool that was never run."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AsidePage:
    """One look, and the form that sets it aside."""

    frame: Frame
    place: TrialPlace
    shot: str
    look: LookRow
    form: SetAsideForm


def look_page(
    place: TrialPlace, findings: PressFindings | None, head: LookHeadForm, sheet: LookSheet
) -> LookPage:
    """The page; `findings` are those of the last trial where this one is not there yet."""
    shot = str(head["shot"].value() or "")
    which = f"Shot {shot} of {place.trial}" if shot else f"Pieces of {place.trial}"
    named = [block.cavity for block in sheet.blocks if block.cavity]
    return LookPage(
        frame=trial_frame(place, here=HERE, as_json="" if place.is_new else AS_JSON),
        place=place,
        headline=f"{which}: what do you see?",
        head=head,
        sheet=sheet,
        lost_photographs=sheet.is_sent and any(block.photographs for block in sheet.blocks),
        all_cavities=cavities_in_words(named, len(named)) if named else "",
        caution=AT_THE_PRESS,
        press=press_section(findings, replace(place, trial=findings.trial)) if findings else None,
    )


def aside_page(look: LookShown, place: TrialPlace, form: SetAsideForm) -> AsidePage:
    """The page that asks why a look no longer counts."""
    frame = trial_frame(place, here=HERE)
    way = (*frame.crumbs[:-1], Crumb(text=HERE, href=place.address("look")), Crumb(text="Set aside"))
    return AsidePage(
        frame=replace(frame, crumbs=way, title=f"Set aside: {frame.title}"),
        place=place,
        shot=shot_named(look),
        look=look_row(look, place),
        form=form,
    )


def kept_in_words(looks: list[PiecesLookedAt], shot: int | None, of: int) -> str:
    """What was kept, in a sentence: Shot 12 is kept: cavity 2 flash; cavities 1, 3 and 4 nothing wrong."""
    flawed = [one for one in looks if one.flaws]
    clean = [one.cavity for one in looks if not one.flaws and one.cavity]
    is_unknown = any(not one.flaws and not one.cavity for one in looks)
    said = [
        f"{f'cavity {one.cavity}' if one.cavity else 'cavity not known'} "
        + words.listed([flaw.defect for flaw in one.flaws])
        for one in flawed
    ]
    if clean:
        and_one = " and one not known" if is_unknown else ""
        said.append(f"{cavities_in_words(clean, max(of, len(clean) + bool(flawed)))}{and_one} nothing wrong")
    elif is_unknown:
        said.append("cavity not known nothing wrong")
    return f"{f'Shot {shot} is kept' if shot is not None else 'Kept'}: {'; '.join(said)}."
