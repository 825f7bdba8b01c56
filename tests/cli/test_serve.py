"""serve: the pages answer on this computer, and Ctrl-C ends them quietly."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

import pytest

from tests.cli.conftest import Run

PATIENCE_S = 60.0


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def first_page(address: str, server: subprocess.Popen[str]) -> str:
    """The front page, as soon as the server answers."""
    until = time.monotonic() + PATIENCE_S
    while True:
        try:
            with urlopen(address) as page:
                return str(page.read().decode("utf-8"))
        except URLError:
            assert server.poll() is None, "the server ended"
            assert time.monotonic() < until, "the server does not answer"
            time.sleep(0.1)


@pytest.mark.skipif(sys.platform == "win32", reason="Ctrl-C cannot be sent to another program there")
def test_the_pages_answer_until_ctrl_c(tmp_path: Path) -> None:
    port = free_port()
    program = Path(sys.executable).with_name("offtool")
    environment = {key: value for key, value in os.environ.items() if key != "DATABASE_URL"}
    with subprocess.Popen(
        [program, "serve", "--port", str(port), "--record", "mine.sqlite3"], cwd=tmp_path, env=environment,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    ) as server:  # fmt: skip
        try:
            page = first_page(f"http://127.0.0.1:{port}/", server)
        finally:
            server.send_signal(signal.SIGINT)
        said, complained = server.communicate(timeout=PATIENCE_S)
    assert "<title>" in page
    assert said.startswith(f"The pages are at http://127.0.0.1:{port}/ for this computer only.")
    assert "Traceback" not in complained
    assert server.returncode == 0


def test_a_port_that_is_taken_is_refused(run: Run, record: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        answer = run("serve", "--port", port)
    assert answer.exit_code == 1
    assert f"port {port} cannot be used" in answer.err


def test_the_address_can_be_had_in_json(run: Run, record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("offtool.web.server.serve", lambda host, port: None)
    assert run("serve", "--port", "8123", "--json").json == {"address": "http://127.0.0.1:8123/"}
