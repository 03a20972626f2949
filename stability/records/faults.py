"""Faults of content of one file, collected so that all are told at once."""

from __future__ import annotations

import re
import tomllib
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from stability.errors.files import (
    Fault,
    FaultyFileError,
    NewerFormatError,
    TomlSyntaxError,
)
from stability.records.toml_hints import toml_hint
from stability.records.toml_lines import Path, TomlLines, scan

#: The format of protocol and study files that this version writes and reads.
FORMAT: Final = 1
_PLAIN_NUMBER = re.compile(r"[+-]?[0-9]+\.[0-9]+")
_BARE_DAY = re.compile(r"\b[0-9]{4}-[0-9]{2}-[0-9]{2}([T ][0-9:]+)?")
_PLACE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")


@dataclass(frozen=True, slots=True)
class OddNumber:
    """A number in a notation that TOML allows and a record does not."""

    #: As written, such as 1e3 or nan.
    text: str


class Faults:
    """What is wrong in one file, with the line of each fault."""

    def __init__(self, text: str, file: str) -> None:
        self._text = text
        self._file = file
        self._lines: TomlLines | None = None
        self._found: list[Fault] = []
        self._doubtful: set[Path] = set()

    def add(self, path: Path, text: str, hint: str = "") -> None:
        """Note a fault at a path; what stands there is doubtful from now on."""
        self._found.append(Fault(self._file, self.line(path), text, hint))
        self._doubtful.add(path)

    def doubt(self, path: Path) -> None:
        """Mark a path as doubtful, so that no fault follows from a fault."""
        self._doubtful.add(path)

    def check(
        self, holds: bool, path: Path, text: str, hint: str = "", *rests_on: Path
    ) -> None:
        """Note a fault where a rule does not hold, unless what it rests on is faulty.

        Parameters
        ----------
        holds
            Whether the rule holds.
        path
            The key to change.
        text, hint
            What is wrong and how to mend it.
        rests_on
            What else the rule looks at, with all that it holds.
        """
        if holds or not self.trusts(path) or not all(map(self._trusts_whole, rests_on)):
            return
        self._found.append(Fault(self._file, self.line(path), text, hint))

    def trusts(self, path: Path) -> bool:
        """Say whether a key, and every table around it, was read without a fault.

        What is not there counts as read.
        """
        return not any(path[:end] in self._doubtful for end in range(len(path) + 1))

    def _trusts_whole(self, path: Path) -> bool:
        """Say whether a key and all that it holds were read without a fault."""
        return self.trusts(path) and not any(
            doubtful[: len(path)] == path for doubtful in self._doubtful
        )

    def line(self, path: Path) -> int:
        """Return the line of a path; the text is scanned when first asked."""
        if self._lines is None:
            self._lines = scan(self._text)
        return self._lines.of(path)

    def raise_all(self) -> None:
        """Raise every fault in the order of the lines, if there are any.

        Raises
        ------
        FaultyFileError
            If any fault was added.
        """
        if self._found:
            unique = dict.fromkeys(sorted(self._found, key=lambda one: one.line))
            raise FaultyFileError(tuple(unique))


def parse_toml(text: str, file: str) -> tuple[dict[str, Any], Faults]:
    """Read a text as TOML of a format that this version knows.

    Parameters
    ----------
    text
        The file's text.
    file
        Its name, for the messages.

    Returns
    -------
    tuple
        The top table, with decimals exact, and an empty collection of faults.

    Raises
    ------
    TomlSyntaxError
        If it is no TOML.
    NewerFormatError
        If its format is newer than this version; told before anything else.
    """
    plain = unicodedata.normalize("NFC", text.removeprefix("\ufeff"))
    try:
        table = tomllib.loads(plain, parse_float=_number)
    except tomllib.TOMLDecodeError as error:
        raise _syntax_error(plain, file, str(error)) from error
    except ValueError as error:
        raise TomlSyntaxError(file, 1, "a number has too many digits") from error
    except RecursionError as error:
        raise TomlSyntaxError(file, 1, "its values are nested too deeply") from error
    faults = Faults(plain, file)
    _check_format(table, file, faults)
    return table, faults


def _number(text: str) -> Decimal | OddNumber:
    return Decimal(text) if _PLAIN_NUMBER.fullmatch(text) else OddNumber(text)


def _syntax_error(text: str, file: str, reason: str) -> TomlSyntaxError:
    place = _PLACE.search(reason)
    last = max(1, len(text.rstrip().splitlines()))
    line = int(place[1]) if place and place[1] else last
    words = _PLACE.sub("", reason)
    written = text.splitlines()[line - 1] if text else ""
    day = _BARE_DAY.search(written)
    if day is not None and words.startswith(("Expected newline", "Invalid date")):
        words = f"{day[0]} is no day or time that exists; a time without seconds needs "
        words += 'quotes, as in "2026-03-02T09:15"'
    elif hint := toml_hint(written):
        words = f"{words}; {hint}"
    return TomlSyntaxError(file, line, words[:1].lower() + words[1:])


def _check_format(table: dict[str, Any], file: str, faults: Faults) -> None:
    found = table.get("format")
    if found is None:
        faults.add(("format",), "the file states no format", "write: format = 1")
    elif type(found) is not int or found < 1:
        faults.add(("format",), "the format is a whole number", "write: format = 1")
    elif found > FORMAT:
        raise NewerFormatError(file, faults.line(("format",)), found, FORMAT)
