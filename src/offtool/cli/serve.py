"""offtool serve: the pages, for this computer."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path

import click

from offtool.cli.options import command, open_for_writing, shared_options
from offtool.cli.terminal import say, say_json

HOST = "127.0.0.1"


@command(example="offtool serve --port 8080")
@click.option(
    "--port", type=click.IntRange(1, 65535), default=8000, show_default=True, help="The port of the pages."
)
@shared_options
def serve(port: int, record: Path | None, as_json: bool) -> None:
    """Serve the pages to this computer, until Ctrl-C."""
    open_for_writing(record)
    address = f"http://{HOST}:{port}/"
    # by name, as Django loads its parts: commands and pages are two faces and do not know each other
    pages = import_module("offtool.web.server")
    if as_json:
        say_json({"address": address})
    else:
        say([f"The pages are at {address} for this computer only. Ctrl-C ends them."])
    pages.serve(HOST, port)
