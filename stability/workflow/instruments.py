"""Verbs of instruments: register, calibrate, set aside, look."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from stability.errors.instruments import InstrumentReferenceError
from stability.model import instrument_content
from stability.model.instrument import Calibrated, InstrumentRecord, fold_instrument
from stability.model.instrument_checks import rules_words
from stability.model.instrument_words import outcome_words
from stability.model.moment import Moment, moment_at
from stability.model.surroundings import INSTRUMENT, Surroundings
from stability.workflow.instrument_changes import append, draft_of
from stability.workflow.occasion import Occasion
from stability.workflow.sources import parse_day
from stability.workflow.written import Written, written

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from stability.model.study_record import StudyRecord


@dataclass(frozen=True, slots=True)
class Doubtful:
    """Readings of one study that a failed calibration makes doubtful."""

    #: Study code.
    study: str
    #: Positions of their entries.
    positions: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class CalibratedNow:
    """A calibration that was stored, and what it means for readings."""

    #: Its entry.
    written: Written
    #: Readings that are doubtful by it, study by study.
    doubtful: tuple[Doubtful, ...] = ()


@dataclass(frozen=True, slots=True)
class InstrumentLine:
    """An instrument, and how it stands on the day that was asked for."""

    #: The instrument.
    record: InstrumentRecord
    #: How it stands.
    now: Calibrated


def add(
    at: Occasion,
    name: str,
    kind: str,
    text: str,
    *,
    suffix: str,
    valid_for: str | None = None,
    slope: str | None = None,
    offset: str | None = None,
    reread: str | None = None,
    tolerance: str | None = None,
    done: str | None = None,
) -> Written:
    """Register an instrument; the workspace is made where there is none.

    Parameters
    ----------
    at
        The occasion.
    name
        Short name, as people will type it.
    kind
        What it is.
    text
        What it is, in words.
    suffix
        Four signs, drawn by the caller, so that two makers' instruments never collide.
    valid_for, slope, offset, reread, tolerance
        Rules as typed; None: as usual for its kind.
    done
        When, as typed; None: now.

    Raises
    ------
    StabilityError
        If something cannot be taken, or the name is in use; nothing was written.
    """
    from stability.records import instruments
    from stability.records.database import open_database

    subject = instruments.subject_of(name, suffix)
    rules = instruments.Rules(valid_for, slope, offset, reread, tolerance)
    held = instruments.registration(name, kind, text, rules)
    draft = draft_of(at, subject, instrument_content.REGISTERED, held, done)
    with open_database(at.records, create=True).writing() as connection:
        instruments.refuse_known(connection, name)
        entry = append(connection, draft)
    record = fold_instrument([entry])
    said = f"{record.code}: {record.kind}{f', {record.text}' if record.text else ''}"
    return written(entry, f"{said}; {rules_words(record.rules)}")


def calibrate(
    at: Occasion,
    name: str,
    *,
    buffers: Sequence[str] = (),
    temperature: str | None = None,
    slope: str | None = None,
    offset: str | None = None,
    reread: str | None = None,
    standards: Sequence[str] = (),
    result: str | None = None,
    because: str | None = None,
    done: str | None = None,
) -> CalibratedNow:
    """Store a calibration or check, and say which readings a failed one makes doubtful.

    Parameters
    ----------
    at
        The occasion.
    name
        The instrument.
    buffers, temperature, slope, offset, reread
        Of a pH meter, as typed [pH=mV, °C, %, mV, pH=pH].
    standards
        Of any other, `50.00=50.01` each [its unit].
    result
        How it ended, by the person's word; None: by its numbers.
    because
        In the person's own words.
    done
        When, as typed; None: now.

    Raises
    ------
    StabilityError
        With all that is wrong with it; nothing was written.
    """
    from stability.records import instruments
    from stability.records.calibrating import CalibrationWish, calibration
    from stability.records.database import open_database
    from stability.records.guards import checked_moment

    wish = CalibrationWish(
        buffers, temperature, slope, offset, reread, standards, result, because
    )
    with open_database(at.records).writing() as connection:
        subject = instruments.find_subject(connection, name)
        record = instruments.load(connection, subject)
        made_on = checked_moment(done, at.local_zone(), at.now)
        told = calibration(record, wish, made_on.day)
        draft = draft_of(at, subject, instrument_content.CALIBRATED, told.held, done)
        entry = append(connection, draft)
    with open_database(at.records).reading() as connection:
        now = instruments.load(connection, subject)
        made = next(one for one in now.calibrations if one.position == entry.position)
        doubtful = () if made.passed else _doubtful(connection, now, entry.position)
    reason = f": {made.because}" if made.because else ""
    text = f"{now.name} {outcome_words(made)}{reason}"
    left = now.retired
    retired = (f"{now.name} was retired on {left.done.day}",) if left else ()
    return CalibratedNow(written(entry, text, (*told.remarks, *retired)), doubtful)


def instruments(
    at: Occasion, *, as_of: str | None = None
) -> tuple[InstrumentLine, ...]:
    """Return every instrument of the workspace and how it stands.

    Parameters
    ----------
    at
        The occasion.
    as_of
        Day as typed; None: now.

    Raises
    ------
    StabilityError
        If the day cannot be read.
    """
    from stability.records import instruments as store
    from stability.records import journal
    from stability.records.database import open_database

    day = None if as_of is None else parse_day(as_of)
    with open_database(at.records).reading() as connection:
        chains = [
            journal.entries(connection, subject)
            for subject in store.instrument_subjects(connection)
        ]
    found = (store.as_of(one, day, at.local_zone()) for one in chains)
    return tuple(_line(at, one, day) for one in found if one is not None)


def instrument(at: Occasion, name: str, *, as_of: str | None = None) -> InstrumentLine:
    """Return one instrument with all that is recorded of it.

    Raises
    ------
    StabilityError
        If none or several are meant, or it was not registered by that day.
    """
    from stability.records import instruments as store
    from stability.records.database import open_database

    with open_database(at.records).reading() as connection:
        subject = store.find_subject(connection, name)
    for one in instruments(at, as_of=as_of):
        if one.record.subject == subject:
            return one
    raise InstrumentReferenceError(name, f"it was not registered by {as_of}")


def _line(at: Occasion, record: InstrumentRecord, day: date | None) -> InstrumentLine:
    now = moment_at(at.now, at.local_zone()) if day is None else Moment(day)
    return InstrumentLine(record, record.at(now))


def _doubtful(
    connection: Connection, instrument: InstrumentRecord, position: int
) -> tuple[Doubtful, ...]:
    """Return the readings of every study that one failed calibration makes doubtful."""
    from stability.records import instruments as store
    from stability.records.store import every_record

    subjects = store.instrument_subjects(connection)
    around = Surroundings(
        {
            one.code: one
            for one in (store.load(connection, subject) for subject in subjects)
        }
    )
    found = []
    for record in every_record(connection):
        positions = _positions(record, around, instrument, position)
        if positions:
            found.append(Doubtful(record.study.code, positions))
    return tuple(found)


def _positions(
    record: StudyRecord,
    around: Surroundings,
    instrument: InstrumentRecord,
    position: int,
) -> tuple[int, ...]:
    found = []
    for seen in record.standing():
        stated = seen.settings.get(INSTRUMENT)
        if stated is None or not seen.readings:
            continue
        if [one.code for one in around.named(stated)] != [instrument.code]:
            continue
        failed = instrument.at(seen.done).failed
        if failed is not None and failed.position == position:
            found.append(seen.position)
    return tuple(found)
