"""offtool dossier: the release review as one PDF, and as a folder or archive with all that it rests on."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from offtool.cli.options import (
    DAY,
    command,
    make_folder,
    open_for_reading,
    refuse_missing_folders,
    shared_options,
    who,
    write_file,
)
from offtool.cli.pdf_file import NEW_PDF
from offtool.cli.terminal import say, say_json

if TYPE_CHECKING:
    from offtool.steps.dossier import Dossier

PLACE = click.Path(path_type=Path)
"""A folder or a file; neither need be there."""
SUMS = "SHA256SUMS"
"""As in the dossier, written here so that help stays quick; a test holds them together."""


@command(example="offtool dossier harbour-otter --out harbour-otter-release --pdf review.pdf")
@click.argument("programme")
@click.option("--out", type=PLACE, metavar="FOLDER|FILE.zip",
              help="Write the review, its index and every file it rests on here.")  # fmt: skip
@click.option("--pdf", type=NEW_PDF, help="Write the review alone into this PDF.")
@click.option("--on", "on_day", type=DAY, metavar="YYYY-MM-DD", help="As it stands on this day; else today.")
@shared_options
def dossier(
    programme: str,
    out: Path | None,
    pdf: Path | None,
    on_day: datetime | None,
    record: Path | None,
    as_json: bool,
) -> None:
    """Hand over the release review with its evidence.

    The folder or archive has the review as a PDF and as JSON, an index from each line to its files, the
    files byte for byte, and SHA256SUMS, which sha256sum -c checks. Nothing is signed by it.
    """
    if out is None and pdf is None:
        raise click.UsageError("say where it goes: --out FOLDER, --out FILE.zip, or --pdf FILE")
    refuse_missing_folders(out, pdf)
    open_for_reading(record)
    from offtool.steps.dossier import dossier_of
    from offtool.steps.review_day import review_day

    day = on_day.date() if on_day is not None else review_day(programme, today=date.today())
    found = dossier_of(programme, day)
    done = [_write_pdf(found, pdf)] if pdf is not None else []
    done += [_write(found, out)] if out is not None else []
    if as_json:
        from offtool.steps.plain import as_plain

        say_json(as_plain(found))
        return
    from offtool.cli.shared_lines import cautions, done_lines, sentence

    review = found.review
    said = sentence(review.headline)
    say([*done_lines(done), *said, *cautions(review.cautions)])


def _write_pdf(found: Dossier, path: Path) -> str:
    from offtool.reports.dossier import dossier_paths
    from offtool.reports.review_report import review_report

    write_file(path, review_report(found, dossier_paths(found), made_by=who()))
    return f"The review is in {path}."


def _write(found: Dossier, out: Path) -> str:
    """The dossier as an archive where the name ends in .zip, else as a folder."""
    return _write_archive(found, out) if out.suffix.lower() == ".zip" else _write_folder(found, out)


def _write_archive(found: Dossier, path: Path) -> str:
    """Written beside first, so that an old archive is not lost where something goes wrong."""
    from io import BytesIO

    from offtool.reports.dossier import dossier_entries, write_zip

    archive = BytesIO()
    write_zip(dossier_entries(found, made_by=who()), archive)
    write_file(path, archive.getvalue())
    return f"The dossier is in {path}: {_files(found)}."


def _write_folder(found: Dossier, folder: Path) -> str:
    """Written only where nothing is: a file of an older dossier would stand among those of this one."""
    from offtool.core.values import OfftoolError
    from offtool.reports.dossier import dossier_entries

    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise OfftoolError(
            "holds something already", where=str(folder), remedy="name an empty folder, or a new one"
        )
    for one in dossier_entries(found, made_by=who()):
        path = folder / one.path
        make_folder(path.parent)
        write_file(path, one.content)
    return f"The dossier is in {folder}: {_files(found)}; sha256sum -c {SUMS} checks them there."


def _files(found: Dossier) -> str:
    from offtool.cli.shared_lines import counted

    return f"the review, its index and {counted(len(found.files), 'file')} of evidence"
