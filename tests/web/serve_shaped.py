"""Serve the small otter with the shape of one part: python -m tests.web.serve_shaped RECORD PORT."""

from __future__ import annotations

import sys
from datetime import UTC, datetime

from offtool.setup import open_record

PART = "HO-02"
"""The part that has a shape: a plate of 60 by 40 by 2 mm."""


def main(record: str, port: int) -> None:
    open_record(record)
    import trimesh

    from offtool.steps.read_mesh import MeshAbout, keep_mesh_file
    from offtool.web.server import serve
    from tests.web import otter

    otter.make_programme()
    keep_mesh_file(
        trimesh.creation.box((60, 40, 2)).export(file_type="stl"),
        "plate.stl",
        programme=otter.SLUG,
        part=PART,
        about=MeshAbout(unit="mm"),
        read_at=datetime(2026, 3, 23, 9, tzinfo=UTC),
        read_by="engineer",
    )
    serve(port=port)


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))
