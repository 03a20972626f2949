"""Drifts and words of one study beside each other: conditions, batches, packs.

Where both sides were read at the same checks, the slope of the paired differences;
else, and between batches, the difference of two slopes. Words stand side by side.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from stability.evaluation.contrast_findings import (
    Beside,
    Contrasts,
    DriftContrast,
    Side,
    WordContrast,
)
from stability.evaluation.contrast_pairs import Pair, StudySeries, matched, pairs_of
from stability.evaluation.contrast_words import checks_text, sentence, worded
from stability.evaluation.explaining import explained_by
from stability.evaluation.histories import resolution_of
from stability.evaluation.phrases import count_text
from stability.evaluation.series import MeasuredSeries, Point
from stability.evaluation.word_contrasts import word_contrasts
from stability.model.age import T0
from stability.model.contrast import ChanceCount, Contrast
from stability.model.estimate import Caution, Drift, NoFit
from stability.statistics.comparison import (
    against_control,
    between_slopes,
    chance_count,
)

#: Why a series is never fitted; told once and not for every pair.
NEVER_FITTED = {"zero-at-start", "cycles", "untreated-twin"}
#: Cautions of a line that bear on a difference of two lines.
_OF_LINES = {
    "curvature",
    "curvature-towards-limit",
    "curvature-turned",
    "fast-start",
    "one-point-carries-slope",
    "outlying-point",
}
#: Lines of which one is read so many times longer are compared with a caution [-].
_MUCH_LONGER = 1.5

NOT_SHOWN = Caution(
    "not-shown",
    "A difference that was not shown is not shown to be absent: the interval says how "
    "large it may be.",
)
WORDS_BESIDE = Caution(
    "words-beside",
    "Scores and statements stand side by side as they were read; they are neither "
    "averaged nor tested.",
)
SHARED_T0 = Caution(
    "shared-t0",
    "A T0 that both sides share is left out where checks are paired.",
)
REOPENED = Caution(
    "reopened",
    "A reopened container describes itself and not the unopened product.",
)


def contrasts_of(series: StudySeries) -> Contrasts:
    """Hold the conditions, batches and packs of a study beside each other.

    Parameters
    ----------
    series
        What was fitted and what was worded.
    """
    drifts: list[DriftContrast] = []
    left_out: dict[tuple[str, str], None] = {}
    for pair in pairs_of(series.protocol, series.study, series.measured):
        never = never_fitted(pair.sides, (*pair.first, *pair.second))
        if never is not None:
            left_out[never] = None
        else:
            drifts += _of_pair(series, pair)
    words = word_contrasts(series)
    confidence = series.protocol.analysis.confidence
    return Contrasts(
        tuple(drifts),
        words,
        counted(drifts, confidence),
        tuple(left_out),
        general_cautions(drifts, words),
    )


def never_fitted(
    sides: Beside, series: Iterable[MeasuredSeries]
) -> tuple[str, str] | None:
    """Return what is left out and why, where a line is never fitted; else None."""
    for one in series:
        if isinstance(one.drift, NoFit) and one.drift.code in NEVER_FITTED:
            weighed = one.drift.code == "zero-at-start"
            return (sides.attribute if weighed else one.key.condition), one.drift.text
    return None


def counted(drifts: Iterable[DriftContrast], confidence: float) -> ChanceCount | None:
    """Count intervals that exclude 0 beside those that chance alone would give."""
    chances = [one.result.p for one in drifts if isinstance(one.result, Contrast)]
    if not chances:
        return None
    return chance_count("differences of drifts", chances, 1 - confidence)


def general_cautions(
    drifts: Sequence[DriftContrast], words: Sequence[WordContrast]
) -> tuple[Caution, ...]:
    """Return the cautions that hold for everything held beside each other."""
    found = []
    if any(isinstance(one.result, Contrast) for one in drifts):
        found.append(NOT_SHOWN)
    if any(one.method == "paired differences" for one in drifts):
        found.append(SHARED_T0)
    if any(one.sides.first.samples or one.sides.second.samples for one in drifts):
        found.append(REOPENED)
    if words:
        found.append(WORDS_BESIDE)
    return tuple(found)


# Drifts


def _of_pair(
    series: StudySeries, pair: Pair[MeasuredSeries]
) -> Iterator[DriftContrast]:
    both = matched(pair.first, pair.second)
    if not both:
        yield _other_settings(pair)
    for one, other in both:
        sides = replace(
            pair.sides,
            first=_side_of(pair.sides.first, one, both),
            second=_side_of(pair.sides.second, other, both),
        )
        found = _compared(series, sides, one, other)
        contrast = DriftContrast(
            sides=sides,
            settings=one.key.settings,
            scale=one.scale,
            unit=difference_unit(one),
            checks=found.checks,
            result=found.result,
            explains=explained_by(series, series, sides),
            cautions=found.cautions,
        )
        yield worded(contrast)


def _side_of(
    side: Side,
    one: MeasuredSeries,
    both: Sequence[tuple[MeasuredSeries, MeasuredSeries]],
) -> Side:
    """Return a side with its container, named where there are several."""
    code = one.key.sample
    several = len({each.key.sample for each in _of(both, one)}) > 1
    name = f"{side.name} {code}" if code and several else side.name
    return replace(side, name=name, samples=(code,) if code else ())


def _of(
    both: Sequence[tuple[MeasuredSeries, MeasuredSeries]], one: MeasuredSeries
) -> list[MeasuredSeries]:
    """Return the series of the side that a series is of."""
    place = 0 if any(first is one for first, _ in both) else 1
    return [pair[place] for pair in both]


def difference_unit(one: MeasuredSeries) -> str:
    """Return the unit of a difference of drifts; % where relative rates differ."""
    return "%" if one.scale == "ln" else one.unit


def _other_settings(pair: Pair[MeasuredSeries]) -> DriftContrast:
    """Return the refusal to compare what was read under other fixed settings."""
    one = pair.first[0]
    result = other_settings(pair.sides, pair.first, pair.second)
    return worded(
        DriftContrast(
            pair.sides, (), one.scale, difference_unit(one), (), result, (), ()
        )
    )


def other_settings(
    sides: Beside, first: Sequence[MeasuredSeries], second: Sequence[MeasuredSeries]
) -> NoFit:
    """Return why series of other fixed settings are not compared."""
    said = [
        " or ".join(dict.fromkeys(_settings(one) for one in ones))
        for ones in (first, second)
    ]
    return NoFit(
        "other-settings",
        f"Not compared: {sides.first.name} was read with {said[0]}, "
        f"{sides.second.name} with {said[1]}; other settings are another series.",
    )


def _settings(one: MeasuredSeries) -> str:
    named = [f"{name} {value}" for name, value in one.key.settings]
    return ", ".join(named) or "no settings stated"


@dataclass(frozen=True, slots=True)
class _Compared:
    """What came of two series."""

    #: The difference, or why there is none.
    result: Contrast | NoFit
    #: Checks read on both sides that it rests on.
    checks: tuple[str, ...]
    #: What must be known of it.
    cautions: tuple[Caution, ...]


def _compared(
    series: StudySeries, sides: Beside, one: MeasuredSeries, other: MeasuredSeries
) -> _Compared:
    confidence = series.protocol.analysis.confidence
    if any(point.value is None for point in (*one.points, *other.points)):
        text = (
            "A reading is written with < or >: drifts are not compared; look at the "
            "readings one by one."
        )
        return _Compared(NoFit("qualified", text), (), ())
    opened = _opening(sides, one, other)
    if sides.between == "batches":
        result = _two_slopes(sides, one, other, confidence)
        if isinstance(result, NoFit):
            return _Compared(result, (), opened)
        return _Compared(result, (), (*opened, *line_cautions(sides, [one], [other])))
    pairs = _pairs(one, other)
    checks = tuple(first.check or "" for first, _ in pairs)
    resolution = _resolution(series, one, other)
    result = against_control(
        [(first.age_months + second.age_months) / 2 for first, second in pairs],
        [float(first.value or 0) for first, _ in pairs],
        [float(second.value or 0) for _, second in pairs],
        scale=one.scale,
        resolution=resolution,
        shared_start=False,
        confidence=confidence,
    )
    if isinstance(result, Contrast):
        return _Compared(result, checks, (*opened, *_days(pairs)))
    if result.code != "too-few-pairs":
        return _Compared(result, checks, opened)
    few = _Compared(result, checks, opened)
    return _unpaired(sides, one, other, few, confidence)


def _unpaired(
    sides: Beside,
    one: MeasuredSeries,
    other: MeasuredSeries,
    few: _Compared,
    confidence: float,
) -> _Compared:
    """Return the difference of two slopes where too few checks were shared."""
    checks, opened = few.checks, few.cautions
    shared = checks_text(checks) or "none"
    said = f"Too few checks were read on both sides ({shared})"
    result = _two_slopes(sides, one, other, confidence)
    if isinstance(result, NoFit):
        return _Compared(NoFit(result.code, f"{said}. {result.text}"), checks, opened)
    own = Caution("not-paired", f"{said}: each side keeps its own line.")
    return _Compared(
        result, checks, (own, *opened, *line_cautions(sides, [one], [other]))
    )


def _two_slopes(
    sides: Beside, one: MeasuredSeries, other: MeasuredSeries, confidence: float
) -> Contrast | NoFit:
    if isinstance(one.drift, Drift) and isinstance(other.drift, Drift):
        return between_slopes(one.drift, other.drift, confidence=confidence)
    refused = [
        f"{side.name} has no line: {series.drift.text}"
        for side, series in ((sides.first, one), (sides.second, other))
        if isinstance(series.drift, NoFit)
    ]
    return NoFit("no-line", sentence(" ".join(refused)))


def _pairs(one: MeasuredSeries, other: MeasuredSeries) -> list[tuple[Point, Point]]:
    """Return the checks read on both sides, without a T0 that both share."""
    theirs = {point.check: point for point in other.points if point.check}
    return [
        (point, theirs[point.check])
        for point in one.points
        if point.check in theirs and not _shared_t0(point, theirs[point.check])
    ]


def _shared_t0(point: Point, other: Point) -> bool:
    same = not set(point.positions).isdisjoint(other.positions)
    return point.check == T0 and same


def _resolution(
    series: StudySeries, one: MeasuredSeries, other: MeasuredSeries
) -> float | None:
    positions = {
        position
        for point in (*one.points, *other.points)
        for position in point.positions
    }
    attribute = series.protocol.attributes[one.key.attribute]
    return resolution_of(attribute, [series.judged[place] for place in positions])


# Cautions


def _opening(
    sides: Beside, one: MeasuredSeries, other: MeasuredSeries
) -> tuple[Caution, ...]:
    if bool(one.key.sample) == bool(other.key.sample):
        return ()
    opened = sides.first.name if one.key.sample else sides.second.name
    text = f"Only {opened} was reopened: the difference holds that of opening too."
    return (Caution("one-side-reopened", text),)


def _days(pairs: Sequence[tuple[Point, Point]]) -> tuple[Caution, ...]:
    apart = sum(first.day != second.day for first, second in pairs)
    if not apart:
        return ()
    text = (
        f"{apart} of {count_text(len(pairs), 'pair')} read on two days: what a day "
        "adds to both is not taken out there."
    )
    return (Caution("other-days", text),)


def line_cautions(
    sides: Beside, first: Sequence[MeasuredSeries], second: Sequence[MeasuredSeries]
) -> tuple[Caution, ...]:
    """Return what must be known of differences of lines.

    Parameters
    ----------
    sides
        The two sides.
    first, second
        The series of each whose lines are compared.
    """
    found = [
        Caution(caution.code, f"{_named(side, one)}: {caution.text}")
        for side, series in ((sides.first, first), (sides.second, second))
        for one in series
        for caution in one.cautions
        if caution.code in _OF_LINES
    ]
    ends = [
        max(one.drift.last_age for one in ones if isinstance(one.drift, Drift))
        for ones in (first, second)
    ]
    if max(ends) > _MUCH_LONGER * min(ends):
        text = (
            f"{sides.first.name} was read to {ends[0]:.1f} months, {sides.second.name} "
            f"to {ends[1]:.1f}: it holds if both drift in a straight line."
        )
        found.append(Caution("other-lengths", sentence(text)))
    return tuple(found)


def _named(side: Side, one: MeasuredSeries) -> str:
    return f"{side.name}, batch {one.key.batch}" if side.study else side.name
