"""Rows of a study expanded into samples with codes and checks."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stability.errors.codes import TooManySamplesError
from stability.model.age import T0, Age
from stability.model.attribute import Attribute
from stability.model.code import parse_code
from stability.model.condition import Condition, CycleStep
from stability.model.protocol import Protocol, T0Rule
from stability.model.sample import assign_samples, checks_of_tubes
from stability.model.study import (
    AsSold,
    Batch,
    Pack,
    Request,
    Sample,
    SampleRow,
    Study,
)


def protocol(*attributes: Attribute) -> Protocol:
    """Return a protocol with a plain and a cycled condition."""
    step = CycleStep(Decimal(-18), Decimal(4), Age(24, "h"))
    conditions = [
        Condition("ROOM", "long-term", checks=("4w", "3M", "12M")),
        Condition(
            "FT",
            "stress",
            cycles=3,
            steps=(step,),
            read_after_cycles=(1, 3),
            untreated_twin="ROOM",
        ),
        Condition(
            "MIXED", "stress", checks=("2w",), cycles=2, read_after_cycles=(2,),
            steps=(step,), untreated_twin="ROOM",
        ),
    ]  # fmt: skip
    return Protocol(
        name="x",
        title="x",
        version="1",
        t0=T0Rule(Age(48, "h"), Age(96, "h")),
        conditions={one.name: one for one in conditions},
        attributes={one.name: one for one in attributes},
    )


def study(*rows: SampleRow, months: int = 12) -> Study:
    """Return a study of two batches, one of them filled later than made."""
    return Study(
        product="x",
        version="1",
        protocol="x",
        request=Request(months),
        as_sold=AsSold(formula=True, pack=True, scale=""),
        batches={
            "A": Batch("A", date(2026, 3, 2)),
            "B": Batch("B", date(2026, 3, 2), date(2026, 3, 31)),
        },
        packs={"JAR": Pack("JAR", "jar")},
        samples=rows,
        code="HDC",
    )


def row(use: Any, **fields: Any) -> SampleRow:
    """Return a row of batch A in a jar."""
    condition = None if use in {"retained", "spare", "sent out", "T0"} else "ROOM"
    return SampleRow(
        **{"batch": ("A",), "use": use, "pack": "JAR", "condition": condition, **fields}
    )


BULK = SampleRow(("A", "B"), "T0", kind="bulk")


def assigned(*rows: SampleRow, months: int = 12) -> tuple[Sample, ...]:
    """Return the samples of the rows beside bulk for T0."""
    return assign_samples(study(BULK, *rows, months=months), protocol())[2:]


def checks(*rows: SampleRow) -> list[tuple[str, ...]]:
    """Return the checks of the samples of the rows."""
    return [one.checks for one in assigned(*rows)]


def test_a_fresh_container_is_meant_for_each_check() -> None:
    assert checks(row("fresh per check", count=2)) == [
        ("4w",), ("4w",), ("3M",), ("3M",), ("12M",), ("12M",),
    ]  # fmt: skip


def test_a_row_may_name_the_checks_that_it_serves() -> None:
    named = ("12M", "4w")

    assert checks(row("fresh per check", checks=named)) == [("4w",), ("12M",)]
    assert checks(row("reopened", checks=named)) == [("4w", "12M")]


@pytest.mark.parametrize("use", ["reopened", "in use"])
def test_a_reopened_container_serves_every_check(use: str) -> None:
    assert checks(row(use, count=2)) == [("4w", "3M", "12M")] * 2


def test_an_untouched_container_is_opened_once() -> None:
    (sample,) = assigned(row("untouched", open_at="3M"))

    assert (sample.checks, sample.open_at) == (("3M",), "3M")


@pytest.mark.parametrize("use", ["retained", "spare", "sent out"])
def test_what_is_kept_or_given_away_has_no_checks(use: str) -> None:
    assert checks(row(use)) == [()]


def test_bulk_and_containers_for_t0_are_read_at_t0_only() -> None:
    samples = assign_samples(study(BULK, row("T0")), protocol())

    assert [one.checks for one in samples] == [(T0,)] * 3
    assert [one.kind for one in samples] == ["bulk", "bulk", "container"]


def test_cycled_samples_are_read_after_their_cycles_beside_their_twins() -> None:
    samples = assigned(row("reopened", condition="FT", count=3, untreated_twins=1))

    assert [one.checks for one in samples] == [("c1", "c3")] * 4
    assert [one.condition for one in samples] == ["FT", "FT", "FT", "ROOM"]
    assert [one.twin_of for one in samples] == [None, None, None, "FT"]


def test_twins_of_fresh_samples_are_fresh_too() -> None:
    fresh = row("fresh per check", condition="FT", count=2, untreated_twins=1)
    twins = [one for one in assigned(fresh) if one.twin_of]

    assert [one.checks for one in twins] == [("c1",), ("c3",)]


def test_twins_are_read_after_cycles_only() -> None:
    mixed = row("reopened", condition="MIXED", untreated_twins=1)

    assert checks(mixed) == [("2w", "c2"), ("c2",)]


def test_a_batch_without_a_sample_for_t0_is_read_in_its_reopened_ones() -> None:
    rows = (
        row("reopened", batch=("A", "B")),
        row("in use", batch=("B",)),
        row("fresh per check", batch=("A", "B"), checks=("4w",)),
        row("untouched", batch=("B",), open_at="3M"),
        SampleRow(("B",), "T0", kind="tube"),
        SampleRow(("A",), "T0", kind="bulk"),
    )
    samples = assign_samples(study(*rows), protocol())

    assert [(one.batch, one.use, one.checks) for one in samples] == [
        ("A", "reopened", ("4w", "3M", "12M")),
        ("B", "reopened", (T0, "4w", "3M", "12M")),
        ("B", "in use", (T0, "4w", "3M", "12M")),
        ("A", "fresh per check", ("4w",)),
        ("B", "fresh per check", ("4w",)),
        ("B", "untouched", ("3M",)),
        ("B", "T0", (T0,)),
        ("A", "T0", (T0,)),
    ]


def test_tubes_are_read_when_the_attributes_of_tubes_are() -> None:
    centrifuge = Attribute("spin", "stated", on="tube", when=("12M", T0))

    assert checks_of_tubes(protocol(centrifuge)) == (T0, "12M")
    assert checks_of_tubes(protocol()) == (T0,)
    samples = assign_samples(
        study(SampleRow(("A",), "T0", kind="tube")), protocol(centrifuge)
    )
    assert samples[0].checks == (T0, "12M")


def test_a_retained_sample_is_kept_from_filling_for_as_long_as_stated() -> None:
    samples = assigned(row("retained", batch=("A", "B"), keep_for=Age(11, "M")))

    assert [one.keep_until for one in samples] == [date(2027, 2, 2), date(2027, 2, 28)]


def test_a_retained_sample_is_kept_a_year_beyond_the_request_if_nothing_is_stated() -> (
    None
):
    # Common practice: the shelf life asked for and one year, 18 + 12 months.
    (sample,) = assigned(row("retained"), months=18)

    assert sample.keep_until == date(2028, 9, 2)
    assert assigned(row("spare"))[0].keep_until is None


def test_codes_follow_the_file_row_by_row_and_batch_by_batch() -> None:
    samples = assign_samples(
        study(BULK, row("spare", batch=("B", "A")), row("retained")), protocol()
    )

    assert [(one.code, one.batch, one.use) for one in samples] == [
        ("HDC-001-5", "A", "T0"),
        ("HDC-002-3", "B", "T0"),
        ("HDC-005-Y", "B", "spare"),
        ("HDC-006-W", "A", "spare"),
        ("HDC-009-Q", "A", "retained"),
    ]


def test_more_samples_than_numbers_are_refused() -> None:
    with pytest.raises(TooManySamplesError):
        assigned(*[row("spare", count=999)] * 9)


@settings(max_examples=50, deadline=None)
@given(
    st.lists(
        st.builds(
            row,
            st.sampled_from(["fresh per check", "reopened", "in use", "spare", "T0"]),
            batch=st.sampled_from([("A",), ("B",), ("A", "B")]),
            count=st.integers(1, 4),
        ),
        max_size=6,
    )
)
def test_every_code_is_valid_and_stands_once(rows: list[SampleRow]) -> None:
    codes = [one.code for one in assign_samples(study(*rows), protocol())]

    assert len(set(codes)) == len(codes)
    assert [parse_code(code) for code in codes] == codes
