"""Series, lines, words and comparisons as plain mappings for JSON.

Numbers are those of the evaluation, unrounded; units stand in the keys or beside them.
"""

from __future__ import annotations

from typing import Any

from stability.evaluation.contrast_findings import DriftContrast, Side, WordContrast
from stability.evaluation.findings import Evaluation
from stability.evaluation.series import (
    Comparison,
    ContainerWords,
    MeasuredSeries,
    Point,
    TrendTest,
    WordSeries,
)
from stability.model.estimate import Drift, Forecast, LackOfFit, NoFit
from stability.model.forecast_words import forecast_words
from stability.model.scores import ScoreTrend


def series_object(evaluation: Evaluation) -> dict[str, Any]:
    """Return lines, trend tests, words and comparisons, each with its chance count."""
    contrasts, trend = evaluation.contrasts, evaluation.trend
    count = contrasts.count
    return {
        "drift": [drift_object(one) for one in evaluation.measured],
        "drift_by_chance": evaluation.multiplicity.text or None,
        "out_of_trend": {
            "tests": trend.made,
            "text": trend.text,
            "days": [
                {"day": day.isoformat(), "series": number}
                for day, number in evaluation.trend_days
            ],
        },
        "scores": [_words_object(one) for one in evaluation.worded],
        "scores_by_chance": evaluation.worse_by_chance or None,
        "differences": [difference_object(one) for one in contrasts.drifts],
        "differences_by_chance": None if count is None else count.text,
        "differences_of_words": [_word_contrast(one) for one in contrasts.words],
        "check_by_check": [_comparison(one) for one in evaluation.comparisons],
    }


def drift_object(one: MeasuredSeries) -> dict[str, Any]:
    """Return one series with its line, or the reason why there is none."""
    key = one.key
    found: dict[str, Any] = {
        "attribute": key.attribute,
        "condition": key.condition,
        "pack": key.pack,
        "batch": key.batch,
        "sample": key.sample or None,
        "twin_of": key.twin_of or None,
        "settings": dict(key.settings),
        "role": one.role,
        "unit": one.unit,
        "scale": one.scale,
        "limit": one.limit_text,
        "state": one.state,
        "points": len(one.points),
        "point_values": [_point(each) for each in one.points],
        "trend_tests": [_trend(each) for each in one.trend_tests],
        "cautions": [each.text for each in one.cautions],
        "lack_of_fit": None if one.lack_of_fit is None else _lack(one.lack_of_fit),
        "first_outside": one.first_outside,
        "forecasts": forecast_words(one.drift, one.forecasts, one.horizon_months),
        "forecast_months": [_forecast(each) for each in one.forecasts],
    }
    if not isinstance(one.drift, Drift):
        return {**found, "no_line": one.drift.text}
    return {**found, **_line(one.drift), "drift_over": one.horizon_text}


def _lack(one: LackOfFit) -> dict[str, Any]:
    return {
        "f": one.f,
        "df_fit": one.df_fit,
        "df_replicates": one.df_replicates,
        "p": one.p,
    }


def _line(drift: Drift) -> dict[str, Any]:
    return {
        "n": drift.n,
        "df": drift.df,
        "intercept": drift.intercept,
        "start": drift.start,
        "slope_per_month": drift.slope,
        "slope_interval_per_month": list(drift.slope_interval),
        "residual_sd": drift.s,
        "residual_sd_used": drift.s_used,
        "residual_sd_floor_acted": drift.floor_acted,
        "confidence": drift.confidence,
        "age_range_months": [drift.first_age, drift.last_age],
        "drift_over_months": drift.life,
        "drift_over_life": drift.drift_over_life,
    }


def _point(one: Point) -> dict[str, Any]:
    return {
        "check": one.check,
        "read": one.day.isoformat(),
        "age_months": one.age_months,
        "value": one.text,
        "outside": one.outside,
        "positions": list(one.positions),
    }


