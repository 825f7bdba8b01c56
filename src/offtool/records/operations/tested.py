"""What all files of a test have in common: bytes kept once, a name given once, set aside with a reason."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, Generic, TypeVar

from django.db import transaction
from django.db.models import Model, QuerySet

from offtool.core.values import OfftoolError
from offtool.handbook.terms import LONGEST_FILE_NAME
from offtool.records.acting import acting_as
from offtool.records.plain import plain_name, plain_text
from offtool.records.refusals import refusals_in_words

Row = TypeVar("Row", bound=Model)


class AlreadyKept(OfftoolError):
    """The same bytes are kept already, and count."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FileOfTest:
    """The file of a test as it came, with what is known of it beside."""

    name: str
    done_on: date | None
    note: str
    file_name: str
    content: bytes = field(repr=False)

    @property
    def sha256(self) -> str:
        return hashlib.sha256(self.content).hexdigest()

    def as_kept(self, *, read_at: datetime, read_by: str) -> dict[str, Any]:
        """The columns of it in the record. Raises OfftoolError for a name that is too long."""
        return {
            "name": plain_name(self.name, "the name"),
            "done_on": self.done_on,
            "note": plain_text(self.note),
            "file_name": plain_name(self.file_name, "the name of the file", longest=LONGEST_FILE_NAME),
            "sha256": self.sha256,
            "content": self.content,
            "read_at": read_at,
            "read_by": plain_name(read_by, "your name"),
        }


@dataclass(frozen=True, slots=True)
class Kept(Generic[Row]):
    """The tests that one joint or seam has, and how they are called in messages."""

    model: type[Row]
    thing: str
    """What one is called: test, weld study."""
    owner: Any
    key: str
    """What the owner is, and how a test points at it: joint, seam."""
    among: Mapping[str, Any] = field(default_factory=dict)
    """Columns in which those must agree that must not have one name."""
    bytes_among: Mapping[str, Any] = field(default_factory=dict)
    """Columns in which those must agree that must not be one file."""

    @property
    def rows(self) -> QuerySet[Row]:
        """All that are kept, those set aside too."""
        return self.model._default_manager.filter(**{self.key: self.owner}, **self.among)

    @property
    def _owner(self) -> str:
        return f"{self.key} {getattr(self.owner, 'code', self.owner)}"

    def store(
        self,
        file: FileOfTest,
        rows_of: Callable[[Row], Sequence[Model]],
        *,
        read_at: datetime,
        read_by: str,
        **columns: Any,
    ) -> Row:
        """Keep a file with the rows that were read from it, in one transaction. Returns it as kept."""
        with refusals_in_words(file.file_name), acting_as(read_by), transaction.atomic():
            # two people at once read one after the other
            type(self.owner)._default_manager.select_for_update().get(pk=self.owner.pk)
            self.refuse_again(file)
            about = file.as_kept(read_at=read_at, read_by=read_by)
            kept = self.model._default_manager.create(
                **{self.key: self.owner}, **self.among, **about, **columns
            )
            rows = rows_of(kept)
            type(rows[0])._default_manager.bulk_create(rows, batch_size=1000)
        return kept

    def refuse_again(self, file: FileOfTest) -> None:
        """Raise for bytes that count already, for an empty name and for one that is taken."""
        alike = self.rows.filter(sha256=file.sha256, set_aside="", **self.bytes_among)
        first = alike.values_list("name", flat=True).first()
        if first is not None:
            raise AlreadyKept(
                f"the same file is {self.thing} {first} of {self._owner}",
                where=file.file_name,
                remedy="look there, or set that one aside first",
            )
        if not file.name.strip():
            raise OfftoolError(f"the {self.thing} has no name", remedy="name it, such as 1")
        if self.rows.filter(name=file.name).exists():
            raise OfftoolError(
                f"{self._owner} has a {self.thing} {file.name} already", remedy="give this one another name"
            )

    def set_aside(self, name: str, reason: str, *, made_by: str) -> None:
        """Let one count no longer; it stays in the record with the reason.

        Raises OfftoolError without a reason, and for one that is set aside already.
        """
        reason = plain_text(reason).strip()
        if not reason:
            raise OfftoolError("no reason is given", remedy=f"say why the {self.thing} no longer counts")
        with refusals_in_words(), acting_as(made_by), transaction.atomic():
            current: Any = self.rows.select_for_update().defer("content").get(name=name)
            if current.set_aside:
                raise OfftoolError(
                    f"{self.thing} {current.name} is set aside already: {current.set_aside}",
                    remedy=f"read a new {self.thing}",
                )
            current.set_aside = reason
            current.save(update_fields=["set_aside"])
