"""Readings logged, corrected and set aside, checked against the study."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from stability.errors.certificates import CertificateNotCorrectedError
from stability.errors.samples import (
    AlreadyObservedError,
    EntryReferenceError,
    FarReadingError,
    NothingToRepeatError,
    ReadingsError,
)
from stability.model import content
from stability.model.content import Content
from stability.model.moment import Moment
from stability.model.observation import DayFacts, Observation
from stability.model.study import Sample
from stability.model.study_record import StudyRecord
from stability.records.acts import referred
from stability.records.check_choice import choose_check
from stability.records.continuation import Continuation
from stability.records.date_remarks import date_remarks
from stability.records.far_readings import far_question, later_weight, surely_near
from stability.records.guards import reasoned
from stability.records.intake import read_typed
from stability.records.logged import Logged
from stability.records.typed import NOT_MEASURED, BenchFacts, Typed


def day_facts(
    record: StudyRecord, done: Moment, account: str | None
) -> DayFacts | None:
    """Return what was set last for a day; None if nothing was.

    Parameters
    ----------
    record
        The study.
    done
        When readings were made.
    account
        Under which it was set; None for any, as in a hand-made folder.
    """
    for facts in reversed(record.days):
        if facts.day == done.day and account in {None, facts.account}:
            return facts
    return None


def bench_facts(
    facts: DayFacts | None,
    *,
    observers: Sequence[str] = (),
    settings: Mapping[str, Mapping[str, str]] | None = None,
    control: Mapping[str, str] | None = None,
    blind: bool = False,
    because: str | None = None,
    decimal_comma: bool = False,
) -> BenchFacts:
    """Return what holds for one line: what was set for the day, and what was typed."""
    merged = {
        name: dict(one) for name, one in (facts.settings if facts else {}).items()
    }
    for name, values in (settings or {}).items():
        merged.setdefault(name, {}).update(values)
    return BenchFacts(
        observers=tuple(observers) or (facts.observers if facts else ()),
        settings=merged,
        control={**(facts.control if facts else {}), **(control or {})},
        blind=blind or (facts.blind if facts else False),
        because=because,
        decimal_comma=decimal_comma,
    )


def resolve_check(
    book: Continuation, sample: Sample, typed: str | None, done: Moment
) -> str | None:
    """Return the check that readings belong to; None for an extra observation.

    Raises
    ------
    StabilityError
        If the check is not one of the sample's, or the sample was not placed by then.
    """
    return choose_check(book, sample, typed, done)


def observe(
    book: Continuation,
    sample: Sample,
    check: str | None,
    typed: Sequence[str],
    facts: BenchFacts,
    *,
    done: Moment,
    repeat: str | None = None,
    accept_far: bool = False,
) -> tuple[Logged, ...]:
    """Return one observation for each attribute that was typed.

    Parameters
    ----------
    book
        The study.
    sample, check
        Whose readings, and for which check.
    typed
        `NAME=READING` each.
    facts
        What holds for the line.
    done
        When they were read.
    repeat
        Why they are read a second time; None for first readings.
    accept_far
        True once a person has confirmed readings far from the last ones.

    Raises
    ------
    StabilityError
        If a reading cannot be taken, is recorded already, or is far from the last one.
    """
    record = book.plan
    if not typed:
        raise ReadingsError(
            ["no reading was typed; write NAME=READING, such as pH=5.47"]
        )
    understood = read_typed(typed, record.protocol.attributes, facts, record.study.omit)
    if not accept_far:
        questions = [_far(book, sample, one) for one in understood]
        if any(questions):
            raise FarReadingError([f"{sample.code} {one}" for one in questions if one])
    logged = [
        _logged(book, sample, check, each, repeat=repeat, done=done)
        for each in understood
    ]
    late = late_remarks(book, sample, check, done)
    if late:
        logged[0] = replace(logged[0], remarks=(*late, *logged[0].remarks))
    return tuple(logged)


def late_remarks(
    book: Continuation, sample: Sample, check: str | None, done: Moment
) -> tuple[str, ...]:
    """Return how far a reading lies from the day on which its check is due."""
    return book.recall(
        ("late", sample.code, check, done.day),
        date_remarks, book, sample, check, done,
    )  # fmt: skip


def take_one(
    book: Continuation,
    sample: Sample,
    check: str | None,
    one: Typed,
    *,
    done: Moment,
    late: tuple[str, ...],
    repeat: str | None = None,
    accept_far: bool = False,
) -> Logged:
    """Return the observation of one attribute, as `observe` does of several.

    Parameters
    ----------
    book, sample, check, done, repeat, accept_far
        As in `observe`.
    one
        What was typed, understood.
    late
        From `late_remarks`.

    Raises
    ------
    StabilityError
        If the reading is recorded already, or is far from the last one.
    """
    question = None if accept_far else _far(book, sample, one)
    if question:
        raise FarReadingError([f"{sample.code} {question}"])
    logged = _logged(book, sample, check, one, repeat=repeat, done=done)
    if late:
        return replace(logged, remarks=(*late, *logged.remarks))
    return logged


def correct(
    book: Continuation,
    position: int,
    typed: Sequence[str],
    facts: BenchFacts,
    *,
    because: str | None,
    check: str | None = None,
    accept_far: bool = False,
) -> Logged:
    """Return the correction of an observation: the whole of it, as it should have been.

    Parameters
    ----------
    book
        The study.
    position
        Of the observation.
    typed
        Its readings: one, with or without the attribute's name.
    facts
        What was typed besides; settings and observers not typed stay as they were.
    because
        Why it is corrected.
    check
        Another check that it belongs to; None leaves it.
    accept_far
        True once a person has confirmed readings far from the last ones.

    Raises
    ------
    StabilityError
        If the reference leads nowhere or the readings cannot be taken.
    """
    record = book.plan
    reference = f"{record.study.code}/{position}"
    if book.certificate(position) is not None:
        raise CertificateNotCorrectedError(reference)
    old = referred(reference, position, book.observation(position))
    reason = reasoned(because, f"Correcting {reference}")
    sample = record.samples[old.sample]
    kept = _kept_facts(old, facts, reason)
    readings = [_with_name(one, old) for one in typed]
    understood = read_typed(readings, record.protocol.attributes, kept)
    if len(understood) != 1 or _key(understood[0]) != (old.attribute, old.part):
        fault = f"{reference} is an observation of {old.attribute}; type that alone"
        raise ReadingsError([fault])
    one = understood[0]
    new_check = (
        old.check if check is None else resolve_check(book, sample, check, old.done)
    )
    if new_check != old.check:
        _refuse_second(book, sample, new_check, one)
    question = None if accept_far else _far(book, sample, one, but=old)
    if question:
        raise FarReadingError([f"{sample.code} {question}"])
    held = replace(one, extra={**old.extra, **one.extra}).content(
        sample.code, new_check, repeats=old.repeats, because=old.because
    )
    return Logged(content.corrected(position, held, reason), one, one.remarks)


def invalidate(book: Continuation, position: int, because: str | None) -> Content:
    """Return the content that sets an observation, certificate or photograph aside.

    Raises
    ------
    StabilityError
        If the reference leads nowhere or no cause is given.
    """
    reference = f"{book.plan.study.code}/{position}"
    paper = book.certificate(position) or book.photograph(position)
    if paper is None:
        referred(reference, position, book.observation(position))
    elif paper.invalidated is not None:
        by = f"{book.plan.study.code}/{paper.invalidated.position}"
        raise EntryReferenceError(reference, f"it was set aside by {by}")
    return content.invalidated(
        position, reasoned(because, f"Setting {reference} aside")
    )


def kind_setting_aside(book: Continuation, position: int) -> str:
    """Return the kind of an entry that sets aside what stands at a position."""
    if book.photograph(position) is None:
        return content.INVALIDATED
    return content.INVALIDATED_PHOTOGRAPH


def position_of(reference: str, study: str) -> int:
    """Return the position in `HDC/12`, or in `12` within its study.

    Raises
    ------
    EntryReferenceError
        If it is written otherwise.
    """
    code, slash, number = reference.strip().rpartition("/")
    right = number.isascii() and number.isdigit() and int(number) > 0
    if not right or (slash and code.upper() != study):
        raise EntryReferenceError(reference, f"write it as {study}/12")
    return int(number)


def _logged(
    book: Continuation,
    sample: Sample,
    check: str | None,
    one: Typed,
    *,
    repeat: str | None,
    done: Moment,
) -> Logged:
    first = book.standing(sample.code, check, *_key(one))
    if repeat is not None:
        because = reasoned(repeat, "A repeat")
        if first is None:
            raise NothingToRepeatError(_what(sample, check, one))
        held = one.content(
            sample.code, check, repeats=first.repeats or first.position, because=because
        )
        return Logged(held, one, one.remarks)
    # Extra observations may follow each other, but not twice on one day.
    if first is not None and (check is not None or first.done.day == done.day):
        raise AlreadyObservedError(
            _what(sample, check, one), f"{book.plan.study.code}/{first.position}"
        )
    held, written = one.written(sample.code, check)
    return Logged(held, one, one.remarks, written)


def _refuse_second(
    book: Continuation, sample: Sample, check: str | None, one: Typed
) -> None:
    there = book.standing(sample.code, check, *_key(one))
    if there is not None:
        raise AlreadyObservedError(
            _what(sample, check, one), f"{book.plan.study.code}/{there.position}"
        )


def _what(sample: Sample, check: str | None, one: Typed) -> str:
    return f"{one.attribute.name} of {sample.code} at {check or 'no check'}"


def _far(
    book: Continuation, sample: Sample, one: Typed, but: Observation | None = None
) -> str | None:
    """Return what to ask, against the sample's last reading or its batch's bulk."""
    key = _key(one)
    last = book.latest(sample.code, *key)
    if last is not None and but is not None and last.position == but.position:
        return None
    if one.part == "before" and but is None:
        last = later_weight(last, book.latest(sample.code, key[0], "after"))
    if last is None:
        last = _of_bulk(book, sample.batch, key)
    if last is None or surely_near(one, last):
        return None
    limit = one.attribute.limit_in(sample.condition)
    return far_question(one, last, None if one.part else limit)


def _of_bulk(
    book: Continuation, batch: str, key: tuple[str, str | None]
) -> Observation | None:
    """Return the latest observation of the batch itself; None where there is none."""
    codes = book.recall(("bulk", batch), _bulk, book.plan, batch)
    found = (book.latest(code, *key) for code in codes)
    return next((seen for seen in found if seen is not None), None)


def _bulk(plan: StudyRecord, batch: str) -> tuple[str, ...]:
    return tuple(
        one.code
        for one in plan.samples.values()
        if one.kind == "bulk" and one.batch == batch
    )


def _key(one: Typed) -> tuple[str, str | None]:
    return (one.attribute.name, one.part)


def _kept_facts(old: Observation, facts: BenchFacts, because: str) -> BenchFacts:
    """Return what was recorded besides the readings, with what was typed over it."""
    settings = {**old.settings, **facts.settings.get(old.attribute, {})}
    control = {"": old.control} if old.control is not None else {}
    return replace(
        facts,
        observers=facts.observers or old.observers,
        settings={old.attribute: settings},
        control={**control, **facts.control},
        blind=facts.blind or old.blind,
        because=because,
    )


def _with_name(typed: str, old: Observation) -> str:
    if "=" in typed:
        return typed
    name = {None: old.attribute, "before": "w", "after": "w2"}[old.part]
    if typed.strip() == NOT_MEASURED and old.part == "before":
        name = old.attribute
    return f"{name}={typed}"
