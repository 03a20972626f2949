"""When a line meets its limits, in words that promise no more than was read."""

from __future__ import annotations

from typing import Literal

import pytest

from stability.model.estimate import Bound, Drift, Forecast, NoFit
from stability.model.forecast_words import (
    forecast_time,
    forecast_words,
    naming_months,
)
from stability.statistics.drift import fit_drift

LOWER = Bound("absolute", "lower", 5.0)
UPPER = Bound("absolute", "upper", 6.0)


def ahead(
    outcome: Literal["within", "from", "empty", "now", "outside"],
    months: float | None,
    earliest: float | None,
    latest: float | None,
    bound: Bound = LOWER,
) -> Forecast:
    """Return a forecast."""
    return Forecast(bound, outcome, months, earliest, latest)


@pytest.mark.parametrize(
    ("read", "told", "until"),
    [
        (18.1, 24, 90),
        (24.0, 24, 120),
        (36.0, 30, 120),
        (2.76, 2.76, 13),
        (1.0, 24, 24),
        (0.1, 0.0, 1),
        (36.0, 132, 132),
    ],
)
def test_a_time_is_named_up_to_five_times_the_age_read(
    read: float, told: float, until: int
) -> None:
    """The rule is the project's own."""
    assert naming_months(read, told) == until


@pytest.mark.parametrize(
    ("forecast", "words"),
    [
        (ahead("within", 46.5, 36.1, 65.1), "at 46.5 months (36.1 to 65.1)"),
        (ahead("within", 46.5, 36.1, 90.1), "at 46.5 months (36.1 to beyond 90)"),
        (
            ahead("within", 140.7, 72.7, 2901.4),
            "not within 90 months by the line, not before 72.7",
        ),
        (ahead("within", 140.7, 90.1, 2901.4), "not within 90 months"),
        (ahead("from", 300.0, 89.9, None), "not before 89.9 months"),
        (ahead("from", None, 2402.0, None), "not within 90 months"),
        (ahead("empty", None, None, None), "not ahead"),
        (ahead("now", 12.0, 0.0, None), "not told apart from the start"),
        (ahead("outside", None, None, None), "passed at age 0"),
    ],
)
def test_a_time_beyond_what_can_be_named_is_said_without_it(
    forecast: Forecast, words: str
) -> None:
    assert forecast_time(forecast, 90) == words


def test_limits_of_one_answer_share_a_text() -> None:
    line = fit_drift([0, 6, 12, 18], [5.5, 5.51, 5.49, 5.5], scale="linear")
    assert isinstance(line, Drift)
    low, high = (ahead("from", None, 2402.0, None, one) for one in (LOWER, UPPER))

    assert forecast_words(line, [low, high], 24) == [
        "lower limit and upper limit not within 90 months"
    ]
    assert forecast_words(line, [low], 24, ("lowest", "highest")) == [
        "lowest not within 90 months"
    ]


def test_a_bound_that_no_line_can_be_held_against_tells_why() -> None:
    line = fit_drift([0, 6, 12, 18], [5.5, 5.51, 5.49, 5.5], scale="linear")
    why = NoFit("no-initial", "There is no initial value.")

    assert forecast_words(line, [why], 24) == ["There is no initial value."]
    assert forecast_words(why, [], 24) == []
