"""Cavity labels as a file writes them, brought to one spelling when all are known."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from offtool.exchange.readings.grid import Cell, cell_text
from offtool.exchange.readings.limits import refuse_beyond
from offtool.exchange.readings.places import read_cavity
from offtool.exchange.readings.text import plain
from offtool.exchange.readings.words import MISSING

_DIGITS = re.compile(r"([0-9]+)")


class CavityLabels:
    """Gathers the labels; -1 where none is recorded."""

    def __init__(self, where: str) -> None:
        self._where = where
        self._codes: dict[str, int] = {}
        self._memo: dict[Cell, int] = {}

    def code(self, text: str) -> int:
        """The code of a label, new or known."""
        if plain(text).casefold() in MISSING:
            return -1
        return self._codes.setdefault(text, len(self._codes))

    def codes(self, cells: Sequence[Cell]) -> NDArray[np.int32]:
        memo = self._memo
        for cell in set(cells) - memo.keys():
            memo[cell] = self.code(cell_text(cell))
        refuse_beyond("cavities", len(self._codes), where=self._where)
        return np.fromiter(map(memo.__getitem__, cells), np.int32, len(cells))

    def finish(self, used: NDArray[np.int32]) -> tuple[tuple[str, ...], NDArray[np.int32]]:
        """The labels that carry readings, in order, and the final index of each code.

        "K1" is cavity 1 unless the file also has other letters before its numbers.
        """
        wanted = set(used.tolist())
        texts = {code: text for text, code in self._codes.items() if code in wanted}
        read = {code: read_cavity(text) for code, text in texts.items()}
        letters = {letter for _, letter in read.values() if letter}
        if len(letters) > 1:
            read = {
                code: (plain(texts[code]), "") if letter else (label, "")
                for code, (label, letter) in read.items()
            }
        labels = sorted({label for label, _ in read.values()}, key=_natural)
        final = np.full(len(self._codes) + 1, -1, np.int32)  # the last one serves the code -1
        for code, (label, _) in read.items():
            final[code] = labels.index(label)
        return tuple(labels), final


def _natural(label: str) -> list[tuple[int, int, str]]:
    """2 before 10, numbers before letters."""
    return [
        (0, int(piece), "") if piece.isdecimal() else (1, 0, piece) for piece in _DIGITS.split(label) if piece
    ]
