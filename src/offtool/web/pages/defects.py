"""The page of the list of defects that a programme looks for."""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import reverse

from offtool.handbook.defects import PRACTICE
from offtool.steps.press_findings import DefectOnList
from offtool.steps.sentences import count
from offtool.web.forms.defects import DefectForm
from offtool.web.pages.frame import AS_JSON, Crumb, Frame


@dataclass(frozen=True, slots=True, kw_only=True)
class DefectsPage:
    """The list, and the form that changes it."""

    frame: Frame
    programme_title: str
    headline: str
    rows: tuple[DefectOnList, ...]
    form: DefectForm
    form_title: str
    button: str
    is_change: bool
    """Whether the form is filled with a defect of the list."""
    here: str
    source: str


def defects_page(
    programme: str,
    title: str,
    *,
    invented: bool,
    rows: tuple[DefectOnList, ...],
    form: DefectForm,
    changing: DefectOnList | None,
) -> DefectsPage:
    """The page; `changing` is the defect with which the form is filled."""
    listed = sum(row.is_listed for row in rows)
    return DefectsPage(
        frame=Frame(
            title=f"Defects, {title}",
            crumbs=(Crumb(text=title, href=reverse("programme", args=[programme])), Crumb(text="Defects")),
            invented=invented,
            as_json=AS_JSON,
        ),
        programme_title=title,
        headline=f"{count(listed, 'defect is', 'defects are')} looked for.",
        rows=rows,
        form=form,
        form_title=f"Change {changing.name}" if changing else "Add a defect",
        button="Keep the change" if changing else "Add it",
        is_change=changing is not None,
        here=reverse("defects", args=[programme]),
        source=PRACTICE,
    )
