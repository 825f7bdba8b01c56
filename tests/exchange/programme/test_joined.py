"""Joints and seams in a folder: read as people write them, refused by their place, written if any."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given

from offtool.exchange.programme import FolderRefused, read_folder, write_folder
from offtool.exchange.programme.folder import ONLY_WITH_ROWS
from offtool.exchange.programme.joint_rows import JointSizeRow
from offtool.exchange.programme.toml_sizes import size_shown, size_told
from offtool.handbook.joint_kinds import JOINT_KINDS
from offtool.handbook.seam_kinds import SEAM_KINDS
from tests.exchange.programme.folders import bytes_in
from tests.exchange.programme.joined_otter import TORQUES, WELDS, write_joined_otter
from tests.exchange.programme.made_up import names
from tests.exchange.programme.otter import change, write_otter
from tests.exchange.programme.wrong_joint_tests import WRONG as WRONG_TESTS
from tests.exchange.programme.wrong_joints import WRONG as WRONG_JOINTS
from tests.exchange.programme.wrong_seams import WRONG as WRONG_SEAMS

WRONG = [*WRONG_JOINTS, *WRONG_TESTS, *WRONG_SEAMS]


@pytest.fixture
def otter(tmp_path: Path) -> Path:
    return write_joined_otter(tmp_path / "otter")


def refusal(folder: Path) -> str:
    with pytest.raises(FolderRefused) as refused:
        read_folder(folder)
    assert refused.value.remedy
    return str(refused.value)


def test_the_folder_itself_holds(otter: Path) -> None:
    told = read_folder(otter)
    assert [(joint.code, joint.kind, joint.safety_factor) for joint in told.joints] == [
        ("hip", "peg in socket", 2.0),
        ("stack", "chain of sizes", 2.0),
        ("tail", "loop of sizes", 2.0),
    ]
    said = [(one.role, one.part, one.characteristic, one.value, one.plus_minus) for one in told.joint_sizes]
    assert said[:4] == [
        ("peg_diameter", "limb", "1", None, 0.0),
        ("socket_bore", "body", "1", None, 0.0),
        ("socket_outer", "", "", 7.2, 0.0),
        ("contact_length", "", "", 4.0, 0.05),
    ]
    links = [(one.role, one.factor, one.angle_deg, one.angle_role) for one in told.joint_sizes[4:]]
    assert links == [
        ("back wall", -1.0, None, ""),
        ("room", 1.0, None, ""),
        ("arm", 1.0, 0.0, ""),
        ("lean", 1.0, None, ""),
        ("strut", 1.0, None, "lean"),
        ("gap", 1.0, 90.0, ""),
    ]
    assert (told.seams[0].amplitude_pct, [size.role for size in told.seam_sizes]) == (
        100.0,
        ["joint_width", "seam_length", "ridge_height"],
    )
    assert told.original_of(told.joint_tests[0]) == TORQUES
    assert told.original_of(told.weld_studies[0]) == WELDS
    assert [reading.repeat for reading in told.joint_readings] == [1, 1]
    assert [(run.failure, run.ridge, run.strength_n) for run in told.weld_runs] == [
        ("material torn", "melted", 110.0),
        ("", "", None),
    ]


@pytest.mark.parametrize(
    ("file", "old", "new", "said"), WRONG, ids=[f"{file}: {new!r}" for file, _, new, _ in WRONG]
)
def test_one_wrong_thing_is_named_with_its_place_and_remedy(
    file: str, old: str, new: str, said: str, otter: Path
) -> None:
    change(otter, file, old, new)
    assert said in refusal(otter)


def test_a_misspelt_size_is_answered_with_the_nearest_and_a_missing_one_with_what_it_is(otter: Path) -> None:
    change(otter, "programme.toml", "contact_length", "contact_lenght")
    assert refusal(otter).endswith("no size 'contact_lenght'; did you mean 'contact_length'?")
    change(otter, "programme.toml", "contact_lenght = { value = 4.0, plus_minus = 0.05 }\n", "")
    assert refusal(otter).endswith(
        "a peg in socket needs contact_length: length over which peg and socket touch; "
        'add contact_length = "part number", or a number in mm'
    )


def test_degrees_where_millimetres_are_needed_are_refused_with_both_units(otter: Path) -> None:
    change(otter, "programme.toml", '"body 1"', '"limb 2"')
    assert refusal(otter).endswith(
        "limb 2 is in deg, and socket_bore is in mm; name a size that is in mm, or give a number"
    )


def test_a_cavity_of_another_tool_than_was_tried_is_refused(otter: Path) -> None:
    other = '[[tool]]\ncode = "M2"\n\n[tool.cavities]\nlimb = [1]\nbody = [1]\n\n[[trial]]'
    change(otter, "programme.toml", "[[trial]]", other)
    read_folder(otter)
    change(otter, "joint_readings.csv", "M1,limb,1", "M2,limb,1")
    said = "joint_readings.csv line 2, inner_tool: 'M2', but the inner pieces are from a trial of M1; name a"
    assert refusal(otter).startswith(said)
    change(otter, "joint_readings.csv", "M2,limb,1", "M1,limb,1")
    change(otter, "weld_runs.csv", "M1,1,M1,1", "M1,1,M2,1")  # the trial of the bottom pieces is not known
    read_folder(otter)
    change(otter, "weld_runs.csv", "M1,1,M2,1", "M2,1,M2,1")
    assert refusal(otter).startswith("weld_runs.csv line 2, top_tool: 'M2', but the top pieces are from")


@pytest.mark.parametrize("kind", JOINT_KINDS)
def test_every_kind_of_joint_is_taken_with_the_sizes_it_must_have(kind: str, tmp_path: Path) -> None:
    roles = [role.name for role in JOINT_KINDS[kind].roles if role.usual is None] or ["one", "two"]
    # each size larger than the one before, but the core of a screw lies inside its thread
    said = {role: f"{0.5 if role == 'screw_core' else 1.5 + i}" for i, role in enumerate(roles)}
    gap = "gap = {}\n" if kind == "loop of sizes" else ""
    if gap:
        said = {role: f"{{ value = {value}, angle_deg = 0 }}" for role, value in said.items()}
    sizes = "".join(f"{role} = {value}\n" for role, value in said.items())
    resins = 'inner_resin = "POM"\nouter_resin = "ABS"\n'
    folder = write_otter(tmp_path / "otter")
    with (folder / "programme.toml").open("a", encoding="utf-8") as out:
        out.write(f'[[joint]]\ncode = "j"\nkind = "{kind}"\n{resins}[joint.sizes]\n{sizes}{gap}')
    assert [size.role for size in read_folder(folder).joint_sizes] == [*roles, *(["gap"] if gap else [])]


@pytest.mark.parametrize("kind", SEAM_KINDS)
def test_every_kind_of_seam_is_taken_with_the_sizes_it_must_have(kind: str, tmp_path: Path) -> None:
    roles = [role.name for role in SEAM_KINDS[kind] if role.usual is None]
    sizes = "".join(f"{role} = 1.5\n" for role in roles)
    folder = write_otter(tmp_path / "otter")
    with (folder / "programme.toml").open("a", encoding="utf-8") as out:
        out.write(f'[[seam]]\ncode = "s"\nkind = "{kind}"\ntop_part = "body"\nbottom_part = "body"\n')
        out.write(f"[seam.sizes]\n{sizes}")
    assert [size.role for size in read_folder(folder).seam_sizes] == roles


def test_sizes_are_written_the_shortest_way_that_reads_back(otter: Path, tmp_path: Path) -> None:
    write_folder(read_folder(otter), tmp_path / "out")
    text = (tmp_path / "out" / "programme.toml").read_text(encoding="utf-8")
    for line in (
        'peg_diameter = "limb 1"',
        "socket_outer = 7.2",
        "contact_length = { value = 4.0, plus_minus = 0.05 }",
        '"back wall" = { size = "body 2", factor = -1.0 }',
        'lean = "limb 2"',
        "gap = { angle_deg = 90.0 }",
    ):
        assert f"\n{line}\n" in text
    change(otter, "programme.toml", "gap = { angle_deg = 90 }", "gap = {}")
    write_folder(read_folder(otter), tmp_path / "again")
    assert "\ngap = {}\n" in (tmp_path / "again" / "programme.toml").read_text(encoding="utf-8")


@given(names, names)
def test_a_size_with_any_name_reads_back_as_it_was_written(part: str, number: str) -> None:
    row = JointSizeRow(
        joint="j",
        role="r",
        part=part,
        characteristic=number,
        value=None,
        plus_minus=0,
        factor=1,
        angle_deg=None,
        angle_role="",
    )
    assert size_told(size_shown(row)) == {"part": part, "characteristic": number}


def test_files_are_written_byte_for_byte_and_taken_away_with_their_rows(otter: Path, tmp_path: Path) -> None:
    told, out = read_folder(otter), tmp_path / "out"
    write_folder(told, out)
    assert (out / "joint_tests" / "J1.csv").read_bytes() == TORQUES
    assert (out / "weld_studies" / "W1.csv").read_bytes() == WELDS
    write_folder(replace(told, **dict.fromkeys(ONLY_WITH_ROWS, ())), out)
    assert not {path.name for path in out.rglob("*.*")} & {"J1.csv", "W1.csv", "joint_tests.csv"}


@pytest.mark.parametrize("folder", ["joint_tests", "weld_studies"])
def test_a_file_of_others_is_not_lost(folder: str, otter: Path, tmp_path: Path) -> None:
    told, out = read_folder(otter), tmp_path / "out"
    write_folder(replace(told, **dict.fromkeys(ONLY_WITH_ROWS, ())), out)
    (out / folder).mkdir()
    (out / folder / ("J1.csv" if folder == "joint_tests" else "W1.csv")).write_text("theirs")
    before = bytes_in(out)
    with pytest.raises(FolderRefused, match="offtool did not write it"):
        write_folder(told, out)
    assert bytes_in(out) == before


@pytest.mark.parametrize("file", ["joint_tests/J1.csv", "weld_studies/W1.csv"])
def test_a_missing_changed_or_unlisted_file_is_refused(file: str, otter: Path) -> None:
    content = (otter / file).read_bytes()
    (otter / file).write_bytes(b"other")
    assert refusal(otter).startswith(f"{file}: its bytes are not those that were read; put the file back")
    (otter / file).unlink()
    assert refusal(otter).startswith(f"{file}: it is not there; put it back, or take its row out of")
    (otter / file).write_bytes(content)
    (otter / file).with_name("more").write_bytes(content)
    assert refusal(otter).startswith(f"{Path(file).parent}/more: it is not listed in {Path(file).parent}.csv")


def test_a_folder_of_before_has_no_joints_and_is_written_without_them(tmp_path: Path) -> None:
    told = read_folder(write_otter(tmp_path / "old"))
    assert (told.joints, told.joint_sizes, told.seams, told.seam_sizes) == ((), (), (), ())
    write_folder(told, tmp_path / "new")
    text = (tmp_path / "new" / "programme.toml").read_text(encoding="utf-8")
    assert "joint" not in text
    assert "seam" not in text
