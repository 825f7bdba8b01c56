"""The guides are run: their commands, their Python and their links.

In a ```console block each `$ offtool …` is run, page by page in the order of the page, in a folder of its own
with a fresh record and a copy of `examples/`; the example is loaded once, and pages that begin with it get a
copy of that record. The lines below a command are its whole output; `…` stands for any part of a line, and
for any lines where it stands alone. A command with no lines below must succeed.
A ```python block is a doctest; the blocks of a page share their names.
"""

from __future__ import annotations

import doctest
import os
import re
import shlex
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from offtool.places import examples_folder

TOP = Path(__file__).resolve().parents[1]
GUIDES = [TOP / "README.md", *sorted((TOP / "docs").glob("*.md"))]
NOTHING_TO_RUN = {"README.md", "index.md", "why-it-is-built-so.md"}

LOADS, SAID = "offtool load examples/harbour_otter", "said.txt"

FENCE = re.compile(r"^```(\w*)[^\n]*\n(.*?)^```$", re.MULTILINE | re.DOTALL)
LINK = re.compile(r"\]\(([^)\s]+)\)")


@dataclass(frozen=True, slots=True)
class Command:
    """One command of a guide and what it prints."""

    line: str
    shown: tuple[str, ...]


def blocks(text: str, language: str) -> list[str]:
    return [body for found, body in FENCE.findall(text) if found == language]


def commands(block: str) -> list[Command]:
    found: list[tuple[str, list[str]]] = []
    for line in block.replace("\\\n", "").splitlines():
        if line.startswith("$ "):
            found.append((line[2:], []))
        elif found:
            found[-1][1].append(line)
    return [
        Command(line, tuple("\n".join(shown).rstrip().splitlines()))
        for line, shown in found
        if line.startswith("offtool ")
    ]


def is_what_was_shown(output: str, shown: tuple[str, ...]) -> bool:
    """Whether the output is the shown lines, `…` standing for anything."""

    def pattern(line: str) -> str:
        if line.strip() == "…":
            return r"(?:[^\n]*\n)*"
        return r"[^\n]*".join(map(re.escape, line.rstrip().split("…"))) + r" *\n"

    wanted = "".join(pattern(line) for line in shown)
    return re.fullmatch(wanted + r"\n*", output.rstrip("\n") + "\n") is not None


@pytest.fixture(scope="session")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the record of the example is kept once it is loaded: most guides begin with it."""
    return tmp_path_factory.mktemp("loaded")


def run(command: Command, folder: Path, kept: Path) -> None:
    """Run a command of a guide, and compare what it prints."""
    loads_first = command.line == LOADS and not any(folder.glob("record.*"))
    finished = load_once(folder, kept) if loads_first else typed(command.line, folder)
    if command.shown:
        said = f"$ {command.line}\n{finished.stdout}"
        assert is_what_was_shown(finished.stdout, command.shown), said
    else:
        assert finished.returncode == 0, f"$ {command.line}\n{finished.stdout}"


def load_once(folder: Path, kept: Path) -> subprocess.CompletedProcess[str]:
    """The answer to the first loading of the example in these tests, and a copy of the record it made."""
    if not any(kept.iterdir()):
        finished = typed(LOADS, folder)
        if finished.returncode:
            return finished
        for one in folder.glob("record.*"):
            shutil.copy(one, kept)
        (kept / SAID).write_text(finished.stdout, encoding="utf-8")
        return finished
    for one in kept.glob("record.*"):
        shutil.copy(one, folder)
    return subprocess.CompletedProcess(LOADS, 0, (kept / SAID).read_text(encoding="utf-8"))


def typed(line: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """A command as it is typed in this folder, and what it answers."""
    environment = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    environment |= {"OFFTOOL_RECORD": str(folder / "record.sqlite3"), "PYTHONUTF8": "1", "COLUMNS": "100"}
    program = Path(sys.executable).with_name("offtool")
    return subprocess.run(
        [program, *shlex.split(line)[1:]],
        cwd=folder,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        timeout=120,
        check=False,
    )


@pytest.mark.parametrize("guide", GUIDES, ids=lambda guide: guide.name)
def test_the_commands_of_a_guide_print_what_it_shows(guide: Path, tmp_path: Path, kept: Path) -> None:
    if examples_folder().is_dir():
        shutil.copytree(examples_folder(), tmp_path / "examples")
    for block in blocks(guide.read_text(encoding="utf-8"), "console"):
        for command in commands(block):
            run(command, tmp_path, kept)


@pytest.mark.parametrize("guide", GUIDES, ids=lambda guide: guide.name)
def test_the_python_of_a_guide_gives_what_it_shows(guide: Path) -> None:
    parser, runner = doctest.DocTestParser(), doctest.DocTestRunner(optionflags=doctest.ELLIPSIS)
    names: dict[str, object] = {}
    for order, block in enumerate(blocks(guide.read_text(encoding="utf-8"), "python"), start=1):
        test = parser.get_doctest(block, names, f"{guide.name}, block {order}", str(guide), 0)
        assert test.examples, f"{test.name} has no >>> line, so nothing of it is run"
        report: list[str] = []
        runner.run(test, out=report.append, clear_globs=False)
        names |= test.globs
        assert not runner.failures, "".join(report)


@pytest.mark.parametrize("guide", GUIDES, ids=lambda guide: guide.name)
def test_a_guide_has_something_to_run(guide: Path) -> None:
    text = guide.read_text(encoding="utf-8")
    found = [command for block in blocks(text, "console") for command in commands(block)]
    assert found or blocks(text, "python") or guide.name in NOTHING_TO_RUN


@pytest.mark.parametrize("guide", GUIDES, ids=lambda guide: guide.name)
def test_every_link_inside_the_house_leads_somewhere(guide: Path) -> None:
    inside = [link for link in LINK.findall(guide.read_text(encoding="utf-8")) if "://" not in link]
    dead = [link for link in inside if not (guide.parent / link.split("#")[0]).exists()]
    assert dead == []


def test_every_guide_is_in_the_index() -> None:
    index = (TOP / "docs" / "index.md").read_text(encoding="utf-8")
    listed = {link.split("#")[0] for link in LINK.findall(index)}
    assert {guide.name for guide in GUIDES[1:]} - {"index.md"} <= listed


@pytest.mark.parametrize(
    ("shown", "same"),
    [
        (("3 sizes hold", "1 does not"), True),
        (("3 sizes hold",), False),
        (("1 does not", "3 sizes hold"), False),
        (("3 sizes hold", "2 do not"), False),
        (("… sizes hold", "1 does …"), True),
        (("…", "1 does not"), True),
        (("3 sizes hold", "…"), True),
        (("…", "4 sizes hold", "…"), False),
    ],
)
def test_the_comparison_itself(shown: tuple[str, ...], same: bool) -> None:
    assert is_what_was_shown("3 sizes hold\n1 does not\n", shown) is same


def test_commands_are_found_with_their_output() -> None:
    block = "$ make demo\nno\n$ offtool read \\\n  a.csv\nread\n\n$ offtool dump\n"
    assert commands(block) == [Command("offtool read   a.csv", ("read",)), Command("offtool dump", ())]
