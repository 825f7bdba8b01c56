"""Joints loosen with time: the loss per decade fitted from readings, or taken from a handbook's share."""

from __future__ import annotations

from dataclasses import dataclass
from math import log10, sqrt

import numpy as np
from numpy.typing import NDArray

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.joints.evidence import Span
from offtool.core.joints.ratio import interval_of_ratio, quantile
from offtool.core.values import Caution, ImpossibleInput, Interval, NotEnoughData, OfftoolError, Range

AFTER_HOURS = (24.0, 1000.0)
"""One day, and six weeks: what is asked of a joint."""
FAR_DECADES = 1.0
"""Beyond the last reading, in powers of ten of time: the law is not known to run on for longer."""
PRACTICE = "common practice, no source"

TORQUE = Range(meaning="torque as read, one a reading", unit="N·m", at_least=0)
HOURS = Range(
    meaning="hours since the joint was assembled",
    unit="h",
    above=0,
    usual=(0.05, 20_000.0),
    source=PRACTICE,
    remedy="write down when the joint was assembled and when it was read",
)
REMAINING = Range(
    meaning="share of the torque at 1 h that is left later, in the worst case and in the best",
    above=0,
    at_most=1,
    usual=(0.2, 0.95),
    source=PRACTICE,
    remedy="give a share, not per cent",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class TorqueAfter:
    """The mean torque at one time, and its share of the torque at 1 h.

    `decades_beyond` says how far past the last reading it lies, in powers of ten of time; 0 where it does
    not.
    """

    hours: float
    share: float
    torque_nm: float
    decades_beyond: float
    share_interval: Interval | None = None
    torque_interval: Interval | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RelaxationFit:
    """How fast a joint loosens; intervals are None where the readings are just enough for a line.

    `by_piece` says that the same pieces were read again, so that their own levels drop out;
    `piece_levels_nm` then are their torques at 1 h.
    """

    loss_per_decade: float
    interval: Interval | None
    torque_1h_nm: float
    after: tuple[TorqueAfter, ...]
    by_piece: bool
    piece_levels_nm: tuple[tuple[str, float], ...]
    readings: int
    degrees_of_freedom: int
    first_hours: float
    last_hours: float
    confidence: float
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RelaxedTorque:
    """What a torque read once will be at 24 h and at 1000 h, between the ends of the handbook's share."""

    torque_24h_nm: Span
    torque_1000h_nm: Span
    torque_1h_nm: Span
    loss_per_decade: Span
    torque_nm: float
    hours: float
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "torques_nm": TORQUE,
        "hours": HOURS,
        "pieces": Range(meaning="piece of each reading; the same name where a piece was read again"),
        "confidence": CONFIDENCE,
    },
    example={
        "torques_nm": [0.101, 0.093, 0.110, 0.100, 0.096, 0.090],
        "hours": [1, 24, 1, 24, 1, 24],
        "pieces": ["a", "a", "b", "b", "c", "c"],
    },
    source="line over the logarithm of time by least squares; ratio of two means, Fieller 1954, J. R. Stat. "
    "Soc. B 16:175, from memory",
)
def fit_relaxation(
    torques_nm: Numbers, hours: Numbers, pieces: Texts, *, confidence: float = 0.95
) -> RelaxationFit:
    """How fast a joint loosens, from torques read at two or more times, and what is left at 24 h and 1000 h.

    T(t) = T1 (1 - k log10(t / 1 h)). Where two or more pieces were read again, each has its own line; k is
    the mean fall per decade over the mean torque at 1 h, its interval from the pieces. Else one line goes
    through all readings, and their scatter about it gives the interval.

    Returns: RelaxationFit. Raises: NotEnoughData for readings at one time only; ImpossibleInput for unequal
    lists; OfftoolError where no torque is left at 1 h.

    Holds when: it is kept at one temperature and not turned between the readings, or always alike. Pieces
    without a name are taken as different ones.

    Example: stress in polycarbonate of 36 MPa after 1 h and 30 MPa after 1000 h: k = 1/18.
    """
    torque, x = np.asarray(torques_nm, dtype=float), np.log10(np.asarray(hours, dtype=float))
    if not torque.size == x.size == len(pieces):
        raise ImpossibleInput("hours", x.size, "", f"must be one for each of {torque.size} torques")
    if np.unique(x).size < 2:
        raise NotEnoughData(
            "the joint was not read at two times", remedy="read it again, best after 24 h and after a week"
        )
    own = _lines_of_pieces(torque, x, [str(one) for one in pieces])
    line = _mean_line(own) if len(own) > 1 else _one_line(torque, x)
    if not line.level > 0:
        raise OfftoolError(
            "these readings leave no torque at 1 h",
            remedy="read sooner after assembly, and check the times",
        )
    last = float(x.max())
    after = tuple(line.after(one, last, confidence) for one in AFTER_HOURS)
    used = sum(one.readings for one in own) if len(own) > 1 else torque.size
    return RelaxationFit(
        loss_per_decade=-line.slope / line.level,
        interval=line.loss(confidence),
        torque_1h_nm=line.level,
        after=after,
        by_piece=len(own) > 1,
        piece_levels_nm=tuple((one.piece, one.level) for one in own) if len(own) > 1 else (),
        readings=used,
        degrees_of_freedom=line.freedom,
        first_hours=float(10 ** x.min()),
        last_hours=float(10**last),
        confidence=confidence,
        cautions=(*_cautions(line, after), *_left_out(torque.size - used)),
    )


