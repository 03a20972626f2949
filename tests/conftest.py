"""A PostgreSQL server that the test run starts itself, for every test that asks."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

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


#: Processes of a divided run are told the width of the terminal; tests tell their own.
os.environ.pop("COLUMNS", None)


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
