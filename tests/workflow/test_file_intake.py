"""A file taken in whole, once, or not at all; and what it would do."""

from __future__ import annotations

import csv
import json
import shutil
import sqlite3
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from stability.errors import StabilityError
from stability.errors.files import DayOrderError, ReceivedFileError, RowsError
from stability.errors.samples import FarReadingError
from stability.errors.studies import StudyNeededError
from stability.records.attachment import fetch
from stability.records.database import open_database
from stability.workflow import bench
from stability.workflow.file_forms import FileForms, LoggedFile
from stability.workflow.occasion import Occasion
from tests.benchmarks import log_file
from tests.records.small_study import ROOM_A, ROOM_B, T40_2W
from tests.records.workbooks import new_sheet, saved
from tests.workflow.conftest import At

WIDE = """\
sample,date,pH 1,pH 2,spread,sep,note
005-Y,2026-03-26,5.47,5.49,60,none,lid loose
006-W,2026-03-26,5.45,5.46,,,
009-Q,2026-03-26,5.40,5.42,61,layer,
"""


#: Rows of every form, and what the same would be typed as.
EVERY_FORM = """\
sample,check,attribute,reading,settings,observers,because
005-Y,2w,pH,5.47/5.49,electrode=E1;dilution=10 %,,
005-Y,2w,spread,60,,,
005-Y,2w,sep,layer,layer_mm=2,,
005-Y,2w,odour,0/slightly changed,control=006-W,Ana; Ben,
006-W,2w,pH,not-measured,,,lid loose
006-W,extra,pH,<5.50,electrode=E1;dilution=10 %,,
006-W,,spread,60,,,
006-W,2w,w,78.42,,,
009-Q,,pH,5.47/5.49,electrode=E1;dilution=10 %,,
"""
PH = ("pH.electrode=E1", "pH.dilution=10 %")
TYPED: list[tuple[str, str | None, list[str], dict[str, Any]]] = [
    ("005-Y", "2w", ["pH=5.47/5.49"], {"settings": PH}),
    ("005-Y", "2w", ["spread=60"], {}),
    ("005-Y", "2w", ["sep=layer", "layer_mm=2"], {}),
    (
        "005-Y", "2w", ["odour=0/slightly changed"],
        {"control": "006-W", "observers": ["Ana", "Ben"]},
    ),
    ("006-W", "2w", ["pH=not-measured"], {"because": "lid loose"}),
    ("006-W", "extra", ["pH=<5.50"], {"settings": PH}),
    ("006-W", None, ["spread=60"], {}),
    ("006-W", "2w", ["w=78.42"], {}),
    ("009-Q", None, ["pH=5.47/5.49"], {"settings": PH}),
]  # fmt: skip


@pytest.fixture
def placed(at: At) -> At:
    """Return occasions in a workspace whose samples are in their places."""
    for place in ("ROOM", "T40"):
        bench.place(at("2026-03-12"), [], study="HDC", to=place, done="2026-03-12")
    return at


@pytest.fixture
def wide(tmp_path: Path) -> Path:
    """Return a file in the wide form."""
    file = tmp_path / "march.csv"
    file.write_text(WIDE, encoding="utf-8")
    return file


def journal(at: Occasion) -> list[str]:
    """Return every line of the journal, read without our own code."""
    connection = sqlite3.connect(at.records)
    try:
        rows = connection.execute("select line from entry order by number").fetchall()
    finally:
        connection.close()
    return [line for (line,) in rows]


def kinds(at: Occasion) -> list[str]:
    """Return the kind of every entry."""
    return [json.loads(line)["kind"] for line in journal(at)]


def sealed(at: Occasion) -> list[tuple[str, str, str]]:
    """Return line, digest and seal of every entry but receipts of files."""
    connection = sqlite3.connect(at.records)
    try:
        query = "select line, digest, seal from entry order by number"
        rows = connection.execute(query).fetchall()
    finally:
        connection.close()
    return [row for row in rows if json.loads(row[0])["kind"] != "received/2"]


