"""Studies go out as archives and come in elsewhere with every line and digest."""

from __future__ import annotations

import sqlite3
import tempfile
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stability.errors import StabilityError
from stability.errors.archives import DivergingRecordError
from stability.workflow import bench, records
from stability.workflow.occasion import Occasion
from tests.records.small_study import write_files
from tests.workflow.test_records import VERBS, Verb, act

ROOT = Path(__file__).parents[1]
EXAMPLES = sorted(one.parent for one in ROOT.glob("example_studies/*/study.toml"))
START = datetime(2026, 3, 4, 9, tzinfo=UTC)
#: Texts as people write them, with what spreadsheets, TOML and JSON stumble over.
SIGNS = st.sampled_from("ab =+-@;,\"'\\\n\té日🧴")
TEXTS = st.text(SIGNS, min_size=1, max_size=12).filter(str.strip)


def stored(at: Occasion) -> list[tuple[str, ...]]:
    """Return subject, line and digest of every entry, read without our code."""
    with closing(sqlite3.connect(at.records)) as connection:
        return connection.execute(
            "SELECT subject, line, digest FROM entry ORDER BY number"
        ).fetchall()


def by_subject(at: Occasion) -> dict[str, list[tuple[str, ...]]]:
    """Return subject -> line and digest of its entries, in their order."""
    found: dict[str, list[tuple[str, ...]]] = {}
    for subject, *rest in stored(at):
        found.setdefault(subject, []).append(tuple(rest))
    return found


def workspace(folder: Path, name: str, day: int = 0) -> Occasion:
    """Return an occasion in a workspace of that name, so many days later."""
    now = START + timedelta(days=day)
    return Occasion(str(folder / name), now, "ana", zone="Europe/Dublin")


def assert_travels(at: Occasion, code: str, folder: Path) -> None:
    """Send a study out and in again twice, and compare at each station."""
    there = replace(at, records=str(folder / "there.db"))
    first = records.export(at, code, folder / "first")
    assert records.import_(there, folder / "first").outcome == "new"
    second = records.export(there, code, folder / "second")

    # A study takes the places and instruments that it cites with it, each whole.
    assert f"study:{code}" in by_subject(there)
    assert by_subject(there) == by_subject(at)
    assert first.anchors == second.anchors
    for name in first.files:
        one, other = first.target / name, second.target / name
        if one.exists():
            assert one.read_bytes() == other.read_bytes(), name
    assert records.verify(there, against=[*first.anchors, str(first.target)]).holds


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda one: one.name)
def test_every_example_travels_with_every_line_and_digest(
    example: Path, tmp_path: Path
) -> None:
    at = replace(workspace(tmp_path, "here.db"), now=datetime(2030, 1, 1, tzinfo=UTC))
    records.import_(at, example)
    (subject,) = (one for one in by_subject(at) if one.startswith("study:"))

    assert_travels(at, subject.partition(":")[2], tmp_path)


def live(at: Occasion, verbs: list[Verb], texts: list[str]) -> None:
    """Do what was drawn, and leave a note between the acts."""
    for place, verb in enumerate(verbs):
        then = replace(at, now=at.now + timedelta(days=2 * place))
        try:
            act(then, verb)
        except StabilityError:
            bench.note(then, "HDC", texts[place % len(texts)])


@settings(max_examples=8, deadline=None, derandomize=True)
@given(VERBS, st.lists(TEXTS, min_size=1, max_size=4))
def test_whatever_was_done_a_study_travels_with_every_line_and_digest(
    verbs: list[Verb], texts: list[str]
) -> None:
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        at = workspace(folder, "here.db")
        bench.start(at, write_files(folder / "files"))
        live(at, verbs, texts)

        assert_travels(at, "HDC", folder)


@settings(max_examples=8, deadline=None, derandomize=True)
@given(VERBS, st.integers(0, 3), st.integers(0, 3))
def test_an_archive_joins_where_it_continues_and_is_refused_where_it_parts(
    verbs: list[Verb], ours: int, theirs: int
) -> None:
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        at = workspace(folder, "here.db")
        bench.start(at, write_files(folder / "files"))
        live(at, verbs, ["shared"])
        shared = len(stored(at))
        there = replace(at, records=str(folder / "there.db"))
        records.import_(there, records.export(at, "HDC", folder / "shared").target)
        for place in range(ours):
            bench.note(at, "HDC", f"ours {place}")
        for place in range(theirs):
            bench.note(there, "HDC", f"theirs {place}")
        before = stored(at)
        archive = records.export(there, "HDC", folder / "theirs").target

        if ours and theirs:
            match = f"from entry {shared + 1} of study:HDC"
            with pytest.raises(DivergingRecordError, match=match):
                records.import_(at, archive)
            assert stored(at) == before
        else:
            outcome = "continues" if theirs else "contained"
            assert records.import_(at, archive).outcome == outcome
            assert stored(at) == (stored(there) if theirs else before)
            assert records.verify(at).holds
