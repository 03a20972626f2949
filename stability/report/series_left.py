"""What a report of a large study says of the series that stand in its files only."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from reportlab.platypus import Flowable

from stability.evaluation.findings import Evaluation
from stability.evaluation.life_findings import LifeFindings
from stability.model.estimate import TrendTests
from stability.report.series_in_print import (
    LIFE_FILE,
    LINES_FILE,
    MOST_ALERTS,
    MOST_BEARINGS,
    MOST_SERIES,
    TREND_FILE,
    estimates_in_print,
    has_many_series,
    is_long,
    lives_in_print,
    only_alarms,
    series_drawn,
)
from stability.report.styles import ReportStyles, caution_box

#: Series or sides named in one cell; a file inside the report names the rest.
MOST_NAMED: Final = 100
_OF_NOTE: Final = (
    "outside its limit, undecided, with a line that meets its limit within the time "
    "over which its change is told, an alarm at its newest check, or governing a pack"
)


def few_named(texts: Iterable[str], file: str) -> str:
    """Name each once, or the first of very many with the number of the others.

    Parameters
    ----------
    texts
        The names.
    file
        Of those inside the report, the one that names all.
    """
    named = list(dict.fromkeys(texts))
    if len(named) <= MOST_NAMED:
        return "; ".join(named)
    first = "; ".join(named[:MOST_NAMED])
    return f"{first}; and {len(named) - MOST_NAMED} more, in {file}"


def size_text(evaluation: Evaluation) -> str:
    """Return for the first pages that print does not show all; "" where it does."""
    kinds = []
    if has_many_series(evaluation):
        kinds.append(f"{len(evaluation.measured)} series of numbers ({LINES_FILE})")
    if only_alarms(evaluation):
        kinds.append(f"{evaluation.trend.alerts} results out of trend ({TREND_FILE})")
    life = evaluation.shelf_life
    if life is not None and is_long(life):
        number = sum(len(one.bearings) for one in life.attributes)
        kinds.append(f"{number} lines behind the request ({LIFE_FILE})")
    if not kinds:
        return ""
    return (
        f"The study is large: of {'; of '.join(kinds)} the pages show what "
        "fails, drifts towards its limit, is out of trend or governs. Each chapter "
        "says how many others there are; every one stands in these files inside this "
        "document. Every reading outside its limit is printed."
    )


def size_note(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return `size_text` as a box; nothing where all is printed."""
    words = size_text(evaluation)
    return [caution_box("Printed in part.", [words], styles)] if words else []


def drawn_text(evaluation: Evaluation) -> str:
    """Return which series are drawn; "" where all are."""
    if not has_many_series(evaluation):
        return ""
    read = sum(bool(one.points) for one in evaluation.measured)
    return (
        f" With more than {MOST_SERIES} series ({read} were read) a panel is drawn "
        f"only where it holds one that is {_OF_NOTE}; and for each attribute and "
        "condition the one whose line comes nearest to its limit. They are "
        f"{len(series_drawn(evaluation))} series; the others stand in {LINES_FILE} and "
        "readings.csv inside this document."
    )


def lines_left_text(away: int, of: int) -> str:
    """Return which lines are printed, and where the others stand.

    Parameters
    ----------
    away, of
        Lines that are not printed, and all series. [-]
    """
    return (
        f"With more than {MOST_SERIES} series ({of} here) a line is printed only where "
        f"its series is {_OF_NOTE}; and for each attribute, condition and pack the one "
        f"that comes nearest to its limit. The other {away} lines stand in "
        f"{LINES_FILE} inside this document."
    )


def alerts_left_text(trend: TrendTests) -> str:
    """Return that alarms alone are printed, and where the alerts stand."""
    return (
        f"With more than {MOST_ALERTS} results out of trend only alarms, beyond the "
        f"99 % limits, are printed; the other {trend.alerts - trend.alarms} alerts "
        f"stand in {TREND_FILE} inside this document."
    )


def batches_left_text(life: LifeFindings) -> str:
    """Return which batches are printed of each attribute; "" where all are."""
    if not is_long(life):
        return ""
    printed = sum(len(one.bearings) for one in lives_in_print(life))
    every = sum(len(one.bearings) for one in life.attributes)
    return (
        f" With more than {MOST_BEARINGS} lines ({every} here) the batch that supports "
        "the fewest months is printed of each attribute and pack, and every batch that "
        f"ends; the other {every - printed} stand in {LIFE_FILE} inside this document."
    )


def estimates_left_text(life: LifeFindings) -> str:
    """Return which attributes' estimates are printed; "" where all are."""
    if not is_long(life):
        return ""
    left = len(life.attributes) - len(estimates_in_print(life))
    return (
        "Printed for each pack and condition is the attribute that supports the fewest "
        f"months; the estimates of the other {left} stand in {LIFE_FILE} inside this "
        "document."
    )
