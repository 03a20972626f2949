"""Stays of a sample outside its own condition."""

from __future__ import annotations

from datetime import timedelta

import pytest

from stability.evaluation.findings import Evaluation
from stability.model.age import add_calendar_months
from stability.model.study import Request
from tests.evaluation.builders import PLACED, Bench, bulk, sample, study

JAR = "HDC-001-A"


def day(months: int) -> str:
    return add_calendar_months(PLACED, months).isoformat()


def bench() -> Bench:
    """Return a study whose jar is read steady for half a year, on each due day."""
    made = Bench(
        [bulk(), sample(JAR, "ROOM")],
        study=study(request=Request(6), omit={"weight_loss": "sealed"}),
    )
    made.read("BULK-A", "pH", "T0", "5.40", "5.42", done="2025-01-09")
    made.read("BULK-A", "odour", "T0", "as control", done="2025-01-09")
    made.place(JAR, "ROOM")
    read(made, "4w", (PLACED + timedelta(weeks=4)).isoformat(), "5.41")
    read(made, "3M", day(3), "5.40")
    return made


def read(
    made: Bench, check: str, done: str, value: str, word: str = "as control"
) -> int:
    position = made.read(JAR, "pH", check, value, value, done=done)
    made.read(JAR, "odour", check, word, done=done)
    return position


def stay(made: Bench, where: str, first: str, last: str) -> None:
    made.place(JAR, where, first, how="swapped", because="no room on the shelf")
    made.place(JAR, "ROOM", last, how="swapped", because="put back")


def mark(found: Evaluation, attribute: str = "pH") -> tuple[str, str]:
    """Return mark and detail of the newest reading of an attribute."""
    one = [one for one in found.judged if one.attribute == attribute][-1]
    return one.mark, one.detail


@pytest.mark.parametrize("attribute", ["pH", "odour"])
def test_months_in_the_refrigerator_are_no_months_on_the_shelf(attribute: str) -> None:
    made = bench()
    stay(made, "COLD", "2025-04-11", "2025-07-09")
    read(made, "6M", day(6), "5.41", "slightly changed")
    found = made.evaluate("2025-07-12")

    assert mark(found, attribute) == (
        "undecided",
        "outside ROOM for 89 days, too long to show a pass at 6M",
    )
    assert found.months_shown == 3
    assert found.shelf_life is not None
    assert found.shelf_life.supported.months == 3


def test_without_the_stay_the_same_readings_pass() -> None:
    made = bench()
    read(made, "6M", day(6), "5.41", "slightly changed")

    assert made.evaluate("2025-07-12").months_shown == 6


def test_what_was_taken_out_stood_in_no_condition() -> None:
    made = bench()
    made.place(JAR, None, "2025-04-11", how="out", because="taken to a fair")
    read(made, "6M", day(6), "5.41")
    found = made.evaluate("2025-07-12")

    assert mark(found)[0] == "undecided"
    assert found.months_shown == 3


def test_a_fail_stands_wherever_the_sample_stood() -> None:
    made = bench()
    stay(made, "COLD", "2025-04-11", "2025-07-09")
    read(made, "6M", day(6), "4.80")
    found = made.evaluate("2025-07-12")

    assert mark(found)[0] == "outside"
    assert found.outside != ()


def test_the_last_day_of_a_stay_that_still_passes_is_the_width_of_the_window() -> None:
    found = {}
    for days in range(5, 32):
        made = bench()
        back = PLACED + timedelta(days=100 + days)
        stay(made, "COLD", (PLACED + timedelta(days=100)).isoformat(), back.isoformat())
        position = read(made, "6M", day(6), "5.41")
        one = next(
            one
            for one in made.evaluate("2025-07-20").judged
            if one.observation.position == position
        )
        assert one.planned is not None
        width = (one.planned.due - one.planned.opens).days
        found[days] = (one.mark == "inside", days <= width)

    assert {passes for passes, _ in found.values()} == {True, False}
    assert all(passes == meant for passes, meant in found.values())


def test_hours_at_the_bench_come_to_nothing() -> None:
    made = bench()
    for number in range(1, 9):
        when = f"2025-05-0{number}"
        made.place(JAR, None, f"{when}T09:00:00+01:00", how="out")
        made.place(JAR, "ROOM", f"{when}T11:30:00+01:00")
    read(made, "6M", day(6), "5.41")

    assert mark(made.evaluate("2025-07-12"))[0] == "inside"


def test_a_stay_after_the_reading_takes_nothing_from_it() -> None:
    made = bench()
    read(made, "6M", day(6), "5.41")
    stay(made, "COLD", "2025-07-11", "2025-11-11")

    assert made.evaluate("2025-12-01").months_shown == 6


@pytest.mark.parametrize(
    ("condition", "mark_there"), [("T40", "undecided"), ("T45", "inside")]
)
def test_what_carries_no_months_keeps_its_mark(condition: str, mark_there: str) -> None:
    """T40 is accelerated and opens the cap; T45 is stress."""
    hot = Bench([bulk(), sample(JAR, condition)])
    hot.place(JAR, condition)
    hot.place(JAR, "COLD", "2025-01-12", how="swapped", because="oven full")
    hot.place(JAR, condition, "2025-03-30", how="swapped", because="put back")
    read(hot, "12w", "2025-04-04", "5.41")
    found = hot.evaluate("2025-04-10")

    assert mark(found)[0] == mark_there
    assert "exposure" in {one.code for one in found.judged[0].remarks}
