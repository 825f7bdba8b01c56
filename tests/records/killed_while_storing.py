"""Run by test_killed.py: stores many readings and says how far it is, until it is killed.

`python killed_while_storing.py count` only opens the record and says what is in it.
"""

from __future__ import annotations

import json
import sys

import numpy as np

from offtool.setup import open_record

READINGS = 200_000


def say(what: object) -> None:
    print(json.dumps(what), flush=True)  # noqa: T201 the test reads it


def store() -> None:
    from offtool.records.operations import bulk
    from tests.records.example import make_example

    example = make_example()
    columns = example.columns(
        characteristic_id=np.full(READINGS, example.bore.pk),
        cavity_id=np.full(READINGS, example.cavities[0].pk),
        shot=np.arange(READINGS) // 100,
        part=np.full(READINGS, -1),
        value=np.full(READINGS, 4.0),
        row=np.arange(READINGS) + 2,
        column=np.full(READINGS, 3),
    )
    rows_of, done = bulk._rows, 0

    def rows_of_and_say(*arguments: object) -> object:
        nonlocal done
        rows = rows_of(*arguments)  # type: ignore[arg-type]
        done += len(rows)
        say({"handed over": done})
        return rows

    bulk._rows = rows_of_and_say  # type: ignore[assignment]
    from tests.records.example import NOON, a_file, store_readings

    say("begins")
    store_readings(example.trial, a_file(), columns, read_at=NOON, read_by="Ada")
    say("stored")


def count() -> None:
    from offtool.records.models import Reading, Shot, SourceFile, Trial

    say({model.__name__: model.objects.count() for model in (Trial, SourceFile, Shot, Reading)})


if __name__ == "__main__":
    open_record()
    count() if sys.argv[1:] == ["count"] else store()
