"""Verbs of storage places: registered, listed, shown."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from stability.errors.codes import TimeZoneError
from stability.errors.storage import (
    PlaceKnownError,
    PlaceNameError,
    PlaceRangeError,
    StorageRecordError,
    StorageReferenceError,
    UnknownPlaceError,
)
from stability.model.logger_form import DeclaredForm
from stability.workflow import storage, storing
from stability.workflow.occasion import Occasion

At = Callable[[str], Occasion]


def oven(at: Occasion) -> Occasion:
    """Register an oven at 40 ± 2 °C."""
    storage.add(at, "OVEN", "incubator", suffix="7KQ4", temperature="40", tolerance="2")
    return at


def logger(path: Path, celsius: list[float], start: str = "2026-02-01T00:00") -> Path:
    """Write a file of hourly readings."""
    first = datetime.fromisoformat(start).replace(tzinfo=UTC)
    rows = [
        f"{first + timedelta(hours=place):%Y-%m-%dT%H:%M:%SZ},{one}"
        for place, one in enumerate(celsius)
    ]
    path.write_text("\n".join(["time,temperature", *rows, ""]), encoding="utf-8")
    return path


def test_a_place_is_registered_before_any_study_is_there(nowhere: Occasion) -> None:
    made = storage.add(
        nowhere, "oven", "incubator", suffix="7KQ4", temperature="40", tolerance="2"
    )

    assert made.anchor.startswith("place:OVEN-7KQ4/1:")
    assert made.text == (
        "OVEN-7KQ4: 40 ± 2 °C; incubator; Europe/Dublin; a reading stands for at most "
        "2h (common practice)"
    )
    assert [one.code for one in storage.places(nowhere)] == ["OVEN-7KQ4"]


def test_a_name_is_given_once_and_nothing_is_stored_of_a_second(
    nowhere: Occasion,
) -> None:
    oven(nowhere)

    with pytest.raises(PlaceKnownError):
        storage.add(nowhere, "oven", "", suffix="CCCC", between="15,27")
    assert len(storage.places(nowhere)) == 1


@pytest.mark.parametrize(
    ("name", "suffix"), [("4OVEN", "7KQ4"), ("OVEN", "0001"), ("OVEN-A", "7KQ4")]
)
def test_a_name_that_is_none_is_refused(
    nowhere: Occasion, name: str, suffix: str
) -> None:
    with pytest.raises(PlaceNameError):
        storage.add(nowhere, name, "", suffix=suffix)


@pytest.mark.parametrize(
    ("rules", "words"),
    [
        ({"temperature": "40"}, "state --tolerance too"),
        ({"tolerance": "2"}, "goes with --temperature"),
        ({"temperature": "40", "tolerance": "2", "between": "1,2"}, "not both"),
        ({"between": "27,15"}, "the lower end comes first"),
        ({"between": "warm"}, "write two numbers"),
        ({"temperature": "400", "tolerance": "2"}, "no temperature of a place"),
        ({"temperature": "4", "tolerance": "0"}, "a number above 0"),
        ({"gap": "soon"}, "write hours or days"),
        ({"gap": "3M"}, "write hours or days"),
    ],
)
def test_a_range_that_is_none_is_refused(
    nowhere: Occasion, rules: dict[str, str], words: str
) -> None:
    with pytest.raises(PlaceRangeError, match=words):
        storage.add(nowhere, "OVEN", "", suffix="7KQ4", **rules)


def test_a_zone_that_is_none_is_refused(nowhere: Occasion) -> None:
    with pytest.raises(TimeZoneError):
        storage.add(nowhere, "OVEN", "", suffix="7KQ4", zone="Dublin/Europe")


def test_a_name_that_is_mistyped_is_answered_with_the_nearest(
    nowhere: Occasion,
) -> None:
    with pytest.raises(UnknownPlaceError, match="did you mean OVEN"):
        storage.place(oven(nowhere), "OVN")


def test_a_place_is_shown_as_of_a_day_and_over_a_period(
    nowhere: Occasion, tmp_path: Path
) -> None:
    oven(nowhere)
    file = logger(tmp_path / "oven.csv", [40.0] * 10 + [30.0] * 5 + [40.0] * 10)
    storing.log(nowhere, "OVEN", file, DeclaredForm())

    whole = storage.place(nowhere, "OVEN-7KQ4")
    before = storage.place(
        nowhere, "OVEN", start="2026-02-01T02:00", end="2026-02-01T08:00"
    )

    assert whole.figures is not None
    assert whole.figures.colder_hours == pytest.approx(5)
    assert whole.figures.within_share == pytest.approx(19 / 24)
    assert [one.lead for one in whole.excursions] == ["5 h colder than meant"]
    assert before.excursions == ()
    assert before.figures is not None
    assert before.figures.known_hours == pytest.approx(6)
    with pytest.raises(StorageReferenceError, match="not registered by"):
        storage.place(nowhere, "OVEN", as_of="2026-01-01")
    with pytest.raises(StorageRecordError, match="before it begins"):
        storage.place(nowhere, "OVEN", start="2026-02-02", end="2026-02-01")


def test_a_place_without_records_has_no_figures(nowhere: Occasion) -> None:
    shown = storage.place(oven(nowhere), "OVEN")

    assert (shown.period, shown.figures, shown.excursions) == (None, None, ())
