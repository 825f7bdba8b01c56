"""File names inside the folder: the same on every computer, never a way out of it."""

from __future__ import annotations

import hashlib
import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from pathlib import PurePosixPath

_UNSAFE = re.compile(r"[^A-Za-z0-9._ -]", re.ASCII)
_RESERVED = re.compile(
    r"(con|prn|aux|nul|com[0-9]|lpt[0-9])(\..*)?", re.IGNORECASE
)  # device names on Windows
_LONGEST_STEM = 60


def readings_file_names(trials: Iterable[tuple[str, str]]) -> dict[tuple[str, str], str]:
    """For each (tool, trial) the name of its readings file: tool_trial.csv where that is safe and alone."""
    names = original_file_names({trial: f"{trial[0]}_{trial[1]}.csv" for trial in trials})
    return {(tool, trial): name for (tool, trial), name in names.items()}


def original_file_names(wanted: Mapping[tuple[str, ...], str]) -> dict[tuple[str, ...], str]:
    """For each file, by what tells it from the others, its name in the folder, from the one it came under.

    That is the wanted one, or where that is not safe or not alone, one with a mark.
    """
    alike = Counter(_folded(name) for name in wanted.values())
    return {
        key: name if _is_safe(name) and alike[_folded(name)] == 1 else _marked(name, key)
        for key, name in wanted.items()
    }


def names_by_content(came: Iterable[tuple[str, str]]) -> dict[str, str]:
    """For each (sha256, name) the name in the folder; bytes that came under several names lie there once."""
    first: dict[tuple[str, ...], str] = {}
    for sha256, name in sorted(came):
        first.setdefault((sha256,), name)
    return {sha256: name for (sha256,), name in original_file_names(first).items()}


def _folded(name: str) -> str:
    """Names that some file system holds to be the same fold to the same."""
    return unicodedata.normalize("NFKC", name).casefold()


def _is_safe(name: str) -> bool:
    return not (
        _UNSAFE.search(name)
        or _RESERVED.fullmatch(name)
        or len(name) > _LONGEST_STEM
        or name[0] in ". -"
        or name[-1] in ". "
    )


def _marked(name: str, key: Sequence[str]) -> str:
    """The safe part of a name and a mark that no other key has."""
    ending = _UNSAFE.sub("", PurePosixPath(name).suffix)[:10]
    stem = _UNSAFE.sub("-", name.removesuffix(ending))[:_LONGEST_STEM].strip(". -") or "file"
    mark = hashlib.sha256("\0".join(key).encode()).hexdigest()[:10]
    return f"{stem}~{mark}{ending}"