def test_a_file_is_stored_byte_for_byte_as_the_same_readings_typed(
    placed: At, tmp_path: Path
) -> None:
    file = tmp_path / "long.csv"
    file.write_text(EVERY_FORM, encoding="utf-8")
    taken = placed("2026-03-26")
    typed = replace(taken, records=str(tmp_path / "typed.db"))
    shutil.copy(taken.records, typed.records)
    before = len(sealed(taken))

    bench.log_file(taken, file, FileForms(study="HDC"))
    for sample, check, readings, beside in TYPED:
        bench.log(typed, sample, readings, study="HDC", check=check, **beside)

    assert len(sealed(taken)) == before + len(TYPED)
    assert sealed(taken) == sealed(typed)


def test_the_file_of_the_benchmark_too(tmp_path: Path) -> None:
    log_file.make(tmp_path, 60)
    taken = log_file.occasion(tmp_path, "opened.db")
    typed = replace(taken, records=str(tmp_path / "typed.db"))
    shutil.copy(taken.records, typed.records)

    bench.log_file(taken, tmp_path / "rows.csv")
    with (tmp_path / "rows.csv").open(encoding="utf-8") as rows:
        for row in csv.DictReader(rows):
            name, stated = row["attribute"], row["settings"]
            bench.log(
                typed,
                row["sample"],
                [f"{name}={row['reading']}"],
                check=row["check"],
                done=row["done"],
                settings=[f"{name}.{stated}"] if stated else [],
            )

    assert len(sealed(taken)) > 60
    assert sealed(taken) == sealed(typed)


def test_a_table_as_makers_keep_it_is_stored_with_its_receipt(
    placed: At, wide: Path
) -> None:
    on = placed("2026-03-26")

    logged = bench.log_file(on, wide)

    assert [one.text for one in logged.rows[:2]] == [
        f"{ROOM_A}: 2w: pH 5.47 / 5.49",
        f"{ROOM_A}: 2w: spread 60 mm",
    ]
    assert len(logged.rows) == 8
    (receipt,) = logged.receipts
    assert receipt.text.startswith("received march.csv; rows: 3, entries: 8; SHA-256 ")
    assert kinds(on)[-9:] == ["observed/1"] * 3 + ["noted/1"] + ["observed/1"] * 4 + [
        "received/2"
    ]


def test_the_file_is_kept_as_received(placed: At, wide: Path) -> None:
    on = placed("2026-03-26")
    bench.log_file(on, wide)

    held = json.loads(journal(on)[-1])["content"]

    with open_database(on.records).reading() as connection:
        kept = fetch(connection, held["file"]["sha256"])
    assert kept.content == wide.read_bytes()
    assert (held["rows"], held["stored"], held["sheet"]) == (3, 8, None)


def test_a_remark_of_a_row_is_told(placed: At, wide: Path) -> None:
    wide.write_text(WIDE.replace("2026-03-26", "2026-03-30"), encoding="utf-8")

    logged = bench.log_file(placed("2026-03-30"), wide)

    assert any("late (4 days)" in one for one in logged.rows[0].remarks)


def test_the_same_file_twice_stores_nothing_twice_and_says_so(
    placed: At, wide: Path
) -> None:
    on = placed("2026-03-26")
    bench.log_file(on, wide)
    before = journal(on)

    again = bench.log_file(placed("2026-03-27"), wide)

    assert journal(on) == before
    assert (again.rows, again.receipts) == ((), ())
    assert "byte for byte" in again.remarks[0]


def test_the_same_rows_in_another_file_are_stored_once(
    placed: At, wide: Path, tmp_path: Path
) -> None:
    bench.log_file(placed("2026-03-26"), wide)
    grown = tmp_path / "grown.csv"
    grown.write_text(WIDE + "010-3,2026-04-09,5.3,5.32,62,layer,\n", encoding="utf-8")

    logged = bench.log_file(placed("2026-04-09"), grown)

    assert len(logged.rows) == 3
    assert logged.known == 8
    assert "8 rows say what is stored already" in logged.remarks[0]


