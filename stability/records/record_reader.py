"""TOML tables read into frozen records by their type hints, strictly.

A number in quotes is no number, a word outside its list is a fault, a key that no
field has is a fault. Nothing stops at the first fault: what cannot be read is replaced
by a stand-in and marked as doubtful, so that the rest is still checked.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import MISSING, Field, dataclass, field, fields, is_dataclass
from datetime import date, datetime, time
from decimal import Decimal
from functools import cache
from types import UnionType
from typing import (
    Any,
    Literal,
    TypeVar,
    Union,
    cast,
    get_args,
    get_origin,
    get_type_hints,
)

from stability.model.age import Age, parse_age
from stability.model.nearest import did_you_mean, nearest
from stability.model.plain_text import refused_character
from stability.records.faults import Faults, OddNumber
from stability.records.toml_lines import Path

Record = TypeVar("Record")
#: Brings what a file holds into the form of the record's fields.
Shape = Callable[[Any, Path, Faults], Any]

_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_QUOTED_NUMBER = re.compile(r"[+-]?\d+([.,]\d+)?", re.ASCII)
#: No age or shelf life is longer than 100 years [days]; a calendar ends somewhere.
LONGEST_DAYS = 36_525
_YEARS = range(1900, 2200)
#: More digits than any bench instrument shows; exact arithmetic holds 28.
_MOST_DIGITS = 20


@dataclass(frozen=True, slots=True)
class Layout:
    """Where a file is written otherwise than the records are built."""

    #: Record -> field -> key in the file, where the two differ.
    keys: Mapping[type, Mapping[str, str]] = field(default_factory=dict)
    #: Record -> what brings its table into shape before it is read.
    shapes: Mapping[type, Shape] = field(default_factory=dict)


def read_record(
    kind: type[Record],
    value: Any,
    path: Path,
    faults: Faults,
    layout: Layout,
    **given: Any,
) -> Record:
    """Read a table into a record.

    Parameters
    ----------
    kind
        A frozen dataclass.
    value
        The table.
    path
        Where it stands in the file.
    faults
        Collects what is wrong.
    layout
        Where the file is written otherwise.
    given
        Fields that the file does not hold.

    Returns
    -------
    Record
        With stand-ins for what could not be read.
    """
    table = _shaped(kind, value, path, faults, layout)
    if not isinstance(table, dict):
        text = f"{where(path)} is to be a table, not {shown(value)}"
        faults.add(path, text, _as_table(path))
        return cast("Record", _stand_in_record(kind, given))
    hints = _hints(cast("Any", kind))
    keys = {
        one: layout.keys.get(kind, {}).get(one.name, one.name)
        for one in fields(kind)  # type: ignore[arg-type]  # every kind is a record
        if one.name not in given
    }
    _check_keys(table, list(keys.values()), path, faults)
    values = dict(given)
    for one, key in keys.items():
        if key in table:
            here = (*path, key)
            values[one.name] = _read(hints[one.name], table[key], here, faults, layout)
            _check_not_blank(one, values[one.name], here, faults)
        elif _is_required(one):
            if faults.trusts((*path, key)):
                faults.add((*path, key), f"{where(path)} lacks “{key}”")
            values[one.name] = stand_in(hints[one.name])
    return kind(**values)


def where(path: Path) -> str:
    """Name a place in the file: `[conditions.T45]` or `[[samples]] no. 3`.

    Examples
    --------
    >>> where(("conditions", "T45")), where(("samples", 2)), where(())
    ('[conditions.T45]', '[[samples]] no. 3', 'the file')
    """
    if not path:
        return "the file"
    if isinstance(path[-1], int):
        return f"[[{_dotted(path[:-1])}]] no. {path[-1] + 1}"
    return f"[{_dotted(path)}]"


def shown(value: Any) -> str:
    """Show a value as the file has it, for messages."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f"“{value}”"
    if isinstance(value, OddNumber):
        return value.text
    if isinstance(value, dict):
        return "a table"
    return "an array" if isinstance(value, list) else str(value)


