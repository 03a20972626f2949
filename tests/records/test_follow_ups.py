"""Answers of follow-ups, checked against the study."""

from __future__ import annotations

from pathlib import Path

import pytest

from stability.errors.samples import (
    EntryReferenceError,
    FollowUpError,
    ReasonNeededError,
    UnknownNameError,
)
from stability.model import content
from stability.model.follow_up import FIRST_CHECKS, NOT_LOOKED_AT
from stability.model.observation import Reading
from stability.records.continuation import Continuation
from stability.records.follow_ups import answer, read_checks
from tests.records.small_study import ROOM_A, T40_2W, add, opened_book

READ, GONE, FAILED, CORRECTED, ASIDE = 2, 3, 4, 5, 7


@pytest.fixture
def book(tmp_path: Path) -> Continuation:
    """Return the study with readings, and two samples that left."""
    made = opened_book(tmp_path)

    def ph(value: str) -> content.Content:
        return content.observed(ROOM_A, "pH", "T0", [Reading(value)], unit="pH")

    add(made, content.OBSERVED, ph("4.80"), "2026-03-05")
    add(made, content.RETIRED, content.retired(ROOM_A, "broken", "fell"), "2026-03-06")
    add(made, content.RETIRED, content.retired(T40_2W, "mouldy", "dots"), "2026-03-06")
    add(made, content.OBSERVED, ph("4.10"), "2026-03-05")
    add(
        made,
        content.CORRECTED,
        content.corrected(CORRECTED, ph("4.2"), "x"),
        "2026-03-06",
    )
    add(made, content.OBSERVED, ph("4.30"), "2026-03-05")
    add(made, content.INVALIDATED, content.invalidated(ASIDE, "meter"), "2026-03-06")
    return made


def answered(
    book: Continuation, position: int = READ, **more: object
) -> content.Content:
    """Answer with what is usual, but for what a test says."""
    said = {
        "checked": ["right sample=yes"],
        "outcome": "confirmed",
        "because": "reads the same again",
        **more,
    }
    return answer(book, position, **said)  # type: ignore[arg-type]


def test_what_was_not_typed_was_not_looked_at(book: Continuation) -> None:
    held = answered(book, checked=["Right=yes", "temp=no", "weight=not looked at"])

    assert held == {
        "refers_to": READ,
        "question": "outside its limit",
        "checks": {
            **dict.fromkeys(FIRST_CHECKS, NOT_LOOKED_AT),
            "right sample": "yes",
            "temperature": "no",
        },
        "outcome": "confirmed",
        "because": "reads the same again",
    }


def test_a_failed_sample_is_followed_up_and_a_broken_one_not(
    book: Continuation,
) -> None:
    assert answered(book, FAILED)["refers_to"] == FAILED
    with pytest.raises(EntryReferenceError):
        answered(book, GONE)


@pytest.mark.parametrize("position", [1, CORRECTED, ASIDE, 99])
def test_what_does_not_stand_is_not_followed_up(
    book: Continuation, position: int
) -> None:
    with pytest.raises(EntryReferenceError):
        answered(book, position)


@pytest.mark.parametrize("word", ["unknown", "", "maybe"])
def test_answers_are_yes_no_or_not_looked_at(book: Continuation, word: str) -> None:
    with pytest.raises(UnknownNameError):
        answered(book, checked=[f"weight={word}"])


def test_names_are_those_of_the_first_checks(book: Continuation) -> None:
    with pytest.raises(UnknownNameError, match="first check"):
        answered(book, checked=["moon=yes"])
    with pytest.raises(UnknownNameError, match="outcome"):
        answered(book, outcome="ignored")
    with pytest.raises(FollowUpError, match="NAME=yes"):
        read_checks("HDC/2", ["weight"])
    with pytest.raises(FollowUpError, match="weight is typed twice"):
        read_checks("HDC/2", ["weight=yes", "wei=no"])


@pytest.mark.parametrize(
    ("checked", "outcome", "reason"),
    [
        ([], "confirmed", "nothing was looked at"),
        (["weight=not looked at"], "not explained", "nothing was looked at"),
        (["right sample=yes"], "wrong sample", "is not answered no"),
        (["weight=no"], "wrong sample", "is not answered no"),
        (["right sample=no"], "confirmed", "was not the right sample"),
        (["right sample=no"], "measuring fault found", "was not the right sample"),
    ],
)
def test_an_outcome_that_contradicts_the_checks_is_refused(
    book: Continuation, checked: list[str], outcome: str, reason: str
) -> None:
    with pytest.raises(FollowUpError, match=reason):
        answered(book, checked=checked, outcome=outcome)


@pytest.mark.parametrize(
    ("checked", "outcome"),
    [
        (["right sample=no"], "wrong sample"),
        (["right sample=no"], "not explained"),
        (["calibration=no"], "measuring fault found"),
    ],
)
def test_an_outcome_that_follows_from_the_checks_is_taken(
    book: Continuation, checked: list[str], outcome: str
) -> None:
    assert answered(book, checked=checked, outcome=outcome)["outcome"] == outcome


@pytest.mark.parametrize("because", [None, "", "  "])
def test_a_reason_is_needed(book: Continuation, because: str | None) -> None:
    with pytest.raises(ReasonNeededError):
        answered(book, because=because)
