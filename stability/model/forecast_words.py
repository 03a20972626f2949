"""When a line meets its limits, in words: a time where one can be named."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from stability.model.estimate import Drift, Forecast, NoFit

#: Times are named up to so many times the age that was read [-].
TIMES_READ: Final = 5
#: and not beyond ten years, which no life of a cosmetic needs [months].
FARTHEST_MONTHS: Final = 120


def naming_months(read: float, told: float) -> int:
    """Return up to which age a time is named.

    The rule is the project's own: a line is drawn out to five times the age that was
    read, never less than the length over which its drift is told (a warning inside
    the life asked for is always a number) and otherwise not beyond ten years. A time
    beyond that is no number worth printing.

    Parameters
    ----------
    read
        Oldest age fitted [months].
    told
        Length over which the drift is told, mostly the life asked for [months].

    Returns
    -------
    int
        Whole months.

    Examples
    --------
    >>> naming_months(18.1, 24), naming_months(2.8, 24), naming_months(36, 30)
    (90, 24, 120)
    """
    return max(int(min(TIMES_READ * read, FARTHEST_MONTHS)), int(told), 1)


def forecast_time(forecast: Forecast, until: int) -> str:
    """Say in a few words when a line meets its limit.

    Parameters
    ----------
    forecast
        The forecast.
    until
        Up to which age a time is named [months].

    Returns
    -------
    str
        Without the name of the limit.
    """
    earliest = forecast.earliest
    if forecast.outcome not in {"within", "from"} or earliest is None:
        return _WITHOUT_TIME[forecast.outcome]
    beyond = f"not within {until} months"
    if earliest > until:
        return beyond
    if forecast.outcome == "from":
        return f"not before {earliest:.1f} months"
    if forecast.months is None or forecast.months > until:
        return f"{beyond} by the line, not before {earliest:.1f}"
    return f"at {forecast.months:.1f} months ({interval_text(forecast, until)})"


def interval_text(forecast: Forecast, until: int) -> str:
    """Return the interval of a time [months]: `36.1 to 65.1`.

    Parameters
    ----------
    forecast
        One with an earliest time.
    until
        Up to which age a time is named [months].
    """
    latest = forecast.latest
    if latest is None:
        return f"{forecast.earliest:.1f} or later"
    if latest > until:
        return f"{forecast.earliest:.1f} to beyond {until}"
    return f"{forecast.earliest:.1f} to {latest:.1f}"


_WITHOUT_TIME: Final = {
    "empty": "not ahead",
    "now": "not told apart from the start",
    "outside": "passed at age 0",
}


def forecast_words(
    drift: Drift | NoFit,
    forecasts: Iterable[Forecast | NoFit],
    told: float,
    sides: Sequence[str] = ("lower limit", "upper limit"),
) -> list[str]:
    """Say of each limit when a line meets it; limits of one answer share a text.

    Parameters
    ----------
    drift
        The line, or why there is none.
    forecasts
        One for each bound.
    told
        Length over which the drift is told [months].
    sides
        Names of the lower and the upper bound.

    Returns
    -------
    list of str
        Such as `lower limit at 37.6 months (29.5 to 52.0)`; empty without a line.
    """
    if isinstance(drift, NoFit):
        return []
    until = naming_months(drift.last_age, told)
    found: dict[str, list[str]] = {}
    for each in forecasts:
        if isinstance(each, NoFit):
            found.setdefault(each.text, [])
            continue
        side = sides[0] if each.bound.side == "lower" else sides[1]
        found.setdefault(forecast_time(each, until), []).append(side)
    return [
        f"{' and '.join(names)} {time}" if names else time
        for time, names in found.items()
    ]
