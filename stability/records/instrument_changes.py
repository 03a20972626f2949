"""What happens to a registered instrument: other rules, its leaving, a slip set aside.

Nothing here writes; a fault leaves the record as it was.
"""

from __future__ import annotations

from datetime import date
from typing import Final
from zoneinfo import ZoneInfo

from stability.errors.codes import MomentError
from stability.errors.instruments import (
    InstrumentReferenceError,
    InstrumentRetiredError,
    InstrumentRulesError,
)
from stability.model import content, instrument_content
from stability.model.calibration import Calibration
from stability.model.content import Content
from stability.model.instrument import InstrumentRecord
from stability.model.instrument_rules import InstrumentRetirement
from stability.model.moment import parse_moment
from stability.records.guards import reasoned
from stability.records.instruments import Rules, typed_rules

_NOT_CHANGED: Final = "keeps its rules"


def rules_change(
    instrument: InstrumentRecord,
    rules: Rules,
    *,
    since: str | None,
    today: date,
    because: str | None,
) -> Content:
    """Return the content of changed rules; what is not typed stays as it was.

    Parameters
    ----------
    instrument
        Whose rules change.
    rules
        As typed.
    since
        First day on which they hold, as typed; None: today.
    today
        Day of storing. Rules hold from no earlier day, because what was read and
        calibrated by then was judged by those of its time.
    because
        Why.

    Raises
    ------
    StabilityError
        With all that is wrong with it.
    """
    cause = reasoned(because, f"Changing the rules of {instrument.name}")
    day = today if since is None else _day(since)
    before = instrument.rules_on(day)
    held, faults = typed_rules(instrument.kind, rules, before)
    if day < today:
        faults.append(
            f"--from {day}: what was read before {today} was judged by the rules of "
            "its day; give today or a later day"
        )
    if not faults and held == before:
        faults.append("that is how they stand; give a rule that changes")
    if faults:
        raise InstrumentRulesError(instrument.name, _NOT_CHANGED, faults)
    return instrument_content.rules_changed(held, day.isoformat(), cause)


def retirement(instrument: InstrumentRecord, because: str | None) -> Content:
    """Return the content of a retirement.

    Raises
    ------
    StabilityError
        If it was retired before, or no reason is given.
    """
    left = instrument.retired
    if left is not None:
        reference = f"{instrument.name}/{left.position}"
        raise InstrumentRetiredError(instrument.name, str(left.done.day), reference)
    return instrument_content.retired(reasoned(because, f"Retiring {instrument.name}"))


def invalidation(
    instrument: InstrumentRecord, position: int, because: str | None
) -> Content:
    """Return the content that sets a calibration or a retirement aside.

    Raises
    ------
    StabilityError
        If there is no such entry, it was set aside, or no cause is given.
    """
    reference = f"{instrument.name}/{position}"
    if any(one.position == position for one in instrument.changes):
        reason = "rules are changed again, not set aside; see 'instrument rules'"
        raise InstrumentReferenceError(reference, reason)
    told: tuple[Calibration | InstrumentRetirement, ...]
    told = (*instrument.calibrations, *instrument.retirements)
    for one in told:
        if one.position != position:
            continue
        if one.invalidated is not None:
            by = one.invalidated.position
            raise InstrumentReferenceError(reference, f"entry {by} set it aside")
        cause = reasoned(because, f"Setting {reference} aside")
        return content.invalidated(position, cause)
    raise InstrumentReferenceError(
        reference, "there is no calibration or retirement of this number"
    )


def _day(typed: str) -> date:
    moment = parse_moment(typed.strip(), ZoneInfo("UTC"))
    if moment is None or moment.time is not None:
        raise MomentError(typed, "a day is meant here, such as 2026-03-02")
    return moment.day
