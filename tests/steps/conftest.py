"""Fixtures of the steps' tests."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.db import transaction
from examples.make_harbour_otter import GAUGE_ROOM, HERE, PROGRAMME, write_gauge_room
from examples.otter_story.play import Played, play_story
from examples.otter_story.programme import SLUG
from pytest_django import DjangoDbBlocker

from offtool.exchange.programme import ProgrammeFolder, read_folder
from offtool.records.models import Programme
from offtool.steps.dump_programme import dump_programme
from tests.steps.clip import make_clip
from tests.steps.otter import Shown, show_all


@pytest.fixture
def clip(db: None) -> Programme:
    """The clip in the record, nothing measured yet."""
    return make_clip()


# The two that follow use the record and leave it as it was. pytest makes the record only where a test is
# marked for it, so the modules that ask for them are.


@pytest.fixture(scope="session")
def story(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Played, Path]:
    """The story of the harbour otter played anew, and the folder it was written to."""
    folder = tmp_path_factory.mktemp("story")
    with django_db_blocker.unblock(), transaction.atomic():
        played = play_story()
        dump_programme(SLUG, folder / PROGRAMME)
        transaction.set_rollback(True)
    write_gauge_room(played.files, folder / GAUGE_ROOM)
    return played, folder


@pytest.fixture(scope="session")
def shown(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Shown:
    """What offtool says of the committed otter."""
    with django_db_blocker.unblock(), transaction.atomic():
        found = show_all()
        transaction.set_rollback(True)
    return found


@pytest.fixture
def played(story: tuple[Played, Path]) -> Played:
    """The hidden truth of the otter's tools."""
    return story[0]


@pytest.fixture(scope="session")
def committed() -> ProgrammeFolder:
    """The otter's folder as it is committed."""
    return read_folder(HERE / PROGRAMME)
