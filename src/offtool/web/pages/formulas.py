"""The pages of the formulas: the list by topic, and one with its form and result."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from django.urls import reverse

from offtool.core.formulas import Formula
from offtool.web.forms.formula import FormulaForm
from offtool.web.pages.frame import Crumb, Frame
from offtool.web.pages.shown import Shown, show

JOB = ("planning", "inspection", "correction", "joints", "welding", "pilot", "samples", "colour")
ORDER = {topic: place for place, topic in enumerate(JOB)}
"""The order in which an engineer comes to them; a topic that is not listed comes last."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FormulaLine:
    """One formula in the list."""

    name: str
    """Its name in commands and addresses."""
    title: str
    """The name in words."""
    tells: str
    """What it tells, in a sentence."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Topic:
    """The formulas of one part of the job."""

    title: str
    formulas: tuple[FormulaLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FormulasPage:
    """Every formula, by topic."""

    frame: Frame
    topics: tuple[Topic, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FormulaPage:
    """One formula: what to give, and what it tells."""

    frame: Frame
    line: FormulaLine
    source: str
    """Where the method is published."""
    form: FormulaForm
    """A field a parameter, filled with the example until something else is given."""
    shown: Shown | None
    """The result; none before the first calculation and after a mistake."""


def formulas_page(formulas: Sequence[Formula]) -> FormulasPage:
    """The list; `formulas` come in the order of topic and name, and are shown in the order of the job."""
    topics = tuple(
        Topic(title=topic.capitalize(), formulas=tuple(map(_line, group)))
        for topic, group in groupby(formulas, key=lambda one: one.topic)
    )
    in_order = tuple(sorted(topics, key=lambda topic: ORDER.get(topic.title.lower(), len(ORDER))))
    return FormulasPage(frame=Frame(title="Formulas", crumbs=(Crumb(text="Formulas"),)), topics=in_order)


def formula_page(formula: Formula, form: FormulaForm, result: Any) -> FormulaPage:
    """The page of one formula, with its result where there is one."""
    line = _line(formula)
    frame = Frame(
        title=line.title, crumbs=(Crumb(text="Formulas", href=reverse("formulas")), Crumb(text=line.title))
    )
    shown = show(result) if result is not None else None
    return FormulaPage(frame=frame, line=line, source=formula.source, form=form, shown=shown)


def _line(formula: Formula) -> FormulaLine:
    title = formula.name.replace("_", " ").capitalize()
    return FormulaLine(name=formula.name, title=title, tells=formula.tells)
