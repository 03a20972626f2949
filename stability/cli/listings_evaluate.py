"""Listings of readings and of drift."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from stability.cli.output import ASSESSMENT, Cell, Listing, Row
from stability.cli.table import Column
from stability.errors.samples import UnknownNameError
from stability.model.estimate import Drift, Forecast, NoFit
from stability.model.forecast_words import forecast_words
from stability.model.surroundings import INSTRUMENT

if TYPE_CHECKING:
    from stability.workflow.evaluate import (
        Evaluation,
        FollowUp,
        JudgedObservation,
        MeasuredSeries,
        WordSeries,
    )

READINGS = (
    Column("position", "entry", right=True),
    Column("sample", "sample"),
    Column("batch", "batch"),
    Column("pack", "pack"),
    Column("condition", "condition"),
    Column("check", "check"),
    Column("done", ""),
    Column("day", "read"),
    Column("age_days", ""),
    Column("age", "age", right=True),
    Column("attribute", "attribute"),
    Column("part", ""),
    Column("readings", "readings"),
    Column("unit", "unit"),
    Column("value", ""),
    Column("value_unit", ""),
    Column("judged", "judged", right=True),
    Column("limit", "limit"),
    Column("mark", "mark"),
    Column("detail", ""),
    Column("takes_part", ""),
    Column("observers", ""),
    Column("settings", ""),
    Column("instrument", ""),
    Column("compared_with", ""),
    Column("person", ""),
    Column("remarks", "remarks", below=True),
    Column("follow_up", "follow-up", below=True),
)
DRIFT = (
    Column("attribute", "attribute", above=True),
    Column("unit", "unit", above=True),
    Column("limit", "limit", above=True),
    Column("condition", "condition"),
    Column("role", ""),
    Column("pack", "pack"),
    Column("batch", "batch"),
    Column("points", "n", right=True),
    Column("scale", ""),
    Column("start", "start", right=True),
    Column("slope_per_month", "per month", right=True),
    Column("slope_lowest_per_month", "lowest", right=True),
    Column("slope_highest_per_month", "highest", right=True),
    Column("confidence", ""),
    Column("horizon_months", ""),
    Column("drift_over_horizon", "change", right=True),
    Column("state", "readings"),
    Column("first_outside", ""),
    Column("horizon", "over", below=True),
    Column("forecast", "forecast", below=True),
    Column("sample", "sample", below=True),
    Column("twin_of", "twin of", below=True),
    Column("settings", "settings", below=True),
    Column("lower_limit_months", ""),
    Column("lower_limit_earliest_months", ""),
    Column("lower_limit_latest_months", ""),
    Column("upper_limit_months", ""),
    Column("upper_limit_earliest_months", ""),
    Column("upper_limit_latest_months", ""),
)


#: What a forecast is.
_FORECAST = (
    "A forecast is an early warning and no shelf life; 'not before' names the earliest "
    "time, and perhaps never."
)
#: What stands above the readings of one attribute, and above those of one jar.
_OF_ATTRIBUTE = {"attribute", "unit", "limit"}
_OF_SAMPLE = {"sample", "batch", "pack", "condition", "check", "day", "age"}


def readings_listing(
    judged: Sequence[JudgedObservation], follow_ups: Iterable[FollowUp] = ()
) -> Listing:
    """Return one row for each observation, jar by jar or under one attribute."""
    shared = _OF_SAMPLE
    if len({one.attribute for one in judged}) == 1:
        shared = _OF_ATTRIBUTE
    outside = sum(one.is_outside for one in judged)
    asked = {one.position: one.words for one in follow_ups}
    return Listing(
        "observations",
        [replace(one, above=one.key in shared) for one in READINGS],
        [{**_reading_row(one), "follow_up": asked.get(one.position)} for one in judged],
        "Nothing is logged of it.",
        facts={"observations": len(judged), "outside_their_limit": outside},
        notes=(ASSESSMENT,),
    )


def _reading_row(one: JudgedObservation) -> Row:
    said = [remark.text for remark in one.remarks]
    said += [one.left_out] if one.left_out else []
    said += [one.detail] if one.detail else []
    seen = one.observation
    unit = "%" if seen.part and one.mark != "recorded only" else one.unit
    return {
        "position": one.position,
        "sample": one.sample.code,
        "batch": one.sample.batch,
        "pack": one.sample.pack,
        "condition": one.condition,
        "check": one.check or "extra",
        "done": str(seen.done),
        "day": seen.done.day.isoformat(),
        "age_days": one.age_days,
        "age": one.age_text,
        "attribute": one.attribute,
        "part": seen.part,
        "readings": one.readings_text or seen.not_measured,
        "unit": one.unit,
        "value": one.value_text,
        "value_unit": unit,
        "judged": one.value_text if unit == one.unit else f"{one.value_text} {unit}",
        "limit": one.limit_text,
        "mark": one.mark if one.takes_part else "set aside",
        "detail": one.detail,
        "remarks": "; ".join(said),
        "takes_part": one.takes_part,
        "observers": ", ".join(
            each.observer for each in seen.readings if each.observer
        ),
        "settings": ", ".join(f"{name} {said}" for name, said in seen.settings.items()),
        "instrument": seen.settings.get(INSTRUMENT),
        "compared_with": seen.control,
        "person": seen.person,
    }


def chosen_series(
    evaluation: Evaluation,
    attribute: str | None,
    condition: str | None,
    batch: str | None,
) -> list[MeasuredSeries]:
    """Return the measured series that were asked for.

    Raises
    ------
    UnknownNameError
        If the study has no such attribute, condition or batch.
    """
    identity = evaluation.identity
    _check_known("attribute", attribute, identity.protocol.attributes)
    _check_known("condition", condition, identity.protocol.conditions)
    _check_known("batch", batch, identity.study.batches)
    return [
        one
        for one in evaluation.measured
        if attribute in {None, one.key.attribute}
        and condition in {None, one.key.condition}
        and batch in {None, one.key.batch}
    ]


def _check_known(what: str, typed: str | None, known: Iterable[str]) -> None:
    names = list(known)
    if typed is not None and typed not in names:
        raise UnknownNameError(what, typed, f"this study has {', '.join(names)}")


def chosen_words(
    evaluation: Evaluation,
    attribute: str | None,
    condition: str | None,
    batch: str | None,
) -> list[WordSeries]:
    """Return the series of scores and statements that were asked for."""
    return [
        one
        for one in evaluation.worded
        if attribute in {None, one.key.attribute}
        and condition in {None, one.key.condition}
        and batch in {None, one.key.batch}
    ]


def _words_notes(series: Sequence[WordSeries], by_chance: str) -> Iterator[str]:
    """Say of scores and statements what moved, and what the others leave open."""
    moved = [one for one in series if one.state in {"outside", "changed, inside"}]
    steady = [one for one in series if one.may_fail is not None and one not in moved]
    for one in moved:
        share = one.share
        bound = f"; up to {100 * share.at_most:.0f} % may fail" if share else ""
        yield f"{one.key.text()}: {one.whole_text}{bound}"
    if steady:
        most = max(one.may_fail or 0.0 for one in steady)
        fewest = min(one.read for one in steady)
        others = "other series" if moved else "series"
        yield (
            f"Nothing moved in {len(steady)} {others} of scores and statements; "
            f"with as few containers as {fewest} up to {100 * most:.0f} % may still "
            "fail (exact one-sided bound)."
        )
    if moved and by_chance:
        yield by_chance


def drift_listing(
    evaluation: Evaluation,
    series: Sequence[MeasuredSeries],
    words: Sequence[WordSeries] = (),
) -> Listing:
    """Return one row for each measured series; cautions and what words say below."""
    identity = evaluation.identity
    cautions = [
        f"{one.key.text()}: {caution.text}"
        for one in series
        for caution in one.cautions
    ]
    counted = [
        evaluation.multiplicity.text,
        evaluation.trend.text,
        _intervals_text(series),
    ]
    return Listing(
        "series",
        DRIFT,
        [_series_row(one) for one in series],
        "No measured series to fit.",
        facts={
            "study": identity.study.code,
            "product": identity.study.product,
            "as_of": identity.as_of.isoformat(),
            "requested_months": identity.study.request.months,
        },
        notes=(
            *cautions,
            *(text for text in counted if text),
            *_words_notes(words, evaluation.worse_by_chance),
            _FORECAST,
            evaluation.note,
        ),
    )


def _intervals_text(series: Sequence[MeasuredSeries]) -> str:
    levels = {one.drift.confidence for one in series if isinstance(one.drift, Drift)}
    return " ".join(
        f"Lowest and highest slope: two-sided {100 * level:g} % interval."
        for level in sorted(levels)
    )


def _series_row(one: MeasuredSeries) -> Row:
    key = one.key
    return {
        "attribute": key.attribute,
        "condition": key.condition,
        "role": one.role,
        "pack": key.pack,
        "batch": key.batch,
        "sample": key.sample,
        "twin_of": key.twin_of,
        "settings": ", ".join(f"{name} {value}" for name, value in key.settings),
        "points": len(one.points),
        "unit": one.unit,
        "scale": one.scale,
        "horizon_months": one.horizon_months,
        "horizon": one.horizon_text,
        "limit": one.limit_text,
        "state": one.state,
        "first_outside": one.first_outside,
        **_line_cells(one),
    }


def _line_cells(one: MeasuredSeries) -> Row:
    if not isinstance(one.drift, Drift):
        return {"forecast": one.drift.text}
    line = one.drift
    lowest, highest = line.slope_interval
    return {
        "start": _rounded(line.start),
        "slope_per_month": _rounded(line.slope),
        "slope_lowest_per_month": _rounded(lowest),
        "slope_highest_per_month": _rounded(highest),
        "confidence": line.confidence,
        "drift_over_horizon": _rounded(line.drift_over_life),
        "forecast": "; ".join(forecast_words(line, one.forecasts, one.horizon_months)),
        **_forecast_cells(one.forecasts),
    }


def _forecast_cells(forecasts: Sequence[Forecast | NoFit]) -> Row:
    cells: dict[str, Cell] = {}
    for forecast in forecasts:
        if isinstance(forecast, Forecast):
            key = f"{forecast.bound.side}_limit"
            cells[f"{key}_months"] = _rounded(forecast.months)
            cells[f"{key}_earliest_months"] = _rounded(forecast.earliest)
            cells[f"{key}_latest_months"] = _rounded(forecast.latest)
    return cells


def _rounded(value: float | None) -> float | None:
    """Round to four significant digits, which is more than any reading holds."""
    return None if value is None else float(f"{value:.4g}")


def any_forecast_inside(
    evaluation: Evaluation, series: Sequence[MeasuredSeries]
) -> bool:
    """Say whether a line meets its limit within the life asked for."""
    life = evaluation.identity.study.request.months
    return any(
        isinstance(forecast, Forecast)
        and forecast.months is not None
        and forecast.months <= life
        for one in series
        for forecast in one.forecasts
    )
