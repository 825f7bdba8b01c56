"""A PostgreSQL server for the tests: made in a temporary folder, reached by a socket, gone at the end."""

from __future__ import annotations

import os
import secrets
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit

import psycopg
from psycopg import sql

NAME = "offtool_tests"


class NoPostgres(Exception):
    """The programs of the server are not on this computer."""


def find_programs() -> Path:
    """The folder with initdb and pg_ctl: the newest of Debian's, else the one on the PATH."""
    debian = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: int(path.parts[-3]))
    if debian:
        return debian[-1].parent
    found = shutil.which("initdb")
    if found:
        return Path(found).parent
    raise NoPostgres(
        "PostgreSQL is not installed, and the record must be tried on it: install Debian's package "
        "`postgresql`, or set OFFTOOL_NO_POSTGRES=1 to go without"
    )


@contextmanager
def running_server() -> Iterator[str]:
    """A server for as long as the block runs; gives the DATABASE_URL of an empty database.

    The server refuses to run as root, so that root's tests run it as the user `postgres`, whom Debian's
    package makes. Nothing in it must survive, hence fsync is off.
    """
    programs = find_programs()
    # a socket's path must be short, so not pytest's tmp_path
    folder = Path(tempfile.mkdtemp(prefix="offtool-pg-"))
    as_owner: list[str] = []
    owner = "offtool"
    if os.name == "posix" and os.getuid() == 0:
        as_owner, owner = ["runuser", "-u", "postgres", "--"], "postgres"
        shutil.chown(folder, "postgres", "postgres")

    def run(program: str, *arguments: str) -> None:
        done = subprocess.run(
            [*as_owner, str(programs / program), *arguments],
            cwd=folder,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,  # a pipe would be held open by the server
            stderr=subprocess.PIPE if program != "pg_ctl" else subprocess.DEVNULL,
            text=True,
        )
        if done.returncode:
            log = folder / "log"
            said = (done.stderr or "") + (log.read_text() if log.exists() else "")
            raise RuntimeError(f"{program} failed: {said}")

    data = str(folder / "data")
    try:
        run(
            "initdb",
            "--pgdata",
            data,
            "--username",
            owner,
            "--auth",
            "trust",
            "--encoding",
            "UTF8",
            "--no-sync",
        )
        settings = (
            f"-k {folder} -c listen_addresses='' -c fsync=off -c full_page_writes=off -c shared_buffers=128MB"
        )
        run(
            "pg_ctl", "start", "--wait", "--pgdata", data, "--log", str(folder / "log"), "--options", settings
        )
        try:
            run("createdb", "--host", str(folder), "--username", owner, NAME)
            yield f"postgresql://{owner}@/{NAME}?host={folder}"
        finally:
            run("pg_ctl", "stop", "--wait", "--pgdata", data, "--mode", "immediate")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def make_database(url: str) -> str:
    """A new empty database on a server that runs; gives its DATABASE_URL."""
    name = f"{NAME}_{secrets.token_hex(4)}"
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
    return urlsplit(url)._replace(path=f"/{name}").geturl()
