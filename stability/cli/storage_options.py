"""What is declared of a logger's file, from the words of the command line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final, Literal

from stability.errors import LoggerDeclaredError
from stability.model.logger_form import DATE_ORDERS, DeclaredForm

_UNITS: Final[Mapping[str, Literal["°C", "°F"]]] = {"C": "°C", "F": "°F"}


def declared_form(
    *,
    time: Sequence[str] | None,
    temperature: str | None,
    humidity: str | None,
    zone: str | None,
    dates: str | None,
    unit: str | None,
    decimal_comma: bool,
) -> DeclaredForm:
    """Return what a person declared; what was not said is to be recognised.

    Raises
    ------
    LoggerDeclaredError
        If an order of dates or a unit is none.
    """
    order = next((one for one in DATE_ORDERS if one == dates), None)
    if dates is not None and order is None:
        raise LoggerDeclaredError("--dates", dates, DATE_ORDERS)
    sign = None if unit is None else _UNITS.get(unit.strip("°").upper())
    if unit is not None and sign is None:
        raise LoggerDeclaredError("--unit", unit, tuple(_UNITS))
    if len(time or ()) > 2:
        raise LoggerDeclaredError("--time", ", ".join(time or ()), ("one", "two"))
    return DeclaredForm(
        time=tuple(time or ()),
        temperature=temperature,
        humidity=humidity,
        dates=order,
        decimal_comma=decimal_comma,
        unit=sign,
        zone=zone,
    )
