"""An invented trial of the harbour otter, and its correction, for tests of everything that is handed over.

trial_findings()                         the whole trial: sizes that hold, do not hold, are not shown
trial_findings(sizes=(neck_ring(),))     any field given anew
judged_size([[3.97, 3.98], [3.99]], lower=3.98, upper=4.03)     a size from readings, one list a cavity
readings(3.97, 0.004, 5)                 five readings with exactly this mean and standard deviation
tool_correction()                        recess and core pin, on diameter, per side, in length, remove and add
steel_change(amount_mm=0.02)             one change, any field given anew
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from statistics import NormalDist
from typing import Any

import numpy as np

from offtool.core.correction import Cutting, JudgedPrediction, PooledShrinkage, judge_prediction
from offtool.core.inspection import CavityFinding, Conformity, Settled, SizeFinding, judge_size
from offtool.core.values import Caution, Interval, Verdict
from offtool.steps.findings import Action, Fact, FileRead, JudgedSize, PredictionSeen, TrialFindings
from offtool.steps.steel_changes import (
    DirectionShrinkage,
    KeptCorrection,
    NotChanged,
    SizeExpected,
    SteelChange,
    ToolCorrection,
)

METHOD = "offtool 0.1: inspection and correction, first floor"
SHOT_ON = date(2026, 3, 14)


def readings(mean: float, sd: float, parts: int) -> list[float]:
    """Readings evenly over a normal spread, with exactly this mean and standard deviation."""
    if parts == 1:
        return [mean]
    scores = np.array([NormalDist().inv_cdf((i + 0.5) / parts) for i in range(parts)])
    return list(mean + sd * scores / scores.std(ddof=1))


def judged_size(
    values: list[list[float]],
    *,
    lower: float | None = None,
    upper: float | None = None,
    labels: list[str] | None = None,
    target: float | None = None,
    required_index: float | None = 1.33,
    gauge_uncertainty: float | None = 0.001,
    **fields: Any,
) -> JudgedSize:
    """A size as it was judged; `fields` are those of JudgedSize."""
    labels = labels if labels is not None else [str(i) for i in range(1, len(values) + 1)]
    named = [label for label, one in zip(labels, values, strict=True) for _ in one]
    finding = judge_size(
        [value for one in values for value in one],
        named,
        lower=lower,
        upper=upper,
        target=target,
        required_index=required_index,
        gauge_uncertainty=gauge_uncertainty,
        gauge_resolution=0.001,
    )
    given: dict[str, Any] = {
        "number": "1",
        "name": "Invented size",
        "part": "BODY",
        "unit": "mm",
        "kind": "length",
        "nominal": finding.target,
        "weight_class": "critical",
        "decimals": 3,
        "why": "",
        "discarded_readings": 0,
    }
    return JudgedSize(finding=finding, **(given | fields))


def cavity_finding(mean: float, **fields: Any) -> CavityFinding:
    """A cavity as it was found, with any mean, spread and interval whatever."""
    given: dict[str, Any] = {
        "cavity": "1",
        "parts": 5,
        "mean": mean,
        "sd": 0.004,
        "offset": 0.0,
        "interval": Interval(low=mean - 0.005, high=mean + 0.005, confidence=0.95),
        "index": None,
        "conformity": Conformity.UNSURE,
        "parts_outside": 0,
        "parts_unsure": 0,
        "verdict": Verdict.NOT_SHOWN,
    }
    return CavityFinding(**(given | fields))


def size_finding(*cavities: CavityFinding, **fields: Any) -> SizeFinding:
    """A size between 3.98 and 4.03 with these cavities."""
    given: dict[str, Any] = {
        "verdict": Verdict.NOT_SHOWN,
        "cavities": cavities,
        "lower": 3.98,
        "upper": 4.03,
        "target": 4.005,
        "required_index": 1.33,
        "gauge_uncertainty": 0.001,
        "spread_pooled": False,
        "confidence": 0.95,
    }
    return SizeFinding(**(given | fields))


def hip_peg() -> JudgedSize:
    """Small in all four cavities: steel left on purpose."""
    return judged_size(
        [readings(mean, 0.004, 12) for mean in (3.966, 3.968, 3.962, 3.967)],
        lower=3.98,
        upper=4.03,
        number="12",
        name="Hip peg, diameter",
        part="LEG-L",
        kind="diameter",
        nominal=4.0,
        why="0.043 mm small in all 4 cavities. Steel left on purpose. Remove 0.03 to 0.04 mm at PEG-REC in "
        "cavities 1, 2, 3, 4.",
    )


def hip_socket() -> JudgedSize:
    """One cavity of four is too large; its pin must be replaced."""
    return judged_size(
        [readings(mean, 0.003, 12) for mean in (4.064, 4.066, 4.065, 4.092)],
        lower=4.05,
        upper=4.08,
        number="13",
        name="Hip socket, bore",
        part="BODY",
        kind="diameter",
        nominal=4.05,
        why="0.027 mm large in cavity 4. The steel is cut 0.024 mm off its drawing.",
    )


def torso_length() -> JudgedSize:
    """Shrinks more than was allowed, in every cavity."""
    return judged_size(
        [readings(mean, 0.012, 12) for mean in (61.85, 61.84, 61.855, 61.845)],
        lower=61.85,
        upper=62.15,
        number="31",
        name="Torso half, length",
        part="BODY",
        nominal=62.0,
        why="0.160 mm small in all 4 cavities. Shrinkage, not steel: 0.73 % where 0.50 % was allowed.",
    )


def tail_wall() -> JudgedSize:
    """Five parts of two cavities cannot show what is required."""
    return judged_size(
        [readings(1.412, 0.018, 5), readings(1.424, 0.017, 5)],
        lower=1.32,
        upper=1.48,
        gauge_uncertainty=0.012,
        number="22",
        name="Tail, wall at tip",
        part="TAIL",
        kind="wall",
        nominal=1.4,
        weight_class="major",
        required_index=1.0,
        why="5 parts a cavity cannot show 1.00 from an observed 1.07; 41 would.",
    )


def neck_ring() -> JudgedSize:
    """Holds in all eight cavities."""
    means = (18.204, 18.198, 18.206, 18.201, 18.196, 18.203, 18.207, 18.199)
    return judged_size(
        [readings(mean, 0.012, 12) for mean in means],
        lower=18.1,
        upper=18.3,
        number="7",
        name="Head, neck ring",
        part="HEAD",
        kind="diameter",
        nominal=18.2,
    )


def arm_torque() -> JudgedSize:
    """One limit, below; holds."""
    return judged_size(
        [readings(0.142, 0.006, 20), readings(0.151, 0.007, 20)],
        lower=0.1,
        target=0.14,
        required_index=1.0,
        number="52",
        name="Arm, torque to turn",
        part="ARM",
        unit="N·m",
        kind="torque",
        nominal=0.14,
        weight_class="major",
    )


def part_weight() -> JudgedSize:
    """One limit, above, and one part a cavity: nothing can be said of the spread."""
    return judged_size(
        [[4.71], [4.74]],
        upper=5.0,
        required_index=1.0,
        gauge_uncertainty=None,
        decimals=2,
        weight_class="minor",
        number="60",
        name="Body, weight",
        part="BODY",
        unit="g",
        kind="weight",
        nominal=4.8,
        why="1 part a cavity shows no index of 1.00: measure more parts.",
    )


def ear_spacing() -> JudgedSize:
    """Read without cavities; each reading inside is all that is asked."""
    return judged_size(
        [readings(24.59, 0.011, 10)],
        labels=[""],
        lower=24.45,
        upper=24.75,
        required_index=None,
        number="9",
        name="Head, ear spacing",
        part="HEAD",
        nominal=24.6,
        weight_class="minor",
    )


def all_sizes() -> tuple[JudgedSize, ...]:
    """The sizes of the trial, function first."""
    return (
        hip_peg(),
        hip_socket(),
        torso_length(),
        tail_wall(),
        part_weight(),
        neck_ring(),
        ear_spacing(),
        arm_torque(),
    )


def prediction_seen(**fields: Any) -> PredictionSeen:
    """A prediction of T1 that T2 confirmed."""
    judged: JudgedPrediction = judge_prediction(18.2, 0.006, 18.203, 0.003)
    given: dict[str, Any] = {
        "size": "HEAD 7",
        "cavity": "1",
        "unit": "mm",
        "decimals": 3,
        "made_at": "T1",
        "low": 18.192,
        "high": 18.208,
        "confidence": 0.8,
        "judged": judged,
    }
    return PredictionSeen(**(given | fields))


def trial_findings(**fields: Any) -> TrialFindings:
    """Trial T2 of tool M2; `fields` are those of TrialFindings."""
    sizes: tuple[JudgedSize, ...] = fields.get("sizes", all_sizes())
    refuted = judge_prediction(4.065, 0.005, 4.092, 0.001)
    given: dict[str, Any] = {
        "programme": "harbour-otter",
        "programme_title": "Harbour otter (invented)",
        "tool": "M2",
        "tool_name": "Body and head",
        "trial": "T2",
        "state": "b",
        "shot_on": SHOT_ON,
        "press": "press 6",
        "colour": "grey from the barrel",
        "age_h": 31.0,
        "readings": 302,
        "ready": False,
        "headline": "Not ready: 3 of 8 sizes do not hold, 2 are not shown (all inside so far).",
        "sizes": sizes,
        "actions": (
            Action(
                do="Cut 2 steel features (6 cuts over the cavities).",
                because="Each then holds with 86 % certainty or more.",
                leads_to="correction",
            ),
            Action(
                do="Measure 41 parts a cavity from settled shots: TAIL 22.",
                because="2 sizes are not shown by what was measured.",
                leads_to="sizes",
            ),
        ),
        "rests_on": (
            Fact(about="Readings", says="302 of 8 sizes; 1 to 20 a cavity used"),
            Fact(about="Settled", says="from shot 22; the first 21 measured are kept, not used"),
            Fact(about="Gauge", says="7 of 8 sizes with a gauge study"),
        ),
        "settled": Settled(settled=22, discarded=21, shots=84, sizes=8, p_same=0.0003),
        "settled_from": 22,
        "settled_reason": "",
        "pointed_at": (),
        "left_out": (),
        "cavities": None,
        "at_press": None,
        "predictions": (
            prediction_seen(),
            prediction_seen(size="BODY 13", cavity="4", low=4.059, high=4.071, judged=refuted),
        ),
        "files": (
            FileRead(
                name="M2_T2_gauge_room.xlsx",
                sha256="9f" * 32,
                layout="report",
                readings=302,
                repairs=4,
                left_out=0,
                source_id=3,
            ),
        ),
        "plan": None,
        "method": METHOD,
        "cautions": (
            Caution(
                "1 size: no gauge study: the gauge is taken as exact", "ISO 14253-1 asks for its uncertainty"
            ),
        ),
    }
    return TrialFindings(**(given | fields))


def size_expected(**fields: Any) -> SizeExpected:
    """The hip peg, small now, inside after the cut."""
    given: dict[str, Any] = {
        "number": "12",
        "name": "Hip peg, diameter",
        "part": "LEG-L",
        "gets": "LARGER",
        "now": 3.966,
        "expected": 4.003,
        "interval": Interval(low=3.997, high=4.009, confidence=0.8),
        "lower": 3.98,
        "upper": 4.03,
        "decimals": 3,
    }
    return SizeExpected(**(given | fields))


def steel_change(**fields: Any) -> SteelChange:
    """A recess that grows: 0.04 removed on diameter, the peg gets LARGER."""
    given: dict[str, Any] = {
        "feature": "PEG-REC",
        "feature_name": "Recess of the hip peg",
        "part": "LEG-L",
        "part_name": "Left leg",
        "half": "cavity half",
        "cavity": "1",
        "stated": "diameter",
        "amount_mm": 0.04,
        "size_before_mm": 3.986,
        "size_after_mm": 4.026,
        "allowance_left_mm": 0.06,
        "by_insert": False,
        "cause": "steel left on purpose",
        "reason": "12 Hip peg, diameter is 0.039 mm small: steel left on purpose",
        "short_because": "",
        "holds_now": 0.0,
        "holds_after": 0.93,
        "overshoot": 0.00004,
        "expected": (size_expected(),),
    }
    return SteelChange(**(given | fields))


def pin_change(**fields: Any) -> SteelChange:
    """A core pin cut per side: the bore gets SMALLER."""
    return replace(
        steel_change(
            feature="SOCK-PIN",
            feature_name="Pin of the hip socket",
            part="BODY",
            part_name="Body",
            half="core half",
            cavity="2",
            stated="per side",
            amount_mm=0.015,
            size_before_mm=4.112,
            size_after_mm=4.082,
            allowance_left_mm=0.035,
            cause="steel left on purpose",
            reason="13 Hip socket, bore is 0.029 mm large: steel left on purpose",
            expected=(
                size_expected(
                    number="13",
                    name="Hip socket, bore",
                    part="BODY",
                    gets="SMALLER",
                    now=4.094,
                    expected=4.0645,
                    lower=4.05,
                    upper=4.08,
                    interval=Interval(low=4.0585, high=4.0705, confidence=0.8),
                ),
            ),
        ),
        **fields,
    )


def added_pin_change(**fields: Any) -> SteelChange:
    """A pin that was cut too thin: a new one adds steel, the bore gets LARGER."""
    return replace(
        pin_change(
            cavity="4",
            amount_mm=-0.01,
            size_before_mm=4.052,
            size_after_mm=4.072,
            allowance_left_mm=0.06,
            by_insert=True,
            cause="steel cut inaccurately",
            reason="13 Hip socket, bore is 0.031 mm small: steel cut inaccurately",
            expected=(
                size_expected(
                    number="13",
                    name="Hip socket, bore",
                    part="BODY",
                    gets="LARGER",
                    now=4.034,
                    expected=4.054,
                    lower=4.05,
                    upper=4.08,
                    interval=Interval(low=4.048, high=4.06, confidence=0.8),
                ),
            ),
        ),
        **fields,
    )


def length_change(**fields: Any) -> SteelChange:
    """A length that one end gives; more than the allowance would be needed."""
    return replace(
        steel_change(
            feature="TORSO-L",
            feature_name="Length of the torso recess",
            part="BODY",
            part_name="Body",
            half="slide",
            cavity="1",
            stated="length",
            amount_mm=0.12,
            size_before_mm=62.31,
            size_after_mm=62.43,
            allowance_left_mm=0.0,
            cause="shrinkage",
            reason="31 Torso half, length is 0.150 mm small: shrinkage",
            short_because="the steel-safe allowance ends there",
            expected=(
                size_expected(
                    number="31",
                    name="Torso half, length",
                    part="BODY",
                    gets="LARGER",
                    now=61.85,
                    expected=61.969,
                    lower=61.85,
                    upper=62.15,
                    interval=Interval(low=61.94, high=61.998, confidence=0.8),
                ),
                size_expected(
                    number="33",
                    name="Torso half, gap to the tail",
                    part="BODY",
                    gets="SMALLER",
                    now=0.31,
                    expected=0.19,
                    lower=None,
                    upper=0.25,
                    decimals=2,
                    interval=Interval(low=0.17, high=0.21, confidence=0.8),
                ),
            ),
        ),
        **fields,
    )


def not_changed(**fields: Any) -> NotChanged:
    """A size whose steel was never measured."""
    given: dict[str, Any] = {
        "number": "22",
        "name": "Tail, wall at tip",
        "part": "TAIL",
        "cavities": ("1", "2"),
        "why": "its steel was never measured: steel and shrinkage cannot be told apart",
        "remedy": "measure TAIL-CORE in the steel",
    }
    return NotChanged(**(given | fields))


def direction_shrinkage(**fields: Any) -> DirectionShrinkage:
    """Along flow: more than was allowed."""
    pooled = PooledShrinkage(
        value=0.0073,
        interval=Interval(low=0.0069, high=0.0077, confidence=0.95),
        between_sizes_sd=0.0003,
        weight=(1.0,) * 11,
        sizes=11,
    )
    given: dict[str, Any] = {
        "resin": "ABS",
        "direction": "flow",
        "allowed": 0.005,
        "found": pooled,
        "explains": 9,
        "sizes": 11,
    }
    return DirectionShrinkage(**(given | fields))


def kept_correction(change: SteelChange, **fields: Any) -> KeptCorrection:
    """A change as it was decided."""
    given: dict[str, Any] = {
        "correction_id": 17,
        "feature": change.feature,
        "cavity": change.cavity,
        "amount_mm": change.amount_mm,
        "size_after_mm": change.size_after_mm,
        "status": "proposed",
        "resulting_state": "",
    }
    return KeptCorrection(**(given | fields))


def tool_correction(**fields: Any) -> ToolCorrection:
    """What follows for tool M2 from T2; `fields` are those of ToolCorrection."""
    across = PooledShrinkage(
        value=0.0051,
        interval=Interval(low=0.0047, high=0.0055, confidence=0.95),
        between_sizes_sd=0.0002,
        weight=(1.0,) * 6,
        sizes=6,
    )
    given: dict[str, Any] = {
        "programme": "harbour-otter",
        "programme_title": "Harbour otter (invented)",
        "tool": "M2",
        "tool_name": "Body and head",
        "trial": "T2",
        "state": "b",
        "made_on": SHOT_ON,
        "headline": "Cut 3 steel features, 4 cuts over the cavities; 1 of them adds steel.",
        "changes": (steel_change(), pin_change(), added_pin_change(), length_change()),
        "not_changed": (not_changed(),),
        "directions": (
            direction_shrinkage(),
            direction_shrinkage(direction="cross", found=across, explains=2, sizes=6),
        ),
        "cutting": Cutting(bias_mm=-0.002, bias_uncertainty_mm=0.002, sd_mm=0.006, freedom=7.0, cuts=4),
        "step_mm": 0.005,
        "setup_sd": 0.0003,
        "kept": (),
        "method": METHOD,
        "cautions": (),
    }
    return ToolCorrection(**(given | fields))
