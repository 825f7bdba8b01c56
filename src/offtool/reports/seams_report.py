"""The report of all seams of a product: the verdict and a table, then a page a seam, as a PDF."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from offtool.core.values import Caution
from offtool.core.welding.cautions import AT_THE_WELDER
from offtool.core.welding.study import SettingFinding, WeldWindow
from offtool.reports import words
from offtool.reports.joint_words import size_in_words, size_of_joint
from offtool.reports.plain_text import printable_rows
from offtool.reports.seam_words import (
    asked_of_seam,
    audit_in_words,
    bound_in_newtons,
    bound_in_words,
    looks_in_words,
    newtons,
    newtons_asked,
    not_welded_in_words,
    setting_of,
    setting_word,
    span_of,
    stand_in_words,
    strength_in_words,
    sure_in_words,
    wanted_of,
    weibull_in_words,
)
from offtool.reports.typeset import typeset
from offtool.reports.weibull_drawing import draw_weibull
from offtool.reports.weld_window_drawing import draw_weld_window
from offtool.steps.seam_found import SeamFound, SeamsFound, WeldStudySeen
from offtool.steps.seam_sentences import without_strength

LAYOUT = Path(__file__).with_suffix(".typ")


def seams_report(found: SeamsFound, *, made_by: str = "") -> bytes:
    """The report: how many seams hold, all seams at a glance, then each with its drawings.

    The cautions of the welder stand on the first page and with every seam. The same findings give the same
    bytes: nothing in it comes from the clock.

    Raises: LayoutFlawed, when the layout warns of anything.
    """
    return typeset(LAYOUT, printable_rows(_rows(found, made_by)))


def _rows(found: SeamsFound, made_by: str) -> dict[str, Any]:
    method = found.seams[0].method if found.seams else ""
    told = (f"{found.programme_title}, seams", method, f"Made by {made_by}" if made_by else "")
    return {
        "title": f"Seams, {found.programme_title}",
        "headline": found.headline,
        "cautions": _cautions(AT_THE_WELDER),
        "seams": [_seam(one) for one in found.seams],
        "footer": ". ".join(filter(None, told)),
    }


def _cautions(cautions: tuple[Caution, ...]) -> list[str]:
    return [f"{one.text} ({one.source})" if one.source else one.text for one in cautions]


def _seam(found: SeamFound) -> dict[str, Any]:
    strength = found.strength
    return {
        "name": found.name or found.seam,
        "kind": f"{found.seam}: {found.kind}, {found.top} ({found.top_resin}) on {found.bottom} "
        f"({found.bottom_resin})",
        "word": str(found.verdict),
        "headline": found.headline,
        "asked": asked_of_seam(found),
        "shown": strength_in_words(strength) if strength is not None else without_strength(found),
        "actions": [[one.do, one.because] for one in found.actions],
        "facts": [[one.about, one.says] for one in found.rests_on],
        "cautions": _cautions(tuple(dict.fromkeys((*AT_THE_WELDER, *found.cautions)))),
        **_drawn(found),
        **_window(found),
        **_strength(found),
        "not_welded": [not_welded_in_words(one) for one in found.not_welded],
        "sizes": [[one.size or size_of_joint(one.role), size_in_words(one)] for one in found.sizes],
        "studies": [_study(one) for one in found.studies],
    }


def _drawn(found: SeamFound) -> dict[str, Any]:
    """The rules of its kind, and what follows from its sizes."""
    design = found.design
    rows = design.rows if design is not None else ()
    pair = [f"Resins: {design.pairing}."] if design is not None and design.pairing is not None else []
    missing = [f"Not given: {one}." for one in found.missing]
    return {
        "design": [
            [one.what, span_of(one.found, one.unit), wanted_of(one.wanted, one.unit), one.verdict, one.advice]
            for one in rows
        ],
        "design_says": [*pair, *missing],
        "welder": list(_welder(found)),
    }


def _welder(found: SeamFound) -> Iterator[list[str]]:
    if found.melt is not None:
        yield ["Melt", found.melt.words]
    if found.energy is not None:
        yield ["Energy", found.energy.words]
    if found.amplitude is not None:
        yield ["Amplitude", f"{found.amplitude.words}: {found.amplitude.verdict}"]


def _window(found: SeamFound) -> dict[str, Any]:
    window = found.window
    if window is None:
        return {"window": "", "window_says": [], "settings": [], "questions": []}
    return {
        "window": draw_weld_window(window),
        "window_says": [
            f"Stand at {stand_in_words(window.grid)}."
            if window.grid is not None and window.grid.room is not None
            else "No setting shows strength and look at once.",
            _asked_of_window(window),
            "Only what was tried is drawn: nothing is known beyond it.",
        ],
        "settings": [_setting(one) for one in window.settings],
        "questions": [f"{one.question}: {one.runs}" for one in window.open],
    }


def _asked_of_window(window: WeldWindow) -> str:
    share, good = sure_in_words(window.share), sure_in_words(window.good_share)
    sure = sure_in_words(window.confidence)
    return (
        f"Asked: {newtons_asked(window.required_n)} of {share} of seams and a good look of {good}, "
        f"each shown with {sure} confidence."
    )


def _setting(one: SettingFinding) -> list[str]:
    pulls = f"{one.pulls}, {one.stopped} stopped" if one.stopped else str(one.pulls)
    mean = newtons(one.strength.mean) if one.strength is not None else words.NONE
    flash = f"{words.number(one.flash.mean, 2)} mm" if one.flash is not None else words.NONE
    word = str(setting_word(one))
    return [
        setting_of(one),
        pulls,
        mean,
        bound_in_newtons(one.strength_low_n),
        looks_in_words(one),
        flash,
        word,
    ]


def _strength(found: SeamFound) -> dict[str, Any]:
    strength, weibull, audit = found.strength, found.weibull, found.audit
    at = f"At {setting_of(found.setting)}: " if found.setting is not None else ""
    bounds = [bound_in_words(one) for one in strength.bounds] if strength is not None else []
    return {
        "strength": f"{at}{strength_in_words(strength)}." if strength is not None else "",
        "weibull": draw_weibull(weibull) if weibull is not None else "",
        "weibull_says": [*([weibull_in_words(weibull)] if weibull is not None else []), *bounds],
        "audit": [
            f"{audit_in_words(one)}{' (chosen)' if one.name == audit.chosen else ''}" for one in audit.plans
        ]
        if audit is not None
        else [],
    }


def _study(one: WeldStudySeen) -> list[str]:
    pieces = " and ".join(filter(None, (one.top_trial, one.bottom_trial))) or "trial not recorded"
    stale = "steel was cut since" if one.is_stale else ""
    aside = f"set aside: {one.set_aside}" if one.set_aside else ""
    gauge = f"{one.gauge or 'unknown'} ({one.gauge_says})"
    note = ". ".join(filter(None, (stale, aside, one.note)))
    return [one.name, f"{one.file}, {words.day(one.done_on)}", pieces, str(one.runs), gauge, note]
