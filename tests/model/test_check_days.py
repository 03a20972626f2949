"""Days keep their names while their dates move; what came to nothing is cancelled."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from stability.model import content
from stability.model.check_days import CheckDay, study_calendar
from stability.model.entry import Entry
from stability.model.moment import Moment, moment_at
from stability.model.observation import Reading
from stability.model.plan_acts import Amendment
from stability.records.continuation import Continuation
from tests.records import small_study
from tests.records.small_study import (
    FT_A,
    NOW,
    PROTOCOL,
    ROOM_A,
    ROOM_B,
    SPARE_A,
    STUDY,
    T40_2W,
    T40_4W,
    TWIN_A,
    ZONE,
    opened_book,
    opening_entry,
)

DAY = date(2026, 3, 6)


class Bench:
    """A study to which one act after the other is added, each stored an hour later."""

    def __init__(self, folder: Path) -> None:
        self.book: Continuation = opened_book(folder)
        self.entries: list[Entry] = [opening_entry(folder)]
        self.stored = NOW

    def add(self, kind: str, held: dict[str, object], done: str | Moment) -> None:
        """Add an entry in the same moment as the last one."""
        when = Moment(date.fromisoformat(done)) if isinstance(done, str) else done
        entry = self.book.add(
            kind, held, person="Ana Reyes", done=when, entered=self.stored
        )
        self.entries.append(entry)

    def place(self, day: str, *codes: str, **more: object) -> None:
        """Place samples with one command."""
        self.stored += timedelta(hours=1)
        for code in codes:
            condition = self.book.record.samples[code].condition
            held = content.placed(code, condition, "in")
            self.add(content.PLACED, {**held, **more}, day)

    def step(self, cycle: int, step: int, hour: str, *codes: str) -> None:
        """Take cycled samples to a step at a local time."""
        self.stored += timedelta(hours=1)
        time = moment_at(datetime.fromisoformat(hour).replace(tzinfo=ZONE), ZONE)
        for code in codes:
            held = content.placed(code, "FT", "in", cycle=cycle, step=step)
            self.add(content.PLACED, held, time)

    def days(self, day: date = DAY) -> dict[str, CheckDay]:
        """Return uid -> day."""
        made = study_calendar(self.book.record, self.entries, day)
        names = [one.uid for one in made.days]
        assert len(names) == len(set(names)), "a name stands for one day"
        return {one.uid: one for one in made.days}

    def find(
        self, kind: str, condition: str, check: str, day: date = DAY
    ) -> list[CheckDay]:
        """Return the days of one topic, the earliest first."""
        return [
            one
            for one in self.days(day).values()
            if (one.kind, one.condition, one.check) == (kind, condition, check)
        ]


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    """Return the small study just opened."""
    return Bench(tmp_path)


def test_before_placing_checks_stand_on_planned_days_that_may_move(
    bench: Bench,
) -> None:
    # Batch A was made on 2 March and is to be placed 96 h later; 2w after that.
    (check,) = bench.find("check", "T40", "2w")

    assert (check.when.day, check.state) == (date(2026, 3, 20), "tentative")
    assert check.samples == (T40_2W,)


def test_a_placing_moves_the_day_and_keeps_its_name(bench: Bench) -> None:
    (before,) = bench.find("check", "T40", "2w")
    bench.place("2026-03-10", T40_2W, T40_4W)
    (after,) = bench.find("check", "T40", "2w")

    assert after.uid == before.uid
    assert (after.when.day, after.state) == (date(2026, 3, 24), "confirmed")


def test_two_batches_placed_on_other_days_have_a_day_each(bench: Bench) -> None:
    before = bench.find("check", "ROOM", "4w")
    bench.place("2026-03-06", ROOM_A)
    bench.place("2026-03-20", ROOM_B)
    after = bench.find("check", "ROOM", "4w")

    assert [one.samples for one in after] == [(ROOM_A,), (ROOM_B,)]
    assert [one.when.day for one in after] == [date(2026, 4, 3), date(2026, 4, 17)]
    assert [one.uid for one in before] == [one.uid for one in after]


def test_days_that_become_one_leave_the_other_cancelled(bench: Bench) -> None:
    # Planned a week apart, because the batches were made a week apart.
    first, second = bench.find("check", "ROOM", "4w")
    bench.place("2026-03-16", ROOM_A, ROOM_B)
    now = bench.days()

    assert now[first.uid].samples == (ROOM_A, ROOM_B)
    assert now[first.uid].when.day == date(2026, 4, 13)
    assert (now[second.uid].state, now[second.uid].samples) == ("cancelled", ())


def test_samples_placed_with_one_command_leave_no_day_between(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    twice = STUDY.replace('condition = "ROOM"\n', 'condition = "ROOM"\ncount = 2\n')
    monkeypatch.setattr(small_study.write_files, "__defaults__", (twice, PROTOCOL))
    bench = Bench(tmp_path)
    (first, *_) = bench.find("check", "ROOM", "4w")
    known = set(bench.days())
    bench.place("2026-03-10", *first.samples)

    assert len(first.samples) == 2
    assert set(bench.days()) <= known


def test_checks_that_an_amendment_took_away_are_cancelled(bench: Bench) -> None:
    bench.place("2026-03-06", T40_2W)
    (before,) = bench.find("check", "T40", "2w")
    record = bench.book.record
    nothing = replace(record.protocol, attributes={})
    amendment = Amendment(
        position=3,
        because="too much",
        changes=(),
        protocol_before=record.protocol,
        protocol=nothing,
        study_before=record.study,
        study=record.study,
        fingerprint="",
        done=Moment(DAY),
        entered=NOW,
        person="Ana Reyes",
    )
    amended = replace(record, protocol=nothing, amendments=(amendment,))
    after = {one.uid: one for one in study_calendar(amended, bench.entries, DAY).days}

    assert (before.state, after[before.uid].state) == ("confirmed", "cancelled")
    assert after[before.uid].when == before.when


def test_samples_placed_one_by_one_leave_what_was_between_cancelled(
    bench: Bench,
) -> None:
    bench.place("2026-03-16", ROOM_B)
    between = bench.find("check", "ROOM", "4w")
    bench.place("2026-03-16", ROOM_A)
    now = bench.days()

    assert len(between) == 2
    assert {one.uid: now[one.uid].state for one in between} == {
        between[0].uid: "confirmed",
        between[1].uid: "cancelled",
    }


@pytest.mark.parametrize(
    ("kind", "held"),
    [
        (content.STOPPED, content.stopped({"condition": "T40"}, "oven sold")),
        (content.STOPPED, content.stopped({}, "the project ended")),
        (content.RETIRED, content.retired(T40_2W, "broken", "dropped")),
        (content.MISSED, content.missed("2w", [T40_2W], "closed")),
    ],
)
def test_what_came_to_nothing_is_cancelled_under_its_name(
    bench: Bench, kind: str, held: dict[str, object]
) -> None:
    bench.place("2026-03-06", T40_2W, T40_4W)
    (before,) = bench.find("check", "T40", "2w")
    bench.add(kind, held, "2026-03-09")
    (after,) = bench.find("check", "T40", "2w")

    assert before.state == "confirmed"
    assert (after.uid, after.when) == (before.uid, before.when)
    assert (after.state, after.samples) == ("cancelled", ())


def test_what_is_cancelled_is_told_from_its_day_on_only(bench: Bench) -> None:
    bench.place("2026-03-06", T40_2W)
    bench.add(content.STOPPED, content.stopped({}, "ended"), "2026-03-09")

    assert bench.find("check", "T40", "2w", date(2026, 3, 20))
    assert not bench.find("check", "T40", "2w", date(2026, 3, 21))


def test_a_check_that_was_read_disappears_reading_by_reading(bench: Bench) -> None:
    bench.place("2026-03-06", T40_2W)
    (planned,) = bench.find("check", "T40", "2w")
    due = (planned.remaining or {})[T40_2W]
    for number, (attribute, part) in enumerate(due, start=1):
        held = content.observed(T40_2W, attribute, "2w", [Reading("1")], part=part)
        bench.add(content.OBSERVED, held, "2026-03-19")
        (now,) = bench.find("check", "T40", "2w")
        assert len((now.remaining or {}).get(T40_2W, ())) == len(due) - number

    assert now.state == "cancelled"


def test_a_replacement_has_days_of_its_own(bench: Bench) -> None:
    bench.place("2026-03-06", T40_2W)
    (before,) = bench.find("check", "T40", "2w")
    bench.add(
        content.RETIRED, content.retired(T40_2W, "broken", "dropped"), "2026-03-10"
    )
    bench.stored += timedelta(hours=1)
    held = content.placed(SPARE_A, "T40", "in", replaces=T40_2W)
    bench.add(content.PLACED, held, "2026-03-11")
    now = {one.state: one for one in bench.find("check", "T40", "2w")}

    assert now["cancelled"].uid == before.uid
    assert now["confirmed"].samples == (SPARE_A,)
    assert now["confirmed"].when.day == date(2026, 3, 25)


def test_what_is_to_be_placed_waits_until_it_is(bench: Bench) -> None:
    (before,) = bench.find("place", "T40", "")
    bench.place("2026-03-06", T40_2W)
    (half,) = bench.find("place", "T40", "")
    bench.place("2026-03-06", T40_4W)
    (after,) = bench.find("place", "T40", "")

    assert before.uid == half.uid == after.uid
    assert before.samples == (T40_2W, T40_4W)
    assert half.when.day == date(2026, 3, 6)
    assert (half.state, half.samples) == ("tentative", (T40_4W,))
    assert after.state == "cancelled"


# FT: two cycles of 24 h at -18 °C and 24 h at 22 °C (small study).
def test_all_steps_of_a_cycle_stand_ahead_by_the_hour(bench: Bench) -> None:
    bench.step(1, 1, "2026-03-06T18:05", FT_A)
    hours = {
        one.check: str(one.when)
        for one in bench.days().values()
        if one.kind == "step" and one.state == "confirmed"
    }

    assert hours == {
        "1/1": "2026-03-07T18:00:00+00:00",
        "1/2": "2026-03-08T18:00:00+00:00",
        "2/1": "2026-03-09T18:00:00+00:00",
        "2/2": "2026-03-10T18:00:00+00:00",
    }


def test_a_late_hand_over_moves_the_steps_that_follow(bench: Bench) -> None:
    bench.step(1, 1, "2026-03-06T18:00", FT_A)
    before = bench.days(date(2026, 3, 7))
    bench.step(1, 2, "2026-03-07T20:00", FT_A)
    after = bench.days(date(2026, 3, 7))
    (done,) = bench.find("step", "FT", "1/1")
    (following,) = bench.find("step", "FT", "2/1")

    assert set(before) <= set(after)
    assert done.state == "cancelled"
    assert str(following.when) == "2026-03-09T20:00:00+00:00"
    assert following.uid in before


def test_steps_run_by_the_clock_through_a_change_to_summer_time(bench: Bench) -> None:
    # Dublin goes to summer time on 29 March 2026 at 01:00 UTC: 24 h later is 19:00.
    bench.step(1, 1, "2026-03-28T18:00", FT_A)
    (end,) = bench.find("step", "FT", "1/1")

    assert end.when.time == datetime(2026, 3, 29, 18, tzinfo=UTC)


def test_a_cycle_known_to_the_day_stands_on_days(bench: Bench) -> None:
    bench.place("2026-03-06", FT_A, cycle=1, step=1)
    (end,) = bench.find("step", "FT", "1/1")

    assert (end.when.day, end.when.time) == (date(2026, 3, 7), None)


def test_a_cycled_sample_that_left_leaves_its_steps_cancelled(bench: Bench) -> None:
    bench.step(1, 1, "2026-03-06T18:00", FT_A)
    bench.add(content.RETIRED, content.retired(FT_A, "broken", "burst"), "2026-03-07")

    assert {
        one.state for one in bench.days(date(2026, 3, 7)).values() if one.kind == "step"
    } == {"cancelled"}


def test_untreated_twins_are_read_beside_the_cycled_ones(bench: Bench) -> None:
    bench.place("2026-03-06", FT_A, TWIN_A)
    (cycled,) = bench.find("check", "FT", "c2")
    (twin,) = bench.find("check", "ROOM", "c2")

    assert (cycled.samples, twin.samples) == ((FT_A,), (TWIN_A,))
    assert cycled.when == twin.when


def test_names_differ_between_two_makers_with_the_same_code(
    bench: Bench, tmp_path: Path
) -> None:
    other = Bench(tmp_path / "other")
    opening = other.book.record.opening
    assert all(opening.fingerprint[:12] in uid for uid in other.days())
    assert set(bench.days()) == set(other.days()), "the same study, the same names"
