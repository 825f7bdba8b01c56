"""What stands in the margin while something is entered: what it is, and what it is good for."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

WHY: Mapping[str, tuple[tuple[str, str], ...]] = MappingProxyType(
    {
        "run": (
            ("Run", "one time the tool was run, a trial or production; a piece comes from one of them"),
            ("Stage", "left blank it is taken from the name: T0 first shots, T1 early, T2 and later late"),
            ("Interrupted job", "a trial takes the press of a job and often its colour"),
            ("Pieces", "how many were kept: a run of which many were kept is the likelier one"),
        ),
        "detail": (
            ("Detail", "something by which states of the steel are told apart: a date mark, a vent, a hole"),
            ("Stays", "once cut it is there on all later pieces: it bounds the state hard"),
            ("Comes and goes", "it may be changed back: it only makes states more or less likely"),
            ("Sheet lost", "nobody knows; states before and after then say how likely it was"),
        ),
        "build": (
            ("Build", "pieces put together on one occasion, by hand or on the line"),
            ("Parts came from", "a build takes parts of several runs, also older ones that were left"),
        ),
        "press": (
            ("Press", "which tools it holds says in which jobs a trial of the tool can have come between"),
            (
                "Numbers",
                "say which tools it takes, and what stays long in its barrel; blank ones are asked for",
            ),
            ("Hours and days", "a trial is planned only while it runs; times off are entered with the plan"),
            ("Jobs", "are entered next, each with its colour and its days"),
        ),
        "job": (
            ("Job", "production that ran on the press; a trial that came between took its colour"),
            ("May a trial interrupt it", "ask whoever promised its parts; where nobody has said, none does"),
            ("Contribution", "what each hour that it stands costs: the plan weighs it against lateness"),
            ("Spread", "pieces of one job differ a little: 0.6 ΔE00 is common practice, no source"),
            ("Light and eye", "as the instrument says; D65 and 10 degrees is usual for moulded parts"),
        ),
        "stage": (
            ("Two tongues", "the engineer says T0, the archive says first shot: both stand on the card"),
            ("Same letters", "mean different things in different firms: write yours"),
            ("Left blank", "the handbook's words and share"),
        ),
        "sign": (
            ("Shares", "of all pieces of this stage, how many show it; each stage comes to 100 %"),
            ("Never 0", "write a small share where it is only very rare: people mix pieces up"),
            ("Handbook", "common practice, no source; your own counts are better"),
        ),
    }
)
