"""What must hold between joints, their sizes, tests, readings and demands, and the rest of the folder."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set

from offtool.exchange.programme.folder import ProgrammeFolder
from offtool.exchange.programme.joint_rows import JointDemandRow, JointRow, JointSizeRow, JointTestRow
from offtool.exchange.programme.refused import refuse_unknown
from offtool.exchange.programme.size_checks import (
    Names,
    Units,
    refuse_first,
    refuse_no_source,
    refuse_other_roles,
)
from offtool.exchange.programme.trial_checks import check_cavity, check_trial
from offtool.handbook.joint_checks import (
    Fault,
    angle_faults,
    code_faults,
    link_faults,
    material_faults,
    number_faults,
    pair_faults,
    sides_of,
)
from offtool.handbook.joint_kinds import JOINT_KINDS
from offtool.handbook.terms import JointKind


def check_joints(told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> None:
    """Raise FolderRefused for the first thing that does not hold; `names` are those of every table."""
    units = Units.of(told, names)
    sizes: dict[str, list[JointSizeRow]] = {}
    for size in told.joint_sizes:
        sizes.setdefault(size.joint, []).append(size)
    resins = {part.code: part.resin for part in told.parts}
    for joint in told.joints:
        of_joint = sizes.get(joint.code, [])
        refuse_first(joint, (), code_faults("joint", joint.code))
        _sizes(joint, of_joint, units)
        refuse_first(joint, of_joint, _faults(joint, of_joint, resins))
    _tests(told, names)
    _readings(told, names)
    _demands(told, names)


def _faults(joint: JointRow, sizes: Sequence[JointSizeRow], resins: Mapping[str, str]) -> Iterator[Fault]:
    """What no joint can be, however it is defined."""
    facts = JOINT_KINDS[JointKind(joint.kind)]
    yield from pair_faults(facts, joint)
    yield from number_faults(facts.roles, sizes)
    if not facts.roles:
        yield from link_faults(facts, sizes)
    inner, outer = sides_of(facts.kind, [(one.role, one.part) for one in sizes if one.characteristic])
    yield from material_faults(
        facts, joint, (resins[inner] if inner else None, resins[outer] if outer else None)
    )


def _sizes(joint: JointRow, sizes: Sequence[JointSizeRow], units: Units) -> None:
    kind = JOINT_KINDS[JointKind(joint.kind)]
    if not kind.roles:
        _links(joint, sizes, units)
        return
    refuse_other_roles(joint.place("sizes"), joint.kind, sizes, kind.roles)
    unit_of = {role.name: role.unit for role in kind.roles}
    for size in sizes:
        refuse_no_source(size)
        units.refuse_wrong(size, unit_of[size.role])
        if (size.factor, size.angle_deg, size.angle_role) != (1, None, ""):
            remedy = f"leave them out, or give the joint the kind {JointKind.CHAIN} or {JointKind.LOOP}"
            raise size.place(size.role).refuse(f"a {joint.kind} has no factors and angles", remedy)


def _links(joint: JointRow, sizes: Sequence[JointSizeRow], units: Units) -> None:
    """The links of a chain or a loop: sizes that are there, in their units."""
    if joint.kind == JointKind.LOOP:
        _loop(joint, sizes, units)
        return
    for size in sizes:
        refuse_no_source(size)
        units.refuse_wrong(size, "mm")


def _loop(joint: JointRow, sizes: Sequence[JointSizeRow], units: Units) -> None:
    refuse_first(joint, sizes, angle_faults({size.role: size.angle_role for size in sizes}))
    angles = {size.angle_role for size in sizes}
    for size in sizes:
        if size.role in angles:
            units.refuse_wrong(size, "deg")
        else:
            remedy = f'or say which size lies at this angle: angle_role = "{size.role}"'
            units.refuse_wrong(size, "mm", remedy=remedy)


def _tests(told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> None:
    """A test names its joint, and its gauge and trials if any, and has readings."""
    measured = {(reading.joint, reading.test) for reading in told.joint_readings}
    for test in told.joint_tests:
        refuse_unknown(test.place("joint"), (test.joint,), names["joints"])
        if test.gauge:
            refuse_unknown(test.place("gauge"), (test.gauge,), names["gauges"])
        check_trial(test, "inner", names)
        check_trial(test, "outer", names)
        if test.names not in measured:
            what = f"{test.name!r} has no readings"
            raise test.place("name").refuse(what, "give its readings, or take the row out")


def _readings(told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> None:
    """A reading names its test, and cavities of the tools that were tried."""
    tests: dict[Names, JointTestRow] = {test.names: test for test in told.joint_tests}
    for reading in told.joint_readings:
        refuse_unknown(reading.place("joint"), (reading.joint,), names["joints"])
        refuse_unknown(reading.place("test"), (reading.joint, reading.test), names["joint_tests"])
        test = tests[reading.joint, reading.test]
        check_cavity(reading, "inner", reading.inner_part, test.inner_tool, names)
        check_cavity(reading, "outer", reading.outer_part, test.outer_tool, names)


def _demands(told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> None:
    """A demand names a characteristic; one that counts, a size of its joint that has no other such demand."""
    measured = {(size.joint, size.part, size.characteristic) for size in told.joint_sizes}
    counting: dict[Names, JointDemandRow] = {}
    for demand in told.joint_demands:
        refuse_unknown(demand.place("joint"), (demand.joint,), names["joints"])
        refuse_unknown(demand.place("part"), (demand.part,), names["parts"])
        size = (demand.part, demand.characteristic)
        refuse_unknown(demand.place("characteristic"), size, names["characteristics"])
        _refuse_outside(demand)
        if demand.dropped:
            continue
        if (demand.joint, *size) not in measured:
            what = f"{' '.join(size)} is no size of joint {demand.joint}"
            raise demand.place("characteristic").refuse(
                what, "name one of its sizes, or say why it is dropped"
            )
        first = counting.setdefault(size, demand)
        if first is not demand:
            what = f"{' '.join(size)} has a demand that counts on line {first.line} already"
            raise demand.place("dropped").refuse(what, "say of one of them why it is dropped")


def _refuse_outside(demand: JointDemandRow) -> None:
    low, high = demand.lower, demand.upper
    if (low is not None and low > demand.target) or (high is not None and high < demand.target):
        what = f"{demand.target!r} is not from lower {low!r} to upper {high!r}"
        raise demand.place("target").refuse(what, "leave demands as they were dumped")