def stand_in(hint: Any) -> Any:
    """Return a value of a type for what could not be read."""
    origin = get_origin(hint)
    if origin is Literal:
        return get_args(hint)[0]
    if origin in {Union, UnionType}:
        return None
    if origin is not None:
        return {} if issubclass(origin, Mapping) else ()
    if is_dataclass(hint) and hint is not Age:
        return _stand_in_record(hint, {})
    return _STAND_INS[hint]


_STAND_INS: dict[Any, Any] = {
    str: "",
    bool: False,
    int: 1,
    float: 0.0,
    Decimal: Decimal(1),
    Age: Age(1, "d"),
    date: date(2000, 1, 1),
}


def _stand_in_record(kind: Any, given: Mapping[str, Any]) -> Any:
    hints = _hints(kind)
    needed = {
        one.name: stand_in(hints[one.name]) for one in fields(kind) if _is_required(one)
    }
    return kind(**{**needed, **given})


def _shaped(kind: type, value: Any, path: Path, faults: Faults, layout: Layout) -> Any:
    shape = layout.shapes.get(kind)
    return value if shape is None else shape(value, path, faults)


@cache
def _hints(kind: Any) -> dict[str, Any]:
    return get_type_hints(kind)


def _is_required(one: Field[Any]) -> bool:
    return one.default is MISSING and one.default_factory is MISSING


def _check_not_blank(one: Field[Any], value: Any, path: Path, faults: Faults) -> None:
    blank = isinstance(value, str) and not value.strip()
    if blank and _is_required(one) and faults.trusts(path):
        faults.add(path, f"“{path[-1]}” is empty")


def _check_keys(
    table: dict[str, Any], known: list[str], path: Path, faults: Faults
) -> None:
    for key in table:
        if key in known:
            continue
        hint = did_you_mean(key, known)
        faults.add((*path, key), f"{where(path)} has no key “{key}”", hint)
        for meant in nearest(key, known, most=1):
            if meant not in table:
                faults.doubt((*path, meant))


def _read(hint: Any, value: Any, path: Path, faults: Faults, layout: Layout) -> Any:
    origin = get_origin(hint)
    if origin in {Union, UnionType}:
        inner = next(one for one in get_args(hint) if one is not type(None))
        return _read(inner, value, path, faults, layout)
    if origin is Literal:
        return _read_word(get_args(hint), value, path, faults)
    if origin is tuple:
        return _read_array(get_args(hint), value, path, faults, layout)
    if origin is not None and issubclass(origin, Mapping):
        return _read_mapping(get_args(hint)[1], value, path, faults, layout)
    if hint in _SCALARS:
        return _read_scalar(hint, value, path, faults)
    return read_record(hint, value, path, faults, layout)


def _read_scalar(kind: Any, value: Any, path: Path, faults: Faults) -> Any:
    expected, read = _SCALARS[kind]
    found = read(value)
    if found is None:
        text = f"“{path_name(path)}” is to be {expected}, not {shown(value)}"
        faults.add(path, text, _hint_for(kind, value))
        return stand_in(kind)
    return found


def path_name(path: Path) -> str:
    """Name a value by its key; an element of an array by its array."""
    return str(next(key for key in reversed(path) if isinstance(key, str)))


def _read_word(words: tuple[Any, ...], value: Any, path: Path, faults: Faults) -> Any:
    if isinstance(value, str) and value in words:
        return value
    hint = did_you_mean(value, words) if isinstance(value, str) else ""
    if hint.startswith("did"):
        hint += f" (known: {', '.join(words)})"
    text = f"“{path_name(path)}” cannot be {shown(value)}"
    faults.add(path, text, hint or f"known: {', '.join(words)}")
    return words[0]


def _read_array(
    kinds: tuple[Any, ...], value: Any, path: Path, faults: Faults, layout: Layout
) -> tuple[Any, ...]:
    open_ended = kinds[-1] is Ellipsis
    name = path_name(path)
    if not isinstance(value, list):
        hint = "" if isinstance(value, dict) else f"write [{_written(value)}]"
        faults.add(path, f"“{name}” is to be an array, not {shown(value)}", hint)
    elif not open_ended and len(value) != len(kinds):
        text = f"“{name}” is to hold {len(kinds)} values, not {len(value)}"
        faults.add(path, text)
    else:
        wanted = [kinds[0]] * len(value) if open_ended else kinds
        return tuple(
            _read(kind, one, (*path, place), faults, layout)
            for place, (kind, one) in enumerate(zip(wanted, value, strict=True))
        )
    return () if open_ended else tuple(stand_in(kind) for kind in kinds)


