"""What stands beside the readings that a figure draws: marks, and checks not made."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stability.evaluation.findings import Evaluation
from stability.evaluation.readings import CheckStatus
from stability.evaluation.series import MeasuredSeries, Point
from stability.model.age import DAYS_PER_MONTH, T0, cycle_of, parse_age
from stability.report.fonts import ReportFonts
from stability.report.panels import PointMark


@dataclass(frozen=True, slots=True)
class Beside:
    """What stands beside the readings of one attribute, gathered once."""

    #: positions of doubtful readings
    doubtful: frozenset[int]
    #: positions of readings with a deviation
    deviating: frozenset[int]
    #: sample code, or condition, batch, pack and whether a twin -> checks not made
    not_made: Mapping[object, Sequence[str]]
    #: in which names are printed
    fonts: ReportFonts


def beside_of(evaluation: Evaluation, attribute: str, fonts: ReportFonts) -> Beside:
    """Gather what stands beside the readings of one attribute."""
    here = [
        one
        for one in evaluation.judged
        if one.attribute == attribute and one.takes_part
    ]
    not_made: dict[object, list[str]] = {}
    for status in evaluation.checks:
        check, sample = status.planned.check, status.sample
        if check != T0 and _not_made(status, attribute):
            twin = sample.twin_of is not None
            place = (sample.condition, sample.batch, sample.pack or "", twin)
            not_made.setdefault(place, []).append(check)
            not_made.setdefault(sample.code, []).append(check)
    return Beside(
        doubtful=frozenset(one.position for one in here if one.is_doubtful),
        deviating=frozenset(one.position for one in here if one.deviations),
        not_made=not_made,
        fonts=fonts,
    )


def mark_of(one: MeasuredSeries, point: Point, beside: Beside) -> PointMark:
    """Return how a point of a series is marked; the worst counts."""
    if point.outside:
        return "outside"
    out = any(
        test.result.is_out and test.check == point.check and test.day == point.day
        for test in one.trend_tests
    )
    if out:
        return "out of trend"
    if beside.doubtful.intersection(point.positions):
        return "doubtful"
    return "deviation" if beside.deviating.intersection(point.positions) else ""


def missed_ages(
    evaluation: Evaluation, one: MeasuredSeries, beside: Beside
) -> tuple[float, ...]:
    """Return nominal ages of checks of this series that are over and were not made."""
    rule = evaluation.identity.protocol.conditions.get(one.key.condition)
    hours = rule.hours_per_cycle if rule else 0.0
    key = one.key
    place = key.sample or (key.condition, key.batch, key.pack, bool(key.twin_of))
    checks = beside.not_made.get(place, ())
    return tuple(sorted({nominal_months(check, hours) for check in checks}))


def nominal_months(check: str, hours_per_cycle: float) -> float:
    """Return the age at which a check is planned [months].

    Parameters
    ----------
    check
        Such as 4w, or c3 for one after cycles.
    hours_per_cycle
        Of the condition [h].
    """
    cycle = cycle_of(check)
    if cycle is not None:
        return cycle * hours_per_cycle / 24 / DAYS_PER_MONTH
    age = parse_age(check)
    return 0.0 if age is None else age.nominal_days / DAYS_PER_MONTH


def _not_made(status: CheckStatus, attribute: str) -> bool:
    """Say whether one attribute of a check is over and was not read."""
    if any(due[0] == attribute for due, _ in status.not_measured):
        return True
    over = status.is_missed or status.is_unrecorded
    return over and any(due[0] == attribute for due in status.remaining)
