"""Names of instruments in settings: which attribute is meant, and which instrument."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from stability.errors.instruments import NothingReadWithError
from stability.model import content
from stability.model.observation import Reading
from stability.records import instruments, journal
from stability.records.database import Database
from stability.records.instrument_names import InstrumentNames
from stability.records.opening import new_study
from tests.records.metered_study import METERED
from tests.records.small_study import write_files
from tests.records.test_instruments import made, registered

KNOWN = {"PH1-9XR2": "pH meter", "BAL1-7KQ4": "balance", "V1-CCCC": "viscometer"}
TWO = {**KNOWN, "PH1-7KQ4": "pH meter"}


@pytest.fixture
def attributes(tmp_path: Path) -> Any:
    """Return the attributes of the metered protocol."""
    return new_study(
        write_files(tmp_path, protocol=METERED), (), None
    ).protocol.attributes


def observed(attribute: str, stated: str | None) -> content.Content:
    """Return an observation with an instrument stated."""
    settings = {"dilution": "10 %"} | ({"instrument": stated} if stated else {})
    return content.observed("HDC-005-Y", attribute, "2w", [Reading("5.5")],
                            settings=settings)  # fmt: skip


@pytest.mark.parametrize(
    ("known", "attribute", "stated", "stored"),
    [
        (KNOWN, "pH", "PH1", "PH1-9XR2"),
        (KNOWN, "pH", "ph1", "PH1-9XR2"),
        (KNOWN, "pH", "PH1-9XR2", "PH1-9XR2"),
        (KNOWN, "weight_loss", "BAL1", "BAL1-7KQ4"),
        (KNOWN, "pH", "PH2", "PH2"),
        (TWO, "pH", "PH1", "PH1"),
        (TWO, "pH", "PH1-7KQ4", "PH1-7KQ4"),
        (KNOWN, "viscosity", "V1", "V1"),
        (KNOWN, "pH", None, None),
        ({}, "pH", "PH1", "PH1"),
    ],
)
def test_a_known_instrument_is_stored_by_its_whole_name(
    attributes: Any, known: dict[str, str], attribute: str, stated: str, stored: str
) -> None:
    names = InstrumentNames(lambda: known)
    held = observed(attribute, stated)

    plain = names.completed(content.OBSERVED, held, attributes)
    fixed = names.completed(
        content.CORRECTED, content.corrected(3, held, "mistyped"), attributes
    )

    assert plain["settings"].get("instrument") == stored
    assert plain["settings"]["dilution"] == "10 %"
    assert fixed["observation"]["settings"].get("instrument") == stored
    assert held["settings"].get("instrument") == stated


def test_other_entries_stay_as_they_are(attributes: Any) -> None:
    held = content.noted("PH1 is new")

    assert (
        InstrumentNames(lambda: KNOWN).completed(content.NOTED, held, attributes)
        is held
    )


def test_nothing_is_looked_up_where_no_instrument_is_named(attributes: Any) -> None:
    def never() -> dict[str, str]:
        raise AssertionError("looked up")

    names = InstrumentNames(never)

    assert names.completed(content.OBSERVED, observed("pH", None), attributes)
    assert names.spread(["pH.dilution=10 %"], attributes) == ["pH.dilution=10 %"]


@pytest.mark.parametrize(
    ("setting", "readings", "meant"),
    [
        ("instrument=PH1", None, ["pH.instrument=PH1"]),
        ("Instrument = BAL1", None, ["weight_loss.instrument=BAL1"]),
        ("instrument=V1", None, ["viscosity.instrument=V1"]),
        ("instrument=PH1", ["pH=5.5/5.5", "w=78.1", "odour=0"], ["pH.instrument=PH1"]),
        ("instrument=BAL1", ["pH=5.5", "w=78.1"], ["weight_loss.instrument=BAL1"]),
        ("instrument=E7", ["pH=5.5/5.5", "odour=0"], ["pH.instrument=E7"]),
        ("pH.instrument=E7", None, ["pH.instrument=E7"]),
        ("electrode=E1", None, ["electrode=E1"]),
    ],
)
def test_an_instrument_is_given_to_what_is_read_with_it(
    attributes: Any, setting: str, readings: list[str] | None, meant: list[str]
) -> None:
    names = InstrumentNames(lambda: KNOWN)

    assert names.spread([setting], attributes, readings) == meant


@pytest.mark.parametrize(
    ("setting", "readings", "said"),
    [
        ("instrument=E7", None, "it may be pH or viscosity or weight_loss"),
        ("instrument=E7", ["pH=5.5", "w=78"], "it may be pH or weight_loss"),
        ("instrument=E7", ["odour=0", "nonsense=1"], "nothing here is read with one"),
        ("instrument=PH1", ["w=78"], "it is a pH meter, and nothing here"),
    ],
)
def test_where_it_cannot_be_told_what_was_read_with_it_people_are_asked(
    attributes: Any, setting: str, readings: list[str] | None, said: str
) -> None:
    with pytest.raises(NothingReadWithError, match=said):
        InstrumentNames(lambda: KNOWN).spread([setting], attributes, readings)


def test_the_kinds_of_all_instruments_are_read_at_once(either: Database) -> None:
    with either.writing() as connection:
        journal.append(connection, [registered("PH1"), registered("PH2", "7KQ4")])
        journal.append(connection, [made("2026-03-02")])

    with either.reading() as connection:
        found = instruments.kinds_of(connection)
    assert found == {"PH1-9XR2": "pH meter", "PH2-7KQ4": "pH meter"}


def test_without_instruments_none_is_named(database: Database) -> None:
    with database.reading() as connection:
        assert instruments.kinds_of(connection) == {}


def test_what_needs_no_instrument_is_read_with_none_by_its_kind(
    attributes: Any,
) -> None:
    bare = replace(attributes["viscosity"], instrument=None)

    with pytest.raises(NothingReadWithError, match="it is a viscometer"):
        InstrumentNames(lambda: KNOWN).spread(
            ["instrument=V1"], {**attributes, "viscosity": bare}
        )
