"""A few of the kills that `python -m tests.benchmarks.kills` makes a thousand of."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.benchmarks.kills import copies, kill_often, prepare, schemas

pytestmark = pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")


def test_whatever_is_killed_while_logging_and_importing_loses_nothing_acknowledged(
    tmp_path: Path,
) -> None:
    made = copies(tmp_path, prepare(tmp_path, archives=3))

    seen = kill_often(12, lambda: next(made), tmp_path)

    assert seen.kills == 12
    assert seen.acknowledged + seen.unacknowledged > 0


def test_a_server_loses_nothing_acknowledged_either(
    server: str, tmp_path: Path
) -> None:
    made = schemas(server, prepare(tmp_path, archives=3))

    assert kill_often(2, lambda: next(made), tmp_path).kills == 2