def test_nothing_new_leaves_no_receipt(placed: At, wide: Path, tmp_path: Path) -> None:
    on = placed("2026-03-26")
    bench.log_file(on, wide)
    before = journal(on)
    other = tmp_path / "other.csv"
    other.write_text(WIDE + "\n", encoding="utf-8")

    assert bench.log_file(on, other).receipts == ()
    assert journal(on) == before


def test_a_row_that_differs_keeps_the_whole_file_out(
    placed: At, wide: Path, tmp_path: Path
) -> None:
    on = placed("2026-03-26")
    bench.log_file(on, wide)
    before = journal(on)
    other = tmp_path / "other.csv"
    other.write_text(WIDE.replace("5.45", "5.54") + "\n", encoding="utf-8")

    with pytest.raises(RowsError, match=r"line 3, column pH 1: .*correct HDC/"):
        bench.log_file(on, other)
    assert journal(on) == before


def test_what_was_corrected_since_stays_corrected_and_is_told(
    placed: At, wide: Path, tmp_path: Path
) -> None:
    on = placed("2026-03-26")
    first = bench.log_file(on, wide).rows[0]
    bench.correct(on, first.reference, ["5.57/5.59"], because="digits exchanged")
    other = tmp_path / "other.csv"
    other.write_text(WIDE + "\n", encoding="utf-8")

    remarks = bench.log_file(on, other).remarks

    assert any("corrected or set aside since" in one for one in remarks)


def test_a_dry_run_shows_what_would_be_stored_and_stores_nothing(
    placed: At, wide: Path
) -> None:
    on = placed("2026-03-26")
    before = journal(on)
    bytes_before = Path(on.records).read_bytes()

    foreseen = bench.foresee_file(on, wide)

    assert journal(on) == before
    assert Path(on.records).read_bytes() == bytes_before
    told = {(one.where, one.text): one.mark for one in foreseen.rows}
    assert (
        told["line 2, column pH 1", f"{ROOM_A}: 2w: pH 5.47 / 5.49"]
        == "mean 5.48, limit 5.0 to 5.9: inside"
    )
    outside = told["line 4, column sep", f"{T40_2W}: 2w: separation layer"]
    assert "outside" in outside
    stored = bench.log_file(on, wide)
    assert [one.text for one in foreseen.rows] == [one.text for one in stored.rows]


def test_a_dry_run_tells_what_is_stored_and_what_would_be_asked(
    placed: At, wide: Path, tmp_path: Path
) -> None:
    bench.log_file(placed("2026-03-26"), wide)
    other = tmp_path / "april.csv"
    other.write_text(WIDE + "005-Y,2026-04-09,6.47,6.49,60,none,\n", encoding="utf-8")

    foreseen = bench.foresee_file(placed("2026-04-09"), other)

    known = [one for one in foreseen.rows if one.stands_as is not None]
    assert len(known) == 7
    assert len(foreseen.questions) == 1
    assert "far from the last" in foreseen.questions[0]


def test_a_far_reading_of_a_file_waits_for_a_word(
    placed: At, wide: Path, tmp_path: Path
) -> None:
    bench.log_file(placed("2026-03-26"), wide)
    other = tmp_path / "april.csv"
    other.write_text(WIDE + "005-Y,2026-04-09,6.47,6.49,60,none,\n", encoding="utf-8")
    on = placed("2026-04-09")

    with pytest.raises(FarReadingError, match="line 5, column pH 1"):
        bench.log_file(on, other)
    assert len(bench.log_file(on, other, accept_far=True).rows) == 3


def test_a_workbook_says_the_same_as_its_csv(
    placed: At, wide: Path, tmp_path: Path
) -> None:
    cells = [
        list[object](line.split(",")) for line in WIDE.strip().splitlines()
    ]  # fmt: skip
    for row in cells[1:]:
        row[1] = date(2026, 3, 26)
        row[2:4] = [float(str(one)) for one in row[2:4]]
        row[4] = int(str(row[4])) if row[4] else None
    book, sheet = new_sheet(cells)
    for line in sheet["C2:D4"]:
        for cell in line:
            cell.number_format = "0.00"
    file = tmp_path / "march.xlsx"
    file.write_bytes(saved(book))
    on = placed("2026-03-26")

    bench.log_file(on, file, FileForms(study="HDC"))

    assert kinds(on)[-1] == "received/2"
    (again,) = bench.log_file(on, wide).remarks
    assert "8 rows say what is stored already" in again


