"""What usually still has to be done before a moulded toy is released, in working days, in which order.

Days are those of small tools with a toolmaker near by; a tool that is shipped takes longer. All are to be
edited by programme: people who know their toolmaker and their laboratory know better.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from offtool.handbook.defects import PRACTICE
from offtool.handbook.release_list import Fed


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleaseStep:
    """One kind of step.

    `of_each_tool` steps are done tool by tool. `after` names the kinds that must be done before, where they
    are still to be done. `answers` are the lines of the list that it is there for.
    """

    code: str
    title: str
    short: str
    """As a headline names it."""
    does: str
    low_days: float
    high_days: float
    after: tuple[str, ...] = ()
    answers: tuple[Fed, ...] = ()
    of_each_tool: bool = False
    source: str = PRACTICE


_MADE = ("measure",)
_BUILT = ("joints", "ageing", "weld", "masks", "decoration", "colour")

RELEASE_STEPS: tuple[ReleaseStep, ...] = (
    ReleaseStep(
        code="decide",
        title="Correction decided",
        short="the correction",
        does="decide what the steel gives and send the sheet to the toolmaker",
        low_days=0.5,
        high_days=2,
        of_each_tool=True,
    ),
    ReleaseStep(
        code="cut",
        title="Steel cut",
        short="the steel",
        does="cut the steel at the toolmaker, and measure it again",
        low_days=3,
        high_days=15,
        after=("decide",),
        of_each_tool=True,
    ),
    ReleaseStep(
        code="slot",
        title="Wait for a press",
        short="the press",
        does="wait for a slot on a press: none is fixed",
        low_days=1,
        high_days=8,
        after=("cut",),
        of_each_tool=True,
    ),
    ReleaseStep(
        code="trial",
        title="Trial",
        short="the trial",
        does="run the trial",
        low_days=1,
        high_days=2,
        after=("cut", "slot"),
        of_each_tool=True,
    ),
    ReleaseStep(
        code="measure",
        title="Parts measured",
        short="measuring",
        does="let the parts settle for 24 to 48 h and measure them, all cavities",
        low_days=2,
        high_days=5,
        after=("trial",),
        answers=(Fed.SIZES, Fed.CAPABILITY, Fed.WEIGHT),
        of_each_tool=True,
    ),
    ReleaseStep(
        code="tool-book",
        title="Steel as built written down",
        short="the tool book",
        does="write down the steel as it is, the spares, what was welded or inserted",
        low_days=1,
        high_days=3,
        after=("cut",),
        answers=(Fed.TOOL_BOOK,),
    ),
    ReleaseStep(
        code="gauges",
        title="Gauges studied",
        short="the gauges",
        does="study the gauges that critical sizes are measured with",
        low_days=1,
        high_days=3,
        answers=(Fed.GAUGE,),
    ),
    ReleaseStep(
        code="findings",
        title="Findings closed",
        short="open findings",
        does="close what was found at the press, or ask for a concession",
        low_days=1,
        high_days=5,
        after=_MADE,
        answers=(Fed.FINDINGS,),
    ),
    ReleaseStep(
        code="material",
        title="Papers of resin and colourant",
        short="papers of the resin",
        does="ask the makers for the papers of every resin, colourant, paint and ink",
        low_days=5,
        high_days=15,
        answers=(Fed.MATERIAL,),
    ),
    ReleaseStep(
        code="joints",
        title="Joints turned, fresh",
        short="joints",
        does="put the joints together from every pair of cavities and turn them",
        low_days=1,
        high_days=2,
        after=_MADE,
        answers=(Fed.JOINT_FRESH,),
    ),
    ReleaseStep(
        code="ageing",
        title="Joints turned, aged",
        short="ageing of the joints",
        does="age the joints in heat, cold and cycles, and turn them again",
        low_days=5,
        high_days=10,
        after=("joints", *_MADE),
        answers=(Fed.JOINT_AGED,),
    ),
    ReleaseStep(
        code="weld",
        title="Seams welded and pulled",
        short="seams",
        does="weld at the frozen setting and pull the seams apart",
        low_days=2,
        high_days=4,
        after=_MADE,
        answers=(Fed.SEAM,),
    ),
    ReleaseStep(
        code="masks",
        title="Masks made",
        short="masks",
        does="make the masks anew from parts of the new steel",
        low_days=7,
        high_days=15,
        after=_MADE,
    ),
    ReleaseStep(
        code="decoration",
        title="Paint and print checked",
        short="paint and print",
        does="paint and print with the masks of production; check place, cover, adhesion and rub",
        low_days=2,
        high_days=5,
        after=("masks", *_MADE),
        answers=(Fed.DECORATION,),
    ),
    ReleaseStep(
        code="colour",
        title="Colours read",
        short="colour",
        does="read every moulded and painted colour against the signed sample",
        low_days=1,
        high_days=3,
        after=("decoration", *_MADE),
        answers=(Fed.COLOUR,),
    ),
    ReleaseStep(
        code="line",
        title="Line set up",
        short="the line",
        does="set the line up as planned, with its tools, jigs and instructions, and train its people",
        low_days=2,
        high_days=5,
        answers=(Fed.RATE,),
    ),
    ReleaseStep(
        code="pilot",
        title="Pilot run",
        short="the pilot",
        does="mould for the pilot, run it with the people of production, and judge what it shows",
        low_days=3,
        high_days=7,
        after=("line", "findings", "gauges", *_MADE, *_BUILT),
        answers=(Fed.RATE, Fed.YIELD),
    ),
    ReleaseStep(
        code="own-tests",
        title="Own tests of the law",
        short="own tests",
        does="turn, pull and drop pieces of the pilot as the law says",
        low_days=1,
        high_days=3,
        after=("pilot", *_MADE, *_BUILT),
        answers=(Fed.TOY_TESTS, Fed.SMALL_PARTS),
    ),
    ReleaseStep(
        code="laboratory",
        title="Laboratory",
        short="the laboratory",
        does="send pieces of the pilot to an accredited laboratory and wait for its report",
        low_days=7,
        high_days=15,
        after=("pilot", "own-tests", "material", *_MADE, *_BUILT),
    ),
    ReleaseStep(
        code="certificate",
        title="Certificate and technical file",
        short="the certificate",
        does="write certificate, declaration and technical file from the report",
        low_days=1,
        high_days=5,
        after=("laboratory", "material"),
        answers=(Fed.CERTIFICATE,),
    ),
    ReleaseStep(
        code="packing",
        title="Packing tested",
        short="packing",
        does="pack as production will and drop the carton as agreed",
        low_days=1,
        high_days=4,
        after=("pilot", *_MADE, *_BUILT),
        answers=(Fed.PACKAGING,),
    ),
    ReleaseStep(
        code="limit-samples",
        title="Limit samples signed",
        short="limit samples",
        does="choose good, limit and refused pieces of the pilot and have them signed",
        low_days=1,
        high_days=3,
        after=("pilot", *_MADE, *_BUILT),
        answers=(Fed.LIMIT_SAMPLES,),
    ),
    ReleaseStep(
        code="control-plan",
        title="Control plan and instructions",
        short="the control plan",
        does="write the control plan and the instructions as the pilot ran",
        low_days=2,
        high_days=5,
        after=("pilot",),
        answers=(Fed.PLAN,),
    ),
    ReleaseStep(
        code="review",
        title="Review and signatures",
        short="the review",
        does="hold the review; tooling, product, quality and production sign or do not",
        low_days=1,
        high_days=3,
        answers=(Fed.SIGNATURES,),
    ),
)
"""In the order in which they are usually done; the review waits for all of them."""

STEP_BY_CODE: Mapping[str, ReleaseStep] = MappingProxyType({one.code: one for one in RELEASE_STEPS})
REVIEW = "review"

LONGEST_DAYS = 250.0
"""A working year: a step that takes longer is a programme of its own."""


def step_that_answers(fed: Fed) -> tuple[ReleaseStep, ...]:
    """The kinds of step that a line of the list is answered by."""
    return tuple(one for one in RELEASE_STEPS if fed in one.answers)
