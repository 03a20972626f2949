"""What a place's temperature did, drawn as a band between lowest and highest.

Each stretch of time shows its lowest and highest reading, so that no extreme is lost
however many readings there are. The range that was meant stands in words at its lines,
the longest excursions in words beside them; where nothing is known, nothing is drawn.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FixedLocator, MaxNLocator, NullLocator

from stability.evaluation.storage_findings import (
    ConditionStorage,
    Envelope,
    StorageExcursion,
)
from stability.report.plot_names import INK, NAME_SIZE, QUIET
from stability.report.plotting import LIMIT_SHADE, LIMIT_WIDTH
from stability.report.renderer import figure_style

_MM: Final = 1 / 25.4
_WIDTH_MM: Final = 170
_HEIGHT_MM: Final = 62
# Between white and the shade of the range, so that both are seen on it in grey.
_SHADE: Final = "#6d8298"
#: Excursions that are named in words [-].
_MOST_NAMED: Final = 4
#: Height that one row of words takes of the panel [-].
_ROW: Final = 0.075
_MOST_TICKS: Final = 9
#: Share of the width up to which words go to the right of what they name [-].
_HALF: Final = 0.55


@dataclass(frozen=True, slots=True)
class _Named:
    """Words of an excursion, with where they stand."""

    #: Day of its furthest reading, from the start of the axis [d].
    at: float
    #: Furthest reading [°C].
    peak: float
    #: The words.
    text: str
    #: Row from the edge of the panel, from 0.
    row: int
    #: Whether it stands above the band.
    above: bool


def storage_figure(stored: ConditionStorage, drawn: Envelope, zone: ZoneInfo) -> Figure:
    """Draw the temperature of one condition against the calendar.

    Parameters
    ----------
    stored
        What the condition was, with its range and excursions.
    drawn
        Its readings, thinned.
    zone
        The study's time zone.

    Returns
    -------
    Figure
        For :class:`stability.report.renderer.FigureFlowable`.
    """
    start = drawn.times[0].astimezone(zone).date()
    with figure_style():
        figure = Figure(
            figsize=(_WIDTH_MM * _MM, _HEIGHT_MM * _MM), layout="constrained"
        )
        axes = figure.subplots()
        names = " and ".join(stored.places)
        axes.set_title(
            f"{stored.condition} · {names}", loc="left", fontweight="bold", color=INK
        )
        axes.set_ylabel("temperature [°C]")
        end = _days(drawn.times[-1], start, zone)
        named = _placed(stored.excursions, start, end, zone)
        _set_scale(axes, stored, drawn, named)
        _set_calendar(axes, start, end)
        _draw_band(axes, drawn, start, zone)
        _draw_range(axes, stored)
        for one in named:
            _name(axes, one, end)
    return figure


def _days(time: datetime, start: date, zone: ZoneInfo) -> float:
    midnight = datetime(start.year, start.month, start.day, tzinfo=zone)
    return (time - midnight.astimezone(UTC)).total_seconds() / 86_400


def _set_scale(
    axes: Axes, stored: ConditionStorage, drawn: Envelope, named: Sequence[_Named]
) -> None:
    """Let the scale hold readings, range and the words above and below them."""
    values = [*drawn.lowest, *drawn.highest]
    if stored.meant is not None:
        values += [float(stored.meant[0]), float(stored.meant[1])]
    low, high = min(values), max(values)
    spread = max(high - low, 1.0)
    rows = {True: 0, False: 0}
    for one in named:
        rows[one.above] = max(rows[one.above], one.row + 1)
    inner = 1 - _ROW * (rows[True] + rows[False]) - 0.16
    unit = spread / max(inner, 0.3)
    axes.set_ylim(
        low - unit * (0.08 + _ROW * rows[False]),
        high + unit * (0.08 + _ROW * rows[True]),
    )
    axes.yaxis.set_major_locator(MaxNLocator(nbins=6, steps=[1, 2, 2.5, 5, 10]))


def _set_calendar(axes: Axes, start: date, end: float) -> None:
    ticks = list(_ticks(start, end))
    axes.set_xlim(-0.01 * end, end * 1.01)
    axes.xaxis.set_major_locator(FixedLocator([float(at) for at, _ in ticks]))
    axes.xaxis.set_minor_locator(NullLocator())
    axes.set_xticklabels([text for _, text in ticks])


def _ticks(start: date, end: float) -> Iterator[tuple[int, str]]:
    """Yield days from the start with their names: days, or first days of months."""
    if end <= 75:
        step = max(1, round(end / _MOST_TICKS))
        for at in range(0, int(end) + 1, step):
            yield at, (start + timedelta(days=at)).isoformat()[5:]
        return
    months = end / 30.4375
    step = next((one for one in (1, 2, 3, 6, 12) if months / one <= _MOST_TICKS), 24)
    month = start.replace(day=1)
    while (month - start).days <= end:
        if month >= start and (month.month - 1) % min(step, 12) == 0:
            yield (month - start).days, month.isoformat()[:7]
        month = (month + timedelta(days=32)).replace(day=1)


def _draw_band(axes: Axes, drawn: Envelope, start: date, zone: ZoneInfo) -> None:
    days = [_days(one, start, zone) for one in drawn.times]
    first = 0
    for last in (*drawn.breaks, len(days) - 1):
        part = slice(first, last + 1)
        axes.fill_between(
            days[part],
            drawn.lowest[part],
            drawn.highest[part],
            color=_SHADE,
            linewidth=0.7,
            zorder=3,
        )
        first = last + 1


def _draw_range(axes: Axes, stored: ConditionStorage) -> None:
    if stored.meant is None:
        return
    for value, word, way in (
        (stored.meant[1], "highest meant", "bottom"),
        (stored.meant[0], "lowest meant", "top"),
    ):
        axes.axhline(float(value), color=LIMIT_SHADE, linewidth=LIMIT_WIDTH, zorder=3.7)
        axes.annotate(
            f"{word}: {value} °C",
            (1.0, float(value)),
            xycoords=axes.get_yaxis_transform(),
            xytext=(-3, 2.5 if way == "bottom" else -2.5),
            textcoords="offset points",
            va=way,
            ha="right",
            fontsize=NAME_SIZE,
            fontweight="bold",
            color=LIMIT_SHADE,
            zorder=6,
        )


def _placed(
    excursions: Sequence[StorageExcursion], start: date, end: float, zone: ZoneInfo
) -> list[_Named]:
    """Give the longest excursions their words, each in a row of its own.

    Words go to the right of what they name in the left half, to the left in the other.
    The line to them is upright, so the outermost row is for the excursion whose line
    no other words can cross: the first of the left half, the last of the right.
    """
    known = [one for one in excursions if one.peak_c is not None and one.hours]
    longest = sorted(known, key=lambda one: -(one.hours or 0.0))[:_MOST_NAMED]
    found: list[_Named] = []
    rows = {"hotter": 0, "colder": 0}
    timed = sorted(
        ((_days(_middle(one), start, zone), one) for one in longest),
        key=lambda pair: pair[0],
    )
    left = [pair for pair in timed if pair[0] <= _HALF * end]
    for at, one in [*left, *reversed(timed[len(left) :])]:
        side = "hotter" if one.direction == "hotter" else "colder"
        day = one.start.astimezone(zone).date().isoformat()
        found.append(
            _Named(
                at=at,
                peak=one.peak_c or 0.0,
                text=f"{day}: {one.lead}",
                row=rows[side],
                above=side == "hotter",
            )
        )
        rows[side] += 1
    return found


def _middle(one: StorageExcursion) -> datetime:
    return one.start + (one.end - one.start) / 2


def _name(axes: Axes, one: _Named, end: float) -> None:
    """Write the words in their row, with an upright line to the furthest reading."""
    edge = 1 - _ROW * (one.row + 0.5) if one.above else _ROW * (one.row + 0.5)
    right = one.at > _HALF * end
    low, high = axes.get_xlim()
    axes.annotate(
        one.text,
        (one.at, one.peak),
        xytext=((one.at - low) / (high - low), edge),
        textcoords=axes.transAxes,
        ha="right" if right else "left",
        va="center",
        fontsize=NAME_SIZE,
        color=INK,
        arrowprops={
            "arrowstyle": "-",
            "color": QUIET,
            "linewidth": 0.5,
            "shrinkA": 0,
            "shrinkB": 1,
            "relpos": (1.0 if right else 0.0, 0.5),
        },
        zorder=6,
    )
