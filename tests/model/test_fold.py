"""Entries folded into the record of a study."""

from __future__ import annotations

from datetime import date
from zoneinfo import ZoneInfo

import pytest

from stability.model import content
from stability.model.entry import Draft, chain
from stability.model.fold import entries_as_of, fold
from stability.model.observation import Observation
from stability.model.study_record import StudyRecord
from tests.evaluation.builders import Bench, protocol, sample, study


def bench() -> Bench:
    """Return a bench with one jar at 40 °C and a spare."""
    spare = sample("HDC-009-X", None, use="spare", checks=())
    return Bench([sample("HDC-001-A", "T40"), spare])


def observation(record: StudyRecord, position: int) -> Observation:
    """Return the observation of one entry."""
    return next(one for one in record.observations if one.position == position)


def test_the_opening_gives_samples_zone_and_fingerprint() -> None:
    made = bench()
    record = made.record()
    (opening,) = chain(made.drafts)

    assert set(record.samples) == {"HDC-001-A", "HDC-009-X"}
    assert record.samples["HDC-001-A"].checks == ("2w", "4w", "8w", "12w")
    assert record.zone == ZoneInfo("Europe/Dublin")
    assert record.opening.fingerprint == opening.digest
    assert str(record.head) == f"study:HDC/1:{opening.digest}"


def test_readings_are_kept_as_typed() -> None:
    made = bench()
    position = made.read("HDC-001-A", "pH", "4w", "5.50", "<5.1", done="2025-02-07")

    seen = observation(made.record(), position)

    assert [str(one) for one in seen.readings] == ["5.50", "<5.1"]
    assert (seen.person, str(seen.done), seen.check) == ("Mara", "2025-02-07", "4w")


def test_a_correction_stands_beside_what_it_supersedes() -> None:
    made = bench()
    first = made.read("HDC-001-A", "pH", "4w", "53.0", done="2025-02-07")
    second = made.correct(first, "5.30", because="typed 53.0", done="2025-02-08")
    record = made.record()

    old, new = observation(record, first), observation(record, second)
    assert (str(old.readings[0]), old.corrected_by, old.stands) == (
        "53.0",
        second,
        False,
    )
    assert (new.corrects, new.because, new.stands) == (first, "typed 53.0", True)
    assert record.standing() == (new,)


def test_a_corrected_correction_leaves_only_the_last_standing() -> None:
    made = bench()
    first = made.read("HDC-001-A", "pH", "4w", "53.0", done="2025-02-07")
    second = made._add(
        content.CORRECTED,
        content.corrected(first, dict(made.drafts[first - 1].content), "again"),
        "2025-02-08",
    )
    third = made._add(
        content.CORRECTED,
        content.corrected(second, dict(made.drafts[first - 1].content), "and again"),
        "2025-02-09",
    )
    record = made.record()

    assert [one.position for one in record.standing()] == [third]
    assert len(record.observations) == 3


def test_a_repeat_that_is_corrected_stays_a_repeat() -> None:
    made = bench()
    first = made.read("HDC-001-A", "pH", "4w", "5.3", done="2025-02-07")
    repeat = made.read(
        "HDC-001-A", "pH", "4w", "54", done="2025-02-07", repeats=first, because="?"
    )
    corrected = made.correct(repeat, "5.4", done="2025-02-07")

    assert observation(made.record(), corrected).repeats == first


def test_what_is_set_aside_keeps_its_cause_and_person() -> None:
    made = bench()
    position = made.read("HDC-001-A", "pH", "4w", "4.2", done="2025-02-07")
    cause = made.invalidate(position, "electrode broken", "2025-02-08")

    invalidated = observation(made.record(), position).invalidated

    assert invalidated is not None
    assert (invalidated.position, invalidated.because, invalidated.person) == (
        cause,
        "electrode broken",
        "Mara",
    )


def test_a_replacement_takes_the_part_of_what_it_replaces() -> None:
    made = bench()
    made.place("HDC-001-A", "T40")
    made.place("HDC-009-X", "T40", "2025-02-21", replaces="HDC-001-A")
    record = made.record()

    taken = record.samples["HDC-009-X"]
    assert (taken.condition, taken.use) == ("T40", "reopened")
    assert taken.checks == ("2w", "4w", "8w", "12w")
    assert record.replacement_of("HDC-001-A") == "HDC-009-X"
    placing = record.first_placing("HDC-009-X")
    assert placing is not None
    assert str(placing.done) == "2025-02-21"


def test_placings_keep_their_order_and_the_first_one_counts() -> None:
    made = bench()
    first = made.place("HDC-001-A", "T40")
    second = made.place("HDC-001-A", "ROOM", "2025-01-20", how="swapped")
    record = made.record()

    assert [one.position for one in record.placings_of("HDC-001-A")] == [first, second]
    assert record.first_placing("HDC-001-A") == record.placings[0]
    assert record.first_placing("HDC-009-X") is None


def test_a_stop_ends_what_its_scope_names() -> None:
    made = bench()
    made.stop("2025-02-20", condition="T40")
    record = made.record()

    assert record.stop_of(record.samples["HDC-001-A"]) == record.stops[0]
    assert record.stop_of(record.samples["HDC-009-X"]) is None

    made.stop("2025-02-21")
    everything = made.record()
    assert everything.stop_of(everything.samples["HDC-009-X"]) == everything.stops[1]


def test_an_unknown_kind_is_refused_and_a_receipt_changes_nothing() -> None:
    made = bench()
    before = made.record()
    made._add(content.RECEIVED, content.received("folder", 3, "0" * 64), "2025-02-01")
    assert made.record().samples == before.samples

    made._add("guessed/1", {}, "2025-02-01")
    with pytest.raises(ValueError, match="unknown kind guessed/1"):
        made.record()


def test_a_study_begins_with_its_opening() -> None:
    made = bench()
    made.place("HDC-001-A", "T40")
    entries = chain(made.drafts)

    with pytest.raises(ValueError, match="begins with its opening"):
        fold(entries[1:], study(), protocol())
    with pytest.raises(ValueError, match="begins with its opening"):
        fold((), study(), protocol())


# As of a day


def run(*entered: str) -> list[int]:
    """Return the positions kept as of 1 March 2025."""
    drafts = [
        Draft("study:HDC", "noted/1", "Mara", "2025-01-01", at, {"text": "x"})
        for at in entered
    ]
    kept = entries_as_of(chain(drafts), date(2025, 3, 1), ZoneInfo("Europe/Dublin"))
    return [one.position for one in kept]


def test_the_day_itself_is_taken_in_and_the_next_is_not() -> None:
    assert run("2025-02-28T10:00:00Z", "2025-03-01T23:59:59Z") == [1, 2]
    assert run("2025-02-28T10:00:00Z", "2025-03-02T00:00:00Z") == [1]


def test_the_run_ends_at_the_first_later_entry() -> None:
    late = ("2025-02-01T10:00:00Z", "2025-03-05T10:00:00Z", "2025-02-20T10:00:00Z")

    assert run(*late) == [1]


def test_what_was_done_later_does_not_matter_only_what_was_stored() -> None:
    made = bench()
    made.read(
        "HDC-001-A", "pH", "4w", "5.4", done="2025-02-07",
        entered="2025-04-01T10:00:00Z",
    )  # fmt: skip

    assert made.record("2025-03-31").observations == ()
    assert len(made.record("2025-04-01").observations) == 1
