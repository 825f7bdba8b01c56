"""Fixtures of the pages: a record with one trial read, and a browser before a server of its own."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from tests.web import otter

TOP = Path(__file__).resolve().parents[2]
TRIAL = f"/p/{otter.SLUG}/{otter.TOOL}/{otter.TRIAL}/"


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Files between preview and keep lie in a folder of the test."""
    monkeypatch.setenv("OFFTOOL_RECORD", str(tmp_path / "record.sqlite3"))
    return tmp_path


@pytest.fixture
def client() -> Client:
    """A browser without eyes, which checks the forms' tokens as a real one would."""
    return Client(headers={"host": "localhost"})


@pytest.fixture
def trial(db: None) -> str:
    """The address of a trial that is read."""
    otter.make_programme()
    otter.read_trial(otter.readings_csv())
    return TRIAL


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    """Debian's Chromium; as root it runs without its sandbox."""
    quiet = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]
    return {**browser_type_launch_args, "executable_path": "/usr/bin/chromium", "args": quiet}


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The pages as users get them, over a record with one trial read."""
    with served("tests.web.serve_otter", tmp_path_factory.mktemp("served")) as address:
        yield address


@contextmanager
def served(module: str, folder: Path) -> Iterator[str]:
    """Our server in a process of its own; the module makes the record and serves it."""
    record = folder / "record.sqlite3"
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    environment = {key: value for key, value in os.environ.items() if key != "DATABASE_URL"}
    command = [sys.executable, "-m", module, str(record), str(port)]
    process = subprocess.Popen(
        command, cwd=TOP, env={**environment, "PYTHONPATH": f"{TOP}{os.pathsep}{TOP / 'src'}"}
    )
    try:
        yield _when_ready(f"http://127.0.0.1:{port}", process)
    finally:
        process.terminate()
        process.wait(timeout=10)


def _when_ready(address: str, process: subprocess.Popen[bytes]) -> str:
    for _ in range(600):
        try:
            with urllib.request.urlopen(address, timeout=5):
                return address
        except (urllib.error.URLError, TimeoutError):
            if process.poll() is not None:
                raise RuntimeError("the server ended before its first page") from None
            time.sleep(0.1)
    raise RuntimeError("the server was not ready in a minute")
