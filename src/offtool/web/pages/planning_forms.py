"""The pages on which the numbers of a tool are entered and a trial is asked for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from offtool.steps.ask_trial import RequestKnown, ToolAsked
from offtool.steps.own_numbers import NumbersKnown
from offtool.steps.prices import PricesKnown
from offtool.web.pages.frame import AS_JSON, Crumb, Frame
from offtool.web.pages.ground import GroundFormPage

_TOOL_MEANT = (
    (
        "As it hangs",
        "measure it the way it stands in the press: the two sizes must pass between the tie bars",
    ),
    ("Mould height", "along the stroke, closed; every press has a least and a greatest"),
    ("Opening", "how far the halves must part for the parts and the runner to fall out"),
    ("Hot runner", "its melt is of the old colour too: a change of colour then takes longer"),
    ("Cavity pressure", "with the area of the parts it is the force that the clamp must hold"),
    ("Left blank", "nothing is assumed: the check is not shown, and what would settle it is said"),
)
_PRICES_MEANT = (
    ("Price of a kg", "what is purged and thrown away is weighed with it; without it only kg are said"),
    ("Cost of an hour", "stands with each press, the contribution of a job with the job"),
)
_REQUEST_MEANT = (
    ("Purposes", "say how many pieces are shot and kept; one piece serves several purposes where it can"),
    ("Pieces", "of each cavity; for assembly sets of all parts; for keep whole shots with their runner"),
    ("Any colour", "the trial takes what is on the press: no purge, and the way back is short"),
    (
        "Cost of a day's delay",
        "is weighed against the jobs that the trial stops; blank: lateness is only said",
    ),
    ("An engineer must see it", "then it waits for the hours in which one is there"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class RequestPage:
    """A trial is asked for, or changed."""

    frame: Frame
    headline: str
    lead: str
    form: Any
    withdraw: Any
    """The form that withdraws the trial; None for a new one."""
    withdraw_says: str
    why: tuple[tuple[str, str], ...]
    done: str
    back_href: str


def tool_numbers_page(known: NumbersKnown, form: Any) -> GroundFormPage:
    """The page of a tool's own numbers."""
    here = f"Numbers of tool {known.code}"
    frame = Frame(
        title=f"{here}, {known.programme_title}",
        crumbs=(
            Crumb(text=known.programme_title, href=reverse("programme", args=[known.programme])),
            Crumb(text="Presses", href=reverse("presses", args=[known.programme])),
            Crumb(text=here),
        ),
        invented=known.invented,
        as_json=AS_JSON,
    )
    lead = "Where each is to be read stands beneath it." if known.missing else ""
    return GroundFormPage(
        frame=frame,
        headline=known.headline,
        lead=lead,
        why=_TOOL_MEANT,
        form=form,
        done="Keep them",
        back_href=reverse("fit_tool", args=[known.programme, known.code]),
    )


def prices_page(known: PricesKnown, form: Any) -> GroundFormPage:
    """The page of what a kg of each resin costs."""
    here = "Prices"
    presses = reverse("presses", args=[known.programme])
    return GroundFormPage(
        frame=Frame(
            title=f"{here}, {known.programme_title}",
            crumbs=(
                Crumb(text=known.programme_title, href=reverse("programme", args=[known.programme])),
                Crumb(text="Presses", href=presses),
                Crumb(text=here),
            ),
            invented=known.invented,
            as_json=AS_JSON,
        ),
        headline=known.headline,
        lead="",
        why=_PRICES_MEANT,
        form=form,
        done="Keep them",
        back_href=presses,
    )


def request_page(of: ToolAsked, form: Any, *, now: RequestKnown | None = None, withdraw: Any) -> RequestPage:
    """The page on which a trial is asked for, or changed."""
    here = f"{of.tool} {now.name}" if now else f"A trial of {of.tool}"
    plan = reverse("slots", args=[of.programme])
    title = f"{here}, {of.programme_title}"
    return RequestPage(
        frame=Frame(
            title=title,
            crumbs=(
                Crumb(text=of.programme_title, href=reverse("programme", args=[of.programme])),
                Crumb(text="Plan", href=plan),
                Crumb(text=here),
            ),
            invented=of.invented,
            as_json=AS_JSON if now else "",
        ),
        headline=f"What is trial {now.name} of tool {of.tool} to show?"
        if now
        else f"What is the next trial of tool {of.tool} to show?",
        lead=_lead(of, now),
        form=form,
        withdraw=withdraw,
        withdraw_says=f"Withdraw trial {now.name}" if now else "",
        why=_REQUEST_MEANT,
        done="Keep it" if now else "Ask for it",
        back_href=reverse("plan_trial", args=[of.programme, of.tool, now.name]) if now else plan,
    )


def _lead(of: ToolAsked, now: RequestKnown | None) -> str:
    if now is not None and now.has_run:
        return "It has run: what was asked stays as it is. Ask for the next trial."
    if now is None and of.trials:
        return f"So far: {', '.join(of.trials)}."
    return ""
