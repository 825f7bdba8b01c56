"""The page of one joint: does it hold, what to do, why, what moves it, and what assembled pieces showed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from offtool.core.joints.assembled import AssembledJoint, Contribution
from offtool.core.values import Caution
from offtool.handbook.joint_kinds import JOINT_KINDS
from offtool.handbook.terms import JointKind
from offtool.reports import words
from offtool.reports.joint_histogram import draw_measure_histogram
from offtool.reports.joint_sources_drawing import draw_contributions
from offtool.reports.joint_words import friction_effect_in_words, pair_in_words, slope_in_words
from offtool.steps.findings import Fact
from offtool.steps.joint_found import CavitySeen, JointFound, JointSizeSeen, TestSeen
from offtool.steps.joint_sentences import per_cent_of
from offtool.steps.sentences import count, sentence
from offtool.web.forms.judging import SetAsideForm
from offtool.web.pages.frame import AS_JSON, Frame, anchor
from offtool.web.pages.joint_matrix import (
    Combinations,
    GradeSign,
    Matrix,
    combinations_of,
    grade_key,
    matrix_of,
    shares_in_words,
)
from offtool.web.pages.joint_steel import SteelSection, steel_section
from offtool.web.pages.joint_tested import TestedSection, tested_section
from offtool.web.pages.joints import (
    JointPlace,
    action_row,
    measure_asked,
    place_of,
)
from offtool.web.pages.trial import ActionRow


@dataclass(frozen=True, slots=True, kw_only=True)
class MoverRow:
    """One size, and what it adds to the spread of the measure."""

    size: str
    meaning: str
    share: str
    between: str
    within: str
    slope: str
    """What a hundredth more of it does."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeRow:
    """One size of the joint: measured, or as given."""

    size: str
    href: str
    """The size in depth; empty for a number."""
    meaning: str
    trial: str
    cavities: tuple[str, ...]
    gauge: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowRow:
    """Two cavities that are to be kept together, and how many of all joints they make."""

    pair: str
    share: str
    good: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PairingShown:
    """What pairing cavities on purpose gains."""

    says: str
    rows: tuple[FlowRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TestRow:
    """One test of assembled pieces, and the form that sets it aside."""

    __test__ = False  # not one of pytest's

    name: str
    what: str
    when: str
    pieces: str
    """Which trials its pieces are from."""
    file: str
    file_href: str
    state: str
    mark: str
    form: Any
    """None where it is set aside already."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JointPage:
    """One joint."""

    frame: Frame
    place: JointPlace
    when: str
    headline: str
    actions: tuple[ActionRow, ...]
    facts: tuple[Fact, ...]
    cautions: tuple[Caution, ...]
    shares_say: str
    """What comes of the mix, in words; empty where it cannot be worked out."""
    histogram: SafeString
    sources: SafeString
    key: tuple[GradeSign, ...]
    matrix: Matrix | None
    combinations: Combinations | None
    pairing: PairingShown | None
    movers: tuple[MoverRow, ...]
    movers_say: str
    steel: SteelSection | None
    tested: TestedSection | None
    tests: tuple[TestRow, ...]
    sizes: tuple[SizeRow, ...]
    method: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FormsRefused:
    """What could not be done on a joint's page: the forms as they were sent, by what they speak of."""

    tests: Mapping[str, SetAsideForm]
    demands: Mapping[str, SetAsideForm]
    asked: str = ""


NOTHING_REFUSED = FormsRefused(tests={}, demands={})


def joint_page(found: JointFound, *, made_by: str = "", refused: FormsRefused = NOTHING_REFUSED) -> JointPage:
    """The page of a joint."""
    place, assembled = place_of(found), found.assembled
    matrix = matrix_of(assembled) if assembled is not None else None
    listed = combinations_of(assembled) if assembled is not None and matrix is None else None
    histogram, sources = _drawings(found)
    return JointPage(
        frame=place.frame(as_json=AS_JSON),
        place=place,
        when=f"Joint {found.joint}, {found.kind}: {measure_asked(found)}",
        headline=found.headline,
        actions=tuple(action_row(one, found, on_page=True) for one in found.actions),
        facts=found.rests_on,
        cautions=found.cautions,
        shares_say=_shares_say(assembled, found) if assembled is not None else "",
        histogram=histogram,
        sources=sources,
        key=grade_key(),
        matrix=matrix,
        combinations=listed,
        pairing=_pairing(assembled) if assembled is not None else None,
        movers=tuple(_movers(found)),
        movers_say=_movers_say(found),
        steel=steel_section(found, made_by=made_by, refusal=refused.asked, refused=refused.demands),
        tested=tested_section(found),
        tests=tuple(_test(one, place, made_by, refused.tests) for one in found.tests),
        sizes=tuple(_size(one, found) for one in found.sizes),
        method=found.method,
    )


def test_key(name: str) -> str:
    """The mark by which the fields of a test's form are told from those of another."""
    return anchor("test", name)


def _drawings(found: JointFound) -> tuple[SafeString, SafeString]:
    """Where joints fall, and what moves them; nothing where it cannot be worked out."""
    if found.assembled is None:
        return mark_safe(""), mark_safe("")
    measure = draw_measure_histogram(found.assembled, decimals=found.decimals, unit=found.unit)
    return mark_safe(measure), mark_safe(draw_contributions(found.assembled, decimals=found.decimals))  # noqa: S308 they escape


def _shares_say(assembled: AssembledJoint, found: JointFound) -> str:
    """The mix in a sentence or two."""
    mix, d = assembled.mix, found.decimals
    ends = words.ends(mix.middle_low, mix.middle_high, d)
    return (
        f"Cavities mixed as they fall: {shares_in_words(mix)}. The mean {found.measure} is "
        f"{words.number(mix.mean, d)} {found.unit}, and 95 of 100 joints lie at {ends}."
    )


def _pairing(assembled: AssembledJoint) -> PairingShown | None:
    pairing = assembled.pairing
    if pairing is None:
        return None
    used = sorted((one for one in pairing.flows if one.share > 0), key=lambda one: one.share, reverse=True)
    return PairingShown(
        says=f"Kept apart and paired so, {per_cent_of(pairing.good)} of joints would be good, in place of "
        f"{per_cent_of(pairing.good_at_random)}: a gain of {words.percent(pairing.gain, 0)} "
        f"({words.percent_span(pairing.interval)}).",
        rows=tuple(
            FlowRow(
                pair=pair_in_words(assembled.parts, (one.first, one.second)),
                share=words.percent(one.share, 0),
                good=per_cent_of(one.good),
            )
            for one in used
        ),
    )


def _movers(found: JointFound) -> Iterator[MoverRow]:
    """The sizes that move the measure, the strongest first."""
    if found.assembled is None:
        return
    seen = {one.role: one for one in found.sizes}
    for one in sorted(found.assembled.contributions, key=lambda one: one.share, reverse=True):
        yield _mover(one, seen.get(one.role), found)


def _mover(one: Contribution, seen: JointSizeSeen | None, found: JointFound) -> MoverRow:
    return MoverRow(
        size=(seen.size if seen is not None else "") or "as given",
        meaning=(seen.meaning if seen is not None else "") or one.role,
        share=words.percent(one.share, 0),
        between=words.percent(one.between, 0),
        within=words.percent(one.within, 0),
        slope=f"{slope_in_words(one.slope)} {found.unit} for each {one.unit}",
    )


def _movers_say(found: JointFound) -> str:
    """What is not known of friction, which stands apart."""
    effect = found.assembled.friction_effect if found.assembled is not None else None
    if effect is None:
        return ""
    said = friction_effect_in_words(effect, decimals=found.decimals, unit=found.unit)
    return f"{sentence(said)} It is the same for all joints, so it is in the intervals, not in the spread."


def _size(one: JointSizeSeen, found: JointFound) -> SizeRow:
    href = ""
    if one.is_measured and one.number:
        href = reverse("size", args=[found.programme, one.tool, one.trial, one.part, one.number])
    return SizeRow(
        size=one.size or "as given",
        href=href,
        meaning=_named(one, found),
        trial=f"{one.trial} of {one.tool}, state {one.state}" if one.trial else "",
        cavities=tuple(_cavity(each, one.decimals) for each in one.cavities) or (_given(one),),
        gauge=one.gauge,
    )


def _named(one: JointSizeSeen, found: JointFound) -> str:
    """What the size is in the joint, with its name on the drawing; a link of a chain has one of its own."""
    is_link = not JOINT_KINDS[JointKind(found.kind)].roles
    return ": ".join(filter(None, [one.role if is_link else "", one.meaning, one.name]))


def _cavity(one: CavitySeen, decimals: int) -> str:
    """cavity 1: 4.008, spread 0.004, 13 parts."""
    label = words.cavity(one.cavity)
    mean, spread = words.number(one.mean, decimals), words.number(one.sd, decimals + 1)
    return f"{label}: {mean}, spread {spread}, {count(one.parts, 'part')}"


def _given(one: JointSizeSeen) -> str:
    if one.value is None:
        return "not measured yet" if one.size else "worked out"
    plus = f" ± {one.plus_minus:g}" if one.plus_minus else ""
    return f"{one.value:g}{plus} {one.unit}".rstrip()


def _test(one: TestSeen, place: JointPlace, made_by: str, refused: Mapping[str, SetAsideForm]) -> TestRow:
    pieces = "; ".join(filter(None, [one.inner_trial, one.outer_trial]))
    gauge = f", {one.gauge}" if one.gauge else ""
    state = f"set aside: {one.set_aside}" if one.set_aside else "counts"
    if not one.set_aside and one.is_stale:
        state = "counts, but steel was cut since"
    form = refused.get(one.name) or SetAsideForm(
        initial={"made_by": made_by}, auto_id=f"{test_key(one.name)}_%s"
    )
    return TestRow(
        name=one.name,
        what=f"{count(one.readings, 'reading')}{gauge}" + (f". {one.note}" if one.note else ""),
        when=words.day(one.done_on) if one.done_on else "",
        pieces=pieces,
        file=one.file,
        file_href=place.address("joint_test_file", one.test_id),
        state=state,
        mark="doubt" if one.is_stale and not one.set_aside else "",
        form=None if one.set_aside else form,
    )
