"""Files of loggers: what is recognised, what is asked for, what is refused."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stability.errors import StabilityError
from stability.errors.storage import (
    LoggerBackwardsError,
    LoggerColumnsError,
    LoggerFileError,
    LoggerTooShortError,
)
from stability.model.logger_form import IN_FILE, DeclaredForm
from stability.statistics.logger_file import recognise_logger
from tests.statistics.loggers import celsius, every, read, table, times


def test_a_plain_file_is_recognised() -> None:
    found, form = read(
        table(
            ["2026-03-02 09:00:00,21.5,45.1", "2026-03-02 10:00:00,21.7,44.0"],
            "time,temperature,humidity",
        )
    )

    assert times(found) == ["2026-03-02 09:00", "2026-03-02 10:00"]
    assert celsius(found) == [21.5, 21.7]
    assert found.humidity is not None
    assert found.humidity.tolist() == [45.1, 44.0]
    assert (form.dates, form.zone, form.decimal) == ("year-first", "UTC", ".")


def test_lines_above_the_header_semicolons_and_decimal_commas_are_recognised() -> None:
    content = (
        "Serial;0815\nLocation;shelf\n\nNo.;Date;Clock;Temp. °C;RH %;Dew point °C\n"
        "1;2.3.2026;9:00;21,5;45;9,1\n2;2.3.2026;9:30;21,75;46;9,2\n"
    ).encode("cp1252")
    found, form = read(content)

    assert times(found) == ["2026-03-02 09:00", "2026-03-02 09:30"]
    assert celsius(found) == [21.5, 21.75]
    assert form.time == ("Date", "Clock")
    assert (form.temperature, form.humidity) == ("Temp. °C", "RH %")
    assert (form.encoding, form.decimal, form.header_line) == ("cp1252", ",", 4)


@pytest.mark.parametrize(
    "rows",
    [
        ["02/03/2026 1:05 PM,20", "13/03/2026 1:05 PM,21"],
        ["02-Mar-26 13:05,20", "13-Mar-26 13:05,21"],
        ["2026/03/02T13:05:00.250,20", "2026/03/13T13:05:00.250,21"],
        ["2026-03-02T14:05+01:00,20", "2026-03-13T15:05+02:00,21"],
        ["2026-03-02 13:05:00Z,20", "2026-03-13 13:05:00Z,21"],
    ],
)
def test_dates_are_read_as_people_and_programs_write_them(rows: list[str]) -> None:
    found, _ = read(table(rows))

    assert times(found) == ["2026-03-02 13:05", "2026-03-13 13:05"]


def test_an_order_of_days_that_lets_the_file_go_on_is_the_one() -> None:
    # As months they would go back from 12 January to 1 February to 2 February ...
    found, form = read(
        table(["11/02/2026 9:00,20", "12/02/2026 9:00,20", "01/03/2026 9:00,20"])
    )

    assert form.dates == "day-first"
    assert times(found)[-1] == "2026-03-01 09:00"


def test_dates_that_can_be_two_things_are_asked_for() -> None:
    content = table(["02/03/2026 9:00,20", "03/03/2026 9:00,20"])

    with pytest.raises(LoggerFileError, match="day-first or month-first"):
        read(content)
    found, _ = read(content, DeclaredForm(dates="month-first"))
    assert times(found) == ["2026-02-03 09:00", "2026-03-03 09:00"]


def test_two_columns_of_temperature_are_asked_for() -> None:
    content = table(
        ["2026-03-02 9:00,20,30", "2026-03-02 10:00,20,30"], "when,Temp 1,Temp 2"
    )

    with pytest.raises(LoggerColumnsError, match="Temp 1, Temp 2 could be"):
        read(content)
    found, _ = read(content, DeclaredForm(temperature="temp 2"))
    assert celsius(found) == [30, 30]


def test_a_declared_column_that_is_not_there_is_named_with_those_that_are() -> None:
    content = every(60, [20, 20])

    with pytest.raises(LoggerColumnsError, match=r"--temperature probe.*time, temp"):
        read(content, DeclaredForm(temperature="probe"))
    with pytest.raises(LoggerColumnsError, match="--time when"):
        read(content, DeclaredForm(time=("when",)))


def test_two_columns_of_time_are_asked_for() -> None:
    rows = ["2026-03-02 9:00,2026-03-02 8:00,20", "2026-03-02 9:30,2026-03-02 8:30,20"]
    content = table(rows, "local,utc,t")

    with pytest.raises(LoggerColumnsError, match="local, utc could be"):
        read(content)
    found, _ = read(content, DeclaredForm(time=("utc",)))
    assert times(found)[0] == "2026-03-02 08:00"


def test_fahrenheit_is_told_by_the_heading_or_declared() -> None:
    rows = ["2026-03-02 9:00,104", "2026-03-02 10:00,50"]

    found, form = read(table(rows, "time,Temperature (°F)"))
    declared, _ = read(table(rows), DeclaredForm(unit="°F"))

    assert form.unit == "°F"
    assert celsius(found) == celsius(declared) == [40, 10]


def test_columns_without_a_header_are_named_by_their_place() -> None:
    found, form = read(b"2026-03-02 9:00,20.5\n2026-03-02 10:00,20.6\n")

    assert celsius(found) == [20.5, 20.6]
    assert (form.time, form.temperature) == (("column 1",), "column 2")


def test_words_among_numbers_are_no_readings_and_are_counted() -> None:
    rows = ["2026-03-02 9:00,20.5 °C", "2026-03-02 10:00,ERR", "2026-03-02 11:00,21"]
    found, _ = read(table([*rows, "2026-03-02 12:00,", "end of record,"]))

    assert celsius(found) == [20.5, 21]
    assert found.without_reading == 3


def test_codes_of_a_broken_sensor_are_no_readings_and_are_counted() -> None:
    found, _ = read(every(60, [20, -127, 999.9, 21]))

    assert celsius(found) == [20, 21]
    assert found.impossible == 2


def test_rows_that_say_the_same_twice_are_counted_once() -> None:
    rows = ["2026-03-02 9:00,20", "2026-03-02 9:00,20", "2026-03-02 9:00,21"]
    found, _ = read(table([*rows, "2026-03-02 10:00,20"]))

    assert celsius(found) == [20, 21, 20]
    assert found.repeated == 1


def test_a_file_that_begins_with_its_newest_reading_is_turned() -> None:
    rows = ["2026-03-02 11:00,22", "2026-03-02 10:00,21", "2026-03-02 9:00,20"]
    found, _ = read(table(rows))

    assert celsius(found) == [20, 21, 22]
    assert "turned" in found.remarks[0]


def test_a_file_that_goes_back_is_refused_with_its_line() -> None:
    rows = ["2026-03-02 9:00,20", "2026-03-02 10:00,20", "2026-03-02 9:30,20"]

    with pytest.raises(LoggerBackwardsError, match="line 4: the time goes back"):
        read(table([*rows, "2026-03-02 11:00,20"]))


@pytest.mark.parametrize(
    ("rows", "words"),
    [([], "no row with a date"), (["2026-03-02 9:00,20"], "one reading")],
)
def test_a_file_of_fewer_than_two_readings_is_refused(
    rows: list[str], words: str
) -> None:
    with pytest.raises(StabilityError, match=words):
        read(table(rows))


def test_no_reading_at_all_is_refused() -> None:
    rows = ["2026-03-02 9:00,ERR", "2026-03-02 10:00,ERR"]

    with pytest.raises(LoggerTooShortError, match="no readings"):
        read(table(rows), DeclaredForm(time=("time",), temperature="temperature"))


def test_days_that_do_not_exist_are_refused_with_their_lines() -> None:
    rows = ["2026-02-28 9:00,20", "2026-02-29 9:00,20", "2026-03-01 25:00,20"]

    with pytest.raises(LoggerFileError, match=r"line 3: '2026-02-29.*; line 4"):
        read(table([*rows, "2026-03-02 9:00,20", "2026-03-03 9:00,20"]))


def test_offsets_in_the_file_stand_before_a_declared_zone() -> None:
    rows = ["2026-03-02T09:00-05:00,20", "2026-03-02T10:00-05:00,20"]
    found, form = read(table(rows), DeclaredForm(zone="Asia/Tokyo"))

    assert form.zone == IN_FILE
    assert times(found)[0] == "2026-03-02 14:00"


def test_offsets_in_some_rows_only_are_refused() -> None:
    rows = ["2026-03-02T09:00Z,20", "2026-03-02T10:00,20"]

    with pytest.raises(LoggerFileError, match="some of its times carry an offset"):
        read(table(rows))


@pytest.mark.parametrize(
    "content",
    [b"", b"\0\1\2", b"\xff\xfe\x00", b"PK\3\4 \0 workbook", b"just words\n", b"\n\n"],
)
def test_what_is_no_table_is_refused(content: bytes) -> None:
    with pytest.raises(StabilityError):
        read(content)


def test_utf_16_is_read() -> None:
    text = every(60, [20, 21]).decode()

    found, form = read(text.encode("utf-16"))

    assert celsius(found) == [20, 21]
    assert form.encoding == "utf-16"


@given(
    st.lists(st.tuples(st.integers(1, 5_000), st.floats(-40, 80)), min_size=2),
    st.sampled_from([",", ";", "\t", "|"]),
    st.sampled_from(["%Y-%m-%d %H:%M", "%d.%m.%Y %H:%M", "%m/%d/%Y %I:%M %p"]),
)
@settings(deadline=None, max_examples=60)
def test_what_was_written_is_read_whatever_the_signs(
    steps: list[tuple[int, float]], sign: str, form: str
) -> None:
    # Days beyond the twelfth tell the order, so the file begins on one.
    moment = datetime(2026, 1, 30, tzinfo=UTC)
    rows, meant = [], []
    for minutes, degrees in steps:
        moment += timedelta(minutes=minutes)
        rows.append(f"{moment.strftime(form)}{sign}{degrees:.2f}")
        meant.append((moment.strftime("%Y-%m-%d %H:%M"), round(degrees, 2)))
    declared = DeclaredForm(dates="month-first" if "%p" in form else None)
    found, _ = read(table(rows, f"when{sign}temp"), declared)

    assert [*zip(times(found), celsius(found), strict=True)] == meant


#: Pieces of which files of loggers are made, and some of which none is.
_PIECES = [
    "2026-03-02", "02.03.2026", "3/4/26", "9:00", "25:61", "T", " ", ",", ";", "\n",
    "\r", '"', "20.5", "21,5", "-127", "1e9", "nan", "inf", "ERR", "°F", "Temp", "RH %",
    "time", "+01:00", "Z", "\0", "\ufeff", "٣", "sep=;", "|", "\t", "x" * 50,
]  # fmt: skip


def outcome_of(content: bytes, zone: str) -> tuple[str, int]:
    """Return the message with which a file is refused, or how many readings it has."""
    try:
        found = recognise_logger(content, "a.csv", DeclaredForm(), zone)
    except StabilityError as error:
        return str(error), 0
    return "", found.readings


@given(st.lists(st.sampled_from(_PIECES), max_size=60))
@settings(deadline=None, max_examples=300)
def test_no_file_ends_in_anything_but_readings_or_a_message(pieces: list[str]) -> None:
    message, readings = outcome_of("".join(pieces).encode(), "Europe/Dublin")

    assert "a.csv" in message or readings >= 2


@given(st.binary(max_size=400))
@settings(deadline=None, max_examples=150)
def test_no_bytes_end_in_anything_but_readings_or_a_message(content: bytes) -> None:
    message, readings = outcome_of(content, "UTC")

    assert "a.csv" in message or readings >= 2
