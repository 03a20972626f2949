"""Verbs of a registered instrument: other rules, retire, set aside."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stability.errors.instruments import InstrumentReferenceError
from stability.model import content, instrument_content
from stability.model.entry import Draft, Entry
from stability.model.instrument_words import change_words, retirement_words
from stability.model.moment import utc_text
from stability.workflow.occasion import Occasion, person_of
from stability.workflow.written import Written, written

if TYPE_CHECKING:
    from sqlalchemy import Connection

_LATER = "a reading made with it after that day gets a caution"


def change_rules(
    at: Occasion,
    name: str,
    *,
    because: str | None,
    since: str | None = None,
    valid_for: str | None = None,
    slope: str | None = None,
    offset: str | None = None,
    reread: str | None = None,
    tolerance: str | None = None,
    done: str | None = None,
) -> Written:
    """Change the rules of an instrument from a day on.

    Parameters
    ----------
    at
        The occasion.
    name
        The instrument.
    because
        Why.
    since
        First day on which they hold, as typed, today or later; None: today.
    valid_for, slope, offset, reread, tolerance
        Rules as typed; None: as it was.
    done
        When it was decided, as typed; None: now.

    Raises
    ------
    StabilityError
        With all that is wrong with it; nothing was written.
    """
    from stability.records import instrument_changes, instruments
    from stability.records.database import open_database

    rules = instruments.Rules(valid_for, slope, offset, reread, tolerance)
    today = at.now.astimezone(at.local_zone()).date()
    with open_database(at.records).writing() as connection:
        subject = instruments.find_subject(connection, name)
        record = instruments.load(connection, subject)
        held = instrument_changes.rules_change(
            record, rules, since=since, today=today, because=because
        )
        draft = draft_of(at, subject, instrument_content.RULES, held, done)
        entry = append(connection, draft)
        now = instruments.load(connection, subject)
    return written(entry, f"{now.name} {change_words(now.changes[-1])}")


def retire(
    at: Occasion, name: str, *, because: str | None, done: str | None = None
) -> Written:
    """Retire an instrument that was sold, broke or was given back.

    Parameters
    ----------
    at
        The occasion.
    name
        The instrument.
    because
        Why.
    done
        When it left, as typed; None: now.

    Raises
    ------
    StabilityError
        If it was retired before, or no reason is given.
    """
    from stability.records import instrument_changes, instruments
    from stability.records.database import open_database

    with open_database(at.records).writing() as connection:
        subject = instruments.find_subject(connection, name)
        record = instruments.load(connection, subject)
        held = instrument_changes.retirement(record, because)
        draft = draft_of(at, subject, instrument_content.RETIRED, held, done)
        entry = append(connection, draft)
        now = instruments.load(connection, subject)
    words = retirement_words(now.retirements[-1])
    return written(entry, f"{now.name} retired {words}", (_LATER,))


def invalidate(
    at: Occasion, reference: str, *, because: str | None, done: str | None = None
) -> Written:
    """Set a calibration or a retirement aside with its cause; it stays readable.

    Parameters
    ----------
    at
        The occasion.
    reference
        Instrument and number, such as PH1/3.
    because
        Why.
    done
        When, as typed; None: now.

    Raises
    ------
    StabilityError
        If the reference leads nowhere or no cause is given.
    """
    from stability.records import instrument_changes, instruments
    from stability.records.database import open_database

    name, slash, number = reference.strip().rpartition("/")
    if not slash or not (number.isascii() and number.isdigit()):
        raise InstrumentReferenceError(reference, "write instrument and number, PH1/3")
    with open_database(at.records).writing() as connection:
        subject = instruments.find_subject(connection, name)
        record = instruments.load(connection, subject)
        held = instrument_changes.invalidation(record, int(number), because)
        draft = draft_of(at, subject, content.INVALIDATED, held, done)
        entry = append(connection, draft)
    return written(entry, f"{record.name}/{number} set aside: {held['because']}")


def draft_of(
    at: Occasion, subject: str, kind: str, held: content.Content, done: str | None
) -> Draft:
    """Return an entry of an instrument to be."""
    from stability.records.guards import checked_moment

    person = person_of(at.person, None, at.environment_person, at.account)
    when = checked_moment(done, at.local_zone(), at.now)
    return Draft(subject, kind, person, str(when), utc_text(at.now), held)


def append(connection: Connection, draft: Draft) -> Entry:
    """Store one entry, within a writing transaction."""
    from stability.records import journal

    return journal.append(connection, [draft])[0]
