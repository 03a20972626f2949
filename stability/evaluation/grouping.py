"""Observations gathered into series, and series into points: one per check.

Readings of one container are averaged, then the containers of one check. Containers
as separate points would share a day's error and raise the degrees of freedom without
adding what those claim.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction

from stability.evaluation.index import Index, Settings
from stability.evaluation.judging import LOSS_DECIMALS
from stability.evaluation.phrases import decimals_of, number_text, readings_text
from stability.evaluation.readings import JudgedObservation
from stability.evaluation.series import Point, SeriesKey, SeriesState
from stability.model.age import DAYS_PER_MONTH, T0
from stability.model.attribute import Attribute
from stability.model.judgement import mean_reading
from stability.model.study import Sample

#: Marks by how much they say; the first found names the whole series.
STATES: tuple[SeriesState, ...] = (
    "outside",
    "undecided",
    "no initial",
    "changed, inside",
    "inside",
    "recorded only",
)


def series_key(
    attribute: str,
    sample: Sample,
    settings: Settings = (),
    *,
    by_container: bool = False,
) -> SeriesKey:
    """Return the series to which readings of a sample belong.

    Parameters
    ----------
    attribute
        The attribute.
    sample
        The sample.
    settings
        Fixed settings under which it was read.
    by_container
        Whether a reopened container is a series of its own.
    """
    own = by_container and sample.use in {"reopened", "in use"}
    return SeriesKey(
        attribute=attribute,
        condition=sample.condition or "",
        pack=sample.pack or "",
        batch=sample.batch,
        settings=settings,
        sample=sample.code if own else "",
        twin_of=sample.twin_of or "",
    )


def series_of(
    judged: Iterable[JudgedObservation], index: Index
) -> tuple[
    dict[SeriesKey, list[JudgedObservation]], dict[SeriesKey, list[JudgedObservation]]
]:
    """Return the measured and the worded series with their observations.

    T0 readings belong to every series that they serve and are no series themselves.
    """
    alike: dict[tuple[str, str, Settings], list[JudgedObservation]] = {}
    for one in judged:
        seen = one.observation
        if one.takes_part and one.condition is not None and seen.part != "after":
            place = seen.attribute, seen.sample, one.fixed_settings
            alike.setdefault(place, []).append(one)
    measured: dict[SeriesKey, list[JudgedObservation]] = {}
    worded: dict[SeriesKey, list[JudgedObservation]] = {}
    for (name, _, settings), ones in alike.items():
        is_measured = index.attribute(name).kind == "measured"
        key = series_key(name, ones[0].sample, settings, by_container=is_measured)
        (measured if is_measured else worded).setdefault(key, []).extend(ones)
    return measured, worded


def points_of(
    index: Index, key: SeriesKey, observations: Sequence[JudgedObservation]
) -> tuple[tuple[Point, ...], str]:
    """Return the points of a measured series in order of age, and whose T0 it has."""
    attribute = index.attribute(key.attribute)
    grouped: dict[str, list[JudgedObservation]] = {}
    for one in observations:
        name = one.check or f"extra {one.observation.done.day}"
        grouped.setdefault(name, []).append(one)
    points = [_point(attribute, ones) for ones in grouped.values()]
    start, whose = _start(index, attribute, observations[0], key)
    ordered = sorted(points, key=lambda one: (one.age_days, one.positions))
    return (*start, *ordered), whose


def _start(
    index: Index, attribute: Attribute, example: JudgedObservation, key: SeriesKey
) -> tuple[list[Point], str]:
    """Return the point at age 0, or none."""
    if attribute.from_weights:
        zero = Point(
            T0, example.observation.done.day, 0.0, 0.0, Fraction(0), "0", (),
            outside=False, positions=(),
        )  # fmt: skip
        return [zero], "loss is 0 at T0 by definition"
    sample = example.sample if key.sample else _unread(example.sample)
    found, basis = index.initial_readings(attribute.name, key.settings, sample)
    if not found:
        return [], ""
    readings = [reading for one in found for reading in one.observation.readings]
    by_container: dict[str, list[Fraction]] = {}
    qualified = any(one.value is None for one in found)
    for one in found:
        if one.value is not None:
            by_container.setdefault(one.sample.code, []).append(one.value)
    value, containers = _mean_of_means(by_container)
    value = None if qualified else value
    point = Point(
        check=T0,
        day=min(one.observation.done.day for one in found),
        age_days=0.0,
        age_months=0.0,
        value=value,
        text=(
            readings_text(readings)
            if value is None
            else number_text(value, decimals_of(readings))
        ),
        containers=containers,
        outside=False,
        positions=tuple(one.observation.position for one in found),
    )
    return [point], f"T0 of the {basis}"


def _unread(sample: Sample) -> Sample:
    """Return a stand-in for fresh containers, of which none has a T0 of its own."""
    return Sample(
        code="",
        batch=sample.batch,
        pack=sample.pack,
        condition=sample.condition,
        kind=sample.kind,
        use=sample.use,
        checks=(),
    )


def _point(attribute: Attribute, ones: Sequence[JudgedObservation]) -> Point:
    if len(ones) == 1:
        return _single(ones[0])
    positions = tuple(one.position for one in ones)
    outside = any(one.is_outside for one in ones)
    if outside:
        ones = _not_hidden(ones)
    by_container: dict[str, list[Fraction]] = {}
    ages: dict[str, list[float]] = {}
    for one in ones:
        ages.setdefault(one.sample.code, []).append(one.age_days or 0.0)
        if one.value is not None:
            by_container.setdefault(one.sample.code, []).append(_pooled(one, ones))
    value, containers = _mean_of_means(by_container)
    if any(one.value is None for one in ones):
        value = None
    readings = [reading for one in ones for reading in one.observation.readings]
    decimals = LOSS_DECIMALS if attribute.from_weights else decimals_of(readings)
    days = _mean([_mean(one) for one in ages.values()])
    return Point(
        check=ones[0].check,
        day=min(one.observation.done.day for one in ones),
        age_days=days,
        age_months=days / DAYS_PER_MONTH,
        value=value,
        text=(
            readings_text(readings) if value is None else number_text(value, decimals)
        ),
        containers=containers,
        outside=outside,
        positions=positions,
    )


def _not_hidden(ones: Sequence[JudgedObservation]) -> list[JudgedObservation]:
    """Leave out what an average would hide a reading outside its limit behind.

    Of a container that was read again, only what lies outside counts in its mean.
    """
    failed = {one.sample.code for one in ones if one.is_outside}
    return [one for one in ones if one.is_outside or one.sample.code not in failed]


def _single(one: JudgedObservation) -> Point:
    """Return the point of a check with one observation."""
    days = one.age_days or 0.0
    return Point(
        check=one.observation.check,
        day=one.observation.done.day,
        age_days=days,
        age_months=days / DAYS_PER_MONTH,
        value=one.value,
        text=one.value_text,
        containers=() if one.value is None else ((one.sample.code, one.value),),
        outside=one.is_outside,
        positions=(one.observation.position,),
    )


def _pooled(one: JudgedObservation, ones: Sequence[JudgedObservation]) -> Fraction:
    """Return the mean of all readings of a container where it was read again."""
    same = [other for other in ones if other.sample.code == one.sample.code]
    if len(same) == 1 or one.observation.part is not None:
        return one.value or Fraction(0)
    readings = [reading for other in same for reading in other.observation.readings]
    pooled = mean_reading(readings)
    return pooled if pooled is not None else one.value or Fraction(0)


def _mean_of_means(
    by_container: Mapping[str, Sequence[Fraction]],
) -> tuple[Fraction | None, tuple[tuple[str, Fraction], ...]]:
    if len(by_container) == 1:
        ((code, values),) = by_container.items()
        if len(values) == 1:
            return values[0], ((code, values[0]),)
    means = tuple(
        (code, sum(values, Fraction(0)) / len(values))
        for code, values in sorted(by_container.items())
    )
    if not means:
        return None, ()
    return sum((mean for _, mean in means), Fraction(0)) / len(means), means


def _mean(values: Sequence[float]) -> float:
    return values[0] if len(values) == 1 else sum(values) / len(values)


def state_of(observations: Iterable[JudgedObservation]) -> SeriesState:
    """Return what all readings of a series together amount to."""
    marks = {one.mark for one in observations}
    return next((state for state in STATES if state in marks), "no reading")


def first_outside(observations: Iterable[JudgedObservation]) -> str | None:
    """Return the first check outside its limit, or "extra"; None where none is."""
    outside = [one for one in observations if one.is_outside]
    if not outside:
        return None
    first = min(outside, key=lambda one: (one.age_days or 0.0, one.position))
    return first.check or "extra"
