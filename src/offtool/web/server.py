"""The pages, served on this computer."""

from __future__ import annotations

import socket
from ipaddress import ip_address

from offtool.core.values import OfftoolError

THREADS = 4


def serve(host: str = "127.0.0.1", port: int = 8000) -> None:
    """Serve the pages until stopped. The record must be open.

    Raises OfftoolError for a host that other computers reach, and for a port that is taken or not allowed.
    """
    refuse_other_computers(host)
    import waitress
    from django.core.wsgi import get_wsgi_application

    with _open_door(host, port) as door:
        server = waitress.create_server(
            get_wsgi_application(), sockets=[door], threads=THREADS, ident="offtool"
        )
        server.run()


def _open_door(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        return socket.create_server((host, port), family=family)
    except (OSError, OverflowError) as error:
        raise OfftoolError(
            f"port {port} cannot be used: {error}", where=host, remedy="give another with --port"
        ) from error


def refuse_other_computers(host: str) -> None:
    """Raise unless the host is this computer: there are no accounts yet, so no door to the outside."""
    try:
        here = host == "localhost" or ip_address(host).is_loopback
    except ValueError:
        here = False
    if not here:
        raise OfftoolError(
            "the pages have no accounts yet: whoever reaches them could change the record",
            where=host,
            remedy="serve them on 127.0.0.1, and let others in by a door of their own, such as an SSH tunnel",
        )
