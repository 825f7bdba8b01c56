"""Serve the small otter with a photographed piece: python -m tests.web.serve_photographed RECORD PORT."""

from __future__ import annotations

import sys

from offtool.setup import open_record


def main(record: str, port: int) -> None:
    open_record(record)
    from offtool.steps.keep_sample import PartSaid, SampleSaid, photograph_sample, register_sample
    from offtool.web.server import serve
    from tests.steps.card_picture import photograph
    from tests.steps.told_apart import PART, make_told_apart
    from tests.web.otter import NOW, SLUG

    make_told_apart()
    register_sample(SLUG, SampleSaid(number="0417", parts=(PartSaid(part=PART),)), at=NOW, by="x")
    photograph_sample(SLUG, "0417", photograph(), "otter.png", at=NOW, by="x")
    serve(port=port)


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))
