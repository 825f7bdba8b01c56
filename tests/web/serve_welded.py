"""Serve the small otter with two halves to weld: python -m tests.web.serve_welded RECORD PORT."""

from __future__ import annotations

import sys

from offtool.setup import open_record


def main(record: str, port: int) -> None:
    open_record(record)
    from offtool.web.server import serve
    from tests.web import otter, welded

    tool = otter.make_programme()
    otter.read_trial(otter.readings_csv())  # before the other half: the file says no part
    welded.make_welded(tool)
    serve(port=port)


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))
