"""What reaches a terminal that cannot write every sign, and how wide the lines are."""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Callable

import pytest

from offtool.cli.terminal import NARROWEST, PLAINER, USUAL, WIDEST, never_fail_to_write, say, say_json, width


@pytest.fixture
def terminal(monkeypatch: pytest.MonkeyPatch) -> Callable[[str], io.BytesIO]:
    """Puts standard output in an encoding; gives the bytes that arrive."""

    def in_encoding(encoding: str) -> io.BytesIO:
        arrived = io.BytesIO()
        monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(arrived, encoding=encoding))
        never_fail_to_write()
        return arrived

    return in_encoding


@pytest.mark.parametrize(
    ("encoding", "shown"),
    [
        ("utf-8", "4.003 ± 0.006 → ●━".encode()),
        ("cp437", b"4.003 \xf1 0.006 -> *="),
        ("cp1252", b"4.003 \xb1 0.006 -> *="),
        ("ascii", b"4.003 +/- 0.006 -> *="),
    ],
)
def test_a_sign_that_cannot_be_written_is_shown_plainer(
    terminal: Callable[[str], io.BytesIO], encoding: str, shown: bytes
) -> None:
    arrived = terminal(encoding)
    say(["4.003 ± 0.006 → ●━"])
    assert arrived.getvalue() == shown + b"\n"


def test_a_sign_nobody_thought_of_does_not_stop_the_program(terminal: Callable[[str], io.BytesIO]) -> None:
    arrived = terminal("ascii")
    say(["直径 4"])
    assert arrived.getvalue() == b"?? 4\n"


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "utf-8"])
def test_json_means_the_same_on_every_terminal(terminal: Callable[[str], io.BytesIO], encoding: str) -> None:
    arrived, said = terminal(encoding), {"name": "直径 ±", "value": None}
    say_json(said)
    assert json.loads(arrived.getvalue().decode(encoding)) == said


def test_all_that_stands_in_for_a_sign_is_ascii() -> None:
    assert all(plain.isascii() for plain in PLAINER.values())


@pytest.mark.parametrize(("columns", "used"), [("20", NARROWEST), ("90", 90), ("400", WIDEST)])
def test_lines_are_as_wide_as_the_terminal_within_what_reads_well(
    columns: str, used: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    assert width() == used


def test_in_a_pipe_lines_have_the_usual_width(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("COLUMNS", raising=False)
    monkeypatch.setattr(sys, "__stdout__", io.StringIO())
    assert width() == USUAL
