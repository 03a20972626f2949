"""What holds over all series: bending of batches, trend tests, multiplicity."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date

from stability.evaluation.findings import Multiplicity
from stability.evaluation.phrases import count_text
from stability.evaluation.series import (
    CurvatureFinding,
    MeasuredSeries,
    Point,
    SeriesKey,
)
from stability.model.estimate import Curvature, Drift, LackOfFit, NoFit, TrendTests
from stability.statistics.fit_checks import LEVEL
from stability.statistics.out_of_trend import trend_tests
from stability.statistics.straightness import curvature, lack_of_fit


def bends_of(
    fitted: Sequence[MeasuredSeries],
) -> list[tuple[CurvatureFinding, list[SeriesKey]]]:
    """Return one bend for the batches of an attribute, condition and pack."""
    grouped: dict[SeriesKey, list[MeasuredSeries]] = {}
    for one in fitted:
        if isinstance(one.drift, Drift):
            group = replace(one.key, batch="", sample="")
            grouped.setdefault(group, []).append(one)
    return [
        (
            CurvatureFinding(
                key.attribute, key.condition, key.pack, key.settings, _bend(ones)
            ),
            [one.key for one in ones],
        )
        for key, ones in grouped.items()
    ]


def _bend(ones: Sequence[MeasuredSeries]) -> Curvature | NoFit:
    drifts = [one.drift for one in ones if isinstance(one.drift, Drift)]
    result = curvature(drifts, ones[0].bounds)
    if result is None:
        return NoFit("too-few-checks", "Too few checks to tell a bend.")
    return result


def lack_of(points: Sequence[Point], drift: Drift | NoFit) -> LackOfFit | None:
    """Hold a line against the scatter of fresh containers of one check.

    None without a line, where no check has several, or where fewer than three ages
    were read. Containers of one check count as of one age.

    Parameters
    ----------
    points
        Of the series, one for each check.
    drift
        The line through them.
    """
    alone = all(len(one.containers) < 2 for one in points)
    if alone or isinstance(drift, NoFit):
        return None
    ages = [one.age_months for one in points for _ in one.containers]
    values = [float(value) for one in points for _, value in one.containers]
    if drift.scale == "ln" and min(values) <= 0:
        return None
    return lack_of_fit(ages, values, scale=drift.scale, floor=drift.floor)


def trend_of(series: Iterable[MeasuredSeries]) -> TrendTests:
    """Count all out-of-trend tests beside what chance alone would give."""
    found = list(series)
    return trend_tests(
        [test.result for one in found for test in one.trend_tests],
        made=sum(one.trend_tests_made for one in found),
    )


def trend_days(series: Iterable[MeasuredSeries]) -> tuple[tuple[date, int], ...]:
    """Return days on which two series or more were out of trend.

    Several on one day point to that day: to the instrument before the product.
    """
    days = Counter(
        test.day for one in series for test in one.trend_tests if test.result.is_out
    )
    return tuple(sorted((day, count) for day, count in days.items() if count > 1))


def multiplicity_of(series: Iterable[MeasuredSeries]) -> Multiplicity:
    """Say how many slopes would look significant by chance alone."""
    all_ = list(series)
    slopes = [one.drift.slope_p for one in all_ if isinstance(one.drift, Drift)]
    by_chance = 0.05 * len(slopes)
    found = sum(p < 0.05 for p in slopes)
    text = (
        f"Of {count_text(len(slopes), 'slope')} about {by_chance:.1f} would show "
        f"p < 0.05 by chance alone; {found} did. A p-value here is no verdict."
        if slopes
        else ""
    )
    return Multiplicity(len(slopes), by_chance, found, f"{text}{_lacking_text(all_)}")


def _lacking_text(series: Sequence[MeasuredSeries]) -> str:
    """Say how many lines with replicates lack fit, beside what chance alone gives."""
    lacks = [one.lack_of_fit for one in series if one.lack_of_fit is not None]
    tested = [one.p for one in lacks if one.p is not None]
    if not tested:
        return ""
    found = sum(p < LEVEL for p in tested)
    return (
        f" Of {count_text(len(tested), 'line')} with several containers at a check "
        f"about {LEVEL * len(tested):.1f} would show lack of fit (F, p < 0.05) by "
        f"chance alone; {found} did."
    )
