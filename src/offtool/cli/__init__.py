"""Commands: everything the pages do, for the terminal and for scripts."""

from __future__ import annotations

from offtool.cli.program import main

__all__ = ["main"]
