"""Cells of a CSV file that a spreadsheet would run as a formula, made inert and back.

A spreadsheet runs a cell that begins with one of `= + - @`, a tab or a line end. One
that splits at semicolons sees a new cell behind each, and behind each line end. An
apostrophe before such a sign makes it text; one apostrophe fewer gives back what was
recorded. Numbers stay numbers. (OWASP, "CSV Injection",
https://owasp.org/www-community/attacks/CSV_Injection, names these signs and the
apostrophe; from memory.)
"""

from __future__ import annotations

import re
from typing import Final

_NUMBER: Final = re.compile(r"[+-]?[0-9]+(\.[0-9]+)?")
#: Where a cell begins for a spreadsheet, and what stands before the sign there.
_RUN: Final = re.compile(r"(?:\A|(?<=[;\t\n\r]))( *'*)(?=[=+\-@\t\n\r＝＋－＠])")
_MADE_INERT: Final = re.compile(
    r"(?:\A|(?<=[;\t\n\r]))( *'*)'(?=[=+\-@\t\n\r＝＋－＠])"
)


def inert(cell: str) -> str:
    r"""Return a cell that no spreadsheet runs.

    Parameters
    ----------
    cell
        As recorded.

    Examples
    --------
    >>> inert('=HYPERLINK("http://example.org")')
    '\'=HYPERLINK("http://example.org")'
    >>> inert("-0.5")
    '-0.5'
    >>> inert("-0.5 / -0.4")
    "'-0.5 / -0.4"
    """
    if _NUMBER.fullmatch(cell):
        return cell
    return _RUN.sub(r"\1'", cell)


def as_recorded(cell: str) -> str:
    """Return what `inert` was given.

    Parameters
    ----------
    cell
        As it stands in the file.

    Examples
    --------
    >>> as_recorded("'-0.5 / -0.4")
    '-0.5 / -0.4'
    """
    return _MADE_INERT.sub(r"\1", cell)
