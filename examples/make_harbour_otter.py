"""Make the demo programme anew: `python -m examples.make_harbour_otter` from the top of the checkout.

Plays the story of `examples.otter_story` on a record of its own and writes two folders beside this file: the
programme with its first and second trials read, and the files of the third trials as gauge rooms send them,
the torques of the third trial's arms and the values of a colour card among them.
Run it after a change of the program that moves its corrections or its notes on files; a test says when.

The same bytes come out on every computer, but for corrections.csv and predictions.csv: their numbers are
solved by linear algebra, whose last digits differ between processors. The test compares those to a nanometre.
"""

from __future__ import annotations

import shutil
from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory

HERE = Path(__file__).parent
PROGRAMME, GAUGE_ROOM = "harbour_otter", "harbour_otter_gauge_room"


def make(into: Path) -> None:
    """Play the story on the open record, and write both folders anew."""
    from examples.otter_story.play import play_story
    from examples.otter_story.programme import SLUG

    from offtool.steps.dump_programme import dump_programme

    played = play_story()
    shutil.rmtree(into / PROGRAMME, ignore_errors=True)
    dump_programme(SLUG, into / PROGRAMME)
    write_gauge_room(played.files, into / GAUGE_ROOM)


def write_gauge_room(files: Mapping[tuple[str, str], bytes], folder: Path) -> None:
    """The files of the third trials and of the joint tests that are not read yet; the values of a card."""
    from examples.otter_story.joints import TESTS
    from examples.otter_story.samples import CARD
    from examples.otter_story.trials import LAST_TRIAL, RUNS

    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    for run in RUNS:
        if run.name == LAST_TRIAL:
            (folder / run.file).write_bytes(files[run.drawing.code, run.name])
    for test in TESTS:
        if not test.kept:
            (folder / test.file).write_bytes(files[test.joint, test.name])
    (folder / CARD.name).write_bytes(CARD.read_bytes())


def main() -> None:
    from offtool.setup import open_record

    with TemporaryDirectory() as folder:
        open_record(str(Path(folder) / "story.sqlite3"))
        make(HERE)


if __name__ == "__main__":
    main()
