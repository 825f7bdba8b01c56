"""The sorts of guards that the database has, and the statements that put them up and take them down."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

ALWAYS = "1 = 1"


@dataclass(frozen=True, slots=True)
class Guard:
    """A change that is refused: of which table, on which events, when (SQL on NEW and OLD), and why."""

    name: str
    table: str
    events: Sequence[str]
    broken: str
    message: str

    @property
    def tables(self) -> frozenset[str]:
        """All tables that it looks at: before the last of them is made it cannot stand."""
        return frozenset({self.table, *re.findall(r"\brecords_\w+", self.broken)})

    def put_up(self, vendor: str) -> Iterator[str]:
        """The statements that create it; creating it twice does no harm."""
        if vendor == "postgresql":
            yield (
                f"CREATE OR REPLACE FUNCTION {self.name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
                f"IF {self.broken} THEN RAISE EXCEPTION '{self.message}' USING ERRCODE = 'check_violation'; "
                "END IF; IF TG_OP = 'DELETE' THEN RETURN OLD; END IF; RETURN NEW; END $$"
            )
            yield (
                f"CREATE OR REPLACE TRIGGER {self.name} BEFORE {' OR '.join(self.events)} ON {self.table} "
                f"FOR EACH ROW EXECUTE FUNCTION {self.name}()"
            )
            return
        broken = self.broken.replace("IS DISTINCT FROM", "IS NOT")
        for event in self.events:
            yield (
                f"CREATE TRIGGER IF NOT EXISTS {self.name}_{event.lower()} BEFORE {event} ON {self.table} "
                f"WHEN {broken} BEGIN SELECT RAISE(ABORT, '{self.message}'); END"
            )

    def take_down(self, vendor: str) -> Iterator[str]:
        """The statements that remove it; removing what is not there does no harm."""
        if vendor == "postgresql":
            yield f"DROP FUNCTION IF EXISTS {self.name}() CASCADE"
            return
        for event in self.events:
            yield f"DROP TRIGGER IF EXISTS {self.name}_{event.lower()}"


def never_updated(table: str, what: str) -> Guard:
    """No row of the table changes."""
    return Guard(f"guard_{table}_kept", f"records_{table}", ("UPDATE",), ALWAYS, f"{what} is never changed")


def only_added(table: str, what: str) -> Guard:
    """No row of the table changes or goes."""
    message = f"{what} is only added to"
    return Guard(f"guard_{table}_kept", f"records_{table}", ("UPDATE", "DELETE"), ALWAYS, message)


def frozen(table: str, what: str, *columns: str) -> Guard:
    """These columns of a row never change.

    Their names stand in quotation marks: PostgreSQL does not find one that is a word of its own language.
    """
    changed = " OR ".join(f'OLD."{column}" IS DISTINCT FROM NEW."{column}"' for column in columns)
    message = f"{what} is never changed"
    return Guard(f"guard_{table}_frozen", f"records_{table}", ("UPDATE",), changed, message)


def together(name: str, table: str, broken: str, message: str) -> Guard:
    """A row must belong to what it points at."""
    return Guard(f"guard_{name}", f"records_{table}", ("INSERT", "UPDATE"), broken, message)


def value_of(table: str, column: str, key: str) -> str:
    """The value of a column in the row that a foreign key of the new row names."""
    return f"(SELECT {column} FROM records_{table} WHERE id = NEW.{key})"  # noqa: S608 our own names


def trial_programme(key: str) -> str:
    """The programme of the trial that a foreign key of the new row names."""
    return (
        "(SELECT tool.programme_id FROM records_trial trial JOIN records_tool tool "  # noqa: S608 our own names
        f"ON tool.id = trial.tool_id WHERE trial.id = NEW.{key})"
    )


SIZE_PROGRAMME = (
    "(SELECT part.programme_id FROM records_part part "
    "JOIN records_characteristic size ON size.part_id = part.id WHERE size.id = NEW.characteristic_id)"
)
"""The programme of the characteristic that the new row names."""
