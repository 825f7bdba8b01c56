"""A loop as the evidence tells it: which links are known, and which one is left free to close it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Set
from dataclasses import dataclass
from math import isfinite

import numpy as np

from offtool.core.joints.chain import require_factor, require_links
from offtool.core.joints.evidence import JointEvidence, Link
from offtool.core.joints.loop import FREE_A_LINK, Closing, close, require_closed
from offtool.core.joints.response import JointModel, Materials, Response, Sizes, Values
from offtool.core.values import ImpossibleInput, NotEnoughData, OfftoolError
from offtool.handbook.terms import JointKind


@dataclass(frozen=True, slots=True)
class LoopLinks:
    """The links of a loop by what is known of them."""

    known: tuple[Link, ...]
    gap: Link | None
    free: Link | None
    swinging: Link | None

    def roles(self) -> tuple[tuple[str, str], ...]:
        """Every size that the loop needs, with its unit."""
        lengths: tuple[Link, ...] = self.known if self.swinging is None else (*self.known, self.swinging)
        turning = [one for one in self.known if one.angle_role]
        turning += [one for one in (self.gap, self.free) if one is not None and one.angle_role]
        of_lengths = [(one.role, "mm") for one in lengths]
        return (*of_lengths, *((one.angle_role, "deg") for one in turning))

    def closing(self, angle: Callable[[Link], Values | float]) -> Closing:
        """How it closes, with angles as `angle` gives them."""
        return Closing(
            gap_deg=None if self.gap is None else angle(self.gap),
            free_deg=None if self.free is None else angle(self.free),
            swing=0.0 if self.swinging is None else float(np.sign(self.swinging.factor)),
        )


def loop_links(evidence: JointEvidence) -> LoopLinks:
    """Sort the links of the evidence. A link without a size is free in length, one without an angle swings.

    The gap is the link named in `evidence.gap`; without one, or without an angle, it is the distance between
    the open ends.
    """
    require_links(evidence)
    sizes = {one.role for one in evidence.measured} | {one.role for one in evidence.given}
    gap = next((link for link in evidence.links if link.role == evidence.gap), None)
    if gap is not None and gap.role in sizes:
        raise ImpossibleInput("gap", gap.role, "", "has a size: it is what is asked", "take its size out")
    others = [link for link in evidence.links if link is not gap]
    for link in others:
        require_factor(link.role, link.factor)
        if link.angle_deg is not None and not isfinite(link.angle_deg):
            raise ImpossibleInput("links", link.angle_deg, "deg", f"the angle of {link.role} is no angle")
    unknown = [link for link in others if link.role not in sizes or not _directed(link)]
    directed = gap is not None and _directed(gap)
    _require_one_unknown(unknown, sizes, directed)
    second = unknown[0] if unknown else None
    return LoopLinks(
        known=tuple(link for link in others if link is not second),
        gap=gap if directed else None,
        free=second if second and second.role not in sizes else None,
        swinging=second if second and second.role in sizes else None,
    )


def loop_model(links: LoopLinks) -> JointModel:
    """How a loop of these links answers."""

    def respond(sizes: Sizes, materials: Materials, friction: Values) -> Response:
        def angle(link: Link) -> Values | float:
            return sizes[link.angle_role] if link.angle_role else float(link.angle_deg or 0.0)

        x, y = np.zeros(()), np.zeros(())
        for link in links.known:
            turned = np.radians(angle(link))
            length = link.factor * np.asarray(sizes[link.role], dtype=float)
            x, y = x + length * np.cos(turned), y + length * np.sin(turned)
        swing = 0.0 if links.swinging is None else sizes[links.swinging.role]
        gap = close(links.closing(angle), x, y, swing).gap
        return Response(measure=np.asarray(gap), strain_use=np.zeros(np.shape(gap)))

    return JointModel(kind=JointKind.LOOP, respond=respond)


def require_loop(links: LoopLinks, middle: Mapping[str, float]) -> None:
    """Refuse a loop that does not close where its sizes stand."""

    def angle(link: Link) -> float:
        return middle[link.angle_role] if link.angle_role else float(link.angle_deg or 0.0)

    turned = np.radians([angle(link) for link in links.known])
    lengths = np.array([link.factor * middle[link.role] for link in links.known])
    swing = 0.0 if links.swinging is None else middle[links.swinging.role]
    require_closed(
        links.closing(angle), float(lengths @ np.cos(turned)), float(lengths @ np.sin(turned)), swing
    )


def _directed(link: Link) -> bool:
    return bool(link.angle_role) or link.angle_deg is not None


def _require_one_unknown(unknown: list[Link], sizes: Set[str], directed: bool) -> None:
    for link in unknown:
        if link.role not in sizes and not _directed(link):
            raise NotEnoughData(
                f"{link.role} has neither size nor direction", remedy="measure or give one of the two"
            )
    names = ", ".join(link.role for link in unknown)
    if len(unknown) > 1:
        raise NotEnoughData(
            f"the loop has more than one unknown beside the gap: {names}",
            remedy="give each but one its size and its direction",
        )
    if unknown and not directed:
        raise OfftoolError(
            f"the gap has no direction, and {names} is free as well",
            remedy=f"give the gap its direction; else {FREE_A_LINK}",
        )
