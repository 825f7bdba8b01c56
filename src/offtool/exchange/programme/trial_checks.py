"""What must hold where a row names the trial or the cavity of one of two sides."""

from __future__ import annotations

from collections.abc import Mapping, Set

from offtool.exchange.programme.refused import refuse_unknown
from offtool.exchange.programme.rows import Row

Names = tuple[str, ...]


def check_trial(row: Row, side: str, names: Mapping[str, Set[Names]]) -> None:
    """Raise FolderRefused unless <side>_tool and <side>_trial name a trial, or are both blank."""
    tool, trial = getattr(row, f"{side}_tool"), getattr(row, f"{side}_trial")
    if bool(tool) != bool(trial):
        what = f"trial {trial!r} with tool {tool!r}"
        raise row.place(f"{side}_trial").refuse(what, "give both or neither: trials are counted by tool")
    if tool:
        refuse_unknown(row.place(f"{side}_tool"), (tool,), names["tools"])
        refuse_unknown(row.place(f"{side}_trial"), (tool, trial), names["trials"])


def check_cavity(row: Row, side: str, part: str, tried: str, names: Mapping[str, Set[Names]]) -> None:
    """Raise FolderRefused unless <side>_tool and <side>_cavity name a cavity of the part, or are blank.

    `tried` is the tool of the side's trial, blank where none is known.
    """
    tool, cavity = getattr(row, f"{side}_tool"), getattr(row, f"{side}_cavity")
    if not tool and not cavity and not getattr(row, f"{side}_part", ""):
        return
    if not (tool and part and cavity):
        what = f"cavity {cavity!r} with tool {tool!r} and part {part!r}"
        remedy = "give all of them or none: cavities are counted by tool and part"
        raise row.place(f"{side}_cavity").refuse(what, remedy)
    refuse_unknown(row.place(f"{side}_tool"), (tool,), names["tools"])
    refuse_unknown(row.place(f"{side}_part"), (part,), names["parts"])
    refuse_unknown(row.place(f"{side}_cavity"), (tool, part, cavity), names["cavities"])
    if tried and tool != tried:
        what = f"{tool!r}, but the {side} pieces are from a trial of {tried}"
        raise row.place(f"{side}_tool").refuse(what, "name a cavity of the tool that was tried")
