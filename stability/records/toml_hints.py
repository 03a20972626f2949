"""What is likely meant by a line that is no TOML, in words for people who write few.

The reader of the standard library says what it expected; a maker wants to know what to
type instead.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final

_VALUE: Final = re.compile(r"^\s*[\w\"'. -]+?=\s*(?P<value>.*?)\s*(?:#.*)?$")
_QUOTED: Final = re.compile(r"\"[^\"]*\"|'[^']*'")
_YES: Final = re.compile(
    r"(?<![\w-])(yes|true|on|ja|oui|si|sí)(?![\w-])", re.IGNORECASE
)
_NO: Final = re.compile(r"(?<![\w-])(no|false|off|nein|non)(?![\w-])", re.IGNORECASE)
_DAY: Final = re.compile(
    r"(?<!\d)\d{1,2}([./-])\d{1,2}\1\d{2,4}(?!\d)|\d{4}[./]\d{1,2}[./]\d{1,2}"
)
_COMMA: Final = re.compile(r"^([+-]?\d+),(\d+)$")
_WITH_UNIT: Final = re.compile(r"^([+-]?\d+(?:\.\d+)?)\s*([^\W\d_]+|%)$")
_BARE_TEXT: Final = re.compile(r"^[^\W\d_][^\"'\[\]{}=,]*$")
_CURLY: Final = "“”„‘’«»"


def toml_hint(line: str) -> str:
    """Return what to write instead, or "" where nothing is recognised.

    Parameters
    ----------
    line
        The line at which the file could not be read further.

    Examples
    --------
    >>> toml_hint("made = 31.10.2026")
    'a day is written year-month-day, as in 2026-03-02'
    >>> toml_hint("tare_g = 14,2")
    'a number has a decimal point: 14.2'
    >>> toml_hint("format = 1")
    ''
    """
    found = _VALUE.match(line)
    if found is None:
        return ""
    value = found["value"]
    if value[:1] and value[0] in _CURLY:
        return 'put text in straight quotes: "…"'
    if value.count('"') == 1 or value.count("'") == 1:
        return "the quotes are not closed"
    bare = _QUOTED.sub('""', value)
    return next((said for rule in _RULES if (said := rule(bare))), "")


def _empty(value: str) -> str:
    said = "nothing stands behind the =; write a value, or take the line out"
    return "" if value else said


def _day(value: str) -> str:
    said = "a day is written year-month-day, as in 2026-03-02"
    return said if _DAY.search(value) else ""


def _comma(value: str) -> str:
    found = _COMMA.match(value)
    return f"a number has a decimal point: {found[1]}.{found[2]}" if found else ""


def _unit(value: str) -> str:
    found = _WITH_UNIT.match(value)
    return f"write the number without its unit: {found[1]}" if found else ""


def _yes_or_no(value: str) -> str:
    for words, meant in ((_YES, "true"), (_NO, "false")):
        found = words.search(value)
        if found is not None and found[0] != meant:
            return f"write {meant}, in small letters, instead of {found[0]}"
    return ""


def _text(value: str) -> str:
    return f'text stands in quotes: "{value}"' if _BARE_TEXT.match(value) else ""


_RULES: Final[tuple[Callable[[str], str], ...]] = (
    _empty, _day, _comma, _unit, _yes_or_no, _text,
)  # fmt: skip
