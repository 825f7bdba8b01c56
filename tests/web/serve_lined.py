"""Serve a line of three stations: python -m tests.web.serve_lined RECORD PORT."""

from __future__ import annotations

import sys

from offtool.setup import open_record


def main(record: str, port: int) -> None:
    open_record(record)
    from offtool.web.server import serve
    from tests.steps.run_lines import a_line

    a_line([20, 30, 24], planned_per_h=130.0, tasks={"spread_s": 4.0})
    serve(port=port)


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))
