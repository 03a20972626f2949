"""Headings of received tables: what makers call a fact, and in which row they stand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import islice
from typing import Final

#: Other headings of a column that is not an attribute's, in English and German.
ALIASES: Final[Mapping[str, str]] = {
    "date": "done", "check date": "done", "date of check": "done", "day": "done",
    "read on": "done", "sample code": "sample", "code": "sample", "jar": "sample",
    "observer": "observers", "value": "reading", "reason": "because",
    "notes": "note", "remark": "note", "remarks": "note", "comment": "note",
    "comments": "note", "age": "check", "week": "check",
    "datum": "done", "prüfdatum": "done", "probe": "sample", "muster": "sample",
    "charge": "batch", "packmittel": "pack", "lagerung": "condition",
    "bedingung": "condition", "woche": "check", "alter": "check",
    "beobachter": "observers", "prüfer": "observers", "grund": "because",
    "merkmal": "attribute", "messwert": "reading", "wert": "reading",
    "bemerkung": "note", "bemerkungen": "note", "anmerkung": "note", "notiz": "note",
}  # fmt: skip
#: Facts of which every table names one: by them its header is known.
_NAMED_ONCE: Final = {"sample", "done", "attribute"}
#: Rows among which the header is looked for; a title seldom has more than three [-].
_FIRST_ROWS: Final = 20


def fact_named(heading: str) -> str:
    """Return the fact that a heading names; the heading in small letters if none.

    Examples
    --------
    >>> fact_named("Date of check"), fact_named("pH")
    ('done', 'ph')
    """
    plain = " ".join(heading.casefold().replace("_", " ").split())
    return ALIASES.get(plain, plain.replace(" ", "_"))


def has_headings(cells: Sequence[str]) -> bool:
    """Say whether a row names a sample, a day or an attribute beside something else."""
    filled = [cell for cell in cells if cell]
    return len(filled) > 1 and bool(_NAMED_ONCE & set(map(fact_named, filled)))


def is_title(cells: Sequence[str]) -> bool:
    """Say whether a row holds one cell only, which names no fact of a table."""
    filled = [cell for cell in cells if cell]
    return len(filled) == 1 and fact_named(filled[0]) not in _NAMED_ONCE


def titles_above(rows: Iterable[Sequence[str]]) -> int:
    """Return how many of the first rows are a title above the header [-].

    The header is the first row that names a sample, a day or an attribute beside
    something else; where none does, the first row is meant to be one.

    Parameters
    ----------
    rows
        Cells of the rows that are not empty.

    Examples
    --------
    >>> titles_above([["Hand cream, batch A"], ["Date", "pH"], ["2026-03-12", "5.5"]])
    1
    """
    for number, cells in enumerate(islice(rows, _FIRST_ROWS)):
        if has_headings(cells):
            return number
    return 0
