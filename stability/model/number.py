"""Numbers as people type them: kept digit for digit, read exactly or not at all.

`5.50` and `5.5` are different results, so the text stays. What a reader could take in
two ways (a comma, an exponent, digits of another script) is refused with the way to
write it.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from stability.errors.codes import NumberFormError

_NUMBER = re.compile(r"([<>]?)([+-]?[0-9]+(?:\.[0-9]+)?)")
_WITH_COMMA = re.compile(r"[<>]?[+-]?[0-9]+,[0-9]+")
_WITH_UNIT = re.compile(r"([<>]?[+-]?[0-9]+(?:\.[0-9]+)?)\s*[^\s0-9.,_+<>-].*")
_EXPONENT = re.compile(r"[<>]?[+-]?[0-9]*\.?[0-9]+[eE][+-]?[0-9]+")
_MINUS_SIGNS = ("\u2212", "\u2013", "\u2014", "\ufe63", "\uff0d")
_NO_NUMBER = ("nan", "inf", "infinity", "n/a", "na", "none", "null")
_FIRST = re.compile(r"\s*([+-]?[0-9]+(?:\.[0-9]+)?)\s*(?:[^\s0-9.,/+-].*)?")
#: More digits than any bench instrument shows; exact arithmetic holds 28.
_MOST_DIGITS = 20


@dataclass(frozen=True, slots=True)
class Number:
    """A number as typed, with its exact value."""

    #: Sign and digits as typed, without the qualifier.
    text: str
    #: "<", ">" or "".
    qualifier: str
    #: The exact value of the text.
    value: Decimal

    def __str__(self) -> str:
        return f"{self.qualifier}{self.text}"


@lru_cache(maxsize=4096)  # the readings of a file repeat
def parse_number(text: str, where: str = "") -> Number:
    """Read a number written as `[<>]?[+-]?digits[.digits]` in ASCII.

    Parameters
    ----------
    text
        As typed, without blanks around it.
    where
        What the message names first, such as a file with its line.

    Raises
    ------
    NumberFormError
        If it has any other form; the message says how to write it.

    Examples
    --------
    >>> number = parse_number("<5.50")
    >>> number.qualifier, number.text, number.value
    ('<', '5.50', Decimal('5.50'))
    """
    match = _NUMBER.fullmatch(text)
    if match is None:
        raise NumberFormError(text, _why_not(text), where)
    if sum(map(str.isdigit, match[2])) > _MOST_DIGITS:
        raise NumberFormError(text, f"it has more than {_MOST_DIGITS} digits", where)
    return Number(match[2], match[1], Decimal(match[2]))


def first_number(text: str) -> Decimal | None:
    """Return the number that a setting states, alone or before its unit.

    Examples
    --------
    >>> first_number("41.2 %"), first_number("41,2 %")
    (Decimal('41.2'), None)
    """
    match = _FIRST.fullmatch(text)
    return None if match is None else Decimal(match[1])


def _why_not(text: str) -> str:
    """Say what keeps a text from being a number, and how to write it."""
    return (
        _why_no_value(text)
        or _why_other_characters(text)
        or _why_other_notation(text)
        or _why_more_than_number(text)
        or "write digits with a point, such as 5.47"
    )


def _why_no_value(text: str) -> str | None:
    bare = text.strip()
    if not bare:
        return "nothing was typed; a reading that is missing needs its reason"
    if bare.lstrip("<>+-").casefold() in _NO_NUMBER:
        return "it states no value; a reading that is missing needs its reason"
    return None


def _why_other_characters(text: str) -> str | None:
    if any(sign in text for sign in _MINUS_SIGNS):
        return "write the minus as a plain hyphen, such as -3"
    if any(char.isdigit() and not char.isascii() for char in text):
        return f"write its digits as 0 to 9{_in_ascii(text)}"
    if any(sign in text for sign in ("<=", ">=", "≤", "≥")):
        return "write < or > alone, such as <10"
    return None


def _why_other_notation(text: str) -> str | None:
    if _WITH_COMMA.fullmatch(text):
        return f"write a point for the comma, {text.replace(',', '.')}"
    if _EXPONENT.fullmatch(text):
        return "write it out without an exponent, such as 12000"
    if text.lstrip("<>+-").startswith("."):
        return "write the zero before the point, such as 0.5"
    if _NUMBER.fullmatch(text.removesuffix(".")):
        return "write a digit after the point, such as 5.0, or leave the point out"
    return None


def _why_more_than_number(text: str) -> str | None:
    if _NUMBER.fullmatch("".join(text.replace("_", "").split())):
        return "write its digits without gaps"
    if match := _WITH_UNIT.fullmatch(text):
        return f"write the number alone, {match[1]}; its unit is the attribute's"
    return None


def _in_ascii(text: str) -> str:
    """Return ", 5.5" for the same digits of another script, or nothing."""
    plain = "".join(
        str(unicodedata.digit(char)) if char.isdigit() else char for char in text
    ).replace("\u066b", ".")
    return f", {plain}" if _NUMBER.fullmatch(plain) else ""
