"""A name as one piece of an address: whatever people call a tool or a trial leads to its page."""

from __future__ import annotations

import re


class NameInPath:
    """A name between two slashes. What a browser would take for a path is written with a tilde before it."""

    regex = r"[^/]+"

    def to_python(self, piece: str) -> str:
        """The name that the piece of the address stands for; no name holds a zero byte."""
        if "\0" in piece:
            raise ValueError("no name holds a zero byte")
        return re.sub(r"~([~.-])", lambda found: "/" if found[1] == "-" else found[1], piece)

    def to_url(self, name: str) -> str:
        """The piece of the address that stands for the name."""
        piece = name.replace("~", "~~").replace("/", "~-")
        return "~" + piece if piece in (".", "..") else piece
