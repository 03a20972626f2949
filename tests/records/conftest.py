"""A workspace for each test, entries to put into it, and the small study opened."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import Connection, create_engine

from stability.model.entry import Draft
from stability.records import journal
from stability.records.continuation import Continuation
from stability.records.database import Database, open_database
from stability.records.tables import DERIVED, metadata
from tests.records.small_study import opened_book

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


@pytest.fixture
def book(tmp_path: Path) -> Continuation:
    """Return a study just opened."""
    return opened_book(tmp_path)


@pytest.fixture
def connection() -> Iterator[Connection]:
    """Return a connection to empty derived tables."""
    engine = create_engine("sqlite://")
    with engine.begin() as made:
        metadata.create_all(made, tables=DERIVED)
        yield made
    engine.dispose()
