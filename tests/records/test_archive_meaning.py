"""Archives whose digests hold and whose entries nobody can read are never kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from stability.errors.archives import ArchiveEntryError
from stability.model import content, place_content
from stability.model.entry import Draft, Entry, chain
from stability.model.observation import Reading
from stability.records.archive_meaning import check_meaning
from stability.records.instruments import Rules, registration
from tests.records.small_study import BULK_A, add, opened_book, opening_entry

Change = Callable[[dict[str, Any]], None]


def entries(tmp_path: Path) -> list[Entry]:
    """Return a study with a reading and a note."""
    book = opened_book(tmp_path)
    held = content.observed(BULK_A, "pH", "T0", [Reading("5.50")], unit="pH")
    add(book, content.OBSERVED, held, "2026-03-05")
    add(book, content.NOTED, content.noted("as usual"), "2026-03-05")
    return [opening_entry(tmp_path / "again"), *book.added]


def forged(every: list[Entry], position: int, change: Change) -> list[Entry]:
    """Return entries of which one holds something else, all with digests that hold."""
    drafts = []
    for one in every:
        held = {**one.content}
        if one.position == position:
            change(held)
        drafts.append(
            Draft(one.subject, one.kind, one.person, one.done, one.entered, held)
        )
    return list(chain(drafts))


def reading(value: Any) -> Change:
    """Return a change of the value that was read."""

    def change(held: dict[str, Any]) -> None:
        held["readings"] = [{**held["readings"][0], "value": value}]

    return change


def test_what_was_written_by_us_is_read_and_without_its_opening_not(
    tmp_path: Path,
) -> None:
    made = entries(tmp_path)

    check_meaning(tmp_path, made)
    with pytest.raises(ArchiveEntryError):
        check_meaning(tmp_path, made[1:])


@pytest.mark.parametrize(
    "change",
    [
        lambda held: held.pop("readings"),
        reading("abc"),
        reading("NaN"),
        reading(5),
        lambda held: held.update(unit=7),
        lambda held: held.update(sample="HDC-999-X"),
        lambda held: held.update(attribute="charm"),
        lambda held: held.update(settings=["a"]),
    ],
)
def test_an_observation_that_nobody_can_read_is_named(
    tmp_path: Path, change: Change
) -> None:
    made = forged(entries(tmp_path), 2, change)

    with pytest.raises(ArchiveEntryError, match="entry study:HDC/2 cannot be read"):
        check_meaning(tmp_path, made)


def test_the_first_of_several_is_named(tmp_path: Path) -> None:
    made = forged(entries(tmp_path), 3, lambda held: held.pop("text"))

    with pytest.raises(ArchiveEntryError, match="entry study:HDC/3 cannot be read"):
        check_meaning(tmp_path, made)


def beside(subject: str, kind: str, held: dict[str, Any]) -> list[Entry]:
    """Return one entry of another subject."""
    noon = "2026-03-01T12:00:00Z"
    return list(chain([Draft(subject, kind, "Ana", "2026-03-01", noon, held)]))


def place() -> dict[str, Any]:
    """Return the registration of an oven."""
    return dict(
        place_content.registered("OVEN", "", "Europe/Dublin", temperature="40",
                                 tolerance="2", longest_gap="2h", usual=True)
    )  # fmt: skip


@pytest.mark.parametrize(
    ("subject", "kind", "held"),
    [
        ("place:OVEN-7KQ4", place_content.REGISTERED, {**place(), "zone": "Mars"}),
        (
            "place:OVEN-7KQ4",
            place_content.REGISTERED,
            {**place(), "temperature": "hot"},
        ),
        ("place:OVEN-7KQ4", place_content.LOOKED, place_content.looked("1", "2")),
        ("instrument:PH1-9XR2", "instrument-registered/1", {"name": "PH1"}),
        ("instrument:PH1-9XR2", "calibrated/1", {}),
        ("shelf:A", "noted/1", content.noted("x")),
    ],
)
def test_neither_places_nor_instruments_are_taken_unread(
    tmp_path: Path, subject: str, kind: str, held: dict[str, Any]
) -> None:
    made = [*entries(tmp_path), *beside(subject, kind, dict(held))]

    with pytest.raises(ArchiveEntryError, match=f"entry {subject}/1 cannot be read"):
        check_meaning(tmp_path, made)


def test_a_place_and_an_instrument_of_ours_are_read(tmp_path: Path) -> None:
    held = registration("PH1", "pH meter", "", Rules())
    made = [
        *entries(tmp_path),
        *beside("place:OVEN-7KQ4", place_content.REGISTERED, place()),
        *beside("instrument:PH1-9XR2", "instrument-registered/1", dict(held)),
    ]

    check_meaning(tmp_path, made)
    with pytest.raises(ArchiveEntryError):
        check_meaning(tmp_path, [replace(one, position=1) for one in made[1:]])
