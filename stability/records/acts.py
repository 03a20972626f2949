"""What is done with samples, checked against the study and turned into contents.

Placing has a module of its own. Nothing here writes: a fault leaves the record as it
was.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stability.errors.samples import (
    EntryReferenceError,
    MissedError,
    SampleGoneError,
    StoppedError,
    UnknownNameError,
)
from stability.model import content
from stability.model.content import Content
from stability.model.moment import Moment
from stability.model.nearest import nearest
from stability.model.observation import RETIRED_BECAUSE, Observation
from stability.model.plain_text import checked_name
from stability.model.schedule import checks_of, open_checks
from stability.model.study import Sample
from stability.model.study_record import StudyRecord
from stability.records.guards import (
    not_before_made,
    reasoned,
    resolve_sample,
    still_there,
)
from stability.records.intake import read_setting
from stability.records.names import find_name


@dataclass(frozen=True, slots=True)
class Scope:
    """Which samples are meant; what is None does not narrow."""

    #: Batch.
    batch: str | None = None
    #: Pack.
    pack: str | None = None
    #: Condition.
    condition: str | None = None
    #: Sample codes; empty means every sample of the rest.
    samples: tuple[str, ...] = ()

    def takes_in(self, sample: Sample) -> bool:
        """Say whether a sample is meant."""
        return (
            self.batch in {None, sample.batch}
            and self.pack in {None, sample.pack}
            and self.condition in {None, sample.condition}
            and (not self.samples or sample.code in self.samples)
        )


def retire(
    record: StudyRecord, sample: Sample, reason: str, because: str | None, done: Moment
) -> Content:
    """Return the content of a retirement.

    Raises
    ------
    StabilityError
        If the sample has left already, or the reason is not one of those known.
    """
    kind = find_name(reason, RETIRED_BECAUSE, "reason for leaving")
    retired = record.retirement_of(sample.code)
    if retired is not None:
        day = retired.done.for_people()
        raise SampleGoneError(sample.code, f"left the study on {day}: {retired.reason}")
    not_before_made(record, sample, done)
    still_there(record, sample, done)
    return content.retired(
        sample.code, kind, reasoned(because, f"Retiring {sample.code}")
    )


def checked_scope(record: StudyRecord, scope: Scope) -> Scope:
    """Return a scope with every name as the study writes it.

    Raises
    ------
    UnknownNameError
        If a name is not known.
    """
    study = record.study
    return Scope(
        batch=scope.batch and find_name(scope.batch, study.batches, "batch"),
        pack=scope.pack and find_name(scope.pack, study.packs, "pack"),
        condition=scope.condition
        and find_name(scope.condition, record.protocol.conditions, "condition"),
        samples=tuple(resolve_sample(record, one).code for one in scope.samples),
    )


def miss(record: StudyRecord, check: str, scope: Scope, because: str | None) -> Content:
    """Return the content of a check that was not made.

    Raises
    ------
    StabilityError
        If the check is not known, or waits for nobody within the scope.
    """
    named = {
        one
        for sample in record.samples.values()
        for one in checks_of(record.study, record.protocol, sample)
    }
    wanted = find_check(check, named)
    exact = checked_scope(record, scope)
    waiting = {
        one.planned.sample for one in open_checks(record) if one.planned.check == wanted
    }
    meant = [code for code, one in record.samples.items() if exact.takes_in(one)]
    for code in exact.samples:
        if code not in waiting:
            raise MissedError(wanted, f"nothing waits for it on {code}")
    codes = [code for code in meant if code in waiting]
    if not codes:
        raise MissedError(wanted, "no sample within this scope waits for it")
    return content.missed(wanted, codes, reasoned(because, f"Missing {wanted}"))


def find_check(typed: str, known: Iterable[str]) -> str:
    """Return a check that is planned; `4w` and `4M` differ by more than a letter.

    Raises
    ------
    UnknownNameError
        If it is not planned.
    """
    checks = list(known)
    wanted = "T0" if typed.strip().upper() == "T0" else typed.strip()
    if wanted in checks:
        return wanted
    close = nearest(wanted, checks)
    hint = f"the nearest are {', '.join(close)}" if close else _planned(checks)
    raise UnknownNameError("check", typed, hint)


def stop(record: StudyRecord, scope: Scope, because: str | None) -> Content:
    """Return the content of an end: of the study, a batch, pack, condition, sample.

    Raises
    ------
    StabilityError
        If a name is not known, or exactly this was stopped already.
    """
    exact = checked_scope(record, scope)
    held = {
        key: value
        for key, value in (
            ("batch", exact.batch),
            ("pack", exact.pack),
            ("condition", exact.condition),
            ("sample", exact.samples[0] if exact.samples else None),
        )
        if value is not None
    }
    what = ", ".join(f"{key} {value}" for key, value in held.items())
    for before in record.stops:
        if dict(before.scope) in ({}, held):
            day = before.done.for_people()
            raise StoppedError(what or f"study {record.study.code}", day)
    return content.stopped(held, reasoned(because, "Stopping"))


def day(
    record: StudyRecord,
    on: Moment,
    account: str,
    *,
    observers: Sequence[str] = (),
    settings: Sequence[str] = (),
    control: Sequence[str] = (),
    blind: bool = False,
) -> Content:
    """Return the content of what holds for a check day.

    Parameters
    ----------
    record
        The study.
    on
        The day.
    account
        Under which it is set.
    observers
        Names in the order in which readings are typed.
    settings
        `pH.dilution=10 %` each.
    control
        A sample code for all attributes, or `odour=HDC-007-K` for one.
    blind
        Whether observers do not know which sample is which.

    Raises
    ------
    StabilityError
        If a name, setting or sample is not known.
    """
    names = [checked_name(one, "an observer's name") for one in observers]
    return content.day(
        on.day.isoformat(),
        account,
        observers=list(dict.fromkeys(names)),
        settings=read_settings(record, settings),
        control=read_control(record, control),
        blind=blind,
    )


def read_settings(
    record: StudyRecord, typed: Iterable[str]
) -> dict[str, dict[str, str]]:
    """Return attribute -> setting -> value from `pH.dilution=10 %` each.

    Raises
    ------
    StabilityError
        If a name or value cannot be taken.
    """
    found: dict[str, dict[str, str]] = {}
    for one in typed:
        attribute, name, value = read_setting(one, record.protocol.attributes)
        found.setdefault(attribute, {})[name] = value
    return found


def read_control(record: StudyRecord, typed: Iterable[str]) -> dict[str, str]:
    """Return attribute ("" for all) -> sample code of the comparison.

    Raises
    ------
    StabilityError
        If an attribute or a sample is not known.
    """
    found: dict[str, str] = {}
    for one in typed:
        name, equals, code = one.rpartition("=")
        attribute = (
            find_name(name, record.protocol.attributes, "attribute") if equals else ""
        )
        found[attribute] = resolve_sample(record, code).code
    return found


def referred(reference: str, position: int, seen: Observation | None) -> Observation:
    """Return the observation that a reference means, if it still stands.

    Raises
    ------
    EntryReferenceError
        If there is none, or it was superseded or set aside.
    """
    study = reference.partition("/")[0]
    if seen is None:
        raise EntryReferenceError(reference, "there is no observation with this number")
    if seen.corrected_by is not None:
        newer = f"{study}/{seen.corrected_by}"
        raise EntryReferenceError(reference, f"it was corrected by {newer}; name that")
    if seen.invalidated is not None:
        by = f"{study}/{seen.invalidated.position}"
        raise EntryReferenceError(reference, f"it was set aside by {by}")
    if seen.position != position:
        raise ValueError("an observation stands at its own position")
    return seen


def note(
    record: StudyRecord, text: str, refers_to: int | None, sample: str | None
) -> Content:
    """Return the content of an explanation.

    Raises
    ------
    StabilityError
        If it is empty or refers to nothing.
    """
    if refers_to is not None and not 1 <= refers_to <= record.head.position:
        typed = f"{record.study.code}/{refers_to}"
        raise EntryReferenceError(typed, "there is no entry with this number")
    return content.noted(
        reasoned(text, "A note"),
        refers_to,
        resolve_sample(record, sample).code if sample else None,
    )


def _planned(checks: Sequence[str]) -> str:
    return f"planned are {', '.join(checks)}" if checks else "none is planned"
