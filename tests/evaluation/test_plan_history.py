"""Whether limits stood before the first reading, and who can witness it."""

from __future__ import annotations

from tests.evaluation.builders import Bench, bulk


def said(made: Bench, read_on: str = "2025-01-09") -> str:
    made.read("BULK-A", "pH", "T0", "5.5", done=read_on)
    return made.evaluate("2025-03-01").identity.limits_recorded


def test_lodged_before_the_first_reading_names_the_witness() -> None:
    made = Bench([bulk()])
    made.lodge("Dr Orla Keane", "2025-01-07")

    text = said(made)

    assert "before the first reading on 2025-01-09" in text
    assert "lodged with Dr Orla Keane on 2025-01-07" in text


def test_without_a_lodging_there_is_no_witness() -> None:
    assert "no outside witness." in said(Bench([bulk()]))


def test_a_lodging_stored_after_the_reading_is_no_witness_whatever_its_date() -> None:
    made = Bench([bulk()])
    made.lodge("Dr Orla Keane", "2025-01-07", entered="2025-01-20T09:00:00Z")

    text = said(made)

    assert "no outside witness before it, only afterwards: Dr Orla Keane" in text


def test_limits_after_the_reading_are_said_to_be_so_even_if_lodged() -> None:
    made = Bench([bulk()], opened="2025-01-12")
    made.lodge("Dr Orla Keane", "2025-01-12")

    assert "after the first reading on 2025-01-09." in said(made)
    assert "lodged with" not in said(made)


def test_a_study_taken_over_says_so_first() -> None:
    made = Bench([bulk()], opened="2025-01-12")
    made.take_over("green notebook, page 12", "2025-01-12")

    text = said(made)

    assert text.startswith("This study was taken over from older notes on 2025-01-12")
    assert "green notebook, page 12" in text
    assert "after the first reading" in text


def test_amendments_are_named_with_their_days() -> None:
    made = Bench([bulk()])
    made.amend(made.protocol, "2025-02-01")

    assert "The plan was amended on 2025-02-01" in said(made)
