"""A workspace for each test, entries to put into it, and a server of the tests' own."""

from __future__ import annotations

import os
import pwd
import shutil
import sqlite3
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import pytest

from stability.model.entry import Draft
from stability.records import journal
from stability.records.database import Database, open_database

Raw = Callable[..., list[tuple[object, ...]]]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Return where the test's workspace is."""
    return tmp_path / "stability.db"


@pytest.fixture(scope="session")
def empty_workspace(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a new workspace to copy: making one waits for the disk many times."""
    made = tmp_path_factory.mktemp("empty") / "stability.db"
    open_database(made, create=True)
    return made


@pytest.fixture
def database(path: Path, empty_workspace: Path) -> Database:
    """Return a new workspace."""
    shutil.copy(empty_workspace, path)
    return open_database(path, timeout_s=5)


@pytest.fixture
def drafts() -> Callable[..., list[Draft]]:
    """Return a maker of notes for one subject, a second apart."""

    def make(count: int, subject: str = "study:HDC", start: int = 0) -> list[Draft]:
        return [
            Draft(
                subject=subject,
                kind="noted/1",
                person="Ana",
                done="2026-03-02",
                entered=f"2026-03-02T09:{place // 60:02d}:{place % 60:02d}Z",
                content={"text": f"note {place}"},
            )
            for place in range(start, start + count)
        ]

    return make


@pytest.fixture
def filled(database: Database, drafts: Callable[..., list[Draft]]) -> Database:
    """Return a workspace of two studies whose entries take turns: six each."""
    one, other = drafts(6), drafts(6, "study:XY")
    turns = [draft for pair in zip(one, other, strict=True) for draft in pair]
    with database.writing() as connection:
        journal.append(connection, turns)
    return database


@pytest.fixture
def raw(path: Path) -> Iterator[Raw]:
    """Return a way to run SQL on the file without any of our code."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:

        def run(sql: str, *values: object) -> list[tuple[object, ...]]:
            return connection.execute(sql, values).fetchall()

        yield run


# PostgreSQL

#: Where it is set, a server that cannot be started is a failure and not a skip.
REQUIRED = "STABILITY_TEST_POSTGRESQL"
PLACES = (*Path("/usr/lib/postgresql").glob("*/bin"), Path("/usr/local/pgsql/bin"))


def missing(reason: str) -> None:
    """Skip with the reason, or fail where the server is required."""
    if os.environ.get(REQUIRED):
        pytest.fail(reason)
    pytest.skip(reason)


def server_programs() -> Path | None:
    """Return the folder of the server's programs; None where there are none."""
    found = shutil.which("initdb")
    if found is not None:
        return Path(found).resolve().parent
    return next((one for one in PLACES if (one / "initdb").exists()), None)


def server_account() -> dict[str, Any]:
    """Return as whom to run the server, which refuses root."""
    if os.geteuid() != 0:
        return {}
    account = pwd.getpwnam("postgres")
    return {"user": account.pw_uid, "group": account.pw_gid, "extra_groups": []}


@contextmanager
def running_server(programs: Path) -> Iterator[str]:
    """Give the address of a new server whose language sorts unlike bytes do.

    Its folder is short and belongs to its account: the path of a socket has at most
    107 bytes, and the folders of the test run belong to root.
    """
    account = server_account()
    folder = Path(tempfile.mkdtemp(prefix="pg-"))
    if account:
        os.chown(folder, account["user"], account["group"])
    options: dict[str, Any] = {"cwd": "/", "stdout": subprocess.DEVNULL, **account}
    place, log = str(folder / "records"), str(folder / "log")
    initdb = [
        str(programs / "initdb"), "-D", place, "-U", "owner", "-A", "trust",
        "-E", "UTF8", "--locale-provider=icu", "--icu-locale=de", "--locale=C",
        "--no-sync",
    ]  # fmt: skip
    settings = f"-c fsync=off -c listen_addresses= -c unix_socket_directories={folder}"
    control = [str(programs / "pg_ctl"), "-D", place, "-w"]
    try:
        subprocess.run(initdb, check=True, **options)
        start = [*control, "-l", log, "-o", settings, "start"]
        subprocess.run(start, check=True, **options)
        try:
            yield f"postgresql://owner@/postgres?host={folder}"
        finally:
            stop = [*control, "-m", "immediate", "stop"]
            subprocess.run(stop, check=True, **options)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(scope="session")
def server() -> Iterator[str]:
    """Return the address of a server that lasts for the test run."""
    try:
        import psycopg

        assert psycopg.__version__
    except ImportError:
        missing("psycopg is not installed")
    programs = server_programs()
    if programs is None:
        missing("no PostgreSQL server is installed")
        return
    with running_server(programs) as address:
        yield address


@pytest.fixture
def server_address(server: str, request: pytest.FixtureRequest) -> str:
    """Return the address of an empty schema of the test's own."""
    import psycopg

    schema = f"test_{abs(hash(request.node.nodeid)):x}"
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f"CREATE SCHEMA {schema}".encode())
    return f"{server}&options=-csearch_path%3D{schema}"


@pytest.fixture(params=["sqlite", "postgresql"])
def either(
    request: pytest.FixtureRequest, path: Path, empty_workspace: Path
) -> Database:
    """Return a new workspace on each kind of database in turn."""
    if request.param == "postgresql":
        address = request.getfixturevalue("server_address")
        return open_database(address, create=True, timeout_s=5)
    shutil.copy(empty_workspace, path)
    return open_database(path, timeout_s=5)
