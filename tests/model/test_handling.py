"""The order of handling of a sample, and what it is compared with."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from stability.model import content
from stability.model.attribute import Attribute
from stability.model.handling import (
    STAGES,
    for_laboratory,
    last_readings,
    tasks_of,
)
from stability.model.observation import Reading
from stability.model.study_record import StudyRecord
from tests.records.small_study import (
    BULK_A,
    ROOM_A,
    ROOM_B,
    T40_2W,
    T40_4W,
    add,
    opened_book,
)


@pytest.fixture
def record(tmp_path: Path) -> StudyRecord:
    """Return the small study just after its opening."""
    return opened_book(tmp_path).record


def texts(record: StudyRecord, code: str, check: str) -> list[str]:
    """Return what is to be read of a sample, in order."""
    return [one.text for one in tasks_of(record, record.samples[code], check)]


def test_weigh_then_look_and_smell_then_measure_then_weigh_again(
    record: StudyRecord,
) -> None:
    # Common practice: a container is weighed before it is opened, nose and eye come
    # before anything is taken out, and it is weighed when it is closed again.
    assert texts(record, ROOM_A, "2w") == [
        "weight before opening",
        "separation",
        "odour",
        "swollen",
        "pH",
        "spread",
        "weight after closing",
    ]


def test_a_container_that_is_not_read_again_is_not_weighed_again(
    record: StudyRecord,
) -> None:
    assert "weight after closing" not in texts(record, T40_2W, "2w")
    assert "weight after closing" not in texts(record, ROOM_A, "3M")


def test_a_container_that_is_only_weighed_at_t0_stays_closed(
    record: StudyRecord,
) -> None:
    assert texts(record, ROOM_A, "T0") == ["weight before opening"]


def test_what_was_observed_is_left_out_and_the_last_weighing_stays(
    record: StudyRecord,
) -> None:
    sample = record.samples[ROOM_A]
    seen = [one.due for one in tasks_of(record, sample, "2w")][:-1]

    rest = tasks_of(record, sample, "2w", seen)

    assert [one.text for one in rest] == ["weight after closing"]


def test_what_is_read_in_the_cold_comes_first(record: StudyRecord) -> None:
    # A clear gel is judged in the cold before it warms up (common practice).
    attributes = dict(record.protocol.attributes)
    attributes["odour"] = replace(attributes["odour"], read_at="in condition")
    cold = replace(record, protocol=replace(record.protocol, attributes=attributes))

    assert texts(cold, ROOM_A, "2w")[:2] == ["odour", "weight before opening"]
    stages = [one.stage for one in tasks_of(cold, cold.samples[ROOM_A], "2w")]
    assert stages == sorted(stages, key=STAGES.index)


def test_units_stand_where_a_number_has_one(record: StudyRecord) -> None:
    units = {
        one.text: one.unit for one in tasks_of(record, record.samples[ROOM_A], "2w")
    }

    assert units["weight before opening"] == "g"
    assert units["spread"] == "mm"
    assert units["pH"] == units["odour"] == ""


def test_product_for_the_laboratory_is_told_at_its_checks_only(
    record: StudyRecord,
) -> None:
    count = Attribute(
        "count", "measured", unit="CFU/g", provided_by="certificate", when=("2w",),
        takes_g=record.study.packs["JAR"].fill_g,
    )  # fmt: skip
    attributes = {**record.protocol.attributes, "count": count}
    new = replace(record, protocol=replace(record.protocol, attributes=attributes))
    sample = new.samples[ROOM_A]

    assert [one.name for one in for_laboratory(new, sample, "2w")] == ["count"]
    assert for_laboratory(new, sample, "4w") == ()
    assert for_laboratory(new, new.samples[T40_4W], "2w") == ()


def test_the_last_reading_is_that_of_the_sample_then_of_one_like_it(
    tmp_path: Path,
) -> None:
    book = opened_book(tmp_path)
    for code, check, value, day in (
        (BULK_A, "T0", "5.50", "2026-03-05"),
        (T40_2W, "2w", "5.40", "2026-03-20"),
        (ROOM_A, "2w", "5.45", "2026-03-20"),
        (ROOM_A, "4w", "5.44", "2026-04-03"),
    ):
        held = content.observed(code, "pH", check, [Reading(value)], unit="pH")
        add(book, content.OBSERVED, held, day)
    record = book.record
    acidity = record.protocol.attributes["pH"]
    last = last_readings(record, record.observations)

    def read(code: str) -> str | None:
        seen = last.of(record.samples[code], acidity)
        return None if seen is None else seen.readings[0].value

    assert read(ROOM_A) == "5.44"
    assert read(T40_4W) == "5.40"
    assert read("HDC-013-Y") == "5.50"
    assert read(ROOM_B) is None


def test_a_weight_is_compared_with_that_of_the_same_container_only(
    tmp_path: Path,
) -> None:
    book = opened_book(tmp_path)
    held = content.observed(
        T40_2W, "weight_loss", "T0", [Reading("80.10")], unit="g", part="before"
    )
    add(book, content.OBSERVED, held, "2026-03-05")
    record = book.record
    weight = record.protocol.attributes["weight_loss"]
    last = last_readings(record, record.observations)

    assert last.of(record.samples[T40_4W], weight) is None
    own = last.of(record.samples[T40_2W], weight)
    assert own is not None
    assert own.readings[0].value == "80.10"