@formula(
    limits={
        "torque_nm": Range(meaning="torque as read", unit="N·m", at_least=0),
        "hours": HOURS,
        "remaining_low": REMAINING,
        "remaining_high": REMAINING,
        "at_hours": Range(meaning="when that share is left, counted from assembly", unit="h", above=1),
    },
    example={"torque_nm": 0.10, "hours": 24.0, "remaining_low": 0.6, "remaining_high": 0.7},
    source="the logarithmic law between 1 h and the handbook's share",
)
def predict_relaxed_torque(
    torque_nm: float,
    hours: float,
    *,
    remaining_low: float,
    remaining_high: float,
    at_hours: float = 1000.0,
) -> RelaxedTorque:
    """What a torque that was read once will be at 24 h and at 1000 h after assembly.

    k = (1 - r) / log10(at_hours); T(t) = T (1 - k log10 t) / (1 - k log10 hours), r the share of the torque
    at 1 h that is left, between its two ends.

    Returns: RelaxedTorque. Raises: ImpossibleInput where the ends cross, or where by the law nothing would
    be left when it was read.

    Holds when: it is kept at one temperature and not turned. A range of shares, not an interval of chance.

    Example: polycarbonate with 30/36 left at 1000 h: 36 read after 1 h gives 30.
    """
    if remaining_low > remaining_high:
        raise ImpossibleInput(
            "remaining_low", remaining_low, "", f"must not be above {remaining_high:g}", "swap them"
        )
    losses = [(1 - share) / log10(at_hours) for share in (remaining_high, remaining_low)]
    levels = [_level(torque_nm, hours, loss) for loss in losses]

    def at(decades: float) -> Span:
        ends = [level * max(1 - loss * decades, 0.0) for level, loss in zip(levels, losses, strict=True)]
        return Span(low=min(ends), high=max(ends))

    return RelaxedTorque(
        torque_24h_nm=at(log10(24.0)),
        torque_1000h_nm=at(3.0),
        torque_1h_nm=at(0.0),
        loss_per_decade=Span(low=losses[0], high=losses[1]),
        torque_nm=torque_nm,
        hours=hours,
    )


def _level(torque: float, hours: float, loss: float) -> float:
    """The torque at 1 h behind one that was read later or sooner."""
    left = 1 - loss * log10(hours)
    if not left > 0:
        raise ImpossibleInput(
            "hours", hours, "h", "by this share nothing would be left by then", "fit the readings instead"
        )
    return torque / left


