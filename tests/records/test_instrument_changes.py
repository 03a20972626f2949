"""Rules changed, an instrument retired, a slip set aside: what is taken and refused."""

from __future__ import annotations

from datetime import date

import pytest

from stability.errors.codes import MomentError
from stability.errors.instruments import (
    InstrumentReferenceError,
    InstrumentRetiredError,
    InstrumentRulesError,
)
from stability.errors.samples import ReasonNeededError
from stability.model import content
from stability.model.entry import Draft, Head, chain
from stability.model.instrument import InstrumentRecord, fold_instrument
from stability.model.instrument_content import (
    CALIBRATED,
    REGISTERED,
    RETIRED,
    RULES,
    calibrated,
)
from stability.records.calibrating import CalibrationWish, calibration
from stability.records.instrument_changes import (
    invalidation,
    retirement,
    rules_change,
)
from stability.records.instruments import Rules, registration

SUBJECT = "instrument:PH1-9XR2"
TODAY = date(2026, 5, 4)
Told = tuple[str, content.Content, str]


def meter(*told: Told, kind: str = "pH meter", **rules: str) -> InstrumentRecord:
    """Return an instrument with entries: kind, content and day."""
    first = registration("PH1", kind, "glass", Rules(**rules))
    every = [(REGISTERED, first, "2026-01-02"), *told]
    return fold_instrument(
        chain(
            Draft(SUBJECT, what, "Ana", day, f"{day[:10]}T12:00:00Z", held)
            for what, held, day in every
        )
    )


def changed(
    instrument: InstrumentRecord, since: str | None = None, **rules: str
) -> content.Content:
    """Return changed rules as typed on 4 May."""
    return rules_change(
        instrument, Rules(**rules), since=since, today=TODAY, because="procedure 7"
    )


def test_what_is_not_typed_stays_as_it_was() -> None:
    before = meter(offset="25")

    held = changed(before, slope="95 to 103")
    after = meter((RULES, held, "2026-05-04"), offset="25")

    now = after.rules_on(TODAY)
    assert (str(now.valid_for), str(now.acceptance.offset)) == ("1d", "25")
    assert now.acceptance.slope is not None
    assert str(now.acceptance.slope.lowest) == "95"
    assert now.usual == ("valid_for", "reread")
    assert (held["since"], held["because"]) == ("2026-05-04", "procedure 7")


def test_rules_hold_from_their_day_and_leave_earlier_days_alone() -> None:
    held = changed(meter(), since="2026-06-01", valid_for="7d")
    instrument = meter((RULES, held, "2026-05-04"))

    assert [
        str(instrument.rules_on(date.fromisoformat(day)).valid_for)
        for day in ("2026-05-04", "2026-05-31", "2026-06-01", "2027-01-01")
    ] == ["1d", "1d", "7d", "7d"]


def test_of_two_changes_of_one_day_the_later_entry_holds() -> None:
    first = (RULES, changed(meter(), valid_for="7d"), "2026-05-04")
    both = meter(first, (RULES, changed(meter(first), valid_for="2d"), "2026-05-04"))

    assert str(both.rules_on(TODAY).valid_for) == "2d"


def test_a_change_for_a_later_day_does_not_undo_one_that_was_stored_after_it() -> None:
    later = (RULES, changed(meter(), since="2026-06-01", valid_for="7d"), "2026-05-04")
    both = meter(later, (RULES, changed(meter(later), valid_for="2d"), "2026-05-04"))

    assert str(both.rules_on(date(2026, 5, 20)).valid_for) == "2d"
    assert str(both.rules_on(date(2026, 6, 1)).valid_for) == "7d"


def test_a_calibration_is_judged_by_the_rules_of_its_own_day() -> None:
    strict = (RULES, changed(meter(), slope="98 to 102"), "2026-05-04")
    instrument = meter(strict)
    wish = CalibrationWish(slope="96")

    before = calibration(instrument, wish, date(2026, 5, 3)).held
    after = calibration(instrument, wish, date(2026, 5, 4)).held
    assert (before["result"], after["result"]) == ("passed", "failed")


def test_rules_cannot_reach_back() -> None:
    with pytest.raises(InstrumentRulesError, match="today or a later day"):
        changed(meter(), since="2026-05-03", valid_for="7d")


