"""A calendar read back by another library, and held against the agenda.

RFC 5545, section 3.1: lines end with CR LF and hold at most 75 octets.
"""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from ics import Calendar

from stability.model import content
from stability.model.check_days import StudyCalendar, study_calendar
from stability.records import agenda, derived
from stability.report.check_calendar import calendar_bytes
from tests.model.test_check_days import Bench
from tests.records import small_study
from tests.records.small_study import FT_A, PROTOCOL, ROOM_A, STUDY, T40_2W, T40_4W

CODE = re.compile(r"HDC-\d{3}-\w")
DAY = date(2026, 3, 7)


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    """Return the small study with some samples placed and a cycle begun."""
    made = Bench(tmp_path)
    made.place("2026-03-06", ROOM_A, T40_2W)
    made.step(1, 1, "2026-03-06T18:00", FT_A)
    return made


def made(bench: Bench, day: date = DAY) -> StudyCalendar:
    """Return the days of the study."""
    return study_calendar(bench.book.record, bench.entries, day)


def written(bench: Bench, day: date = DAY, **more: Any) -> bytes:
    """Return the file."""
    return calendar_bytes([made(bench, day)], **more)


def events(content_of: bytes) -> dict[str, Any]:
    """Return uid -> event, as the other library reads it."""
    read = Calendar(content_of.decode("utf-8")).events
    found = {one.uid: one for one in read}
    assert len(found) == len(read), "a name stands for one event"
    return found


def value(event: Any, name: str) -> str:
    """Return a property that the other library keeps aside."""
    (line,) = [one for one in event.extra if one.name == name]
    return str(line.value)


def unfolded(content_of: bytes) -> list[str]:
    """Return the lines of a file as they were before folding."""
    return content_of.decode("utf-8").replace("\r\n ", "").split("\r\n")


def test_dates_and_samples_are_those_of_the_agenda(bench: Bench) -> None:
    with derived.tables_of(bench.book.record) as connection:
        due = agenda.due_samples(connection, DAY, date(2030, 1, 1))
        moves = agenda.moves(connection, DAY, date(2030, 1, 1))
    read = [one for one in events(written(bench)).values() if one.status != "CANCELLED"]
    checks = {
        (code, str(one.begin.date()))
        for one in read
        if ": read " in one.name and one.status == "CONFIRMED"
        for code in CODE.findall(one.description)
    }
    placings = {
        (str(one.begin.date()), code)
        for one in read
        if ": place " in one.name
        for code in CODE.findall(one.description)
    }
    steps = {one.begin.datetime for one in read if not one.all_day}

    assert checks == {(one.sample, str(one.due)) for one in due}
    assert placings == {
        (one.due, code) for one in moves if one.kind == "place" for code in one.codes
    }
    assert {datetime.fromisoformat(one.due) for one in moves if one.kind == "step"} == {
        min(steps)
    }


def test_a_check_day_is_a_whole_day_with_its_window(bench: Bench) -> None:
    read = events(written(bench)).values()
    (check,) = [one for one in read if one.name.startswith("HDC T40 2w")]

    assert check.all_day
    assert check.begin.date() == date(2026, 3, 20)
    # Two days on either side up to four weeks (common practice).
    assert "due 2026-03-20, window 2026-03-18 to 2026-03-22" in check.description
    assert "condition T40: 40 ± 2 °C" in check.description
    assert f"{T40_2W}: batch A, JAR, fresh per check" in check.description
    assert "to read: pH, spread, separation, odour, swollen, weight before opening" in (
        check.description
    )
    assert "goes onto skin" in check.description
    assert "stays closed" in check.description


def test_a_hand_over_stands_at_its_hour_with_its_caution(bench: Bench) -> None:
    steps = sorted(
        (one for one in events(written(bench)).values() if not one.all_day),
        key=lambda one: one.begin,
    )

    assert steps[0].begin.datetime == datetime(2026, 3, 7, 18, tzinfo=UTC)
    assert steps[0].name.startswith("HDC FT: from -18 °C to 22 °C (cycle 1, step 2)")
    assert "gloves at the thaw" in steps[0].description
    assert FT_A in steps[0].description


def test_hours_are_local_to_the_study_in_summer_too(tmp_path: Path) -> None:
    bench = Bench(tmp_path)
    bench.step(1, 1, "2026-06-05T18:00", FT_A)
    file = written(bench, date(2026, 6, 5))
    first = min(
        (one.begin for one in events(file).values() if not one.all_day),
    )

    assert "DTSTART;TZID=Europe/Dublin:20260606T180000" in unfolded(file)
    assert first.datetime == datetime(2026, 6, 6, 17, tzinfo=UTC)
    assert b"BEGIN:VTIMEZONE" in file


