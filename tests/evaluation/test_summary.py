"""Attribute × condition in words."""

from __future__ import annotations

import pytest

from stability.evaluation.findings import Evaluation, SummaryCell
from tests.evaluation.builders import Bench, bulk, sample


def cell(evaluation: Evaluation, attribute: str, condition: str) -> SummaryCell:
    """Return one cell."""
    return next(
        one
        for one in evaluation.summary
        if (one.attribute, one.condition) == (attribute, condition)
    )


def bench(jars: int = 1) -> Bench:
    """Return a bench with some jars at 40 °C, placed."""
    samples = [sample(f"HDC-00{place}-A", "T40") for place in range(jars)]
    made = Bench([bulk(), *samples])
    for one in samples:
        made.place(one.code, "T40")
    return made


@pytest.mark.parametrize(
    ("values", "state", "text"),
    [
        (["5.4", "5.4"], "inside", "inside (2 read)"),
        (["5.4", "4.9"], "outside", "outside at 4w (1 of 2)"),
        (["5.4", "<5.2"], "undecided", "undecided (2 read)"),
    ],
)
def test_a_cell_says_the_worst_and_counts(
    values: list[str], state: str, text: str
) -> None:
    made = bench()
    for check, value, done in zip(
        ("2w", "4w"), values, ("2025-01-24", "2025-02-07"), strict=True
    ):
        made.read("HDC-000-A", "pH", check, value, done=done)

    found = cell(made.evaluate("2025-02-08"), "pH", "T40")

    assert (found.state, found.text) == (state, text)


def test_a_missing_reading_is_counted_and_never_a_pass() -> None:
    made = bench()
    made.read("HDC-000-A", "pH", "2w", done="2025-01-24", not_measured="meter dead")
    made.miss("4w", "HDC-000-A", because="closed", done="2025-02-07")

    found = cell(made.evaluate("2025-03-01"), "pH", "T40")

    assert (found.state, found.read, found.missing) == ("missed", 0, 2)
    assert found.text == "missed (2 checks)"


def test_a_cell_with_some_missing_says_so() -> None:
    made = bench()
    made.read("HDC-000-A", "pH", "2w", "5.4", done="2025-01-24")

    found = cell(made.evaluate("2025-03-01"), "pH", "T40")

    assert found.text == "inside (1 read, 1 missing)"


def test_what_is_to_come_and_what_is_not_planned_are_told_apart() -> None:
    evaluation = bench().evaluate("2025-01-11")

    assert cell(evaluation, "pH", "T40").text == "no reading"
    assert cell(evaluation, "pH", "T45").text == "not planned"


def test_a_drift_inside_the_limit_is_shown_as_changed() -> None:
    made = bench()
    made.read("BULK-A", "pH", "T0", "5.50", done="2025-01-09")
    for check, value, done in (
        ("2w", "5.43", "2025-01-24"),
        ("4w", "5.36", "2025-02-07"),
        ("8w", "5.22", "2025-03-07"),
    ):
        made.read("HDC-000-A", "pH", check, value, done=done)

    assert cell(made.evaluate("2025-03-08"), "pH", "T40").state == "changed, inside"


def test_a_failed_sample_counts_in_each_attribute_it_can_no_longer_show() -> None:
    made = bench(jars=2)
    for code in ("HDC-000-A", "HDC-001-A"):
        made.read(code, "pH", "2w", "5.4", done="2025-01-24")
    made.retire("HDC-001-A", "leaking", "2025-01-30")

    found = cell(made.evaluate("2025-02-01"), "pH", "T40")

    assert (found.state, found.outside, found.read) == ("outside", 1, 3)
    assert found.first_outside == "4w"
    # No observation of the two lies outside: the container is counted beside them.
    assert found.text == "outside at 4w (0 of 2, 1 container failed)"


def test_a_sample_seen_outside_and_taken_away_failed_at_that_check() -> None:
    made = bench()
    made.read("HDC-000-A", "pH", "8w", "4.6", done="2025-03-07")
    made.retire("HDC-000-A", "gassing", "2025-03-07")

    found = cell(made.evaluate("2025-03-08"), "pH", "T40")

    # The next check is 12w, which comes before 8w in the alphabet only.
    assert found.first_outside == "8w"


def test_t0_is_a_column_of_its_own() -> None:
    made = bench()
    made.read("BULK-A", "pH", "T0", "4.9", done="2025-01-09")

    found = cell(made.evaluate("2025-01-12"), "pH", "T0")

    assert (found.state, found.text, found.role) == (
        "outside",
        "outside at T0 (1 of 1)",
        None,
    )


def test_checks_that_a_replacement_took_over_are_not_missing() -> None:
    spare = sample("HDC-009-X", None, use="spare", checks=())
    made = Bench([bulk(), sample("HDC-001-A", "T40"), spare])
    made.place("HDC-001-A", "T40")
    made.read("HDC-001-A", "pH", "2w", "5.4", done="2025-01-24")
    made.retire("HDC-001-A", "broken", "2025-01-25")
    made.place("HDC-009-X", "T40", "2025-02-10", replaces="HDC-001-A")
    for check, done in (("2w", "2025-02-24"), ("4w", "2025-03-10")):
        made.read("HDC-009-X", "pH", check, "5.4", done=done)

    found = cell(made.evaluate("2025-03-20"), "pH", "T40")

    assert found.text == "inside (3 read)"


def test_an_untreated_twin_enters_no_cell() -> None:
    twin = sample("HDC-001-A", "ROOM", twin_of="FT", checks=("c1",))
    made = Bench([twin])
    made.place("HDC-001-A", "ROOM")
    made.read("HDC-001-A", "pH", "c1", "4.9", done="2025-01-12")

    assert cell(made.evaluate("2025-01-12"), "pH", "ROOM").state == "not planned"
