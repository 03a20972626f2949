"""What a cell of a received table may hold, and what is refused with its reason."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from stability.records.typed import NOT_MEASURED

#: What people write where there is no reading.
_NO_READING: Final = frozenset(
    {"n/a", "na", "n.a.", "-", "--", "–", "—", "?", "nd", "n.d.", "nm"}
)
_COMMA = re.compile(r"[<>]?[+-]?\d+(,\d+)+", re.ASCII)
_PARTED = re.compile(r"[<>]?[+-]?[1-9]\d{0,2}(,\d{3})+", re.ASCII)
_THOUSANDS = re.compile(r"[<>]?[+-]?\d{1,3}(\.\d{3})+(,\d+)?", re.ASCII)
#: Why a reading is not taken from a cell that holds a day.
A_DAY: Final = (
    "the cell holds a day; the spreadsheet program made one of what was typed. Format "
    "it as text and type the reading again"
)


def reading_fault(
    reading: str, decimal_comma: bool, scale: Sequence[str] = ()
) -> str | None:
    """Return why a reading cannot be taken from a table; None where nothing does.

    Parameters
    ----------
    reading
        As it stands in the cell.
    decimal_comma
        Whether the table was declared to write numbers with a comma.
    scale
        Words of the attribute's scale.
    """
    if reading[:1].isdigit() and "," not in reading and not decimal_comma:
        return None
    plain = reading.casefold()
    begun = any(word.casefold().startswith(plain) for word in scale)
    if plain in _NO_READING and not begun:
        return (
            f"{reading!r} is no reading; leave the cell empty where nothing was to be "
            f"read, or write {NOT_MEASURED} with the reason in a column because"
        )
    if "," in reading and not decimal_comma:
        commas = [one for one in reading.split("/") if _COMMA.fullmatch(one.strip())]
        if any(_PARTED.fullmatch(one.strip()) for one in commas):
            return (
                f"{reading} has a comma that may part thousands or decimals; write it "
                f"as {reading.replace(',', '')} or as {reading.replace(',', '.')}, or "
                "add --decimal-comma if the whole file writes 5,47 for 5.47"
            )
        if commas:
            return (
                f"{reading} has a comma; add --decimal-comma if the whole file writes "
                f"5,47 for 5.47, or write {reading.replace(',', '.')}"
            )
    if "." in reading and decimal_comma:
        points = [
            one for one in reading.split("/") if _THOUSANDS.fullmatch(one.strip())
        ]
        if points:
            plain = reading.replace(".", "")
            return (
                f"{reading} has a point where the file writes a decimal comma; write "
                f"{plain} or {reading.replace('.', ',')}"
            )
    return None


def comma_fault(value: str) -> str | None:
    """Return why a setting with a comma cannot be taken; None where it has none."""
    return (
        reading_fault(value, decimal_comma=False) if _COMMA.fullmatch(value) else None
    )
