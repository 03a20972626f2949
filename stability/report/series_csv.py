"""Lines, tests out of trend and lives of a large study, as files inside its report.

They hold what the printed tables hold, and every row that is not printed; numbers are
not rounded.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from stability.evaluation.findings import Evaluation
from stability.evaluation.life_findings import LifeFindings
from stability.evaluation.series import MeasuredSeries, SeriesKey
from stability.model.estimate import Drift
from stability.model.inert_cell import inert
from stability.report.chapters_drift import forecast_text
from stability.report.series_in_print import (
    lines_in_print,
    lives_in_print,
    only_alarms,
    series_drawn,
    trend_in_print,
)

_PLACE: Final = (
    "attribute", "condition", "pack", "batch", "container", "twin_of", "settings",
)  # fmt: skip
#: Columns of the table of lines, in order; a month is 30.4375 days.
LINES: Final = (
    *_PLACE,
    "unit",
    "limit",
    "scale",
    "checks",
    "start",
    "slope_per_month",
    "slope_lowest_per_month",
    "slope_highest_per_month",
    "confidence",
    "residual_sd",
    "change",
    "over",
    "line_meets_the_limit",
    "state",
    "cautions",
    "no_line",
    "printed",
    "drawn",
)
#: Columns of the table of results out of trend, in order.
TREND: Final = (*_PLACE, "check", "read", "outcome", "text", "printed")
#: Columns of the table of what bears the request, in order.
LIFE: Final = (
    "attribute",
    "condition",
    "pack",
    "batch",
    "limit",
    "shown_months",
    "estimate_months",
    "cap_months",
    "ends_at_months",
    "at_most_months",
    "basis",
    "cap",
    "printed",
)
_Cell = str | int | float | None


def lines_csv(evaluation: Evaluation) -> str:
    """Return one row for each series of numbers: its line, or why it has none."""
    printed, drawn = lines_in_print(evaluation), series_drawn(evaluation)
    return _table(
        LINES,
        (
            [
                *_place(one.key),
                *_line(one),
                _yes(one.key in printed),
                _yes(one.key in drawn),
            ]
            for one in evaluation.measured
        ),
    )


def trend_csv(evaluation: Evaluation) -> str:
    """Return one row for each check that is out of trend."""
    return _table(TREND, _trend_rows(evaluation))


def life_csv(life: LifeFindings) -> str:
    """Return one row for what each batch brings to the request."""
    printed = [each for one in lives_in_print(life) for each in one.bearings]
    kept = {id(one) for one in printed}
    return _table(
        LIFE,
        (
            [
                one.attribute,
                one.condition,
                one.pack,
                each.batch,
                one.limit_text,
                each.shown.months,
                each.estimate,
                each.cap.months,
                each.ends_at,
                each.limit,
                each.basis,
                each.cap.text,
                _yes(id(each) in kept),
            ]
            for one in life.attributes
            for each in one.bearings
        ),
    )


def _trend_rows(evaluation: Evaluation) -> Iterator[list[_Cell]]:
    alarms = only_alarms(evaluation)
    for one in evaluation.measured:
        printed = trend_in_print(one, alarms=alarms)
        for test in trend_in_print(one, alarms=False):
            yield [
                *_place(one.key),
                test.check or "extra",
                test.day.isoformat(),
                test.result.outcome,
                test.result.text,
                _yes(test in printed),
            ]


def _place(key: SeriesKey) -> list[str]:
    settings = "; ".join(f"{name} {value}" for name, value in key.settings)
    return [
        key.attribute,
        key.condition,
        key.pack,
        key.batch,
        key.sample,
        key.twin_of,
        settings,
    ]


def _line(one: MeasuredSeries) -> list[_Cell]:
    head: list[_Cell] = [one.unit, one.limit_text, one.scale, len(one.points)]
    cautions = "; ".join(each.text for each in one.cautions)
    drift = one.drift
    if not isinstance(drift, Drift):
        blank: list[_Cell] = [None] * 9
        return [*head, *blank, one.state, cautions, drift.text]
    return [
        *head,
        drift.start,
        drift.slope,
        *drift.slope_interval,
        drift.confidence,
        drift.s_used,
        drift.drift_over_life,
        one.horizon_text,
        forecast_text(one),
        one.state,
        cautions,
        "",
    ]


def _yes(is_so: bool) -> str:
    return "yes" if is_so else "no"


def _table(columns: Sequence[str], rows: Iterable[Sequence[_Cell]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow(inert(cell) if isinstance(cell, str) else cell for cell in row)
    return out.getvalue()
