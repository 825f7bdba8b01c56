"""Serve the small invented record with its joints: python -m tests.web.serve_jointed RECORD PORT."""

from __future__ import annotations

import sys

from offtool.setup import open_record


def main(record: str, port: int) -> None:
    open_record(record)
    from offtool.web.server import serve
    from tests.web import jointed, otter

    otter.make_programme()
    otter.read_trial(otter.readings_csv())
    jointed.make_arm()
    jointed.a_joint()
    jointed.a_chain()
    serve(port=port)


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))
