"""Rows that the record says already, and rows that say something else."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from stability.errors.files import RowsError
from stability.model.entry import chain
from stability.model.moment import moment_at
from stability.records.continuation import Continuation
from stability.records.event_rows import RowRules, TakenRow, add_rows
from stability.records.instrument_names import InstrumentNames
from stability.records.opening import new_study, opening_draft
from stability.records.rows import read_rows
from stability.records.store import continue_entries
from tests.records.metered_study import METERED
from tests.records.small_study import NOW, ROOM_A, ZONE, opening_entry, write_files

HEAD = "kind,done,sample,check,attribute,reading,settings,refers_to,because\n"
PLACED = f"placed,2026-03-12,{ROOM_A},,,,,,\n"
READ = f"observed,2026-03-26,{ROOM_A},2w,pH,5.47/5.49,pH.dilution=10 %,,\n"


@pytest.fixture
def rules() -> RowRules:
    """Return the rules under which a file is logged."""
    return RowRules(
        file="day.csv", person="Ana", account="ana", now=NOW,
        entered_is_done=False, accept_far=True, skips_stored=True,
    )  # fmt: skip


@pytest.fixture
def book(tmp_path: Path, rules: RowRules) -> Continuation:
    """Return a study with one observation stored."""
    first = continue_entries([opening_entry(tmp_path)])
    add_rows(first, read_rows(HEAD + PLACED + READ, "day.csv"), rules)
    return continue_entries([opening_entry(tmp_path), *first.added])


def take(book: Continuation, rules: RowRules, *rows: str) -> tuple[TakenRow, ...]:
    """Take in rows."""
    return add_rows(book, read_rows(HEAD + "".join(rows), "day.csv"), rules)


def refused(book: Continuation, rules: RowRules, *rows: str) -> str:
    """Return why rows are refused."""
    with pytest.raises(RowsError) as caught:
        take(book, rules, *rows)
    return str(caught.value)


def test_a_row_that_is_stored_already_is_passed_over(
    book: Continuation, rules: RowRules
) -> None:
    (taken,) = take(book, rules, READ)

    assert taken.entry is None
    assert taken.stands_as is not None
    assert taken.stands_as.position == 3
    assert book.added == []


def test_a_row_without_its_check_is_known_too(
    book: Continuation, rules: RowRules
) -> None:
    # Once 2w is read, the nearest open check would be 4w: it must not become that.
    (taken,) = take(book, rules, READ.replace(",2w,", ",,"))

    assert taken.entry is None


@pytest.mark.parametrize(
    ("old", "new"),
    [("5.49", "5.4"), ("10 %", "1 %"), ("5.47/", ""), ("03-26", "03-27")],
)
def test_a_row_that_differs_is_told_how_to_put_it_right(
    book: Continuation, rules: RowRules, old: str, new: str
) -> None:
    told = refused(book, rules, READ.replace(old, new, 1))

    assert "correct HDC/3" in told
    assert "--repeat" in told


def test_digits_count_so_that_a_lost_zero_is_noticed(
    book: Continuation, rules: RowRules
) -> None:
    told = refused(book, rules, READ.replace("5.47/5.49", "5.470/5.49"))

    assert "is recorded as HDC/3" in told


@pytest.mark.parametrize(
    "after",
    [
        "corrected,,,,,5.57/5.59,,3,digits exchanged\n",
        "invalidated,2026-03-27,,,,,,3,electrode dry\n",
    ],
)
def test_what_was_put_right_since_does_not_come_back(
    book: Continuation, rules: RowRules, after: str
) -> None:
    take(book, rules, after)

    (taken,) = take(book, rules, READ)

    assert taken.entry is None
    assert taken.stands_as is not None
    assert not taken.stands_as.stands


def test_two_rows_of_one_file_that_say_the_same_are_a_slip(
    book: Continuation, rules: RowRules
) -> None:
    new = f"observed,2026-04-09,{ROOM_A},,spread,60,,,\n"

    assert "an earlier row of this file says the same" in refused(book, rules, new, new)


def test_a_note_that_is_stored_is_passed_over(
    book: Continuation, rules: RowRules
) -> None:
    note = f"noted,2026-03-26,{ROOM_A},,,,,,lid loose\n"
    take(book, rules, note)
    count = len(book.added)

    taken = take(book, rules, note, note.replace("lid", "pump"))

    assert [one.entry is None for one in taken] == [True, False]
    assert len(book.added) == count + 1


def test_a_folder_takes_every_row_as_it_stands(book: Continuation) -> None:
    folder = RowRules(
        file="events.csv", person="Ana", account="ana", now=NOW,
        entered_is_done=True, accept_far=True,
    )  # fmt: skip

    with pytest.raises(RowsError, match="is recorded as"):
        take(book, folder, READ)


def test_an_instrument_is_known_by_its_short_name_the_second_time(
    tmp_path: Path, rules: RowRules
) -> None:
    write_files(tmp_path, protocol=METERED)
    new = new_study(tmp_path / "study.toml", (), None)
    day = datetime(2026, 3, 1, tzinfo=UTC)
    opened = chain([opening_draft(new, "Ana", moment_at(day, ZONE), day)])
    first = continue_entries(opened)
    first.names = InstrumentNames(lambda: {"PH1-9XR2": "pH meter"})
    read = READ.replace("pH.dilution=10 %", "pH.instrument=PH1")
    take(first, rules, PLACED, read)
    again = continue_entries([*opened, *first.added])
    again.names = first.names

    (taken,) = take(again, rules, read)

    assert taken.entry is None
    assert taken.stands_as is not None
    assert taken.stands_as.settings == {"instrument": "PH1-9XR2"}