#: The time of storing is never typed: as-of dates rest on it.
LONG = """\
sample,attribute,reading,done,entered
005-Y,pH,5.47/5.49,2026-03-26,2026-03-26
"""
BAD: Sequence[tuple[str, bytes, type[StabilityError]]] = [
    ("a.csv", b"sample,date,pH\n005-Y,2026-03-26,\xff\n", ReceivedFileError),
    ("b.csv", b"sample,date,pH\n005-Y,2026-03-26,5.5\0\n", ReceivedFileError),
    ("c.csv", WIDE.replace("5.46", "x").encode(), RowsError),
    ("d.csv", WIDE.replace("2026-03-26", "3/4/2026").encode(), RowsError),
    ("entered.csv", LONG.encode(), RowsError),
    ("e.csv", b"date,pH\n2026-03-26,5.5\n", StudyNeededError),
    ("f.csv", b"", StudyNeededError),
    ("g.xlsx", b"PK\x03\x04", ReceivedFileError),
    ("h.csv", b"sample,date,pH\n005-Y,2027-03-26,5.5\n", RowsError),
]


@pytest.mark.parametrize(("name", "content", "error"), BAD)
def test_bad_input_gives_one_message_and_nothing_is_half_stored(
    placed: At,
    tmp_path: Path,
    name: str,
    content: bytes,
    error: type[StabilityError],
) -> None:
    on = placed("2026-04-30")
    before = journal(on)
    file = tmp_path / name
    file.write_bytes(content)

    for verb in (bench.log_file, bench.foresee_file):
        with pytest.raises(error):
            verb(on, file)
    assert journal(on) == before


def test_an_order_of_days_must_be_one(placed: At, wide: Path) -> None:
    with pytest.raises(DayOrderError):
        bench.log_file(placed("2026-03-26"), wide, FileForms(dates="dym"))


def test_days_are_read_in_the_order_that_was_told(placed: At, wide: Path) -> None:
    wide.write_text(WIDE.replace("2026-03-26", "9/4/2026"), encoding="utf-8")

    logged = bench.log_file(placed("2026-04-09"), wide, FileForms(dates="dmy"))

    assert logged.rows[0].text == f"{ROOM_A}: 4w: pH 5.47 / 5.49"
    assert ROOM_B in logged.rows[4].text


def test_sheets_of_one_jar_each_are_taken_in_one_after_the_other(
    placed: At, tmp_path: Path
) -> None:
    file = tmp_path / "jars.xlsx"
    book, first = new_sheet([])
    first.title = "RT"
    for sheet, reading in ((first, "5,50 / 5,52"), (book.create_sheet("40 C"), "5,46")):
        for row in (
            ["Heather day cream"], [], ["Datum", "pH (10 %)", "Bemerkung"],
            ["26.3.26", reading, None], ["gemessen von Ana"],
        ):  # fmt: skip
            sheet.append(row)
        sheet.merge_cells("A1:C1")
    file.write_bytes(saved(book))
    at = placed("2026-03-26")

    def taken(sample: str, sheet: str) -> LoggedFile:
        forms = FileForms(None, sample, sheet, decimal_comma=True, dates="dmy")
        return bench.log_file(at, file, forms)

    room, hot, again = (
        taken(ROOM_A, "RT"), taken(T40_2W, "40 C"), taken(T40_2W, "40 C")
    )  # fmt: skip

    for logged, sample, reading in ((room, ROOM_A, "5.50"), (hot, T40_2W, "5.46")):
        (one,) = [entry for entry, _ in logged.entries]
        assert one.content["sample"] == sample
        assert one.content["readings"][0]["value"] == reading
        assert one.content["settings"] == {"dilution": "10 %"}
    header, last = room.remarks
    assert header.startswith("the header is taken to stand in sheet RT, row 3;")
    assert last == "no reading stands in sheet RT, row 5: passed over"
    assert (again.entries, again.known) == ((), 1)
