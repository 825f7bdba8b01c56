"""The pages, served on this computer."""

from __future__ import annotations

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

    try:
        server = waitress.create_server(get_wsgi_application(), host=host, port=port, threads=THREADS, ident="offtool")
    except (OSError, OverflowError, ValueError) as error:
        raise OfftoolError(
            f"port {port} cannot be used: {error}", where=host, remedy="give another with --port"
        ) from error
    try:
        server.run()
    finally:
        server.close()


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
