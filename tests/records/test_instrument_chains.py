"""The instruments that a study names, from a workspace and as of a day."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from stability.model import content
from stability.model.observation import Reading
from stability.model.study_record import StudyRecord
from stability.records import journal
from stability.records.database import Database
from stability.records.instrument_chains import around, chains_in, chains_kept, cited
from tests.records.small_study import BULK_A, add, opened_book
from tests.records.test_instruments import made, registered


def record(folder: Path, *stated: str | None) -> StudyRecord:
    """Return the small study with a pH for each instrument stated."""
    book = opened_book(folder)
    for place, name in enumerate(stated):
        settings = {"instrument": name} if name else {}
        held = content.observed(BULK_A, "pH", None, [Reading("5.5")], settings=settings)
        add(book, content.OBSERVED, held, f"2026-03-{place + 4:02d}")
    return book.record


def filled(database: Database) -> None:
    """Store three meters, two of one short name, one of them calibrated."""
    with database.writing() as connection:
        journal.append(
            connection,
            [registered("PH1"), registered("PH1", "7KQ4"), registered("PH2", "CCCC"),
             made("2026-03-02")],
        )  # fmt: skip


def test_each_name_is_cited_once(tmp_path: Path) -> None:
    study = record(tmp_path, "PH1", None, "PH2", "PH1")

    assert cited(study) == ("PH1", "PH2")


def test_only_what_is_named_is_read_and_each_whole(
    either: Database, tmp_path: Path
) -> None:
    filled(either)
    whole, short = (
        record(tmp_path / "a", "PH1-9XR2"),
        record(tmp_path / "b", "ph1", "X"),
    )
    nothing = record(tmp_path / "c", None)

    with either.reading() as connection:
        every = [
            one
            for subject in journal.subjects(connection)
            for one in journal.entries(connection, subject)
        ]
        for study, subjects in (
            (whole, ["instrument:PH1-9XR2"]),
            (short, ["instrument:PH1-7KQ4", "instrument:PH1-9XR2"]),
            (nothing, []),
        ):
            kept = chains_kept(connection, study)
            assert list(kept) == subjects
            assert {key: list(one) for key, one in kept.items()} == dict(
                chains_in(every, study)
            )
    assert len(chains_in(every, whole)["instrument:PH1-9XR2"]) == 2


def test_as_of_a_day_each_is_taken_as_it_was_stored(
    database: Database, tmp_path: Path
) -> None:
    filled(database)
    study = record(tmp_path, "PH1-9XR2")
    with database.reading() as connection:
        chains = chains_kept(connection, study)

    def known(day: date) -> list[tuple[str, int]]:
        found = around(chains, study, day).instruments
        return [(code, one.head.position) for code, one in found.items()]

    assert known(date(2026, 1, 1)) == []
    assert known(date(2026, 3, 1)) == [("PH1-9XR2", 1)]
    assert known(date(2026, 3, 2)) == [("PH1-9XR2", 2)]
