"""What waits for an answer is worked out after what was told, and never in its way."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from stability.records import answers
from stability.records.database import open_database
from stability.workflow import bench, records, studies
from stability.workflow.awaited import catch_up
from stability.workflow.follow_ups import follow_up
from stability.workflow.occasion import Occasion
from tests.records.small_study import BULK_A, ROOM_A, STUDY, write_files

At = Callable[[str], Occasion]
HDC = ["study:HDC"]


def lagging(at: Occasion) -> list[str]:
    """Return the studies whose missing answers are not worked out."""
    with open_database(at.records).reading() as connection:
        return [one.study for one in answers.lagging(connection)]


def told(at: Occasion, study: str | None = None) -> list[tuple[str, str]]:
    """Return kind and words of what waits for an answer."""
    return [(one.kind, one.text) for one in studies.due(at, study=study).awaited]


def log_low(at: Occasion) -> str:
    """Log a pH below its limit; return its words in `due`."""
    low = bench.log(at, BULK_A, ["pH=4.50/4.52"], accept_far=True)
    return f"follow-up {low[0].reference}: pH of {BULK_A} at T0"


def broken(_record: object) -> tuple[object, ...]:
    """Judge nothing."""
    raise KeyError("odour")


def test_due_tells_the_same_before_and_after_it_was_worked_out(at: At) -> None:
    words = log_low(at("2026-03-05"))

    assert lagging(at("2026-03-05")) == ["HDC"]
    assert told(at("2026-03-05")) == [("follow-up", words)]

    catch_up(at("2026-03-05"), HDC)

    assert lagging(at("2026-03-05")) == []
    assert told(at("2026-03-05")) == [("follow-up", words)]


def test_an_answer_is_told_at_once_though_the_rows_lag_behind(at: At) -> None:
    log_low(at("2026-03-05"))
    catch_up(at("2026-03-05"), HDC)

    follow_up(
        at("2026-03-05"), "HDC/2", outcome="confirmed", because="again",
        checked=["right sample=yes", "calibration=yes", "repeat reading=yes"],
    )  # fmt: skip

    assert told(at("2026-03-05")) == []


def test_only_studies_that_were_written_to_are_judged(at: At, tmp_path: Path) -> None:
    bench.start(
        at("2026-03-02"), write_files(tmp_path / "two", STUDY.replace("HDC", "QDC"))
    )
    catch_up(at("2026-03-02"), HDC)
    assert lagging(at("2026-03-02")) == [], "a study never judged is judged besides"
    bench.note(at("2026-03-05"), "QDC", "moved")
    log_low(at("2026-03-05"))

    catch_up(at("2026-03-05"), HDC)

    assert lagging(at("2026-03-05")) == ["QDC"]


def test_what_is_no_study_is_not_judged(at: At) -> None:
    log_low(at("2026-03-05"))

    catch_up(at("2026-03-05"), ["instrument:PHM-K7", "place:ROOM-4C"])

    assert lagging(at("2026-03-05")) == ["HDC"]


def test_a_fault_in_judging_is_silent_after_storing_and_told_by_due(
    at: At, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    bench.start(
        at("2026-03-02"), write_files(tmp_path / "two", STUDY.replace("HDC", "QDC"))
    )
    log_low(at("2026-03-05"))
    with monkeypatch.context() as changed:
        changed.setattr("stability.evaluation.awaiting.awaiting", broken)
        catch_up(at("2026-03-05"), HDC)

        assert lagging(at("2026-03-05")) == ["HDC", "QDC"]
        assert told(at("2026-03-05"), "hdc") == [
            ("follow-up",
             "what lies outside could not be worked out; see stability show HDC"),
        ]  # fmt: skip
        assert len(told(at("2026-03-05"))) == 2

    catch_up(at("2026-03-05"), HDC)

    assert lagging(at("2026-03-05")) == []


def test_records_that_cannot_be_written_are_read_all_the_same(
    at: At, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = log_low(at("2026-03-05"))

    def refused(*_: object) -> None:
        raise sqlite3.OperationalError("attempt to write a readonly database")

    monkeypatch.setattr("stability.records.derived.keep_awaited", refused)
    catch_up(at("2026-03-05"), HDC)

    assert lagging(at("2026-03-05")) == ["HDC"]
    assert told(at("2026-03-05")) == [("follow-up", words)]


def test_records_that_are_gone_raise_nothing(nowhere: Occasion) -> None:
    catch_up(nowhere, HDC)

    assert not Path(nowhere.records).exists()


def test_a_workspace_of_an_earlier_version_is_brought_up(at: At) -> None:
    words = log_low(at("2026-03-05"))
    with sqlite3.connect(at("2026-03-05").records) as connection:
        connection.executescript("DROP TABLE awaited; DROP TABLE awaited_until")
    assert told(at("2026-03-05")) == [("follow-up", words)]

    catch_up(at("2026-03-05"), HDC)

    assert lagging(at("2026-03-05")) == []
    assert told(at("2026-03-05")) == [("follow-up", words)]


def test_a_folder_is_judged_where_it_stands(at: At, tmp_path: Path) -> None:
    words = log_low(at("2026-03-05"))
    records.export(at("2026-03-05"), "HDC", tmp_path / "archive")

    assert told(at("2026-03-05"), str(tmp_path / "archive")) == [("follow-up", words)]


def test_what_waits_is_listed_from_its_day_on(at: At) -> None:
    log_low(at("2026-03-05"))

    found = studies.due(at("2026-03-05"), as_of="2026-03-01", within="3d").awaited
    later = studies.due(at("2026-03-05"), as_of="2026-03-01", within="4d").awaited

    assert found == ()
    assert [(one.due, one.state) for one in later] == [(date(2026, 3, 5), "coming")]


def flaws(at: Occasion, *, rebuild: bool = False) -> list[str]:
    """Return where verifying finds a fault."""
    return [one.where for one in records.verify(at, rebuild=rebuild).flaws]


@pytest.mark.parametrize("rebuild", [False, True])
def test_rows_that_lag_behind_are_no_difference(at: At, rebuild: bool) -> None:
    bench.place(at("2026-03-05"), [ROOM_A])
    catch_up(at("2026-03-05"), HDC)
    log_low(at("2026-03-05"))

    assert flaws(at("2026-03-05"), rebuild=rebuild) == []


@pytest.mark.parametrize(
    ("change", "found"),
    [
        ("UPDATE awaited SET text = 'x'", "awaited of study HDC: 2 rows differ"),
        ("DELETE FROM awaited", "awaited of study HDC: 1 rows differ"),
        (
            "UPDATE awaited_until SET position = 9",
            "awaited_until of study HDC: the record has no such entry",
        ),
        (
            "UPDATE awaited_until SET rows_sha256 = 'x'",
            "awaited_until of study HDC: what it says of the rows does not hold",
        ),
        (
            "UPDATE awaited_until SET position = 1",
            "awaited of study HDC: 1 rows differ",
        ),
        (
            "INSERT INTO awaited VALUES ('QDC', 'result', '', '', '', 0, '')",
            "awaited holds study QDC, which the journal does not know",
        ),
    ],
)
def test_rows_that_are_not_those_of_their_entry_are_told(
    change: str, found: str, at: At
) -> None:
    log_low(at("2026-03-05"))
    catch_up(at("2026-03-05"), HDC)
    assert flaws(at("2026-03-05"), rebuild=True) == []

    with sqlite3.connect(at("2026-03-05").records) as connection:
        connection.execute(change)

    assert flaws(at("2026-03-05")) == [found]


def test_rows_and_digest_changed_together_are_found_by_a_rebuild(
    at: At, monkeypatch: pytest.MonkeyPatch
) -> None:
    log_low(at("2026-03-05"))
    with monkeypatch.context() as changed:
        changed.setattr("stability.evaluation.awaiting.awaiting", lambda _: ())
        catch_up(at("2026-03-05"), HDC)

    assert flaws(at("2026-03-05")) == []
    assert flaws(at("2026-03-05"), rebuild=True) == [
        "awaited of study HDC: 1 rows differ"
    ]

    monkeypatch.setattr("stability.evaluation.awaiting.awaiting", broken)
    (fault,) = flaws(at("2026-03-05"), rebuild=True)
    assert fault.startswith("awaited of study HDC cannot be compared")