def _read_mapping(
    kind: Any, value: Any, path: Path, faults: Faults, layout: Layout
) -> dict[str, Any]:
    if not isinstance(value, dict):
        text = f"“{path_name(path)}” is to be a table, not {shown(value)}"
        faults.add(path, text, _as_table(path))
        return {}
    named = is_dataclass(kind) and "name" in _hints(cast("Any", kind))
    for key in value:
        if refused_character(key) is not None or not key.strip():
            faults.add((*path, key), f"{where(path)} has a name that cannot be printed")
    return {
        key: (
            read_record(kind, one, (*path, key), faults, layout, name=key)
            if named
            else _read(kind, one, (*path, key), faults, layout)
        )
        for key, one in value.items()
    }


def _as_table(path: Path) -> str:
    """Return how a table is written, for those who write their first."""
    if not path or any(isinstance(key, int) for key in path):
        return ""
    head = f"[{_dotted(path)}]"
    return f"write {head} on a line of its own and below it name = value, one a line"


def _text(value: Any) -> str | None:
    if not isinstance(value, str) or refused_character(value) is not None:
        return None
    return value


def _whole(value: Any) -> int | None:
    good = type(value) is int and len(str(abs(value))) <= _MOST_DIGITS
    return value if good else None


def _decimal(value: Any) -> Decimal | None:
    if type(value) is not int and not isinstance(value, Decimal):
        return None
    number = Decimal(value)
    return number if len(number.as_tuple().digits) <= _MOST_DIGITS else None


def _float(value: Any) -> float | None:
    number = _decimal(value)
    return None if number is None else float(number)


def _age(value: Any) -> Age | None:
    age = parse_age(value) if isinstance(value, str) else None
    return None if age is None or age.nominal_days > LONGEST_DAYS else age


def _day(value: Any) -> date | None:
    if isinstance(value, datetime):
        return None
    if isinstance(value, str) and _DAY.fullmatch(value):
        try:
            value = date.fromisoformat(value)
        except ValueError:
            return None
    if not isinstance(value, date):
        return None
    return value if value.year in _YEARS else None


_SCALARS: dict[Any, tuple[str, Callable[[Any], Any]]] = {
    str: ("text in quotes", _text),
    bool: ("true or false", lambda value: value if isinstance(value, bool) else None),
    int: ("a whole number", _whole),
    float: ("a number", _float),
    Decimal: ("a number", _decimal),
    Age: ("a length of time such as “4w”", _age),
    date: ("a day such as 2026-03-02", _day),
}


def _hint_for(kind: Any, value: Any) -> str:
    """Return how to write a value of this kind."""
    if kind is str:
        return _hint_for_text(value)
    if kind in _HINTS:
        return _HINTS[kind]
    if isinstance(value, str) and _QUOTED_NUMBER.fullmatch(value):
        return f"write {value.replace(',', '.')} without quotes"
    if isinstance(value, OddNumber):
        return "write it out in digits"
    too_long = isinstance(value, int | Decimal) and kind is not int
    return "no bench instrument shows that many digits" if too_long else ""


_HINTS: dict[Any, str] = {
    Age: "up to 100 years: a whole number and h, d, w, M (calendar months) or y, in "
    "quotes",
    bool: "write true or false, without quotes",
    date: "write year-month-day without a time; the day must exist, 1900 to 2199",
}


def _hint_for_text(value: Any) -> str:
    if isinstance(value, str):
        refused = refused_character(value) or ""
        return f"take out the character U+{ord(refused):04X}, which cannot be printed"
    if isinstance(value, list | dict):
        return ""
    return f"write {_written(value)}"


def _written(value: Any) -> str:
    if isinstance(value, bool):
        return f'"{str(value).lower()}"'
    if isinstance(value, str | date | time | Decimal | int):
        return f'"{value}"'
    return f'"{value.text}"' if isinstance(value, OddNumber) else "…"


def _dotted(path: Path) -> str:
    return ".".join(str(key) for key in path if isinstance(key, str))
