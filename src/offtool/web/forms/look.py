"""The sheet on which pieces are looked at, a block a cavity.

Hundreds of fields stand on it, so its blocks are plain data and no fields of Django's.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.datastructures import MultiValueDict

from offtool.core.values import OfftoolError
from offtool.exchange.pictures import refuse_large_picture
from offtool.handbook.terms import LONGEST_NAME
from offtool.steps.look_at_pieces import FlawSeen, PhotographTaken, PiecesLookedAt
from offtool.steps.press_findings import DefectOnList
from offtool.web.forms.fields import your_name_field
from offtool.web.pages.frame import anchor

WHOLE = {"invalid": "Give a whole number.", "min_value": "Shots are counted from 0."}


class LookHeadForm(forms.Form):
    """Which shot the pieces are of, and who looked."""

    shot = forms.IntegerField(
        label="Shot",
        required=False,
        min_value=0,
        max_value=1_000_000_000,
        help_text="Empty for pieces of several shots.",
        error_messages=WHOLE,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    looked_by = your_name_field()


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """One defect of one cavity: ticked or not, where, and on how many pieces."""

    code: str
    name: str
    meaning: str
    mark: str
    """Names its fields: seen-, place-, count- stand before it."""
    is_ticked: bool = False
    place: str = ""
    count: str = ""

    def flaw(self, pieces: int) -> FlawSeen:
        """What was seen. Raises ValueError, in words, for what is not given."""
        return FlawSeen(defect=self.code, pieces=self._pieces(pieces), place=self.place)

    def _pieces(self, pieces: int) -> int | None:
        if not self.count and pieces > 1:
            raise ValueError(f"Say on how many of the {pieces} pieces there is {self.name}.")
        number = whole(self.count) if self.count else pieces
        if number is None or not 1 <= number <= pieces:
            raise ValueError(f"{self.name.capitalize()} is on 1 to {pieces} of the pieces, not {self.count}.")
        return number


@dataclass(slots=True, kw_only=True)
class Block:
    """One cavity on the sheet."""

    cavity: str
    """Empty: nobody knows."""
    mark: str
    common: tuple[Tick, ...]
    more: tuple[Tick, ...]
    look_for: tuple[str, ...] = ()
    """What is open in it since earlier trials."""
    pieces: str = "1"
    is_clean: bool = False
    note: str = ""
    photographs: tuple[UploadedFile[Any], ...] = field(default=(), repr=False)
    error: str = ""

    @property
    def ticked(self) -> tuple[Tick, ...]:
        """What was seen."""
        return tuple(one for one in (*self.common, *self.more) if one.is_ticked)

    @property
    def is_more_ticked(self) -> bool:
        """Whether something folded is ticked, so that it must not stay folded."""
        return any(one.is_ticked for one in self.more)

    @property
    def is_filled(self) -> bool:
        """Whether anything was said of it."""
        return bool(self.ticked or self.is_clean or self.photographs or self.note)

    def look(self, shot: int | None) -> PiecesLookedAt:
        """The look it says. Raises ValueError, in words, for what cannot be."""
        pieces = whole(self.pieces)
        if not pieces:
            raise ValueError("Say how many pieces were looked at, such as 1.")
        if self.ticked and self.is_clean:
            raise ValueError(f"Nothing wrong, and {self.ticked[0].name}: take one of the two ticks away.")
        if not self.ticked and not self.is_clean:
            raise ValueError("Tick what you saw, or that nothing was wrong.")
        return PiecesLookedAt(
            cavity=self.cavity or None,
            shot=shot,
            pieces=pieces,
            flaws=tuple(one.flaw(pieces) for one in self.ticked),
            photographs=tuple(map(_taken, self.photographs)),
            note=self.note,
        )


class LookSheet:
    """The blocks of all cavities, empty or as they were sent."""

    def __init__(
        self,
        cavities: Sequence[str],
        defects: Sequence[DefectOnList],
        *,
        common: frozenset[str],
        look_for: Mapping[str, tuple[str, ...]],
        data: Mapping[str, str] | None = None,
        files: MultiValueDict[str, UploadedFile[Any]] | None = None,
    ) -> None:
        self.is_sent = data is not None
        self.data, self.files = data or {}, files
        self.nothing_wrong = "nothing_wrong" in self.data
        ordered = sorted(defects, key=lambda one: one.code not in common)
        self.blocks = [
            self._block(cavity, ordered, common=common, look_for=look_for.get(cavity, ()))
            for cavity in (*cavities, "")
        ]
        self.error = ""

    def _block(
        self,
        cavity: str,
        defects: Sequence[DefectOnList],
        *,
        common: frozenset[str],
        look_for: tuple[str, ...],
    ) -> Block:
        mark = anchor("in", cavity)
        ticks = [self._tick(mark, one) for one in defects]
        return Block(
            cavity=cavity,
            mark=mark,
            common=tuple(one for one in ticks if one.code in common),
            more=tuple(one for one in ticks if one.code not in common),
            look_for=look_for,
            pieces=self.data.get(f"pieces-{mark}", "1").strip(),
            is_clean=f"clean-{mark}" in self.data,
            note=self.data.get(f"note-{mark}", "").strip(),
            photographs=tuple(self.files.getlist(f"photo-{mark}")) if self.files else (),
        )

    def _tick(self, block: str, defect: DefectOnList) -> Tick:
        mark = f"{block}-{anchor('of', defect.code)}"
        return Tick(
            code=defect.code,
            name=defect.name,
            meaning=defect.meaning,
            mark=mark,
            is_ticked=f"seen-{mark}" in self.data,
            place=self.data.get(f"place-{mark}", "").strip()[:LONGEST_NAME],
            count=self.data.get(f"count-{mark}", "").strip(),
        )

    def looks(self, shot: int | None) -> list[PiecesLookedAt]:
        """What was seen, block by block; the reasons why not stand at the blocks and on the sheet."""
        chosen = list(self._chosen())
        looks = []
        for block in chosen:
            try:
                looks.append(block.look(shot))
            except (ValueError, OfftoolError) as error:
                block.error = str(error)
        if any(block.error for block in chosen):
            self.error = "Nothing was kept: see the marked cavity."
        elif not chosen:
            self.error = "Nothing was kept: tick what you saw, or say that nothing was wrong."
        return looks if not self.error else []

    def _chosen(self) -> Iterator[Block]:
        """The blocks that say something; with "nothing wrong" those of all known cavities too."""
        is_known = any(block.cavity for block in self.blocks)
        if self.nothing_wrong and not any(block.ticked for block in self.blocks):
            for block in self.blocks:
                if block.cavity or not is_known or block.is_filled or block.pieces not in ("", "1"):
                    block.is_clean = True
                    yield block
        else:
            for block in self.blocks:
                if self.nothing_wrong and block.ticked:
                    block.is_clean = True
                if block.is_filled:
                    yield block


def _taken(sent: UploadedFile[Any]) -> PhotographTaken:
    name = sent.name or "photograph"
    refuse_large_picture(sent.size or 0, name)
    return PhotographTaken(name=name, content=sent.read())


def whole(written: str) -> int | None:
    """A whole number as it was typed; None for anything else."""
    return int(written) if written.isascii() and written.isdecimal() and len(written) <= 9 else None
