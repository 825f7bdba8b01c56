"""What the database refuses of joints: changes of what was measured or asked, and rows from elsewhere."""

from __future__ import annotations

from offtool.records.guard_kinds import (
    SIZE_PROGRAMME,
    Guard,
    frozen,
    never_updated,
    together,
    trial_programme,
    value_of,
)

_JOINT_PROGRAMME = value_of("joint", "programme_id", "joint_id")


def _cavity_programme(key: str) -> str:
    """The programme of the cavity that a foreign key of the new row names."""
    return (
        "(SELECT tool.programme_id FROM records_cavity cavity JOIN records_tool tool "  # noqa: S608
        f"ON tool.id = cavity.tool_id WHERE cavity.id = NEW.{key})"
    )


_TEST_PROGRAMME = (
    "(SELECT joint.programme_id FROM records_jointtest test JOIN records_joint joint "
    "ON joint.id = test.joint_id WHERE test.id = NEW.test_id)"
)


def _tried(side: str) -> str:
    """The tool of the trial that one side of a test's pieces are from."""
    return (
        "(SELECT trial.tool_id FROM records_jointtest test JOIN records_trial trial "  # noqa: S608
        f"ON trial.id = test.{side}_trial_id WHERE test.id = NEW.test_id)"
    )


_COUNTING_DEMAND = (
    "EXISTS (SELECT 1 FROM records_jointdemand demand WHERE demand.dropped = '' "
    "AND demand.joint_id = OLD.joint_id AND demand.characteristic_id = OLD.characteristic_id)"
)
_DEMANDED = "the joint asks something of this size: drop that demand first"

JOINT_GUARDS = (
    never_updated("jointreading", "a reading of a joint"),
    frozen(
        "jointtest",
        "what a joint test measured",
        *("joint_id", "name", "gauge_id", "inner_trial_id", "outer_trial_id", "done_on"),
        *("file_name", "sha256", "content", "read_at", "read_by"),
    ),
    frozen(
        "jointdemand",
        "what a joint asks of a size",
        *("joint_id", "characteristic_id", "target", "lower", "upper", "reason", "made_at", "made_by"),
    ),
    together(
        "joint_size_characteristic",
        "jointsize",
        f"{SIZE_PROGRAMME} <> {_JOINT_PROGRAMME}",
        "the characteristic belongs to another programme than the joint",
    ),
    Guard(
        "guard_joint_size_asked",
        "records_jointsize",
        ("UPDATE",),
        "(OLD.joint_id <> NEW.joint_id OR OLD.characteristic_id IS DISTINCT FROM NEW.characteristic_id) "
        f"AND {_COUNTING_DEMAND}",
        _DEMANDED,
    ),
    Guard("guard_joint_size_stays", "records_jointsize", ("DELETE",), _COUNTING_DEMAND, _DEMANDED),
    together(
        "joint_test_gauge",
        "jointtest",
        f"{value_of('gauge', 'programme_id', 'gauge_id')} <> {_JOINT_PROGRAMME}",
        "the gauge belongs to another programme than the joint",
    ),
    together(
        "joint_test_trials",
        "jointtest",
        f"{trial_programme('inner_trial_id')} <> {_JOINT_PROGRAMME} "
        f"OR {trial_programme('outer_trial_id')} <> {_JOINT_PROGRAMME}",
        "the trial belongs to another programme than the joint",
    ),
    together(
        "joint_reading_programme",
        "jointreading",
        f"{_cavity_programme('inner_cavity_id')} <> {_TEST_PROGRAMME} "
        f"OR {_cavity_programme('outer_cavity_id')} <> {_TEST_PROGRAMME}",
        "the cavity belongs to another programme than the joint",
    ),
    together(
        "joint_reading_trial",
        "jointreading",
        f"{value_of('cavity', 'tool_id', 'inner_cavity_id')} <> {_tried('inner')} "
        f"OR {value_of('cavity', 'tool_id', 'outer_cavity_id')} <> {_tried('outer')}",
        "the cavity belongs to another tool than the one that was tried",
    ),
    together(
        "joint_demand_programme",
        "jointdemand",
        f"{SIZE_PROGRAMME} <> {_JOINT_PROGRAMME}",
        "the characteristic belongs to another programme than the joint that asks",
    ),
    together(
        "joint_demand_size",
        "jointdemand",
        "NEW.dropped = '' AND NOT EXISTS (SELECT 1 FROM records_jointsize size "
        "WHERE size.joint_id = NEW.joint_id AND size.characteristic_id = NEW.characteristic_id)",
        "the characteristic is no size of the joint that asks",
    ),
)
