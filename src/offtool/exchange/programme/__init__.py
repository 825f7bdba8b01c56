"""The programme folder: the record of one programme as plain text, for version control and for everybody."""

from __future__ import annotations

from offtool.exchange.programme.folder import ProgrammeFolder
from offtool.exchange.programme.reading import read_folder
from offtool.exchange.programme.refused import FolderRefused
from offtool.exchange.programme.writing import write_folder

__all__ = ["FolderRefused", "ProgrammeFolder", "read_folder", "write_folder"]
