"""How many readings that bear the request are undecided, and where."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stability.evaluation.undecided import undecided_of, undecided_text
from tests.evaluation.builders import Bench, bulk, sample
from tests.evaluation.test_judging import VISCOSITY, with_attribute
from tests.evaluation.test_stays import bench, day, read, stay


def elsewhere(made: Bench) -> Bench:
    """Return a study whose jar stood in the cold before its check at six months."""
    stay(made, "COLD", "2025-04-11", "2025-07-09")
    read(made, "6M", day(6), "5.41", "slightly changed")
    return made


def test_what_stood_elsewhere_is_counted_with_its_place() -> None:
    assert undecided_text(elsewhere(bench()).evaluate("2025-07-12")) == (
        "Bearing the request: 2 undecided (pH at ROOM: 1; odour at ROOM: 1), neither a "
        "pass nor a failure."
    )


def test_without_any_there_are_no_words() -> None:
    made = bench()
    read(made, "6M", day(6), "5.41")

    assert undecided_text(made.evaluate("2025-07-12")) == ""


def test_what_fails_is_not_undecided() -> None:
    made = bench()
    stay(made, "COLD", "2025-04-11", "2025-07-09")
    read(made, "6M", day(6), "4.80")

    (only,) = undecided_of(made.evaluate("2025-07-12"))
    assert only.attribute == "odour"


@pytest.mark.parametrize(("condition", "counted"), [("ROOM", 1), ("T40", 0)])
def test_only_long_term_storage_bears_the_request(condition: str, counted: int) -> None:
    made = Bench([bulk(), sample("HDC-001-A", condition)])
    made.read("BULK-A", "pH", "T0", "5.40", "5.42", done="2025-01-09")
    made.place("HDC-001-A", condition)
    made.place("HDC-001-A", "COLD", "2025-01-12", how="swapped", because="full")
    made.place("HDC-001-A", condition, "2025-03-30", how="swapped", because="back")
    check = "12w" if condition == "T40" else "3M"
    made.read("HDC-001-A", "pH", check, "5.41", "5.41", done="2025-04-10")
    found = made.evaluate("2025-04-12")

    assert found.judged[-1].mark == "undecided"
    assert len(undecided_of(found)) == counted


def test_a_reading_without_an_initial_value_is_told_apart() -> None:
    samples = [bulk(), sample("HDC-001-A", "ROOM")]
    made = Bench(samples, protocol=with_attribute(VISCOSITY))
    made.place("HDC-001-A", "ROOM")
    made.read("HDC-001-A", "viscosity", "4w", "10900", done="2025-02-07")
    found = made.evaluate("2025-02-07")

    assert [one.mark for one in found.judged] == ["no initial"]
    assert undecided_text(found) == (
        "Bearing the request: 1 without an initial value to be judged by (viscosity "
        "at ROOM: 1), neither a pass nor a failure."
    )


def test_what_bears_no_request_is_not_counted() -> None:
    samples = [bulk(), sample("HDC-001-A", "ROOM")]
    rules = with_attribute(replace(VISCOSITY, bears_request=False))
    made = Bench(samples, protocol=rules)
    made.place("HDC-001-A", "ROOM")
    made.read("HDC-001-A", "viscosity", "4w", "10900", done="2025-02-07")

    assert undecided_of(made.evaluate("2025-02-07")) == ()