@dataclass(frozen=True, slots=True, kw_only=True)
class _OwnLine:
    """One piece's torque at 1 h and its change per decade."""

    piece: str
    level: float
    slope: float
    readings: int


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    """The mean line with the variances of its two numbers; no variances without degrees of freedom."""

    level: float
    slope: float
    level_variance: float
    slope_variance: float
    covariance: float
    freedom: int

    def loss(self, confidence: float) -> Interval | None:
        """Where the share lost per decade lies."""
        if self.freedom < 1:
            return None
        return interval_of_ratio(
            -self.slope,
            self.level,
            top_variance=self.slope_variance,
            bottom_variance=self.level_variance,
            covariance=-self.covariance,
            freedom=self.freedom,
            confidence=confidence,
        )

    def after(self, hours: float, last: float, confidence: float) -> TorqueAfter:
        """The mean at one time; torques and shares below zero are zero."""
        x = log10(hours)
        torque = self.level + self.slope * x
        share, around = None, None
        if (loss := self.loss(confidence)) is not None:
            share = _not_below_zero(1 - loss.high * x, 1 - loss.low * x, confidence)
            variance = self.level_variance + 2 * x * self.covariance + x * x * self.slope_variance
            reach = quantile(self.freedom, confidence) * sqrt(max(variance, 0.0))
            around = _not_below_zero(torque - reach, torque + reach, confidence)
        return TorqueAfter(
            hours=hours,
            share=max(torque / self.level, 0.0),
            torque_nm=max(torque, 0.0),
            decades_beyond=max(x - last, 0.0),
            share_interval=share,
            torque_interval=around,
        )


def _not_below_zero(low: float, high: float, confidence: float) -> Interval:
    return Interval(low=max(low, 0.0), high=max(high, 0.0), confidence=confidence)


def _lines_of_pieces(
    torque: NDArray[np.float64], x: NDArray[np.float64], pieces: list[str]
) -> list[_OwnLine]:
    """A line for each named piece that was read at two times or more."""
    names = np.asarray(pieces)
    lines = []
    for piece in dict.fromkeys(pieces):
        mine = names == piece
        if piece and np.unique(x[mine]).size > 1:
            level, slope, _ = _fitted(torque[mine], x[mine])
            lines.append(_OwnLine(piece=piece, level=level, slope=slope, readings=int(mine.sum())))
    return lines


def _fitted(torque: NDArray[np.float64], x: NDArray[np.float64]) -> tuple[float, float, float]:
    """Level at 1 h, slope per decade and sum of squares left, by least squares."""
    away = x - x.mean()
    slope = float(away @ torque / (away @ away))
    level = float(torque.mean() - slope * x.mean())
    left = torque - level - slope * x
    return level, slope, float(left @ left)


def _mean_line(own: list[_OwnLine]) -> _Line:
    """The mean over pieces; each counts once, however often it was read."""
    both = np.array([[one.level for one in own], [one.slope for one in own]])
    spread = np.cov(both) / len(own)
    return _Line(
        level=float(both[0].mean()),
        slope=float(both[1].mean()),
        level_variance=float(spread[0, 0]),
        slope_variance=float(spread[1, 1]),
        covariance=float(spread[0, 1]),
        freedom=len(own) - 1,
    )


def _one_line(torque: NDArray[np.float64], x: NDArray[np.float64]) -> _Line:
    """One line through all readings."""
    level, slope, squares = _fitted(torque, x)
    freedom = torque.size - 2
    variance = squares / freedom if freedom else 0.0
    away = float(((x - x.mean()) ** 2).sum())
    return _Line(
        level=level,
        slope=slope,
        level_variance=variance * (1 / torque.size + float(x.mean()) ** 2 / away),
        slope_variance=variance / away,
        covariance=-variance * float(x.mean()) / away,
        freedom=freedom,
    )


def _cautions(line: _Line, after: tuple[TorqueAfter, ...]) -> tuple[Caution, ...]:
    found = []
    if line.freedom < 1:
        found.append("two readings make a line but no interval: read more pieces, or once more")
    if line.slope > 0:
        found.append(
            "the torque rises with time in these readings: check the order of the times and the gauge"
        )
    if any(one.torque_nm == 0 for one in after):
        found.append("carried on, the line reaches zero torque: it is bound to level off before")
    for one in after:
        if one.decades_beyond > FAR_DECADES:
            found.append(
                f"{one.hours:g} h lies {one.decades_beyond:.1f} powers of ten beyond the last reading: "
                "a guess that the same law runs on"
            )
    return tuple(Caution(one) for one in found)


def _left_out(readings: int) -> tuple[Caution, ...]:
    if not readings:
        return ()
    said = f"left out: {readings} readings of pieces that were read at one time only"
    return (Caution(said),)
