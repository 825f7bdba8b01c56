"""What the commands share: how a command is declared, the record it works on, and who is at the keyboard."""

from __future__ import annotations

import getpass
import re
from collections.abc import Callable
from datetime import datetime
from math import inf
from pathlib import Path
from typing import Any, TypeVar

import click
from click.core import ParameterSource

F = TypeVar("F", bound=Callable[..., Any])

FILE = click.Path(exists=True, dir_okay=False, path_type=Path)
NEW_FILE = click.Path(dir_okay=False, path_type=Path)
FOLDER = click.Path(exists=True, file_okay=False, path_type=Path)
NEW_FOLDER = click.Path(file_okay=False, path_type=Path)


class Day(click.ParamType[datetime]):
    """A day as people write it: 2026-12-24, 24.12.2026, 24 Dec 2026."""

    name = "day"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> datetime:
        """The day at midnight. A day that could be two is refused, and so is one with a time."""
        if isinstance(value, datetime):
            return value
        from offtool.exchange.day_cells import TIME_LEFT_OUT, DayRead, day_in_text

        found = day_in_text(str(value))
        if not isinstance(found, DayRead):
            self.fail(f"{str(value)!r} {found.why}; {found.remedy}", param, ctx)
        if TIME_LEFT_OUT in found.why:
            self.fail(f"{str(value)!r} holds a time; write the day alone, such as {found.day}", param, ctx)
        return datetime(found.day.year, found.day.month, found.day.day)


class Number(click.ParamType[float]):
    """A number, with a decimal point or a decimal comma: `least` or more, above `above`."""

    name = "number"

    def __init__(self, *, least: float = -inf, above: float = -inf) -> None:
        self._least, self._above = least, above

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """The number. A comma before three digits may part thousands, so it is refused."""
        if isinstance(value, int | float):
            return float(value)
        text = str(value).strip().replace("\N{MINUS SIGN}", "-")
        if re.fullmatch(r"[+-]?[1-9]\d{0,2},\d{3}", text):
            whole, digits = text.split(",")
            self.fail(
                f"{text!r} may be {whole}.{digits} or {whole}{digits}; write one of the two", param, ctx
            )
        if not re.fullmatch(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?", text):
            self.fail(f"{text!r} is no number; write it in digits, such as 1.8 or 1,8", param, ctx)
        number = float(text.replace(",", "."))
        if number < self._least:
            self.fail(f"{text!r} is below {self._least:g}; give {self._least:g} or more", param, ctx)
        if number <= self._above:
            self.fail(f"{text!r} is not above {self._above:g}", param, ctx)
        return number


DAY, NUMBER, FROM_ZERO, ABOVE_ZERO = Day(), Number(), Number(least=0), Number(above=0)
TIME, WHEN = click.DateTime(["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"]), "YYYY-MM-DDTHH:MM"


json_option = click.option("--json", "as_json", is_flag=True, help="Answer in JSON, for scripts.")


def command(*, example: str) -> Callable[[F], click.Command]:
    """Declare a command whose help ends with an example."""
    return click.command(epilog=f"Example: {example}")


def shared_options(function: F) -> F:
    """--record and --json, the last options of every command that works on the record."""
    record = click.option(
        "--record",
        type=NEW_FILE,
        help="The file of the record; else OFFTOOL_RECORD, else offtool.sqlite3 in this folder.",
    )
    return record(json_option(function))


def place_arguments(function: F) -> F:
    """PROGRAMME TOOL TRIAL."""
    for name in ("trial", "tool", "programme"):
        function = click.argument(name)(function)
    return function


def open_for_writing(record: Path | None) -> None:
    """Open the record; a file that is not there is made."""
    from offtool.setup import open_record

    open_record(None if record is None else str(record))


def open_for_reading(record: Path | None) -> None:
    """Open a record that is there already. Raises OfftoolError where there is none, and makes none."""
    import os

    from offtool.core.values import OfftoolError
    from offtool.records.place import record_file

    file = record.absolute() if record is not None else record_file()
    if not file.exists() and (record is not None or not os.environ.get("DATABASE_URL")):
        raise OfftoolError(
            "there is no record yet",
            where=str(file),
            remedy="begin one with offtool load FOLDER, offtool start TITLE FILE or offtool archive TITLE, "
            "or name it with --record",
        )
    open_for_writing(record)


def moment(typed: datetime | None) -> datetime | None:
    """A time as it was typed, in this computer's time zone."""
    return typed.astimezone() if typed is not None else None


def who() -> str:
    """The name under which what is done is kept: that of the account."""
    try:
        return getpass.getuser()
    except (KeyError, OSError):  # an account without a name, as in a container
        return ""


def refuse_left_over(*belongs: tuple[tuple[str, ...], tuple[str, ...]]) -> None:
    """Raise UsageError for an option that was typed and would be passed over in silence.

    Each pair says which options mean something only beside one of which others.
    """
    typed = set(options_typed())
    for options, owners in belongs:
        for one in options:
            if one in typed and not typed & set(owners):
                raise click.UsageError(f"{one} belongs to {' or '.join(owners)}")


def options_typed() -> list[str]:
    """The options that were typed with this command, in the order of its help."""
    asked = click.get_current_context()
    return [
        one.opts[0]
        for one in asked.command.params
        if isinstance(one, click.Option)
        and asked.get_parameter_source(one.name or "") is ParameterSource.COMMANDLINE
    ]


def make_folder(path: Path) -> None:
    """Make a folder for what is handed over. Raises OfftoolError where that is not possible."""
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        from offtool.core.values import OfftoolError

        raise OfftoolError(
            f"cannot be made: {error.strerror}", where=str(path), remedy="name another folder"
        ) from error


def refuse_missing_folders(*files: Path | None) -> None:
    """Raise OfftoolError for a file that has no folder to go to, before anything is decided."""
    for file in files:
        if file is not None and not file.absolute().parent.is_dir():
            from offtool.core.values import OfftoolError

            raise OfftoolError(
                "cannot be written: there is no such folder", where=str(file), remedy="make the folder first"
            )


def write_file(path: Path, content: bytes) -> None:
    """Write a file that is handed over. Raises OfftoolError where that is not possible."""
    try:
        path.write_bytes(content)
    except OSError as error:
        from offtool.core.values import OfftoolError

        raise OfftoolError(
            f"cannot be written: {error.strerror}",
            where=str(path),
            remedy="name a file in a folder that is there",
        ) from error
