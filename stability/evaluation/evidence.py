"""What real time says of each attribute that bears the request, batch by batch."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from stability.evaluation.certificate_findings import FailedCertificate
from stability.evaluation.failures import Failure
from stability.evaluation.index import Index, role_of
from stability.evaluation.readings import CheckStatus, JudgedObservation
from stability.model.age import (
    DAYS_PER_MONTH,
    T0,
    add_calendar_months,
    check_order,
    cycle_of,
    parse_age,
)
from stability.model.schedule import PlannedCheck
from stability.model.shelf_life import CheckOutcome
from stability.model.study import Sample

#: Long-term condition and pack.
Place = tuple[str, str]


@dataclass(frozen=True, slots=True)
class FailureSeen:
    """One failure of what bears the request under long-term storage."""

    #: Batch.
    batch: str
    #: Attribute, or "sample" with why it left.
    attribute: str
    #: Check, or "extra".
    check: str
    #: Real age [months].
    age: float


@dataclass(frozen=True, slots=True)
class Evidence:
    """What real time says in one long-term condition and pack."""

    #: Long-term condition.
    condition: str
    #: Pack.
    pack: str
    #: Batches that have samples there.
    batches: tuple[str, ...]
    #: Every check planned there, in order.
    checks: tuple[str, ...]
    #: Attribute that bears the request -> its checks, in order.
    planned: Mapping[str, tuple[str, ...]]
    #: Attribute -> batch -> what came of its observations.
    outcomes: Mapping[str, Mapping[str, tuple[CheckOutcome, ...]]]
    #: Failures, first failed first.
    failures: tuple[FailureSeen, ...]
    #: Batches with a T0 reading outside its limit, by attribute.
    failed_at_t0: Mapping[str, frozenset[str]]
    #: Why readings that passed do not count: (check, reason).
    not_counted: tuple[tuple[str, str], ...]
    #: Certificates that failed and that no reading tells of (`failed_certificates`).
    certified: tuple[FailedCertificate, ...] = ()

    def of(self, attribute: str) -> list[tuple[CheckOutcome, ...]]:
        """Return the outcomes of an attribute, one sequence for each batch."""
        found = self.outcomes.get(attribute, {})
        return [found.get(batch, ()) for batch in self.batches]


@dataclass(slots=True)
class _Gathering:
    """Evidence in the making."""

    batches: set[str] = field(default_factory=set)
    checks: set[str] = field(default_factory=set)
    planned: dict[str, set[str]] = field(default_factory=dict)
    outcomes: dict[str, dict[str, list[CheckOutcome]]] = field(default_factory=dict)
    failures: list[FailureSeen] = field(default_factory=list)
    at_t0: dict[str, set[str]] = field(default_factory=dict)
    not_counted: dict[tuple[str, str], None] = field(default_factory=dict)

    def add(self, attribute: str, batch: str, outcome: CheckOutcome) -> None:
        """Add what came of one observation."""
        by_batch = self.outcomes.setdefault(attribute, {})
        by_batch.setdefault(batch, []).append(outcome)


def evidence_of(
    index: Index,
    judged: Iterable[JudgedObservation],
    statuses: Iterable[CheckStatus],
    failures: Sequence[Failure],
) -> tuple[Evidence, ...]:
    """Return what real time says, for each long-term condition and pack.

    Untreated twins and containers in use say nothing of the unopened product.
    """
    places: dict[Place, _Gathering] = {}
    for status in statuses:
        if bears(index, status.sample) and status.planned.check != T0:
            _plan(index, places, status)
    for one in judged:
        if not index.attribute(one.attribute).bears_request or not _counts(one):
            continue
        if one.condition is None:
            _take_t0(index, places, one)
        elif bears(index, one.sample):
            _take(index, places, one)
    for failure in failures:
        if bears(index, failure.sample):
            _retire(places, failure)
    for found in places.values():
        _plan_certified(index, found)
    order = {name: place for place, name in enumerate(index.protocol.conditions)}
    return tuple(
        _finished(place, places[place])
        for place in sorted(places, key=lambda one: (order[one[0]], one[1]))
    )


def bears(index: Index, sample: Sample) -> bool:
    """Say whether a sample speaks for the unopened product in real time."""
    return role_of(index.record, sample) == "long-term"


def _counts(one: JudgedObservation) -> bool:
    """Say whether an observation says pass, fail, or that it was not measured."""
    return one.is_read or (
        one.observation.stands and one.observation.not_measured is not None
    )


def _at(places: dict[Place, _Gathering], sample: Sample) -> _Gathering:
    place = sample.condition or "", sample.pack or ""
    found = places.setdefault(place, _Gathering())
    found.batches.add(sample.batch)
    return found


def _plan(index: Index, places: dict[Place, _Gathering], status: CheckStatus) -> None:
    found = _at(places, status.sample)
    if cycle_of(status.planned.check) is not None:
        return
    found.checks.add(status.planned.check)
    for name, _ in status.expected:
        attribute = index.attribute(name)
        if (
            attribute.bears_request
            and attribute.limit_in(status.sample.condition).judges
        ):
            found.planned.setdefault(name, set()).add(status.planned.check)


def _plan_certified(index: Index, found: _Gathering) -> None:
    """Let an attribute from certificates bear the request where they reach so far.

    One failed is enough. Those that passed count only once every batch has one: a
    certificate of one batch must not shorten what is shown of the others.
    """
    for name, by_batch in found.outcomes.items():
        attribute = index.attribute(name)
        if attribute.provided_by != "certificate":
            continue
        failed = any(one.passed is False for ones in by_batch.values() for one in ones)
        if failed or by_batch.keys() >= found.batches:
            asked = [one for one in attribute.when if one in found.checks]
            seen = [
                one.check for ones in by_batch.values() for one in ones if one.check
            ]
            found.planned.setdefault(name, set()).update(asked, set(seen) - {T0})


def _take(
    index: Index, places: dict[Place, _Gathering], one: JudgedObservation
) -> None:
    found = _at(places, one.sample)
    if not one.limit.judges or one.observation.part == "after":
        return
    day = one.observation.done.day
    in_window = one.planned is not None and one.planned.holds(day)
    passed = True if one.passes else False if one.is_outside else None
    age = one.age_months or 0.0
    outcome = CheckOutcome(
        check=one.check,
        age=age,
        in_window=in_window,
        on_or_after_date=one.planned is not None
        and day >= _date_of(index, one.sample, one.planned),
        passed=passed,
    )
    found.add(one.attribute, one.sample.batch, outcome)
    if passed is False:
        found.failures.append(
            FailureSeen(one.sample.batch, one.attribute, one.check or "extra", age)
        )
    elif passed and one.planned is not None:
        reason = _not_counted(index, one, one.planned, outcome)
        if reason:
            found.not_counted[one.planned.check, reason] = None


def _date_of(index: Index, sample: Sample, planned: PlannedCheck) -> date:
    """Return the day from which a check may carry the request.

    Its due date; where the months asked for are over before, that day.
    """
    asked = index.record.study.request.months
    age = parse_age(planned.check)
    placing = index.record.first_placing(sample.code)
    if age is None or placing is None or age.whole_months < asked:
        return planned.due
    return min(planned.due, add_calendar_months(placing.done.day, asked))


def _not_counted(
    index: Index, one: JudgedObservation, planned: PlannedCheck, outcome: CheckOutcome
) -> str:
    day = one.observation.done.day
    if not outcome.in_window:
        return f"read {day}, outside its window"
    asked = index.record.study.request.months
    age = parse_age(planned.check)
    if age is not None and age.whole_months >= asked and not outcome.on_or_after_date:
        return f"read {day}, before the {asked} months asked for were over"
    return ""


def _take_t0(
    index: Index, places: dict[Place, _Gathering], one: JudgedObservation
) -> None:
    """Count a T0 reading outside its limit for every pack that it serves."""
    for (condition, pack), found in places.items():
        serves = one.sample.batch in found.batches and one.sample.pack in {None, pack}
        judges = index.attribute(one.attribute).limit_in(condition).judges
        if not one.is_outside or not serves or not judges:
            continue
        batch = one.sample.batch
        found.add(one.attribute, batch, _failed(T0, 0.0))
        found.at_t0.setdefault(one.attribute, set()).add(batch)
        found.failures.append(FailureSeen(batch, one.attribute, T0, 0.0))


def _retire(places: dict[Place, _Gathering], failure: Failure) -> None:
    """Count a sample that left as failed for what can no longer be read of it."""
    found = _at(places, failure.sample)
    batch, age = failure.sample.batch, failure.age_days / DAYS_PER_MONTH
    names = failure.attributes or dict.fromkeys(found.planned, None)
    for name, check in names.items():
        if name in found.planned:
            found.add(name, batch, _failed(check, age))
    found.failures.append(
        FailureSeen(
            batch, f"sample {failure.left.reason}", failure.check or "extra", age
        )
    )


def _failed(check: str | None, age: float) -> CheckOutcome:
    return CheckOutcome(check, age, in_window=True, on_or_after_date=True, passed=False)


def _finished(place: Place, found: _Gathering) -> Evidence:
    return Evidence(
        condition=place[0],
        pack=place[1],
        batches=tuple(sorted(found.batches)),
        checks=tuple(sorted(found.checks, key=check_order)),
        planned={
            name: tuple(sorted(checks, key=check_order))
            for name, checks in found.planned.items()
        },
        outcomes={
            name: {batch: _same_age(ones) for batch, ones in by_batch.items()}
            for name, by_batch in found.outcomes.items()
        },
        failures=tuple(sorted(found.failures, key=lambda one: (one.age, one.batch))),
        failed_at_t0={name: frozenset(ones) for name, ones in found.at_t0.items()},
        not_counted=tuple(found.not_counted),
    )


def _same_age(outcomes: Sequence[CheckOutcome]) -> tuple[CheckOutcome, ...]:
    """Give all containers of one check its earliest age.

    A container that failed a day after another passed still fails that check.
    """
    first: dict[str, float] = {}
    for one in outcomes:
        if one.check is not None:
            first[one.check] = min(one.age, first.get(one.check, one.age))
    return tuple(
        one if one.check is None else replace(one, age=first[one.check])
        for one in outcomes
    )
