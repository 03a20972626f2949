"""Instruments registered, found by name, and read as of a day."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from stability.errors.instruments import (
    InstrumentKnownError,
    InstrumentNameError,
    InstrumentRulesError,
    UnknownInstrumentError,
)
from stability.model.entry import Draft
from stability.model.instrument_content import (
    CALIBRATED,
    REGISTERED,
    RETIRED,
    RULES,
    calibrated,
    retired,
)
from stability.records import instruments, journal
from stability.records.database import Database
from stability.records.instrument_changes import rules_change
from stability.records.instruments import Rules, registration, subject_of

DUBLIN = ZoneInfo("Europe/Dublin")


def draft(subject: str, kind: str, held: dict[str, Any], day: str) -> Draft:
    """Return what Ana did, stored at noon of its day."""
    return Draft(subject, kind, "Ana", day, f"{day}T12:00:00Z", held)


def registered(name: str, suffix: str = "9XR2", day: str = "2026-01-02") -> Draft:
    """Return the registration of a pH meter."""
    held = registration(name, "pH meter", "glass electrode", Rules())
    return draft(subject_of(name, suffix), REGISTERED, held, day)


def made(day: str, passed: bool = True) -> Draft:
    """Return a calibration of PH1."""
    held = calibrated("stated", passed=passed, because="seen")
    return draft("instrument:PH1-9XR2", CALIBRATED, held, day)


def fill(database: Database, *drafts: Draft) -> None:
    """Store drafts."""
    with database.writing() as connection:
        journal.append(connection, drafts)


@pytest.mark.parametrize(
    ("name", "suffix", "subject"),
    [
        ("PH1", "9XR2", "instrument:PH1-9XR2"),
        (" ph1 ", "9xr2", "instrument:PH1-9XR2"),
        ("BALANCE00001", "CCCC", "instrument:BALANCE00001-CCCC"),
    ],
)
def test_an_instrument_has_a_short_name_and_a_suffix(
    name: str, suffix: str, subject: str
) -> None:
    assert subject_of(name, suffix) == subject


@pytest.mark.parametrize(
    ("name", "suffix"),
    [
        ("", "9XR2"), ("1PH", "9XR2"), ("PH-1", "9XR2"), ("PH 1", "9XR2"),
        ("PHÜ", "9XR2"), ("ABCDEFGHIJKLM", "9XR2"), ("PH1", "9XR"), ("PH1", "9XR22"),
        ("PH1", "0XR2"), ("PH1", "AXR2"), ("PH1", ""),
    ],
)  # fmt: skip
def test_another_name_or_suffix_is_refused(name: str, suffix: str) -> None:
    with pytest.raises(InstrumentNameError):
        subject_of(name, suffix)


@pytest.mark.parametrize(
    ("typed", "kind"),
    [
        ("pH meter", "pH meter"), ("ph-meter", "pH meter"), ("balance", "balance"),
        ("Visco", "viscometer"), ("flow cup", "flow cup"),
        ("balance 0.01 g", "balance 0.01 g"),
    ],
)  # fmt: skip
def test_a_kind_is_known_by_any_spelling_or_kept_as_typed(
    typed: str, kind: str
) -> None:
    assert registration("X1", typed, "", Rules())["kind"] == kind


def test_what_is_not_stated_holds_as_usual_and_is_marked_so() -> None:
    held = registration("PH1", "pH meter", "glass", Rules(valid_for="7d", offset="15"))

    assert (held["valid_for"], held["offset"]) == ("7d", "15")
    assert (held["slope_lowest"], held["slope_highest"]) == ("90.0", "105.0")
    assert (held["reread"], held["tolerance"]) == ("0.02", None)
    assert held["usual"] == ["slope", "reread"]


@pytest.mark.parametrize(
    ("tolerance", "number", "unit"),
    [("0.02 g", "0.02", "g"), ("0.2 %", "0.2", "%"), ("0.2", "0.2", "%")],
)
def test_a_tolerance_is_a_share_or_in_the_unit_of_the_readings(
    tolerance: str, number: str, unit: str
) -> None:
    held = registration("BAL1", "balance", "", Rules(tolerance=tolerance))

    assert (held["tolerance"], held["tolerance_unit"]) == (number, unit)


@pytest.mark.parametrize(
    ("kind", "rules", "said"),
    [
        ("pH meter", {"valid_for": "soon"}, "write 12h, 1d"),
        ("pH meter", {"valid_for": "0d"}, "write 12h, 1d"),
        ("pH meter", {"slope": "90"}, "write a range"),
        ("pH meter", {"slope": "105-90"}, "the lower end comes first"),
        ("pH meter", {"slope": "9.0.0-105"}, "is not read as a number"),
        ("pH meter", {"offset": "0"}, "write a number above 0"),
        ("pH meter", {"tolerance": "1 %"}, "not buffers"),
        ("balance", {"slope": "90-105"}, "a rule of a pH meter, not of a balance"),
        ("balance", {"offset": "30"}, "a rule of a pH meter, not of a balance"),
        ("balance", {"tolerance": "1 kg"}, "write it as 0.1 % or 0.02 g"),
        ("viscometer", {"tolerance": "much"}, "write it as 0.1 % or 0.02 mPa·s"),
    ],
)
def test_a_rule_that_cannot_be_taken_is_named(
    kind: str, rules: dict[str, str], said: str
) -> None:
    with pytest.raises(InstrumentRulesError, match="X1 was not registered") as fault:
        registration("X1", kind, "", Rules(**rules))

    assert said in str(fault.value)


def test_all_rules_that_cannot_be_taken_are_named_at_once() -> None:
    with pytest.raises(InstrumentRulesError) as fault:
        registration("X1", "balance", "", Rules("soon", "90", "x", "y", "1 kg"))

    assert len(fault.value.faults) == 5


def test_an_instrument_is_found_by_short_or_whole_name(either: Database) -> None:
    fill(either, registered("PH1"), registered("PH2"), made("2026-03-02"))

    with either.reading() as connection:
        found = {
            instruments.find_subject(connection, name)
            for name in ("PH1", "ph1", "PH1-9XR2")
        }
        record = instruments.load(connection, "instrument:PH1-9XR2")
    assert found == {"instrument:PH1-9XR2"}
    assert [str(one.done) for one in record.calibrations] == ["2026-03-02"]
    assert record.rules.acceptance.offset == Decimal(30)


def test_a_name_of_none_or_of_two_is_refused_with_what_there_is(
    database: Database,
) -> None:
    fill(database, registered("PH1"), registered("PH1", "7KQ4"))

    with database.reading() as connection:
        with pytest.raises(UnknownInstrumentError, match="did you mean PH1"):
            instruments.find_subject(connection, "PH")
        with pytest.raises(UnknownInstrumentError, match="PH1-7KQ4 and PH1-9XR2"):
            instruments.find_subject(connection, "PH1")
        assert instruments.find_subject(connection, "PH1-7KQ4")


def test_without_instruments_none_is_known(database: Database) -> None:
    with database.reading() as connection:
        assert instruments.instrument_subjects(connection) == ()
        with pytest.raises(UnknownInstrumentError, match="none is known"):
            instruments.find_subject(connection, "PH1")


def test_a_short_name_is_given_once(either: Database) -> None:
    fill(either, registered("PH1"))

    with either.reading() as connection:
        instruments.refuse_known(connection, "PH2")
        with pytest.raises(InstrumentKnownError, match="as PH1-9XR2"):
            instruments.refuse_known(connection, "ph1")


def test_as_of_a_day_only_what_was_stored_by_then_is_known(either: Database) -> None:
    late = Draft("instrument:PH1-9XR2", CALIBRATED, "Ana", "2026-03-02",
                 "2026-03-05T12:00:00Z", made("2026-03-02").content)  # fmt: skip
    fill(either, registered("PH1"), late)

    with either.reading() as connection:
        entries = journal.entries(connection, "instrument:PH1-9XR2")
    before = instruments.as_of(entries, date(2026, 3, 4), DUBLIN)
    after = instruments.as_of(entries, date(2026, 3, 5), DUBLIN)
    assert before is not None
    assert after is not None
    assert (len(before.calibrations), before.head.position) == (0, 1)
    assert (len(after.calibrations), after.head.position) == (1, 2)
    assert instruments.as_of(entries, date(2026, 1, 1), DUBLIN) is None
    assert instruments.as_of(entries, None, DUBLIN) == after


def test_changed_rules_and_a_retirement_are_read_back_from_either_database(
    either: Database,
) -> None:
    fill(either, registered("PH1"))
    with either.reading() as connection:
        before = instruments.load(connection, "instrument:PH1-9XR2")
    held = rules_change(
        before, Rules("7d"), since=None, today=date(2026, 3, 2), because="procedure 7"
    )
    fill(either, draft(before.subject, RULES, dict(held), "2026-03-02"))
    fill(either, draft(before.subject, RETIRED, dict(retired("sold")), "2026-03-03"))

    with either.reading() as connection:
        after = instruments.load(connection, before.subject)
    assert str(after.rules_on(date(2026, 3, 1)).valid_for) == "1d"
    assert str(after.rules_on(date(2026, 3, 2)).valid_for) == "7d"
    assert after.retired is not None
    assert (str(after.retired.done), after.head.position) == ("2026-03-03", 3)
