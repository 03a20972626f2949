"""How the file of a logger is to be read: recognised or declared, kept for ever."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

from stability.errors.storage import LoggerDeclaredError

#: In which order day, month and year stand in a file's dates.
DateOrder = Literal["year-first", "day-first", "month-first"]
DATE_ORDERS: Final[tuple[DateOrder, ...]] = ("year-first", "day-first", "month-first")
_UNITS: Final[Mapping[str, Literal["°C", "°F"]]] = {"C": "°C", "F": "°F"}
#: Zone of a file each of whose times carries its own offset.
IN_FILE: Final = "in file"


@dataclass(frozen=True, slots=True)
class LoggerForm:
    """Columns, dates, zone and signs of one file."""

    #: Text encoding.
    encoding: Literal["utf-8", "utf-16", "cp1252"]
    #: Sign between cells.
    delimiter: str
    #: Line of the header, from 1; 0 where the file has none.
    header_line: int
    #: Columns of the time: one, or a date and a time of day.
    time: tuple[str, ...]
    #: Column of the temperature.
    temperature: str
    #: Column of the relative humidity; None where there is none.
    humidity: str | None
    #: Order of day, month and year.
    dates: DateOrder
    #: Sign before the decimals.
    decimal: Literal[".", ","]
    #: Unit of the temperatures as written.
    unit: Literal["°C", "°F"]
    #: IANA name, a fixed offset such as +01:00, or IN_FILE.
    zone: str

    def words(self) -> str:
        """Return how the file was read, as a person can check it."""
        time = " and ".join(self.time)
        parts = [f"time from {time} ({self.dates}, {self.zone})"]
        parts.append(f"temperature from {self.temperature} ({self.unit})")
        if self.humidity is not None:
            parts.append(f"humidity from {self.humidity}")
        if self.decimal == ",":
            parts.append("decimal comma")
        return ", ".join(parts)


@dataclass(frozen=True, slots=True)
class DeclaredForm:
    """What a person declared of a file; what is None is to be recognised."""

    #: Columns of the time.
    time: tuple[str, ...] = ()
    #: Column of the temperature.
    temperature: str | None = None
    #: Column of the humidity.
    humidity: str | None = None
    #: Order of day, month and year.
    dates: DateOrder | None = None
    #: Whether numbers have a decimal comma.
    decimal_comma: bool = False
    #: Unit of the temperatures.
    unit: Literal["°C", "°F"] | None = None
    #: Zone for times without an offset.
    zone: str | None = None


@dataclass(frozen=True, slots=True)
class LogSummary:
    """What a file holds, without its readings."""

    #: How it was read.
    form: LoggerForm
    #: Readings that are used [-].
    readings: int
    #: Rows without a reading, such as an error word [-].
    without_reading: int
    #: Readings that no place has, the codes of a broken sensor [-].
    impossible: int
    #: Rows that say the same as the row before [-].
    repeated: int
    #: First reading: UTC, as entries keep time.
    first: str
    #: Last reading: UTC, as entries keep time.
    last: str
    #: What a person should know, such as a clock that was changed.
    remarks: tuple[str, ...] = ()


def declared_form(
    *,
    time: Sequence[str] | None = None,
    temperature: str | None = None,
    humidity: str | None = None,
    zone: str | None = None,
    dates: str | None = None,
    unit: str | None = None,
    decimal_comma: bool = False,
) -> DeclaredForm:
    """Return what a person declared of a file; what is None is to be recognised.

    Parameters
    ----------
    time, temperature, humidity
        Columns; two of the time where date and time of day stand apart.
    zone, dates, unit, decimal_comma
        As typed.

    Raises
    ------
    LoggerDeclaredError
        If an order of dates or a unit is none, or the time has too many columns.
    """
    order = next((one for one in DATE_ORDERS if one == dates), None)
    if dates is not None and order is None:
        raise LoggerDeclaredError("--dates", dates, DATE_ORDERS)
    sign = None if unit is None else _UNITS.get(unit.strip("° ").upper())
    if unit is not None and sign is None:
        raise LoggerDeclaredError("--unit", unit, tuple(_UNITS))
    if len(time or ()) > 2:
        fault = ", ".join(time or ())
        raise LoggerDeclaredError("--time", fault, ("one column", "two"))
    return DeclaredForm(
        time=tuple(time or ()),
        temperature=temperature,
        humidity=humidity,
        dates=order,
        decimal_comma=decimal_comma,
        unit=sign,
        zone=zone,
    )


def form_content(form: LoggerForm) -> dict[str, Any]:
    """Return a form as an entry holds it."""
    return {
        "encoding": form.encoding,
        "delimiter": form.delimiter,
        "header_line": form.header_line,
        "time": list(form.time),
        "temperature": form.temperature,
        "humidity": form.humidity,
        "dates": form.dates,
        "decimal": form.decimal,
        "unit": form.unit,
        "zone": form.zone,
    }


def form_of(held: Mapping[str, Any]) -> LoggerForm:
    """Read a form from the content of an entry."""
    return LoggerForm(**{**held, "time": tuple(held["time"])})
