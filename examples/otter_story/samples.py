"""The drawer of samples: what otters are told apart by, and what lies there. All invented.

Some pieces were tagged at the press, some turned up without a tag. What each truly is, is said here and
nowhere in the record.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np
from examples.otter_story.drawings import TOOLS, ToolDrawing
from examples.otter_story.hidden import GAUGE_SD
from examples.otter_story.programme import SLUG
from numpy.typing import NDArray

from offtool.handbook.terms import ColourBy, DetailKind, Stage
from offtool.records.operations import (
    NewColour,
    define_build,
    define_detail,
    define_job,
    define_press,
)
from offtool.records.queries import find_programme, find_tool, find_trial
from offtool.steps.keep_sample import (
    PartSaid,
    SampleSaid,
    look_for_detail_on,
    look_for_sign_on,
    measure_colour_on,
    measure_on,
    photograph_sample,
    register_sample,
)

ARCHIVE, FOUND_ON = "sample room", date(2026, 3, 13)
OPENED_AT = datetime(2026, 3, 13, 9, tzinfo=UTC)
PHOTOGRAPH = Path(__file__).parent / "photographs" / "otter_0417.jpg"
"""Drawn, not taken: teal torso, black arms, beside a card of twelve patches."""
CARD = Path(__file__).parent / "photographs" / "card_0417.csv"
SIZE_SEED = 417

PRESSES = {"150 t, no. 4": ("M1",), "120 t, no. 2": ("M2", "M1"), "80 t, no. 9": ("M3",)}
"""Each press, and the tools that it can hold."""

Lab = tuple[float, float, float]
TEAL, BLACK, ORANGE, MINT, YELLOW, BROWN, NATURAL = (
    (55.0, -22.0, -6.0),
    (24.0, 0.3, -0.6),
    (62.0, 46.0, 58.0),
    (80.0, -24.0, 9.0),
    (81.0, 6.0, 74.0),
    (38.0, 12.0, 18.0),
    (86.0, -1.0, 6.0),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRun:
    """Production of an invented product that ran on a press."""

    press: str
    code: str
    product: str
    what: str
    colour: str
    lab: Lab
    begins: date
    ends: date


JOBS = (
    JobRun(
        press="150 t, no. 4",
        code="J-311",
        product="bath tugboat",
        what="hull",
        colour="teal",
        lab=TEAL,
        begins=date(2026, 1, 26),
        ends=date(2026, 2, 6),
    ),
    JobRun(
        press="80 t, no. 9",
        code="J-312",
        product="bath tugboat",
        what="funnel",
        colour="black",
        lab=BLACK,
        begins=date(2026, 1, 27),
        ends=date(2026, 2, 11),
    ),
    JobRun(
        press="150 t, no. 4",
        code="J-324",
        product="stacking lighthouse",
        what="tower",
        colour="orange",
        lab=ORANGE,
        begins=date(2026, 2, 9),
        ends=date(2026, 2, 20),
    ),
    JobRun(
        press="80 t, no. 9",
        code="J-325",
        product="stacking lighthouse",
        what="lamp",
        colour="mint",
        lab=MINT,
        begins=date(2026, 2, 12),
        ends=date(2026, 2, 22),
    ),
    JobRun(
        press="120 t, no. 2",
        code="J-318",
        product="sand scoop",
        what="scoop",
        colour="yellow",
        lab=YELLOW,
        begins=date(2026, 1, 19),
        ends=date(2026, 2, 3),
    ),
)

COLOURS = {("M1", "T2"): BROWN, ("M2", "T2"): BROWN, ("M2", "T1"): NATURAL, ("M3", "T2"): NATURAL}
"""What trials were shot in where somebody measured it."""
INTERRUPTED = {("M1", "T1"): "J-311"}
"""The job that a trial interrupted, where somebody wrote it down."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DetailMade:
    """A detail of a part, the state that it came with, and states whose sheet is lost."""

    tool: str
    part: str
    code: str
    name: str
    where: str
    came: str
    lost: tuple[str, ...] = ()
    kind: DetailKind = DetailKind.STAYS


