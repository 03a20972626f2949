"""A workspace with the small study opened in it, and the occasion of a command."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from stability.workflow import bench
from stability.workflow.occasion import Occasion
from tests.records.small_study import write_files

At = Callable[[str], Occasion]


@pytest.fixture
def nowhere(tmp_path: Path) -> Occasion:
    """Return an occasion on 1 March 2026 whose workspace is not made yet."""
    return Occasion(
        records=str(tmp_path / "stability.db"),
        now=datetime(2026, 3, 1, 9, 0, tzinfo=UTC),
        account="ana",
        zone="Europe/Dublin",
    )


@pytest.fixture(scope="session")
def opened(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a workspace with study HDC to copy: making one waits for the disk."""
    folder = tmp_path_factory.mktemp("opened")
    made = folder / "stability.db"
    now = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)
    bench.start(
        Occasion(str(made), now, "ana", zone="Europe/Dublin"),
        write_files(folder / "files"),
    )
    return made


@pytest.fixture
def at(nowhere: Occasion, opened: Path, tmp_path: Path) -> At:
    """Return a maker of occasions, by day, in a workspace with study HDC."""
    shutil.copy(opened, nowhere.records)
    write_files(tmp_path / "files")

    def on(day: str) -> Occasion:
        year, month, number = map(int, day.split("-"))
        return replace(nowhere, now=datetime(year, month, number, 12, tzinfo=UTC))

    return on
