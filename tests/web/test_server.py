"""The server speaks to this computer only."""

from __future__ import annotations

import socket

import pytest

from offtool.core.values import OfftoolError
from offtool.web.server import refuse_other_computers, serve


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "", "192.168.1.7", "example", "127.0.0.1.example", "*"])
def test_a_host_that_others_reach_is_refused_because_there_are_no_accounts(host: str) -> None:
    with pytest.raises(OfftoolError, match="no accounts yet"):
        serve(host, 8000)


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost", "::1"])
def test_this_computer_is_allowed(host: str) -> None:
    refuse_other_computers(host)


def test_a_taken_port_is_named_with_the_remedy() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(OfftoolError, match=f"port {port} cannot be used") as error:
            serve("127.0.0.1", port)
    assert error.value.remedy == "give another with --port"