def _trend(one: TrendTest) -> dict[str, Any]:
    return {
        "check": one.check,
        "read": one.day.isoformat(),
        "outcome": one.result.outcome,
        "value": one.result.value,
        "predicted": one.result.predicted,
        "alert_limits": list(one.result.alert_limits),
        "alarm_limits": list(one.result.alarm_limits),
        "newest": one.newest,
        "text": one.result.text,
    }


def _forecast(one: Forecast | NoFit) -> dict[str, Any] | None:
    if isinstance(one, NoFit):
        return None
    return {
        "side": one.bound.side,
        "outcome": one.outcome,
        "months": one.months,
        "earliest_months": one.earliest,
        "latest_months": one.latest,
    }


def _words_object(one: WordSeries) -> dict[str, Any]:
    key = one.key
    return {
        "attribute": key.attribute,
        "condition": key.condition,
        "pack": key.pack,
        "batch": key.batch,
        "twin_of": key.twin_of or None,
        "limit": one.limit_text,
        "initial": one.initial,
        "worst": one.worst,
        "failed": one.failed,
        "read": one.read,
        "first_outside": one.first_outside,
        "may_fail_share": None if one.share is None else one.share.at_most,
        "failure_steps": [
            {
                "after_months": step.after,
                "until_months": step.until,
                "share": step.share,
            }
            for step in (() if one.share is None else one.share.steps)
        ],
        "trend": None if one.trend is None else _word_trend(one.trend),
        "containers": [_container(each) for each in one.containers],
        "observers": one.observers_text or None,
        "state": one.state,
        "text": one.whole_text,
    }


def _word_trend(one: ScoreTrend) -> dict[str, Any]:
    return {
        "checks": one.n,
        "tau_b": one.tau_b,
        "p_one_sided": one.p,
        "least_p_possible": one.least_p,
        "method": one.method,
        "text": one.text,
    }


def _container(one: ContainerWords) -> dict[str, Any]:
    return {
        "sample": one.sample,
        "words": [
            {"check": check, "age_days": age, "word": word, "outside": outside}
            for check, age, word, outside in one.words
        ],
        "failed": one.failed,
        "last_passed_days": one.last_passed,
        "first_failed_days": one.first_failed,
        "retired": one.retired or None,
    }


def difference_object(one: DriftContrast) -> dict[str, Any]:
    """Return a difference of drifts, or why there is none."""
    sides = one.sides
    contrast = one.contrast
    found = {
        "between": sides.between,
        "basis": sides.basis,
        "attribute": sides.attribute,
        "first": _side_object(sides.first),
        "second": _side_object(sides.second),
        "unit": one.unit,
        "scale": one.scale,
        "text": one.text,
        "explains": list(one.explains),
        "cautions": [caution.text for caution in one.cautions],
    }
    if contrast is None or one.interval is None:
        return {**found, "not_compared": one.text}
    return {
        **found,
        "method": contrast.method,
        "checks": list(one.checks),
        "difference_per_month": one.difference,
        "difference_interval_per_month": list(one.interval),
        "confidence": contrast.confidence,
        "p": contrast.p,
        "excludes_0": contrast.excludes_no_difference,
    }


def _side_object(side: Side) -> dict[str, Any]:
    return {
        "name": side.name,
        "condition": side.condition,
        "pack": side.pack,
        "batches": list(side.batches),
        "samples": list(side.samples),
    }


def _word_contrast(one: WordContrast) -> dict[str, Any]:
    sides = one.sides
    return {
        "between": sides.between,
        "basis": sides.basis,
        "attribute": sides.attribute,
        "first": _side_object(sides.first),
        "second": _side_object(sides.second),
        "first_text": one.first_text,
        "second_text": one.second_text,
        "moved": one.moved,
        "text": one.text,
    }


def _comparison(one: Comparison) -> dict[str, Any]:
    return {
        "kind": one.kind,
        "attribute": one.attribute,
        "batch": one.batch,
        "pack": one.pack,
        "check": one.check,
        "condition": one.condition,
        "against": one.against,
        "samples": list(one.samples),
        "against_samples": list(one.against_samples),
        "value": one.text,
        "against_value": one.against_text,
        "difference": None if one.difference is None else float(one.difference),
        "outcome": one.outcome,
        "text": one.statement,
    }
