"""The file of a logger as arrays: any text table with a time and a temperature."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import Final, NoReturn
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from stability.errors.storage import (
    LoggerBackwardsError,
    LoggerFileError,
    LoggerTooShortError,
)
from stability.model.logger_form import (
    DATE_ORDERS,
    IN_FILE,
    DateOrder,
    DeclaredForm,
    LoggerForm,
    LogSummary,
)
from stability.model.moment import utc_text
from stability.statistics.logger_head import recognised
from stability.statistics.logger_table import LoggerCells, cells_of, decoded, head_of
from stability.statistics.logger_times import possible_orders, read_times
from stability.statistics.logger_zone import to_utc

#: What no storage place of a cosmetic has: codes of a broken or missing sensor lie
#: beyond it, such as -127 and 999.9 (common practice) [°C].
LOWEST_POSSIBLE: Final = -90.0
HIGHEST_POSSIBLE: Final = 120.0
#: Times from which the order of day, month and year is told where they suffice.
_FIRST: Final = 2000
#: More than clocks are ever put back [s].
_CLOCKS_BACK: Final = 7200
_SHOWN: Final = 5


@dataclass(frozen=True, slots=True)
class LoggerReadings:
    """Readings of one file, by time."""

    #: Since 1970, UTC, never going back [s].
    seconds: NDArray[np.int64]
    #: One for each time [°C].
    celsius: NDArray[np.float64]
    #: Relative humidity, one for each time [%]; None where the file has none.
    humidity: NDArray[np.float64] | None
    #: Rows without a reading [-].
    without_reading: int
    #: Readings that no place has [-].
    impossible: int
    #: Rows that say the same as the row before [-].
    repeated: int
    #: What a person should know.
    remarks: tuple[str, ...]


def recognise_logger(
    content: bytes, file: str, declared: DeclaredForm, zone: str
) -> LogSummary:
    r"""Return how the file of a logger is to be read, and what it holds.

    Parameters
    ----------
    content : bytes
        The file as received.
    file : str
        Its name, for messages.
    declared : DeclaredForm
        What a person said of it.
    zone : str
        For times without an offset where none is declared.

    Returns
    -------
    LogSummary
        With the form that `read_logger` takes.

    Raises
    ------
    LoggerColumnsError
        If columns or the order of dates cannot be told.
    LoggerFileError, LoggerTooShortError, LoggerBackwardsError
        If it cannot be read, holds fewer than two readings, or goes back in time.

    Examples
    --------
    >>> text = b"time,temperature\n2026-03-02 09:00,21.5\n2026-03-02 10:00,21.7\n"
    >>> found = recognise_logger(text, "shelf.csv", DeclaredForm(), "UTC")
    >>> found.readings, found.first, found.form.dates
    (2, '2026-03-02T09:00:00Z', 'year-first')
    """
    plain, encoding = decoded(content, file)
    columns = recognised(head_of(plain), file, declared)
    form = LoggerForm(
        encoding=encoding,
        delimiter=columns.delimiter,
        header_line=columns.header_line,
        time=columns.time,
        temperature=columns.temperature,
        humidity=columns.humidity,
        dates="year-first",
        decimal=columns.decimal,
        unit=columns.unit,
        zone=declared.zone or zone,
    )
    cells = cells_of(plain, form, file)
    times = _timed(cells)
    if not times.size:
        raise LoggerTooShortError(file, 0)
    dates = declared.dates or _dates(times, file)
    carries = read_times(times[:1], dates).offsets == "all"
    form = replace(form, dates=dates, zone=IN_FILE if carries else form.zone)
    read = _understood(cells, form, file)
    return LogSummary(
        form=form,
        readings=int(read.seconds.size),
        without_reading=read.without_reading,
        impossible=read.impossible,
        repeated=read.repeated,
        first=_text(int(read.seconds[0])),
        last=_text(int(read.seconds[-1])),
        remarks=read.remarks,
    )


def read_logger(content: bytes, file: str, form: LoggerForm) -> LoggerReadings:
    """Read the file of a logger whose form is known.

    Parameters
    ----------
    content : bytes
        The file as received.
    file : str
        Its name, for messages.
    form : LoggerForm
        As it was recognised or declared.

    Returns
    -------
    LoggerReadings
        By time; a row that says the same as the row before is left out.

    Raises
    ------
    LoggerFileError, LoggerTooShortError, LoggerBackwardsError
        If it is not what it was when it was taken in.
    """
    plain, _ = decoded(content, file)
    return _understood(cells_of(plain, form, file), form, file)


def _timed(cells: LoggerCells) -> NDArray[np.bytes_]:
    """Return the times of rows that hold a temperature."""
    return cells.times[np.isfinite(cells.temperature)]


def _dates(times: NDArray[np.bytes_], file: str) -> DateOrder:
    """Return the order of day, month and year that the file tells."""
    orders = possible_orders(times[:_FIRST])
    if len(orders) > 1:
        orders = possible_orders(times)
    if b"." in times[0][:3] and "day-first" in orders:
        return "day-first"
    if len(orders) > 1:
        forward = [one for one in orders if _goes_on(times, one)]
        orders = tuple(forward) if len(forward) == 1 else orders
    if len(orders) == 1:
        return orders[0]
    if not orders:
        return min(DATE_ORDERS, key=lambda one: read_times(times, one).bad.sum())
    shown = times[0].decode("latin-1")
    read = " or ".join(orders)
    raise LoggerFileError(
        file, [f"its dates, such as {shown}, can be {read}; declare it with --dates"]
    )


def _goes_on(times: NDArray[np.bytes_], order: DateOrder) -> bool:
    """Say whether no time lies hours before the one above it."""
    steps = np.diff(read_times(times, order).seconds)
    return not bool((steps < -_CLOCKS_BACK).any())


def _understood(cells: LoggerCells, form: LoggerForm, file: str) -> LoggerReadings:
    """Turn columns into readings by time."""
    celsius = cells.temperature
    if form.unit == "°F":
        celsius = (celsius - 32.0) / 1.8
    read = np.isfinite(celsius)
    possible = read & (celsius >= LOWEST_POSSIBLE) & (celsius <= HIGHEST_POSSIBLE)
    times = read_times(cells.times, form.dates)
    _refuse_bad_times(cells.times, times.bad & read, form, file)
    if times.offsets != ("all" if form.zone == IN_FILE else "none"):
        raise LoggerFileError(file, ["some of its times carry an offset, others none"])
    rows = np.flatnonzero(possible & ~times.bad)
    if rows.size < 2:
        raise LoggerTooShortError(file, int(rows.size))
    rows, turned = _oldest_first(rows, times.seconds)
    local = times.seconds[rows]
    zone = "UTC" if form.zone == IN_FILE else form.zone
    in_utc = to_utc(local, zone)
    if in_utc.skipped.size:
        row = int(rows[int(in_utc.skipped[0])])
        _refuse_skipped(file, row, times.seconds[row], cells.times[row], form)
    _refuse_backwards(in_utc.seconds, cells.times, rows, form, file)
    kept = _first_of_repeated(in_utc.seconds, celsius[rows])
    return LoggerReadings(
        seconds=in_utc.seconds[kept],
        celsius=celsius[rows][kept],
        humidity=None if cells.humidity is None else cells.humidity[rows][kept],
        without_reading=int((~read & (cells.times != b"")).sum()),
        impossible=int((read & ~possible).sum()),
        repeated=int(rows.size - kept.sum()),
        remarks=(*turned, *in_utc.remarks),
    )


def _oldest_first(
    rows: NDArray[np.int64], seconds: NDArray[np.int64]
) -> tuple[NDArray[np.int64], tuple[str, ...]]:
    """Turn a file that begins with its newest reading."""
    steps = np.diff(seconds[rows])
    back, forth = int((steps < 0).sum()), int((steps > 0).sum())
    if back and seconds[rows[0]] > seconds[rows[-1]] and forth * 100 <= back:
        return rows[::-1], ("the file begins with its newest reading; it was turned",)
    return rows, ()


def _first_of_repeated(
    seconds: NDArray[np.int64], celsius: NDArray[np.float64]
) -> NDArray[np.bool_]:
    kept = np.ones(seconds.size, dtype=bool)
    kept[1:] = (np.diff(seconds) != 0) | (np.diff(celsius) != 0)
    return kept


def _line(form: LoggerForm, row: int) -> int:
    return form.header_line + 1 + row


def _refuse_bad_times(
    times: NDArray[np.bytes_], bad: NDArray[np.bool_], form: LoggerForm, file: str
) -> None:
    rows = np.flatnonzero(bad)
    if not rows.size:
        return
    faults = [
        f"line {_line(form, int(row))}: {times[row].decode('latin-1')!r} is no date "
        f"and time ({form.dates})"
        for row in rows[:_SHOWN]
    ]
    if rows.size > _SHOWN:
        faults.append(f"and {rows.size - _SHOWN} more such lines")
    raise LoggerFileError(file, faults)


def _refuse_skipped(
    file: str, row: int, local: np.int64, shown: bytes, form: LoggerForm
) -> NoReturn:
    """Refuse a time that the zone never had, with the offset that it had before."""
    before = datetime.fromtimestamp(int(local), UTC) - timedelta(hours=3)
    winter = before.replace(tzinfo=ZoneInfo(form.zone)).isoformat()[-6:]
    fault = (
        f"line {_line(form, row)}: {shown.decode('latin-1')} was no time in "
        f"{form.zone}, where clocks were put forward; a logger that keeps winter time "
        f"is read with --zone {winter}"
    )
    raise LoggerFileError(file, [fault])


def _refuse_backwards(
    seconds: NDArray[np.int64],
    times: NDArray[np.bytes_],
    rows: NDArray[np.int64],
    form: LoggerForm,
    file: str,
) -> None:
    back = np.flatnonzero(np.diff(seconds) < 0)
    if back.size:
        place = int(back[0])
        raise LoggerBackwardsError(
            file,
            _line(form, int(rows[place + 1])),
            times[rows[place]].decode("latin-1"),
            times[rows[place + 1]].decode("latin-1"),
        )


def _text(seconds: int) -> str:
    return utc_text(datetime.fromtimestamp(seconds, UTC))
