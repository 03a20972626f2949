"""Plate counts as a laboratory prints them: `<10`, `120`, `2.5x10^5`.

The text is kept as typed; what a power of ten amounts to is worked out beside it and
shown, because the small raised digit is what gets lost in copying.
"""

from __future__ import annotations

import re
from decimal import Decimal

from stability.errors.codes import NumberFormError
from stability.model.number import Number, parse_number

#: `2.5x10^5`, also with × and with blanks.
_POWER = re.compile(r"([<>]?)([0-9]+(?:\.[0-9]+)?) ?[x×] ?10\^([0-9]{1,2})", re.ASCII)
_NEARLY_POWER = re.compile(r"[<>]?[0-9.,]+ ?[x×*·] ?10.*|[<>]?[0-9.]+[eE][+-]?[0-9]+")
#: No plate, and no suspension that is added, holds more [CFU per g or ml].
_MOST = Decimal(10) ** 15


def parse_count(text: str) -> Number:
    """Read a count, kept as typed, with its exact value.

    Parameters
    ----------
    text
        `120`, `<10` or `2.5x10^5` [CFU per g or ml].

    Raises
    ------
    NumberFormError
        If it is written otherwise, below 0, or 0 itself: a plate without a colony
        says that the count lies below what the method can find.

    Examples
    --------
    >>> count = parse_count("<2.5x10^5")
    >>> count.qualifier, count.text, count.value
    ('<', '2.5x10^5', Decimal('250000'))
    """
    typed = text.strip()
    found = _power(typed) or _plain(typed)
    if found.value < 0:
        raise NumberFormError(typed, "no count lies below 0; read the paper again")
    if found.value == 0:
        why = "write the least that the method finds, such as <10"
        raise NumberFormError(typed, why)
    if found.value > _MOST:
        raise NumberFormError(typed, "no count is as high; read its power of ten again")
    return found


def count_words(count: Number) -> str:
    """Return a count as typed, and what a power of ten in it amounts to.

    Examples
    --------
    >>> count_words(parse_count("2.5x10^5"))
    '2.5x10^5 (250000)'
    """
    plain = f"{count.value:f}"
    return str(count) if count.text == plain else f"{count} ({plain})"


def _power(text: str) -> Number | None:
    match = _POWER.fullmatch(text)
    if match is None:
        return None
    value = Decimal(match[2]).scaleb(int(match[3]))
    return Number(text[len(match[1]) :], match[1], Decimal(f"{value:f}"))


def _plain(text: str) -> Number:
    if _NEARLY_POWER.fullmatch(text):
        why = "write a power of ten as 2.5x10^5, or all its digits, 250000"
        raise NumberFormError(text, why)
    return parse_number(text)
