"""The page of all joints of a product: how each stands, pair by pair, and what to do next."""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import reverse

from offtool.core.values import Verdict
from offtool.reports import words
from offtool.steps.findings import Action
from offtool.steps.joint_found import JointFound, JointsFound, JointWord
from offtool.steps.joint_sentences import PAIRS, READ, STEEL, TRIAL
from offtool.web.pages.frame import AS_JSON, Crumb, Frame, anchor
from offtool.web.pages.joint_matrix import (
    Combinations,
    GradeSign,
    Matrix,
    combinations_of,
    grade_key,
    matrix_of,
)
from offtool.web.pages.trial import MARK, ActionRow


@dataclass(frozen=True, slots=True, kw_only=True)
class JointPlace:
    """Which joint a page is about; none where one is about to be defined."""

    programme: str
    programme_title: str
    invented: bool
    joint: str = ""

    def address(self, page: str, *more: object) -> str:
        """The address of one of the joint's pages: "joint", "read_joint_test", "change_joint" …"""
        return reverse(page, args=[self.programme, self.joint, *more])

    def frame(self, *, here: str = "", as_json: str = "") -> Frame:
        """The frame of the joint's page, or of a page that hangs on it and is called `here`."""
        crumbs = [
            Crumb(text=self.programme_title, href=reverse("programme", args=[self.programme])),
            Crumb(text="Joints", href=reverse("joints", args=[self.programme])),
        ]
        if self.joint:
            crumbs.append(Crumb(text=self.joint, href=self.address("joint") if here else ""))
        if here:
            crumbs.append(Crumb(text=here))
        title = f"Joint {self.joint}, {self.programme_title}" if self.joint else self.programme_title
        return Frame(
            title=f"{here}: {title}" if here else title,
            crumbs=tuple(crumbs),
            invented=self.invented,
            as_json=as_json,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class JointRow:
    """One joint in the list."""

    anchor: str
    code: str
    name: str
    href: str
    kind: str
    asked: str
    """What it must do."""
    mark: str
    word: str
    says: str
    next: ActionRow | None
    matrix: Matrix | None
    combinations: Combinations | None
    """Where there is no matrix and something is known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JointsPage:
    """All joints of a programme."""

    frame: Frame
    programme: str
    when: str
    headline: str
    key: tuple[GradeSign, ...]
    joints: tuple[JointRow, ...]
    new_href: str
    report_href: str


def joints_page(found: JointsFound) -> JointsPage:
    """The page of all joints."""
    programme = Crumb(text=found.programme_title, href=reverse("programme", args=[found.programme]))
    frame = Frame(
        title=f"Joints, {found.programme_title}",
        crumbs=(programme, Crumb(text="Joints")),
        invented=found.invented,
        as_json=AS_JSON,
    )
    return JointsPage(
        frame=frame,
        programme=found.programme,
        when=found.programme_title,
        headline=found.headline,
        key=grade_key(),
        joints=tuple(map(_row, found.joints)),
        new_href=reverse("new_joint", args=[found.programme]),
        report_href=reverse("joints_report", args=[found.programme]),
    )


def place_of(found: JointFound) -> JointPlace:
    """Where the page of a joint stands."""
    return JointPlace(
        programme=found.programme,
        programme_title=found.programme_title,
        invented=found.invented,
        joint=found.joint,
    )


def measure_asked(found: JointFound) -> str:
    """breakaway torque 0.01 to 0.08 N·m; pull-off force, at least 12 N; gap, nothing is asked of it."""
    lower, upper = (_in_short(one.value) for one in (found.lower, found.upper))
    if not lower and not upper:
        return f"{found.measure}, nothing is asked of it"
    asked = f"{lower} to {upper}" if lower and upper else f"at least {lower}" if lower else f"at most {upper}"
    return f"{found.measure} {asked}" + (f" {found.unit}" if found.unit != "1" else "")


def _in_short(limit: float | None) -> str:
    """Three digits that count: what is worked out of a weight has no end of its own."""
    return "" if limit is None else f"{limit:.3g}".replace("-", words.MINUS)


def mark_of_joint(found: JointFound) -> str:
    """The class that gives the joint's word its sign; that of an open question where nothing is shown."""
    return MARK[Verdict.NOT_SHOWN] if found.word is JointWord.NOT_MEASURED else MARK[found.verdict]


def action_row(action: Action, found: JointFound, *, on_page: bool) -> ActionRow:
    """One thing to do, and where it is done: on the joint's page itself, or from another."""
    place = place_of(found)
    page = "" if on_page else place.address("joint")
    ways = {
        STEEL: ("which steel", f"{page}#steel"),
        PAIRS: ("pair by pair", f"{page}#pairs"),
        READ: ("read a test", place.address("read_joint_test")),
        TRIAL: ("the sizes", f"{page}#sizes"),
    }
    link, href = ways.get(action.leads_to, ("", ""))
    return ActionRow(do=action.do, because=action.because, href=href, link=link)


def _row(found: JointFound) -> JointRow:
    assembled = found.assembled
    matrix = matrix_of(assembled) if assembled is not None else None
    listed = combinations_of(assembled) if assembled is not None and matrix is None else None
    return JointRow(
        anchor=anchor("joint", found.joint),
        code=found.joint,
        name=found.name,
        href=place_of(found).address("joint"),
        kind=found.kind,
        asked=measure_asked(found),
        mark=mark_of_joint(found),
        word=str(found.word),
        says=found.headline,
        next=action_row(found.actions[0], found, on_page=False) if found.actions else None,
        matrix=matrix,
        combinations=listed,
    )
