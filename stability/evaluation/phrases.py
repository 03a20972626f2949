"""Numbers, ages and counts as every output prints them."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from stability.model.age import T0, check_text
from stability.model.observation import Reading


def count_text(count: int, one: str, several: str = "") -> str:
    """Return `1 batch`, `3 batches`.

    Examples
    --------
    >>> count_text(2, "batch", "batches")
    '2 batches'
    """
    return f"{count} {one if count == 1 else several or one + 's'}"


def decimals_of(readings: Sequence[Reading]) -> int:
    """Return the largest number of digits after the point, as typed."""
    if len(readings) == 1:
        return len(readings[0].value.partition(".")[2])
    return max([len(one.value.partition(".")[2]) for one in readings], default=0)


def number_text(value: Fraction, decimals: int, *, further: int = 2) -> str:
    """Return an exact number as printed.

    Parameters
    ----------
    value
        The number.
    decimals
        Digits after the point at least.
    further
        Digits beyond them that may be needed for a mean to be exact.

    Examples
    --------
    >>> number_text(Fraction(1095, 200), 2)
    '5.475'
    >>> number_text(Fraction(16, 3), 2)
    '5.3333'
    """
    top, bottom = value.numerator * 10**decimals, value.denominator
    places = decimals
    while places < decimals + further and top % bottom:
        top *= 10
        places += 1
    whole, rest = divmod(abs(top), bottom)
    if 2 * rest > bottom or (2 * rest == bottom and whole % 2):
        whole += 1
    digits = str(whole).rjust(places + 1, "0")
    sign = "-" if top < 0 and whole else ""
    if not places:
        return sign + digits
    return f"{sign}{digits[:-places]}.{digits[-places:]}"


def readings_text(readings: Sequence[Reading]) -> str:
    """Return readings as typed, with names where several people observed.

    Examples
    --------
    >>> readings_text([Reading("5.47"), Reading("5.49")])
    '5.47 / 5.49'
    """
    return " / ".join(
        f"{one.observer}: {one}" if one.observer else str(one) for one in readings
    )


def age_text(days: float | None, check: str | None) -> str:
    """Return an age as printed: T0, hours below two days, else days.

    Examples
    --------
    >>> age_text(28.0, "4w"), age_text(1.25, None), age_text(0.0, "T0")
    ('28 d', '30 h', 'T0')
    """
    if check == T0:
        return T0
    if days is None:
        return "not placed"
    if days < 2:
        return f"{days * 24:.0f} h"
    return f"{days:.0f} d"


def days_text(days: float) -> str:
    """Return `1 day`, `9 days`.

    Examples
    --------
    >>> days_text(1.0), days_text(8.6)
    ('1 day', '9 days')
    """
    return count_text(round(days), "day")


def named_check(check: str | None) -> str:
    """Return a check as printed; an extra reading has none."""
    return "an extra reading" if check is None else check_text(check)


def listed(words: Sequence[str]) -> str:
    """Return `a`, `a and b`, `a, b and c`.

    Examples
    --------
    >>> listed(["A", "B", "C"])
    'A, B and C'
    """
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
