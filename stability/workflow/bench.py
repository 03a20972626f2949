"""Verbs of the bench: open a study, place and retire samples, log what is read."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from stability.errors.reports import ReportExistsError
from stability.errors.samples import NothingToPlaceError
from stability.errors.studies import StudyNeededError
from stability.model import content
from stability.model.observation import RETIRED_AS_FAILED
from stability.workflow.entry_words import day_words, entry_words, placing_words
from stability.workflow.file_intake import foresee_file, log_file
from stability.workflow.follow_ups import leaving_lines
from stability.workflow.occasion import Occasion, person_of
from stability.workflow.readings import correct, invalidate, log, note
from stability.workflow.writing import Act, of_sample, of_study, write
from stability.workflow.written import Written, echo, written

if TYPE_CHECKING:
    from stability.model.entry import Draft, Entry
    from stability.model.study import Sample
    from stability.records.continuation import Continuation
    from stability.records.opening import NewStudy

__all__ = [
    "Started", "correct", "day", "foresee_file", "invalidate", "log", "log_file",
    "miss", "note", "place", "retire", "start", "stop",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Started:
    """A study that was opened."""

    #: Its opening entry, and that it was taken over where it was.
    entries: tuple[Written, ...]
    #: Study code.
    study: str
    #: Product name.
    product: str
    #: Plan fingerprint: the digest of the opening.
    fingerprint: str
    #: Protocol's name.
    protocol: str
    #: SHA-256 of the protocol's text.
    protocol_digest: str
    #: Every sample with its code.
    samples: tuple[Sample, ...]
    #: IANA name of its time zone.
    time_zone: str
    #: Whether the zone is the machine's, because the file names none.
    zone_assumed: bool
    #: Whether the code was allotted, because the file names none.
    code_allotted: bool
    #: When T0 is read, in words.
    t0_read: str
    #: What the person should know of other studies of this product.
    remarks: tuple[str, ...] = ()

    @property
    def is_taken_over(self) -> bool:
        """Say whether it began elsewhere, so that readings were made before."""
        return len(self.entries) > 1


def start(
    at: Occasion,
    study_file: Path,
    taken_over: str | None = None,
    plan_record: Path | None = None,
) -> Started:
    """Open a study from its file; the workspace is made where there is none.

    Parameters
    ----------
    at
        The occasion.
    study_file
        The study's TOML file.
    taken_over
        Where the study was kept before and why it goes on here; None for a new one.
    plan_record
        Where the plan record will be written; nothing may stand there.

    Raises
    ------
    StabilityError
        If a file has faults or the study's code is in use; nothing was written.
    """
    from stability.records import agenda, versions
    from stability.records.database import open_database
    from stability.records.derived import refresh
    from stability.records.journal import append
    from stability.records.opening import new_study
    from stability.records.store import record_of

    if plan_record is not None and plan_record.exists():
        raise ReportExistsError(plan_record)
    new_study(study_file, (), at.zone)  # a faulty file makes no workspace
    with open_database(at.records, create=True).writing() as connection:
        new = new_study(study_file, agenda.study_codes(connection), at.zone)
        remarks = versions.remarks_on_version(connection, new.study)
        entries = append(connection, _opening(at, new, taken_over))
        refresh(connection, record_of(entries).record)
    return _started(new, entries, (*remarks, *_weekends(at, new)))


def _opening(at: Occasion, new: NewStudy, taken_over: str | None) -> list[Draft]:
    from stability.records.guards import checked_moment
    from stability.records.opening import opening_draft
    from stability.records.plan_acts import taken_over as from_notes

    person = person_of(at.person, None, at.environment_person, at.account)
    opening = opening_draft(new, person, checked_moment(None, new.zone, at.now), at.now)
    if taken_over is None:
        return [opening]
    held = from_notes(taken_over)
    return [opening, replace(opening, kind=content.TAKEN_OVER, content=held)]


def _weekends(at: Occasion, new: NewStudy) -> Iterator[str]:
    """Yield which first days still to come fall on a weekend, as sentences."""
    from stability.model.first_days import weekend_words

    today = at.now.astimezone(new.zone).date()
    for one in weekend_words(new.study, new.protocol, new.samples, today):
        yield f"{one[:1].upper()}{one[1:]}."


def _started(
    new: NewStudy, entries: Sequence[Entry], remarks: tuple[str, ...]
) -> Started:
    count = "1 sample" if len(new.samples) == 1 else f"{len(new.samples)} samples"
    opened = f"{new.study.product} {new.study.version}: {count}"
    return Started(
        entries=(
            written(entries[0], opened),
            *(written(one, entry_words(one)) for one in entries[1:]),
        ),
        study=new.study.code,
        product=new.study.product,
        fingerprint=entries[0].digest,
        protocol=new.protocol.name,
        protocol_digest=new.held["protocol_digest"],
        samples=new.samples,
        time_zone=new.time_zone,
        zone_assumed=new.zone_assumed,
        code_allotted=new.code_allotted,
        t0_read=f"{new.protocol.t0.read_after} to {new.protocol.t0.read_before}",
        remarks=remarks,
    )


def place(
    at: Occasion,
    samples: Sequence[str],
    *,
    study: str | None = None,
    to: str | None = None,
    batch: str | None = None,
    place: str | None = None,
    step: str | None = None,
    swap_with: str | None = None,
    replaces: str | None = None,
    out: bool = False,
    done: str | None = None,
    because: str | None = None,
) -> tuple[Written, ...]:
    """Put samples into a condition, move, cycle, swap, replace or take them out.

    Parameters
    ----------
    at
        The occasion.
    samples
        Codes; none with `study` and `to` means every sample that waits to be placed
        there, or with `step` or `out` every sample that is in it.
    study
        Study of short codes.
    to
        Condition; None: the sample's own.
    batch
        Narrows samples that are meant by their condition.
    place
        Storage place; None: the one that the study names.
    step
        `next`, or cycle and step such as `2/1`.
    swap_with
        Sample with which the sample changes places.
    replaces
        Sample whose part it takes.
    out
        Whether it is taken out.
    done
        When, as typed; None: now.
    because
        Why, where a reason is due.

    Raises
    ------
    StabilityError
        If one of them cannot be placed so; nothing was written.
    """
    from stability.records import placing
    from stability.records.guards import checked_moment

    wish = placing.PlacingWish(to, place, step, swap_with, replaces, out, because)

    def acts(book: Continuation) -> Iterator[Act]:
        when = checked_moment(done, book.plan.zone, at.now)
        codes: Sequence[str] = samples
        if not samples and to is not None:
            inside = step is not None or out
            codes = placing.meant_by_condition(book.plan, to, batch, inside=inside)
        unread = placing.not_read_at_t0(book.plan, codes)
        for code in codes:
            for held in placing.place(book.plan, code, wish, when):
                text = f"{echo(book.plan, held['sample'])}: {placing_words(held)}"
                remarks = unread if code == codes[-1] else ()
                yield Act(content.PLACED, held, when, text, remarks)

    if not samples and to is None:
        raise NothingToPlaceError(study)
    if not samples and study is None:
        raise StudyNeededError(to or "place")
    of = of_sample(at, samples[0], study, done) if samples else of_study(study or "")
    return write(at, of, acts)


def retire(
    at: Occasion,
    sample: str,
    reason: str,
    *,
    because: str | None,
    study: str | None = None,
    done: str | None = None,
) -> tuple[Written, ...]:
    """Record that a sample left the study.

    Raises
    ------
    StabilityError
        If it left already, or the reason is not known; nothing was written.
    """
    from stability.records import acts as checked
    from stability.records.guards import checked_moment, resolve_sample

    def acts(book: Continuation) -> Iterator[Act]:
        when = checked_moment(done, book.plan.zone, at.now)
        found = resolve_sample(book.plan, sample)
        held = checked.retire(book.plan, found, reason, because, when)
        text = f"{echo(book.plan, found.code)}: {held['reason']}"
        failed = held["reason"] in RETIRED_AS_FAILED
        remarks = leaving_lines(book, held, when) if failed else ()
        yield Act(content.RETIRED, held, when, text, remarks)

    return write(at, of_sample(at, sample, study, done), acts)


def stop(
    at: Occasion,
    study: str,
    *,
    batch: str | None = None,
    pack: str | None = None,
    condition: str | None = None,
    sample: str | None = None,
    because: str | None,
    done: str | None = None,
) -> tuple[Written, ...]:
    """End a study, or a batch, pack, condition or sample of it.

    Raises
    ------
    StabilityError
        If a name is not known, or it was stopped already; nothing was written.
    """
    from stability.records import acts as checked
    from stability.records.guards import checked_moment

    scope = checked.Scope(batch, pack, condition, (sample,) if sample else ())

    def acts(book: Continuation) -> Iterator[Act]:
        when = checked_moment(done, book.plan.zone, at.now)
        held = checked.stop(book.plan, scope, because)
        what = ", ".join(held["scope"].values()) or "the whole study"
        yield Act(content.STOPPED, held, when, f"{what} stopped")

    return write(at, of_study(study), acts)


def miss(
    at: Occasion,
    study: str,
    check: str,
    *,
    batch: str | None = None,
    condition: str | None = None,
    pack: str | None = None,
    samples: Sequence[str] = (),
    because: str | None,
    done: str | None = None,
) -> tuple[Written, ...]:
    """Record that a check was not made, and why.

    Raises
    ------
    StabilityError
        If nothing within the scope waits for it; nothing was written.
    """
    from stability.records import acts as checked
    from stability.records.guards import checked_moment

    scope = checked.Scope(batch, pack, condition, tuple(samples))

    def acts(book: Continuation) -> Iterator[Act]:
        when = checked_moment(done, book.plan.zone, at.now)
        held = checked.miss(book.plan, check, scope, because)
        count = len(held["samples"])
        what = "1 sample" if count == 1 else f"{count} samples"
        text = f"{held['check']} missed on {what}: {', '.join(held['samples'])}"
        yield Act(content.MISSED, held, when, text)

    return write(at, of_study(study), acts)


def day(
    at: Occasion,
    study: str,
    *,
    on: str | None = None,
    observers: Sequence[str] = (),
    settings: Sequence[str] = (),
    control: Sequence[str] = (),
    blind: bool = False,
) -> tuple[Written, ...]:
    """Set person, observers, settings and control for a check day.

    Raises
    ------
    StabilityError
        If a name, setting or sample is not known; nothing was written.
    """
    from stability.records import acts as checked
    from stability.records.guards import checked_moment

    def acts(book: Continuation) -> Iterator[Act]:
        when = checked_moment(on, book.plan.zone, at.now)
        held = checked.day(
            book.plan,
            when,
            at.account,
            observers=observers,
            settings=book.names.spread(settings, book.plan.protocol.attributes),
            control=control,
            blind=blind,
        )
        yield Act(content.DAY, held, when, f"{when.day}: {day_words(held)}")

    return write(at, of_study(study), acts)
