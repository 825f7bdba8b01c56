"""The page on which is said how long the steps to the release take."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from offtool.steps.step_days import StepDaysKnown
from offtool.web.pages.frame import AS_JSON, Crumb, Frame

MEANT = (
    ("Working days", "Monday to Friday, from the first hour of the step to its last"),
    (
        "At least, at most",
        "what it takes when it goes well, and when it does not; every value between counts",
    ),
    ("Left blank", "the days of the handbook hold, common practice without a source"),
    ("Of each tool", "the steps from the correction to measuring are taken for every tool that needs them"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class StepDaysPage:
    """How many days each step takes, and by when release is asked for."""

    frame: Frame
    headline: str
    form: Any
    why: tuple[tuple[str, str], ...]
    back_href: str


def step_days_page(known: StepDaysKnown, form: Any) -> StepDaysPage:
    """The page of the days of the steps."""
    here, programme = "Days of the steps", reverse("programme", args=[known.programme])
    return StepDaysPage(
        frame=Frame(
            title=f"{here}, {known.programme_title}",
            crumbs=(Crumb(text=known.programme_title, href=programme), Crumb(text=here)),
            invented=known.invented,
            as_json=AS_JSON,
        ),
        headline=known.headline,
        form=form,
        why=MEANT,
        back_href=programme,
    )