@pytest.mark.parametrize(
    ("rules", "said"),
    [
        ({}, "give a rule that changes"),
        ({"offset": "30"}, "rule that changes"),
        ({"slope": "steep"}, "write a range"),
        ({"tolerance": "1 %"}, "not buffers"),
    ],
)
def test_a_change_that_cannot_be_taken_says_why(
    rules: dict[str, str], said: str
) -> None:
    instrument = meter(offset="30")

    with pytest.raises(InstrumentRulesError, match="PH1 keeps its rules") as fault:
        changed(instrument, **rules)
    assert said in str(fault.value)


def test_a_change_needs_a_reason_and_a_day() -> None:
    with pytest.raises(ReasonNeededError):
        rules_change(meter(), Rules("7d"), since=None, today=TODAY, because="  ")
    for typed in ("soon", "2026-05-04T09:00"):
        with pytest.raises(MomentError):
            changed(meter(), since=typed, valid_for="7d")


def test_a_retirement_needs_a_reason_and_is_made_once() -> None:
    held = retirement(meter(), "loan returned")
    left = meter((RETIRED, held, "2026-03-23"))

    assert held == {"because": "loan returned"}
    assert left.retired is not None
    with pytest.raises(ReasonNeededError):
        retirement(meter(), None)
    with pytest.raises(InstrumentRetiredError, match="on 2026-03-23 already"):
        retirement(left, "sold")


def test_a_retirement_that_was_a_slip_is_set_aside_and_can_be_told_again() -> None:
    held = retirement(meter(), "loan returned")
    left = meter((RETIRED, held, "2026-03-23"))
    aside = invalidation(left, 2, "the other meter")
    back = meter((RETIRED, held, "2026-03-23"),
                 (content.INVALIDATED, aside, "2026-03-24"))  # fmt: skip

    assert back.retired is None
    (kept,) = back.retirements
    assert kept.invalidated is not None
    assert kept.invalidated.because == "the other meter"
    assert retirement(back, "sold") == {"because": "sold"}


def test_a_calibration_is_set_aside_once_and_with_a_cause() -> None:
    made = (CALIBRATED, calibrated("stated", passed=True, because="seen"), "2026-03-02")
    record = meter(made)

    held = invalidation(record, 2, "mistyped")
    assert held == content.invalidated(2, "mistyped")
    with pytest.raises(ReasonNeededError):
        invalidation(record, 2, " ")
    with pytest.raises(InstrumentReferenceError, match="PH1/3: there is no"):
        invalidation(record, 3, "mistyped")
    again = meter(made, (content.INVALIDATED, held, "2026-03-03"))
    with pytest.raises(InstrumentReferenceError, match="entry 3 set it aside"):
        invalidation(again, 2, "mistyped")


def test_rules_are_changed_again_and_never_set_aside() -> None:
    held = changed(meter(), valid_for="7d")
    record = meter((RULES, held, "2026-05-04"))

    with pytest.raises(InstrumentReferenceError, match="changed again"):
        invalidation(record, 2, "mistyped")
    forged = content.invalidated(2, "x")
    first = chain([Draft(SUBJECT, REGISTERED, "Ana", "2026-01-02",
                         "2026-01-02T12:00:00Z",
                         registration("PH1", "pH meter", "", Rules())),
                   Draft(SUBJECT, RULES, "Ana", "2026-05-04",
                         "2026-05-04T12:00:00Z", held)])  # fmt: skip
    head = Head(SUBJECT, 2, first[-1].digest)
    last = chain(
        [Draft(SUBJECT, content.INVALIDATED, "Ana", "2026-05-05",
               "2026-05-05T12:00:00Z", forged)],
        {SUBJECT: head},
    )  # fmt: skip
    with pytest.raises(ValueError, match="sets rules aside"):
        fold_instrument((*first, *last))


def test_a_balance_keeps_its_unit_when_another_rule_changes() -> None:
    balance = meter(kind="balance", tolerance="0.02 g")
    held = changed(balance, valid_for="2w")

    assert (held["tolerance"], held["tolerance_unit"]) == ("0.02", "g")
    assert held["usual"] == []
