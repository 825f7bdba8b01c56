"""Serve the small otter with its archive: python -m tests.web.serve_archived RECORD PORT."""

from __future__ import annotations

import sys

from offtool.setup import open_record


def main(record: str, port: int) -> None:
    open_record(record)
    from offtool.web.server import serve
    from tests.web import archived, otter

    tool = otter.make_programme()
    otter.read_trial(otter.readings_csv())  # before the arm: the file says no part
    archived.make_archive(tool)
    serve(port=port)


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))
