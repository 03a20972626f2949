"""Verbs that record what a storage place did, and what was decided of it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from stability.errors.codes import MomentError, NumberFormError
from stability.errors.samples import ReasonNeededError, UnknownNameError
from stability.errors.storage import (
    ExcursionSideError,
    LoggerUnreadableError,
    StorageRecordError,
    StorageReferenceError,
)
from stability.model.logger_form import DeclaredForm
from stability.workflow import storage, storing
from stability.workflow.occasion import Occasion
from stability.workflow.records import verify
from tests.workflow.test_storage import logger, oven

OFF = [40.0] * 10 + [25.0] * 9 + [40.0] * 10
PLAIN = DeclaredForm()


def logged(at: Occasion, folder: Path) -> Occasion:
    """Register an oven that was off for 9 hours, and take in its logger."""
    storing.log(oven(at), "OVEN", logger(folder / "oven.csv", OFF), PLAIN)
    return at


def test_a_logger_is_one_entry_and_one_attachment(
    nowhere: Occasion, tmp_path: Path
) -> None:
    file = logger(tmp_path / "oven.csv", OFF)
    made = storing.log(oven(nowhere), "OVEN", file, PLAIN)

    assert made.written.reference == "OVEN-7KQ4/2"
    assert made.written.text.startswith(
        "OVEN logger oven.csv: 29 readings, 2026-02-01 00:00 to 2026-02-02 04:00; time "
        "from time (year-first, in file)"
    )
    (one,) = made.open
    assert one.text == "9 h colder than meant, down to 25.0 °C"
    found = verify(nowhere)
    assert found.holds
    assert (found.entries, found.attachments) == (2, 1)


def test_the_same_file_is_taken_once(nowhere: Occasion, tmp_path: Path) -> None:
    logged(nowhere, tmp_path)

    with pytest.raises(StorageRecordError, match="on record as OVEN/2"):
        storing.log(nowhere, "OVEN", tmp_path / "oven.csv", PLAIN)
    assert verify(nowhere).entries == 2


def test_two_files_of_one_time_are_told_and_count_once(
    nowhere: Occasion, tmp_path: Path
) -> None:
    logged(nowhere, tmp_path)
    more = logger(tmp_path / "again.csv", [*OFF, 40.0, 40.0])
    made = storing.log(nowhere, "OVEN", more, PLAIN)

    assert "a part of the same time" in made.written.remarks[0]
    shown = storage.place(nowhere, "OVEN")
    assert len(shown.excursions) == 1
    assert shown.figures is not None
    assert shown.figures.known_hours == pytest.approx(30)


def test_readings_of_a_day_that_has_not_come_are_refused(
    nowhere: Occasion, tmp_path: Path
) -> None:
    file = logger(tmp_path / "oven.csv", OFF, start="2026-12-03T00:00")

    with pytest.raises(StorageRecordError, match="2026-12-04, which has not come"):
        storing.log(oven(nowhere), "OVEN", file, PLAIN)


def test_a_file_that_is_not_there_is_refused(nowhere: Occasion, tmp_path: Path) -> None:
    with pytest.raises(LoggerUnreadableError, match="No such file"):
        storing.log(oven(nowhere), "OVEN", tmp_path / "none.csv", PLAIN)


def test_a_look_within_asks_nothing_and_one_outside_asks(nowhere: Occasion) -> None:
    oven(nowhere)
    later = replace(nowhere, now=nowhere.now.replace(day=8))
    inside = storing.look(later, "OVEN", "38.9", "41.2")
    outside = storing.look(
        replace(nowhere, now=nowhere.now.replace(day=9)), "OVEN", "31", "41.2"
    )

    assert inside.open == ()
    (one,) = outside.open
    assert one.text == "colder than meant for an unknown time, down to 31.0 °C"
    assert (one.start.day, one.end.day) == (8, 9)


@pytest.mark.parametrize(
    ("low", "high", "error"),
    [
        ("41", "38", StorageRecordError),
        ("<38", "41", StorageRecordError),
        ("38", "410", StorageRecordError),
        ("38,9", "41", NumberFormError),
    ],
)
def test_a_look_that_cannot_be_is_refused(
    nowhere: Occasion, low: str, high: str, error: type[Exception]
) -> None:
    oven(nowhere)

    with pytest.raises(error):
        storing.look(nowhere, "OVEN", low, high)
    assert verify(nowhere).entries == 1


def test_an_event_without_a_logger_asks_and_beside_one_does_not(
    nowhere: Occasion, tmp_path: Path
) -> None:
    logged(nowhere, tmp_path)
    beside = storing.event(
        nowhere, "OVEN", "power cut", start="2026-02-01T10:00", end="2026-02-01T19:00"
    )
    alone = storing.event(
        nowhere, "OVEN", "moved", start="2026-02-10T10:00", end="2026-02-10T11:30",
        direction="cold",
    )  # fmt: skip

    assert beside.open == ()
    (one,) = alone.open
    assert one.text == "1.5 h colder than meant (moved)"
    shown = storage.place(nowhere, "OVEN").excursions[0]
    assert shown.text == "9 h colder than meant, down to 25.0 °C (power cut)"


@pytest.mark.parametrize(
    ("start", "end", "error"),
    [
        ("2026-02-02", "2026-02-01", StorageRecordError),
        (None, "2026-02-01", StorageRecordError),
        ("soon", "2026-02-01", MomentError),
    ],
)
def test_a_time_that_is_none_is_refused(
    nowhere: Occasion, start: str | None, end: str, error: type[Exception]
) -> None:
    oven(nowhere)

    with pytest.raises(error):
        storing.event(nowhere, "OVEN", "power cut", start=start, end=end)


def test_an_answer_covers_what_it_touches(nowhere: Occasion, tmp_path: Path) -> None:
    logged(nowhere, tmp_path)
    made = storing.answer(
        nowhere, "OVEN", start="2026-02-01T12:00", end=None,
        outcome="cont", because="colder ages less",
    )  # fmt: skip

    assert "continued, because colder ages less" in made.text
    assert made.text.endswith(
        "; 1 excursion answered: 9 h colder than meant, down to 25.0 °C "
        "(2026-02-01 10:00 to 2026-02-01 19:00)"
    )
    (one,) = storage.place(nowhere, "OVEN").excursions
    assert one.answer is not None
    assert one.answer_text == "continued: colder ages less"


def both_sides(at: Occasion) -> Occasion:
    """Register an oven of which one look shows it hotter and colder than meant."""
    oven(at)
    later = replace(at, now=at.now.replace(day=9))
    storing.look(later, "OVEN", "31", "47.5")
    return later


def test_an_answer_to_what_was_colder_leaves_what_was_hotter_open(
    nowhere: Occasion,
) -> None:
    at = both_sides(nowhere)
    day = at.now.date().isoformat()
    made = storing.answer(
        at, "OVEN", start=day, end=None, outcome="continued", side="cold",
        because="below the temperature meant",
    )  # fmt: skip

    assert "colder than meant for an unknown time, down to 31.0 °C" in made.text
    assert "hotter" not in made.text
    found = {one.direction: one for one in storage.place(at, "OVEN").excursions}
    assert found["colder"].answer_text == "continued: below the temperature meant"
    assert found["hotter"].is_open

    # What is left is of one side, which need not be said again.
    storing.answer(
        at, "OVEN", start=day, end=None, outcome="replaced", because="too hot"
    )
    found = {one.direction: one for one in storage.place(at, "OVEN").excursions}
    assert found["hotter"].answer_text == "replaced: too hot"
    assert found["colder"].answer_text == "continued: below the temperature meant"


def test_no_answer_is_taken_for_hotter_and_colder_at_once(nowhere: Occasion) -> None:
    at = both_sides(nowhere)
    day = at.now.date().isoformat()

    with pytest.raises(ExcursionSideError) as told:
        storing.answer(
            at, "OVEN", start=day, end=None, outcome="continued", because="below"
        )
    assert "up to 47.5 °C" in str(told.value)
    assert "down to 31.0 °C" in str(told.value)
    assert len(storage.place(at, "OVEN").record.answers()) == 0


def test_a_side_on_which_nothing_happened_is_not_answered(
    nowhere: Occasion, tmp_path: Path
) -> None:
    logged(nowhere, tmp_path)

    with pytest.raises(StorageRecordError, match="no excursion, hotter than meant, is"):
        storing.answer(
            nowhere, "OVEN", start="2026-02-01", end=None, side="hotter",
            outcome="continued", because="why",
        )  # fmt: skip


def test_an_event_of_no_side_is_answered_and_what_a_logger_shows_later_is_not(
    nowhere: Occasion, tmp_path: Path
) -> None:
    at = oven(nowhere)
    times = {"start": "2026-02-01T08:00", "end": "2026-02-01T20:00"}
    storing.event(at, "OVEN", "power cut", **times)
    storing.answer(at, "OVEN", **times, outcome="continued", because="short")
    (cut,) = storage.place(at, "OVEN").excursions
    assert cut.answer is not None
    assert cut.answer.sides == ()

    storing.log(at, "OVEN", logger(tmp_path / "oven.csv", OFF), PLAIN)

    (shown,) = storage.place(at, "OVEN").excursions
    assert (shown.direction, shown.is_open) == ("colder", True)


def test_many_excursions_of_one_side_take_one_answer_and_three_are_named(
    nowhere: Occasion, tmp_path: Path
) -> None:
    file = logger(tmp_path / "oven.csv", ([40.0] * 3 + [50.0] * 3) * 5 + [40.0])
    storing.log(oven(nowhere), "OVEN", file, PLAIN)
    made = storing.answer(
        nowhere, "OVEN", start="2026-02-01", end="2026-02-03", outcome="continued",
        because="its door",
    )  # fmt: skip

    assert "5 excursions answered: 3 h hotter than meant" in made.text
    assert made.text.endswith("; and 2 more")
    assert not [one for one in storage.place(nowhere, "OVEN").excursions if one.is_open]


@pytest.mark.parametrize(
    ("typed", "error"),
    [
        (("2026-02-20", "continued", "why"), StorageRecordError),
        (("2026-02-01", "forgotten", "why"), UnknownNameError),
        (("2026-02-01", "continued", " "), ReasonNeededError),
    ],
)
def test_an_answer_that_cannot_be_is_refused(
    nowhere: Occasion,
    tmp_path: Path,
    typed: tuple[str, str, str],
    error: type[Exception],
) -> None:
    logged(nowhere, tmp_path)
    start, outcome, because = typed

    with pytest.raises(error):
        storing.answer(
            nowhere, "OVEN", start=start, end=None, outcome=outcome, because=because
        )
    assert verify(nowhere).entries == 2


def test_a_log_set_aside_takes_no_part(nowhere: Occasion, tmp_path: Path) -> None:
    logged(nowhere, tmp_path)
    storing.invalidate(nowhere, "OVEN/2", because="the fridge's file")

    assert storage.place(nowhere, "OVEN").excursions == ()
    storing.log(nowhere, "OVEN", tmp_path / "oven.csv", PLAIN)
    with pytest.raises(StorageReferenceError, match="entry 3 set it aside"):
        storing.invalidate(nowhere, "OVEN/2", because="again")


@pytest.mark.parametrize("reference", ["OVEN", "OVEN/x", "OVEN/9"])
def test_a_reference_that_leads_nowhere_is_refused(
    nowhere: Occasion, reference: str
) -> None:
    with pytest.raises(StorageReferenceError):
        storing.invalidate(oven(nowhere), reference, because="why")