def test_a_second_export_moves_the_same_events(bench: Bench) -> None:
    before = events(written(bench))
    bench.place("2026-03-10", T40_4W)
    after = events(written(bench))
    (moved,) = [one for one in before.values() if one.name.startswith("HDC T40 4w")]
    coming = {uid for uid, one in before.items() if one.begin.date() >= DAY}

    assert coming <= set(after)
    assert set(after) <= set(before), "nothing is doubled"
    assert moved.begin.date() == date(2026, 4, 3)
    assert after[moved.uid].begin.date() == date(2026, 4, 7)
    assert (moved.status, after[moved.uid].status) == ("TENTATIVE", "CONFIRMED")
    assert int(value(after[moved.uid], "SEQUENCE")) > int(value(moved, "SEQUENCE"))


def test_a_stop_cancels_every_event_under_its_name(bench: Bench) -> None:
    before = events(written(bench, remind=timedelta(days=1)))
    bench.add(content.STOPPED, content.stopped({}, "ended"), "2026-03-07")
    file = written(bench, remind=timedelta(days=1))
    after = events(file)
    waiting = {uid for uid, one in before.items() if one.begin.date() >= DAY}

    assert waiting
    # The readings of T0 whose window had closed by then stay open.
    gone = {uid: one for uid, one in after.items() if uid in waiting}
    assert set(gone) == waiting
    assert {one.status for one in gone.values()} == {"CANCELLED"}
    assert all(one.name.startswith("cancelled: ") for one in gone.values())
    assert not any(one.alarms for one in gone.values())
    assert all(
        int(value(one, "SEQUENCE")) > int(value(before[uid], "SEQUENCE"))
        for uid, one in gone.items()
    )


def test_a_reminder_comes_as_long_before_as_asked(bench: Bench) -> None:
    silent = events(written(bench)).values()
    reminding = events(written(bench, remind=timedelta(hours=12))).values()

    assert not any(one.alarms for one in silent)
    assert {alarm.trigger for one in reminding for alarm in one.alarms} == {
        timedelta(hours=-12)
    }


def test_the_same_record_gives_the_same_bytes_and_its_own_times(bench: Bench) -> None:
    file = written(bench)
    stamps = {line for line in unfolded(file) if line.startswith(("DTSTAMP", "LAST-"))}

    assert file == written(bench)
    # The last entry was stored two hours after 1 June 2026, 09:00 UTC.
    assert stamps == {
        "DTSTAMP:20260601T110000Z",
        "LAST-MODIFIED:20260601T110000Z",
    }
    assert f"X-STABILITY-RECORD:{bench.book.record.head}" in unfolded(file)


def as_typed(text: str) -> str:
    """Return a text without its escapes (RFC 5545, section 3.3.11).

    By hand, because the other library takes an escaped backslash before an n for a
    line end.
    """
    return re.sub(
        r"\\(.)", lambda escaped: "\n" if escaped[1] in "nN" else escaped[1], text
    )


AWKWARD = "Crème\\\\n; «Ночь», クリーム 夜用\\u2028X \\u202e" + "ż" * 120


def test_text_of_users_is_folded_escaped_and_breaks_no_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    study = STUDY.replace("Heather day cream", AWKWARD)
    monkeypatch.setattr(small_study.write_files, "__defaults__", (study, PROTOCOL))
    bench = Bench(tmp_path)
    bench.place("2026-03-06", ROOM_A, T40_2W)
    bench.step(1, 1, "2026-03-06T18:00", FT_A)
    product = bench.book.record.study.product
    assert "\u2028" in product
    file = written(bench)
    plain = product.replace("\u2028", " ").replace("\u202e", "[U+202E]")

    lines = file.split(b"\r\n")
    assert lines[-1] == b""
    assert all(len(line) <= 75 for line in lines)
    assert b"\n" not in b"".join(lines)
    assert b"\r" not in b"".join(lines)
    for line in lines:
        line.decode("utf-8")  # no sign is cut in two
    names = [
        as_typed(line.removeprefix("SUMMARY:"))
        for line in unfolded(file)
        if line.startswith("SUMMARY:")
    ]
    assert len(names) == len(events(file))
    assert all(plain in name for name in names)
    assert "\u2028" not in file.decode("utf-8")


def test_every_line_of_a_file_is_a_property_or_a_fold(bench: Bench) -> None:
    property_line = re.compile(r"[A-Z-]+(;[A-Z]+=[^:]+)*:.*")
    lines = unfolded(written(bench, remind=timedelta(days=1)))

    assert [line for line in lines[:-1] if not property_line.fullmatch(line)] == []


def test_studies_share_a_file(bench: Bench, tmp_path: Path) -> None:
    other = Bench(tmp_path / "other")
    other.place("2026-03-06", T40_2W)
    file = calendar_bytes([made(bench), made(other)])

    anchor = f"X-STABILITY-RECORD:{other.book.record.head}"
    assert unfolded(file).count(anchor) == 1
    assert unfolded(file).count("BEGIN:VCALENDAR") == 1
    assert unfolded(file).count("BEGIN:VTIMEZONE") == 1
