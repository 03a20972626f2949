"""Rows of a file: one entry each, all faults at once, nothing half written."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stability.errors import StabilityError
from stability.errors.files import RowsError
from stability.errors.samples import FarReadingError
from stability.model import content
from stability.records.continuation import Continuation
from stability.records.event_rows import RowRules, add_rows
from stability.records.rows import COLUMNS, read_rows
from tests.records.small_study import (
    BULK_A,
    FT_A,
    NOW,
    ROOM_A,
    ROOM_B,
    SPARE_A,
    T40_2W,
    T40_4W,
    opened_book,
)


def row(**cells: str) -> str:
    """Return one row of the file."""
    return ",".join(f'"{cells.get(name, "")}"' for name in COLUMNS)


def take(
    book: Continuation,
    *rows: str,
    decimal_comma: bool = False,
    accept_far: bool = True,
    entered_is_done: bool = True,
) -> None:
    """Add rows to a study."""
    text = "\n".join([",".join(COLUMNS), *rows, ""])
    rules = RowRules(
        file="events.csv",
        person="Ana Reyes",
        account="ana",
        now=NOW,
        entered_is_done=entered_is_done,
        decimal_comma=decimal_comma,
        accept_far=accept_far,
    )
    add_rows(book, read_rows(text, "events.csv"), rules)


T0 = row(done="2026-03-05", sample="001-5", attribute="pH", reading="5.50/5.52")
IN_T40 = row(kind="placed", done="2026-03-06", sample=T40_2W)
IN_ROOM = row(kind="placed", done="2026-03-06", sample=ROOM_A, reading="ROOM")


def test_a_row_becomes_an_entry_at_the_position_of_its_line(
    book: Continuation,
) -> None:
    take(book, T0, IN_T40, IN_ROOM)

    assert [one.kind for one in book.added] == ["observed/1", "placed/1", "placed/1"]
    assert [one.position for one in book.added] == [2, 3, 4]
    seen = book.observation(2)
    assert seen is not None
    assert (seen.sample, seen.check, seen.person) == (BULK_A, "T0", "Ana Reyes")


def test_in_a_folder_a_row_was_stored_when_it_was_done(book: Continuation) -> None:
    take(
        book,
        row(done="2026-03-05T10:30", sample="001-5", attribute="pH", reading="5.5/5.5"),
        IN_T40,
    )

    assert book.added[0].entered == "2026-03-05T10:30:00Z"
    assert book.added[1].entered == "2026-03-06T12:00:00Z"


def test_entered_may_be_later_than_done(book: Continuation) -> None:
    late = row(kind="placed", done="2026-03-06", entered="2026-03-09", sample=T40_2W)

    take(book, late)

    assert book.added[0].entered == "2026-03-09T12:00:00Z"


def test_a_logged_file_is_stored_now(book: Continuation) -> None:
    take(book, IN_T40, entered_is_done=False)

    assert book.added[0].entered == "2026-06-01T09:00:00Z"


def test_every_kind_can_be_written_as_a_row(book: Continuation) -> None:
    take(
        book,
        row(
            kind="day",
            done="2026-03-05",
            person="Ben",
            settings="pH.dilution=10 %; odour.control=005Y; blind=yes",
            observers="Ana; Ben",
        ),
        row(
            done="2026-03-05",
            sample="001-5",
            attribute="pH",
            reading="5.5/5.52",
            unit="pH",
            settings="electrode=E2",
        ),
        row(done="2026-03-05", sample="005Y", attribute="w", reading="80.1", unit="g"),
        row(done="2026-03-05", sample="001-5", attribute="odour", reading="0/1"),
        row(kind="corrected", refers_to="3", reading="5.4/5.42", because="typo"),
        row(kind="invalidated", done="2026-03-06", refers_to="5", because="a cold"),
        row(kind="placed", done="2026-03-06", sample="013Y", settings="at=FRIDGE"),
        row(kind="placed", done="2026-03-07", sample="013Y", settings="step=next"),
        IN_ROOM,
        IN_T40,
        row(kind="placed", done="2026-03-06", sample=T40_4W),
        row(
            kind="retired",
            done="2026-03-08",
            sample=T40_4W,
            reading="broken",
            because="fell",
        ),
        row(
            kind="placed",
            done="2026-03-09",
            sample=SPARE_A,
            settings=f"replaces={T40_4W}",
        ),
        row(
            kind="missed",
            done="2026-03-22",
            check="2w",
            sample="005Y",
            because="away",
        ),
        row(kind="stopped", done="2026-04-01", settings="batch=B", because="recalled"),
        row(kind="noted", done="2026-04-01", because="lid loose", sample="005Y"),
        row(
            kind="lodged",
            done="2026-04-01",
            reading="Dr Orla Keane",
            because="by post",
        ),
        row(kind="taken-over", done="2026-04-01", because="green notebook"),
    )

    record = book.record
    assert record.head.position == 19
    assert record.lodgings[0].receiver == "Dr Orla Keane"
    assert record.lodgings[0].fingerprint == record.opening.fingerprint
    assert record.taken_over is not None
    observed = book.observation(3)
    assert observed is not None
    assert observed.settings == {"dilution": "10 %", "electrode": "E2"}
    assert observed.person == "Ben", "the day names who logs"
    odour = book.observation(5)
    assert odour is not None
    assert (odour.observers, odour.blind, odour.control) == (
        ("Ana", "Ben"),
        True,
        ROOM_A,
    )
    corrected = book.observation(6)
    assert corrected is not None
    assert corrected.settings == {"dilution": "10 %", "electrode": "E2"}
    assert str(corrected.done) == "2026-03-05"
    assert [one.how for one in record.placings_of(FT_A)] == ["in", "step"]
    assert record.replacement_of(T40_4W) == SPARE_A
    assert record.missed[0].samples == (ROOM_A,)
    assert record.stops[0].scope == {"batch": "B"}
    assert record.notes[0].text == "lid loose"


def test_a_swap_is_a_row_for_each_of_the_two(book: Continuation) -> None:
    take(
        book,
        IN_ROOM,
        IN_T40,
        row(
            kind="placed",
            done="2026-03-08",
            sample=ROOM_A,
            reading="T40",
            settings=f"swap_with={T40_2W}",
            because="mixed up",
        ),
        row(
            kind="placed",
            done="2026-03-08",
            sample=T40_2W,
            reading="ROOM",
            settings=f"swap_with={ROOM_A}",
            because="mixed up",
        ),
    )

    assert book.record.placings_of(ROOM_A)[-1].condition == "T40"
    assert book.record.placings_of(T40_2W)[-1].condition == "ROOM"


def test_a_sample_is_taken_out_by_the_word_out(book: Continuation) -> None:
    out = row(
        kind="placed", done="2026-03-09", sample=ROOM_A, reading="out", because="done"
    )

    take(book, IN_ROOM, out)

    assert book.record.placings[-1].how == "out"


def faults_of(book: Continuation, *rows: str) -> list[str]:
    """Return the faults of rows that cannot be taken."""
    with pytest.raises(RowsError) as caught:
        take(book, *rows)
    return list(caught.value.faults)


def test_every_fault_of_every_row_is_told_with_its_line(book: Continuation) -> None:
    faults = faults_of(
        book,
        T0,
        row(done="2026-03-05", sample="001-5", attribute="spread", reading="6,1"),
        row(kind="observd", done="2026-03-05", sample="001-5"),
        row(done="2026-02-30", sample="001-5", attribute="spread", reading="60"),
        row(done="2026-03-05", sample="001-6", attribute="spread", reading="60"),
        row(done="2026-03-05", sample="001-5", attribute="sep", reading="4"),
        row(done="2026-03-05", sample="001-5", reading="4"),
        row(done="2026-03-05", sample="001-5", attribute="spread"),
        row(
            done="2026-03-05",
            sample="001-5",
            attribute="spread",
            reading="60",
            unit="cm",
        ),
        row(sample="001-5", attribute="spread", reading="60"),
        row(
            done="2026-03-05",
            sample="001-5",
            attribute="spread",
            reading="60",
            settings="load",
        ),
        row(kind="stopped", done="2026-03-06", settings="load=2", because="x"),
        row(
            done="2026-03-05",
            sample="001-5",
            attribute="odour",
            reading="0",
            settings="blind=maybe",
        ),
    )

    lines = [int(one.partition(":")[0].removeprefix("line ")) for one in faults]
    assert lines == list(range(3, 15))
    assert "column kind: there is no kind 'observd'; did you mean" in faults[1]


def test_what_refers_to_a_bad_row_is_no_fault_of_its_own(book: Continuation) -> None:
    faults = faults_of(
        book,
        row(done="2026-03-05", sample="001-5", attribute="pH", reading="56"),
        row(kind="corrected", refers_to="2", reading="5.6", because="typo"),
        row(kind="corrected", refers_to="9", reading="5.6", because="typo"),
    )

    assert len(faults) == 2
    assert faults[0].startswith("line 2: pH 56")
    assert faults[1].startswith("line 4:")


def test_far_readings_wait_for_a_word_unless_something_is_wrong(
    book: Continuation,
) -> None:
    far = row(done="2026-03-20", sample=ROOM_A, attribute="pH", reading="6.5/6.5")

    with pytest.raises(FarReadingError, match=r"line 4: HDC-005-Y pH 6\.5"):
        take(book, T0, IN_ROOM, far, accept_far=False)


def test_a_file_may_declare_a_decimal_comma(book: Continuation) -> None:
    comma = row(done="2026-03-05", sample="001-5", attribute="pH", reading="5,50/5,52")

    take(book, comma, decimal_comma=True)

    assert book.added[0].content["readings"][0]["value"] == "5.50"


def test_the_same_rows_give_the_same_digests(tmp_path: Path) -> None:
    one, two = opened_book(tmp_path / "one"), opened_book(tmp_path / "two")

    for each in (one, two):
        take(each, T0, IN_T40)

    assert one.head == two.head
    assert one.head.position == 3


def test_a_repeat_names_the_first_and_its_reason(book: Continuation) -> None:
    again = row(
        done="2026-03-05",
        sample="001-5",
        attribute="pH",
        reading="5.51/5.51",
        refers_to="2",
        because="doubted",
    )

    take(book, T0, again)

    seen = book.observation(3)
    assert seen is not None
    assert (seen.repeats, seen.because) == (2, "doubted")


def test_a_held_place_is_never_stored_as_if_it_were_read(book: Continuation) -> None:
    faults_of(book, row(done="2026-03-05", sample=ROOM_B, reading="x"))

    assert [one.kind for one in book.added] == [content.NOTED]
    assert book.added[0].content["text"] == "a row that could not be read"


def test_a_time_without_offset_is_local(book: Continuation) -> None:
    summer = row(kind="placed", done="2026-04-06T10:00", sample=T40_2W)

    take(book, summer)

    assert book.added[0].done == "2026-04-06T10:00:00+01:00"
    stored = datetime(2026, 4, 6, 9, 0, tzinfo=UTC)
    assert book.added[0].entered == stored.strftime("%Y-%m-%dT%H:%M:%SZ")


def test_a_reason_that_cannot_be_kept_is_refused_with_its_line(
    book: Continuation,
) -> None:
    broken = row(kind="placed", done="2026-03-06", sample="009-Q", because="\x00")

    with pytest.raises(RowsError, match=r"line 2: “because” holds the character U"):
        take(book, broken)


#: What stands in the column `kind`, and what nobody knows.
KINDS = (
    "observed", "corrected", "invalidated", "placed", "retired", "missed", "day",
    "stopped", "noted", "lodged", "taken-over", "dreamt",
)  # fmt: skip
CELLS = {
    "kind": ["", *KINDS],
    "done": ["", "2026-03-05", "2026-03-20T09:15", "2026-13-01", "5.3.2026"],
    "entered": ["", "2026-03-05T10:00:00Z"],
    "sample": ["", "001-5", "HDC-009-Q", "009-X", "017-Q", "x"],
    "check": ["", "T0", "2w", "extra", "c2", "9w"],
    "attribute": ["", "pH", "odour", "w", "sep", "nothing"],
    "reading": ["", "5.50/5.52", "0/1", "not-measured", "broken", "NaN", "1e9", "-1"],
    "settings": ["", "dilution=10 %", "batch=A", "step=next", "=", "a=b=c"],
    "observers": ["", "Ana; Ben", ";", "Ana"],
    "refers_to": ["", "1", "2", "HDC/3", "0", "99", "x"],
    "because": ["", "seen", "=1+1", "\u202e", "\x00\x00"],
}


@settings(
    max_examples=60,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    rows=st.lists(
        st.fixed_dictionaries(
            {
                name: st.one_of(
                    st.sampled_from(cells),
                    st.text(
                        st.characters(codec="utf-8", exclude_characters='"'), max_size=6
                    ),
                )
                for name, cells in CELLS.items()
            }
        ),
        min_size=1,
        max_size=4,
    )
)
def test_whatever_the_rows_are_they_are_taken_or_refused_in_words(
    tmp_path: Path, rows: list[dict[str, str]]
) -> None:
    book = opened_book(tmp_path)
    said = ""
    try:
        take(book, *(row(**cells) for cells in rows))
    except StabilityError as refused:
        said = str(refused)

    assert said or len(book.added) <= len(rows)
    assert "Traceback" not in said
