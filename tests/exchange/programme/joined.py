"""Joints and seams with what was measured of them, made up for a programme folder."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from offtool.exchange.programme.joint_rows import (
    JointDemandRow,
    JointReadingRow,
    JointRow,
    JointSizeRow,
    JointTestRow,
)
from offtool.exchange.programme.rows import CavityRow, CharacteristicRow, GaugeRow, PartRow, TrialRow
from offtool.exchange.programme.seam_rows import SeamRow, SeamSizeRow, WeldRunRow, WeldStudyRow
from offtool.handbook.joint_kinds import JOINT_KINDS, Role
from offtool.handbook.seam_kinds import SEAM_KINDS
from offtool.handbook.terms import (
    Appearance,
    Failure,
    JointCondition,
    JointKind,
    JointReadingKind,
    Ridge,
    SeamKind,
)
from tests.exchange.programme.inspected import Contents, content_of, with_files
from tests.exchange.programme.made_up import (
    days,
    distinct,
    flags,
    moments,
    names,
    not_negative,
    not_zero,
    notes,
    positive,
    sizes,
    some,
    words,
)

cells = st.lists(
    st.tuples(st.integers(1, 2**31 - 1), st.integers(1, 2**31 - 1)), min_size=1, max_size=3, unique=True
)
perhaps = st.none() | not_negative


def joined_tables(
    draw: DrawFn,
    parts: Sequence[PartRow],
    trials: Sequence[TrialRow],
    cavities: Sequence[CavityRow],
    gauges: Sequence[GaugeRow],
    characteristics: Sequence[CharacteristicRow],
    contents: Contents,
) -> dict[str, Any]:
    """Joints, seams, their sizes, tests, studies and demands; their files join the contents."""
    joints = [_joint(draw, code) for code in distinct(draw, 0, 2)]
    seams = [_seam(draw, code, parts) for code in distinct(draw, 0, 2)]
    tests = [
        JointTestRow(
            joint=joint.code,
            name=name,
            **_sides(draw, "inner", "outer", trials),
            **_read(draw, gauges, contents),
        )
        for joint in joints
        for name in distinct(draw, 0, 2)
    ]
    studies = [
        WeldStudyRow(
            seam=seam.code,
            name=name,
            **_sides(draw, "top", "bottom", trials),
            **_read(draw, gauges, contents),
        )
        for seam in seams
        for name in distinct(draw, 0, 2)
    ]
    joint_sizes = [
        replace(size, ordinal=place)
        for joint in joints
        for place, size in enumerate(_joint_sizes(draw, joint, characteristics))
    ]
    return {
        "joints": tuple(joints),
        "joint_sizes": tuple(joint_sizes),
        "joint_tests": with_files(tests),
        "joint_readings": tuple(reading for test in tests for reading in _readings(draw, test, cavities)),
        "joint_demands": _demands(draw, joints, joint_sizes, characteristics),
        "seams": tuple(seams),
        "seam_sizes": tuple(size for seam in seams for size in _seam_sizes(draw, seam, characteristics)),
        "weld_studies": with_files(studies),
        "weld_runs": tuple(
            run
            for study in studies
            for run in _runs(draw, study, next(one for one in seams if one.code == study.seam), cavities)
        ),
    }


def _demands(
    draw: DrawFn,
    joints: Sequence[JointRow],
    joint_sizes: Sequence[JointSizeRow],
    characteristics: Sequence[CharacteristicRow],
) -> tuple[JointDemandRow, ...]:
    """Dropped ones on anything, and at most one that counts on a size of its joint."""
    rows: list[JointDemandRow] = []
    counting: set[tuple[str, str]] = set()
    for joint in joints:
        own = {(size.part, size.characteristic) for size in joint_sizes if size.joint == joint.code}
        own_first = [size for size in characteristics if size.names in own] or characteristics
        for size in some(draw, own_first, least=1, most=2):
            for at in draw(st.lists(moments, max_size=2, unique=True)):
                low, target, high = sorted(draw(st.lists(sizes, min_size=3, max_size=3)))
                counts = size.names in own - counting and draw(flags)
                counting |= {(size.part, size.number)} if counts else set()
                rows.append(
                    JointDemandRow(
                        joint=joint.code,
                        part=size.part,
                        characteristic=size.number,
                        target=target,
                        lower=draw(st.sampled_from([None, low])),
                        upper=draw(st.sampled_from([None, high])),
                        reason=draw(names),
                        made_at=at,
                        made_by=draw(notes),
                        dropped="" if counts else draw(names),
                    )
                )
    return tuple(rows)


OUTSIDE = ("socket_outer", "peg_diameter", "boss_outer", "screw_diameter")
"""Sizes that another of the joint lies inside of."""


def _joint(draw: DrawFn, code: str) -> JointRow:
    lower, upper = sorted(draw(st.lists(sizes, min_size=2, max_size=2, unique=True)))
    friction = sorted(draw(st.lists(positive, min_size=2, max_size=2)))
    low, high = draw(st.sampled_from([(None, None), tuple(friction)]))
    kind = draw(words(JointKind) | st.just(JointKind.LOOP.value))
    rests = JOINT_KINDS[JointKind(kind)].uses_friction
    mass, lever = draw(st.sampled_from([(None, None), (draw(not_negative), draw(not_negative))]))
    return JointRow(
        code=code if code.strip() else f"c{code[:90]}",
        name=draw(notes),
        kind=kind,
        lower=draw(st.sampled_from([None, lower])),
        upper=draw(st.sampled_from([None, upper])),
        limb_mass_g=mass,
        lever_mm=lever,
        safety_factor=draw(positive),
        friction_low=low if rests else None,
        friction_high=high if rests else None,
        inner_resin=draw(notes),
        outer_resin=draw(notes),
        inner_modulus_mpa=draw(positive),
        outer_modulus_mpa=draw(positive),
        strain_allowed_pct=draw(positive),
        note=draw(notes),
    )


def _source(draw: DrawFn, unit: str, characteristics: Sequence[CharacteristicRow]) -> dict[str, Any]:
    """A characteristic with the unit, or a number give or take."""
    size = draw(st.sampled_from([None, *(size for size in characteristics if size.unit == unit)]))
    return {
        "part": size.part if size else "",
        "characteristic": size.number if size else "",
        "value": None if size else draw(sizes),
        "plus_minus": draw(not_negative),
    }


def _given(draw: DrawFn, roles: Sequence[Role]) -> list[Role]:
    return [role for role in roles if role.usual is None or draw(flags)]


def _joint_sizes(
    draw: DrawFn, joint: JointRow, characteristics: Sequence[CharacteristicRow]
) -> list[JointSizeRow]:
    kind = JOINT_KINDS[JointKind(joint.kind)]
    plain = {"joint": joint.code, "factor": 1.0, "angle_deg": None, "angle_role": ""}
    if kind.roles:
        rows = [
            JointSizeRow(**plain, role=role.name, **_source(draw, role.unit, characteristics))
            for role in _given(draw, kind.roles)
        ]
        return [row if row.value is None else replace(row, value=_possible(row)) for row in rows]
    roles = distinct(draw, 3, 4)
    if kind.kind == JointKind.CHAIN:
        return [
            JointSizeRow(
                **plain | {"factor": draw(not_zero)}, role=role, **_source(draw, "mm", characteristics)
            )
            for role in roles
        ]
    return _loop(draw, plain, roles, characteristics)


def _possible(row: JointSizeRow) -> float:
    """A number above 0, that of an outer size above that of any inner one."""
    value = min(abs(row.value or 0.0), 1e8) + 1e-3
    return value + 2e8 if row.role in OUTSIDE else value


def _loop(
    draw: DrawFn, plain: dict[str, Any], roles: Sequence[str], characteristics: Sequence[CharacteristicRow]
) -> list[JointSizeRow]:
    """The gap, links, and last a size that is the angle of some of them, if any follow it."""
    gap, *links, last = roles
    follows = {role for role in links if draw(flags)}
    angle_deg = st.floats(-360, 360)
    nothing = {"part": "", "characteristic": "", "value": None, "plus_minus": 0.0}
    rows = [JointSizeRow(**plain | {"angle_deg": draw(st.none() | angle_deg)}, role=gap, **nothing)]
    for role in (*links, last):
        unit = "deg" if role == last and follows else "mm"
        angle = {"angle_role": last} if role in follows else {"angle_deg": draw(angle_deg)}
        told = {**plain, "factor": draw(not_zero), **angle}
        rows.append(JointSizeRow(**told, role=role, **_source(draw, unit, characteristics)))
    return rows


def _sides(draw: DrawFn, first: str, second: str, trials: Sequence[TrialRow]) -> dict[str, str]:
    told = {}
    for side in (first, second):
        trial = draw(st.sampled_from([None, *trials]))
        told |= {f"{side}_tool": trial.tool if trial else "", f"{side}_trial": trial.name if trial else ""}
    return told


def _read(draw: DrawFn, gauges: Sequence[GaugeRow], contents: Contents) -> dict[str, Any]:
    return {
        "gauge": draw(st.sampled_from(["", *(gauge.code for gauge in gauges)])),
        "done_on": draw(days),
        "note": draw(notes),
        "file": "",
        "file_name": draw(names),
        "sha256": content_of(draw, contents),
        "read_at": draw(moments),
        "read_by": draw(notes),
        "set_aside": draw(notes),
    }


def _of_tool(cavities: Sequence[CavityRow], tool: str) -> list[CavityRow]:
    return [cavity for cavity in cavities if not tool or cavity.tool == tool]


def _readings(draw: DrawFn, test: JointTestRow, cavities: Sequence[CavityRow]) -> list[JointReadingRow]:
    rows = []
    for row, column in draw(cells):
        inner = draw(st.sampled_from([None, *_of_tool(cavities, test.inner_tool)]))
        outer = draw(st.sampled_from([None, *_of_tool(cavities, test.outer_tool)]))
        rows.append(
            JointReadingRow(
                joint=test.joint,
                test=test.name,
                piece=draw(names),
                inner_tool=inner.tool if inner else "",
                inner_part=inner.part if inner else "",
                inner_cavity=inner.label if inner else "",
                outer_tool=outer.tool if outer else "",
                outer_part=outer.part if outer else "",
                outer_cavity=outer.label if outer else "",
                what=draw(words(JointReadingKind)),
                condition=draw(words(JointCondition)),
                hours=draw(perhaps),
                cycles=draw(st.none() | st.integers(0, 2**31 - 1)),
                operator=draw(notes),
                repeat=draw(st.integers(1, 2**31 - 1)),
                value=draw(sizes),
                row=row,
                column=column,
            )
        )
    return rows


def _seam(draw: DrawFn, code: str, parts: Sequence[PartRow]) -> SeamRow:
    return SeamRow(
        code=code if code.strip() else f"c{code[:90]}",
        name=draw(notes),
        kind=draw(words(SeamKind)),
        top_part=draw(st.sampled_from(parts)).code,
        bottom_part=draw(st.sampled_from(parts)).code,
        required_n=draw(st.none() | positive),
        largest_flash_mm=draw(st.none() | positive),
        frequency_khz=draw(st.none() | positive),
        converter_um=draw(st.none() | positive),
        amplitude_pct=draw(st.floats(0, 100, exclude_min=True)),
        booster_gain=draw(st.none() | positive),
        horn_gain=draw(st.none() | positive),
        horn_distance_mm=draw(perhaps),
        note=draw(notes),
    )


def _seam_sizes(
    draw: DrawFn, seam: SeamRow, characteristics: Sequence[CharacteristicRow]
) -> list[SeamSizeRow]:
    own = [size for size in characteristics if size.part in (seam.top_part, seam.bottom_part)]
    rows = [
        SeamSizeRow(seam=seam.code, role=role.name, **_source(draw, role.unit, own))
        for role in _given(draw, SEAM_KINDS[SeamKind(seam.kind)])
    ]
    return [row if row.value is None else replace(row, value=abs(row.value) or 1.0) for row in rows]


def _runs(
    draw: DrawFn, study: WeldStudyRow, seam: SeamRow, cavities: Sequence[CavityRow]
) -> list[WeldRunRow]:
    rows = []
    for row in sorted({row for row, _ in draw(cells)}):
        top, bottom = (
            draw(st.sampled_from([None, *(one for one in _of_tool(cavities, tool) if one.part == part)]))
            for tool, part in ((study.top_tool, seam.top_part), (study.bottom_tool, seam.bottom_part))
        )
        rows.append(
            WeldRunRow(
                seam=study.seam,
                study=study.name,
                piece=draw(names),
                top_tool=top.tool if top else "",
                top_cavity=top.label if top else "",
                bottom_tool=bottom.tool if bottom else "",
                bottom_cavity=bottom.label if bottom else "",
                time_s=draw(perhaps),
                pressure_bar=draw(perhaps),
                amplitude_um=draw(perhaps),
                hold_s=draw(perhaps),
                energy_j=draw(perhaps),
                collapse_mm=draw(st.none() | sizes),
                strength_n=draw(perhaps),
                failure=draw(words(Failure)),
                height_mm=draw(perhaps),
                flash_mm=draw(perhaps),
                appearance=draw(words(Appearance)),
                ridge=draw(words(Ridge)),
                row=row,
            )
        )
    return rows