DETAILS = (
    DetailMade(
        tool="M1",
        part="HO-02",
        code="hook-hole",
        name="hole for the clam hook",
        where="left of the belly, a hole of 2 mm",
        came="b",
    ),
    DetailMade(
        tool="M1",
        part="HO-02",
        code="date-mark",
        name="date mark",
        where="inside, above the weld face, with a lens",
        came="c",
    ),
    DetailMade(
        tool="M1",
        part="HO-03",
        code="vent-line",
        name="vent line at the tail socket",
        where="a fine line around the tail socket, in slanting light",
        came="b",
    ),
    DetailMade(
        tool="M1",
        part="HO-03",
        code="crest",
        name="harbour crest",
        where="between the shoulders",
        came="c",
    ),
    DetailMade(
        tool="M2",
        part="HO-01",
        code="whiskers",
        name="whisker pits",
        where="both cheeks, three pits each",
        came="b",
    ),
    DetailMade(
        tool="M2",
        part="HO-06",
        code="fur",
        name="fur texture",
        where="upper side, in slanting light",
        came="c",
        lost=("b",),
    ),
    DetailMade(
        tool="M3",
        part="HO-04",
        code="palm-ridge",
        name="ridge of the palm",
        where="inside of the paw",
        came="b",
    ),
    DetailMade(
        tool="M3",
        part="HO-04",
        code="cavity-number",
        name="cavity number",
        where="on the end of the shoulder peg, with a lens",
        came="b",
    ),
    DetailMade(
        tool="M3",
        part="HO-04",
        code="wrist-stop",
        name="stop at the wrist",
        where="in the wrist bore, a step",
        came="c",
    ),
    DetailMade(
        tool="M3", part="HO-04", code="claws", name="claws", where="four lines on the paw's tip", came="c"
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceOfSample:
    """A part of a sample; `truly` is the trial that made it, which its tag may or may not say."""

    part: str
    label: str
    truly: str
    tagged: bool = False
    cavity: str = ""
    shot: int | None = None
    colour: Lab | None = None
    seen: Mapping[str, bool] = field(default_factory=dict)
    """Details that were looked for, by code."""
    measured: tuple[str, ...] = ()
    """Numbers of the sizes that were measured."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A sample in the drawer."""

    number: str
    name: str
    place: str
    parts: tuple[PieceOfSample, ...]
    signs: Mapping[str, str] = field(default_factory=dict)
    purpose: str = ""
    build: str = ""
    note: str = ""
    photographed: bool = False


def _arm(number: str, truly: str, **seen: bool) -> Kept:
    details = {code.replace("_", "-"): is_there for code, is_there in seen.items()}
    piece = PieceOfSample(part="HO-04", label="HO-04", truly=truly, seen=details)
    return Kept(number=number, name="loose arm", place="drawer 7, bag of arms", parts=(piece,))


SAMPLES = (
    Kept(
        number="0401",
        name="torso front from the first trial",
        place="drawer 3",
        purpose="first after the press had settled",
        parts=(PieceOfSample(part="HO-02", label="HO-02", truly="T1", tagged=True, cavity="1", shot=12),),
    ),
    Kept(
        number="0402",
        name="arms and legs, one shot of the second trial",
        place="drawer 3",
        purpose="complete shot",
        parts=(
            PieceOfSample(part="HO-04", label="arm", truly="T2", tagged=True, cavity="2", shot=30),
            PieceOfSample(part="HO-05", label="leg", truly="T2", tagged=True, cavity="2", shot=30),
        ),
    ),
    Kept(
        number="0409",
        name="otter built by hand",
        place="glass case",
        purpose="shown to visitors",
        build="EP1",
        parts=(
            PieceOfSample(part="HO-02", label="front", truly="T2", colour=BROWN, seen={"hook-hole": True}),
            PieceOfSample(part="HO-03", label="back", truly="T2", colour=BROWN),
        ),
        signs={"seam": "glued, taped or screwed", "paint": "by hand"},
    ),
    Kept(
        number="0417",
        name="otter torso with arms",
        place="drawer 7, no tag",
        parts=(
            PieceOfSample(
                part="HO-02",
                label="front",
                truly="T1",
                colour=TEAL,
                seen={"hook-hole": False},
                measured=("2", "3", "4"),
            ),
            PieceOfSample(part="HO-03", label="back", truly="T1", colour=TEAL, measured=("4",)),
            PieceOfSample(part="HO-04", label="left arm", truly="T1", colour=BLACK, measured=("1", "2")),
            PieceOfSample(part="HO-04", label="right arm", truly="T1", colour=BLACK),
        ),
        signs={"seam": "open, ridge whole", "paint": "none"},
        photographed=True,
    ),
    Kept(
        number="0418",
        name="otter torso, brown, with one black arm",
        place="drawer 7, no tag",
        parts=(
            PieceOfSample(
                part="HO-02",
                label="front",
                truly="T2",
                colour=BROWN,
                seen={"hook-hole": True, "date-mark": False},
                measured=("2", "4"),
            ),
            PieceOfSample(
                part="HO-04",
                label="left arm",
                truly="T1",
                colour=BLACK,
                seen={"palm-ridge": False, "cavity-number": False},
                measured=("1",),
            ),
        ),
        signs={"seam": "open, ridge whole", "paint": "none"},
    ),
    Kept(
        number="0419",
        name="torso front, date mark read by lamplight",
        place="drawer 7, no tag",
        parts=(
            PieceOfSample(
                part="HO-02",
                label="HO-02",
                truly="T1",
                seen={"hook-hole": False, "date-mark": True},
                measured=("2", "3", "4"),
            ),
        ),
        note="the mark may be a scratch",
    ),
    Kept(
        number="0420",
        name="clam",
        place="window sill",
        parts=(PieceOfSample(part="HO-07", label="HO-07", truly="T2"),),
    ),
    _arm("0431", "T1", palm_ridge=False, cavity_number=False, wrist_stop=False, claws=False),
    _arm("0432", "T2", palm_ridge=True, cavity_number=True, wrist_stop=False, claws=False),
    _arm("0433", "T1", palm_ridge=False, cavity_number=False, claws=False),
    _arm("0434", "T3", palm_ridge=True, cavity_number=True, wrist_stop=True, claws=True),
    _arm("0435", "T2", palm_ridge=True, wrist_stop=False, claws=False),
    # worn: the number is there in the steel, and was read as missing
    _arm("0436", "T3", palm_ridge=True, cavity_number=False, wrist_stop=True, claws=True),
    _arm("0437", "T2", palm_ridge=True, cavity_number=True, wrist_stop=False),
    _arm("0438", "T1", palm_ridge=False, cavity_number=False, wrist_stop=False),
)

TrueMeans = Mapping[tuple[str, str], NDArray[np.float64]]
"""Of a tool and trial, [size, cavity]."""


def fill_the_drawer(means: TrueMeans, spreads: TrueMeans) -> None:
    """Say what pieces are told apart by, and keep every sample with what was seen of it."""
    tell_apart()
    random = np.random.default_rng(SIZE_SEED)
    for number, kept in enumerate(SAMPLES):
        keep(kept, OPENED_AT + timedelta(minutes=7 * number), means, spreads, random)


def tell_apart() -> None:
    """Presses and jobs, colours and stages of trials, details of tool states, and the first build."""
    programme = find_programme(SLUG)
    presses = {}
    for code, tools in PRESSES.items():
        held = [find_tool(programme, tool) for tool in tools]
        presses[code] = define_press(programme, {"code": code}, held, made_by=ARCHIVE)
    jobs = {one.code: define_job(presses[one.press], _job(one), made_by=ARCHIVE) for one in JOBS}
    for (tool, name), lab in COLOURS.items():
        trial = find_trial(find_tool(programme, tool), name)
        trial.lightness, trial.a, trial.b = lab
        trial.save()
    for (tool, name), job in INTERRUPTED.items():
        trial = find_trial(find_tool(programme, tool), name)
        trial.interrupted = jobs[job]
        trial.save()
    for detail in DETAILS:
        _define(detail)
    second = [find_trial(find_tool(programme, tool.code), "T2") for tool in TOOLS]
    columns = {
        "code": "EP1",
        "stage": Stage.ENGINEERING.value,
        "built_on": date(2026, 3, 4),
        "pieces": 12,
        "note": "by hand, halves glued, painted with a brush",
    }
    define_build(programme, columns, second, made_by=ARCHIVE)


def _job(one: JobRun) -> dict[str, object]:
    lightness, a, b = one.lab
    return {
        "code": one.code,
        "product": one.product,
        "what": one.what,
        "colour": one.colour,
        "lightness": lightness,
        "a": a,
        "b": b,
        "begins": one.begins,
        "ends": one.ends,
        "note": "an invented product",
    }


def _define(detail: DetailMade) -> None:
    programme = find_programme(SLUG)
    part = programme.parts.get(code=detail.part)
    states = find_tool(programme, detail.tool).states.all()
    in_states = {one: None if one.label in detail.lost else one.label >= detail.came for one in states}
    columns = {
        "code": detail.code,
        "name": detail.name,
        "kind": detail.kind.value,
        "where": detail.where,
    }
    define_detail(part, columns, in_states, made_by=ARCHIVE)


def keep(kept: Kept, at: datetime, means: TrueMeans, spreads: TrueMeans, random: np.random.Generator) -> None:
    """Register one sample, and keep what was seen and measured of it."""
    told = {"at": at, "by": ARCHIVE}
    register_sample(
        SLUG,
        SampleSaid(
            number=kept.number,
            name=kept.name,
            build=kept.build,
            found_on=FOUND_ON,
            place=kept.place,
            holder="sample room",
            purpose=kept.purpose,
            note=kept.note,
            parts=tuple(_said(piece) for piece in kept.parts),
        ),
        **told,
    )
    for piece in kept.parts:
        for code, is_there in piece.seen.items():
            look_for_detail_on(SLUG, kept.number, piece.label, code, is_there=is_there, **told)
        if piece.colour is not None:
            measure_colour_on(SLUG, kept.number, piece.label, _measured(piece.colour, random), **told)
        for number, value, uncertainty in _sizes(piece, means, spreads, random):
            size = f"{piece.part} {number}"
            measure_on(SLUG, kept.number, piece.label, size, value, uncertainty=uncertainty, **told)
    for sign, outcome in kept.signs.items():
        look_for_sign_on(SLUG, kept.number, sign, outcome, **told)
    if kept.photographed:
        content = PHOTOGRAPH.read_bytes()
        note = "an invented picture, with a card of twelve patches"
        photograph_sample(SLUG, kept.number, content, PHOTOGRAPH.name, note=note, **told)


def _said(piece: PieceOfSample) -> PartSaid:
    if not piece.tagged:
        return PartSaid(part=piece.part, label=piece.label)
    return PartSaid(
        part=piece.part,
        label=piece.label,
        tool=_drawing(piece.part).code,
        trial=piece.truly,
        cavity=piece.cavity,
        shot=piece.shot,
    )


def _measured(lab: Lab, random: np.random.Generator) -> NewColour:
    lightness, a, b = (round(float(value), 2) for value in np.array(lab) + random.normal(0, 0.4, 3))
    return NewColour(
        lightness=lightness, a=a, b=b, uncertainty_de=0.5, by=ColourBy.INSTRUMENT, place="largest flat face"
    )


def _sizes(
    piece: PieceOfSample, means: TrueMeans, spreads: TrueMeans, random: np.random.Generator
) -> Iterator[tuple[str, float, float]]:
    """What a gauge shows of a part that this trial made, in one of its cavities."""
    drawing = _drawing(piece.part)
    cavity = int(random.integers(drawing.cavities))
    for number in piece.measured:
        place = drawing.place(f"{piece.part} {number}")
        gauge = GAUGE_SD[drawing.sizes[place].gauge]
        key = (drawing.code, piece.truly)
        sd = float(np.hypot(spreads[key][place, cavity], gauge))
        yield number, round(float(random.normal(means[key][place, cavity], sd)), 3), gauge


def _drawing(part: str) -> ToolDrawing:
    return next(tool for tool in TOOLS if part in tool.parts)
