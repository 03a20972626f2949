"""Protocol files: found by name, read into a protocol, every fault told with its line.

A protocol file is TOML whose keys are the fields of the records in `stability.model`,
with a few shorter ways of writing: `scale` makes an attribute scored, `statements` or
`limit.required` make it stated, settings are written as plain values, and what is known
of a unit (a pH lies between 0 and 14, a mass is not negative) need not be written.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from decimal import Decimal
from functools import lru_cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path as FilePath
from typing import Any, Final

import stability
from stability.errors.files import UnknownProtocolError, UnreadableFileError
from stability.model.attribute import TYPED_UNITS, Attribute, Setting
from stability.model.condition import CycleStep
from stability.model.nearest import nearest
from stability.model.plain_text import unix_newlines
from stability.model.protocol import Protocol
from stability.records.attribute_rules import check_attributes
from stability.records.faults import Faults, OddNumber, parse_toml
from stability.records.protocol_rules import check_protocol
from stability.records.record_reader import Layout, read_record, shown, where
from stability.records.toml_lines import Path

#: The attribute that is worked out from weights.
WEIGHT_LOSS: Final = "weight_loss"
#: What cannot be read on any instrument, by unit: lowest and highest.
_POSSIBLE: Mapping[str, tuple[str | None, str | None]] = {
    "pH": ("0", "14"),
    "%": ("0", "100"),
    "°C": ("-273.15", None),
    **dict.fromkeys(
        ("mPa·s", "Pa·s", "g", "mm", "cm", "s", "CFU/g", "meq/kg", "lx·h", "N"),
        ("0", None),
    ),
}
#: Units of what changes by a share rather than by a step (common practice).
_CHANGES_BY_SHARES = {"mPa·s", "Pa·s", "CFU/g", "meq/kg"}
_YES_AND_NO = ("yes", "no")


@lru_cache(maxsize=128)
def read_protocol(text: str, name: str, file: str) -> Protocol:
    """Read a protocol from the text of its file.

    Parameters
    ----------
    text
        The file's text.
    name
        What the protocol is found by: the file's name without its ending.
    file
        The file's name, for messages.

    Raises
    ------
    TomlSyntaxError
        If it is no TOML.
    NewerFormatError
        If it was made by a newer version.
    FaultyFileError
        If it has faults of content; all of them at once.
    """
    table, faults = parse_toml(text, file)
    protocol = read_record(Protocol, table, (), faults, LAYOUT, name=name)
    check_protocol(protocol, faults)
    check_attributes(protocol, faults)
    faults.raise_all()
    return protocol


def protocol_digest(text: str) -> str:
    """Return the SHA-256 of a protocol's text, line ends written as newlines."""
    return hashlib.sha256(unix_newlines(text).encode()).hexdigest()


def protocol_names() -> tuple[str, ...]:
    """Return the names of the ready-made protocols, sorted."""
    names = (one.name for one in _ready_made().iterdir())
    return tuple(
        sorted(name.removesuffix(".toml") for name in names if name.endswith(".toml"))
    )


def find_protocol(
    name_or_path: str, beside: FilePath | None = None, where: str | None = None
) -> tuple[str, str, str]:
    """Return the text, the name and the file of a protocol.

    Parameters
    ----------
    name_or_path
        Name of a ready-made protocol, or a file that ends in `.toml`.
    beside
        Folder from which a relative path counts; None: the current folder.
    where
        File and line that name it, for messages; None where it was typed.

    Returns
    -------
    tuple of str
        Text with newlines as line ends; name; file, for messages.

    Raises
    ------
    UnknownProtocolError
        If there is neither.
    UnreadableFileError
        If the file is no text in UTF-8 or may not be read.
    """
    known = protocol_names()
    if name_or_path in known:
        source = _ready_made() / f"{name_or_path}.toml"
        return _text_of(source), name_or_path, f"{name_or_path}.toml"
    path = (beside or FilePath()) / name_or_path
    if path.is_file():
        return _text_of(path), path.stem, str(path)
    bare = FilePath(name_or_path).name.removesuffix(".toml")
    raise UnknownProtocolError(name_or_path, nearest(bare, known), known, where)


def _ready_made() -> Traversable:
    """Return the folder of ready-made protocols: in the package, or in a checkout."""
    installed = files("stability") / "protocols"
    if installed.is_dir():
        return installed
    return FilePath(stability.__file__).parents[1] / "protocols"


def _text_of(path: Traversable) -> str:
    try:
        return unix_newlines(path.read_text(encoding="utf-8-sig"))
    except OSError as error:
        raise UnreadableFileError(path, error.strerror or str(error)) from error
    except UnicodeDecodeError as error:
        raise UnreadableFileError(path, "it is not a text in UTF-8") from error


def _attribute(value: Any, path: Path, faults: Faults) -> Any:
    """Fill in the kind, and what follows from name and unit."""
    if not isinstance(value, dict):
        return value
    table = dict(value)
    _fill_kind(table, path, faults)
    if table.get("kind") != "measured":
        return table
    if path[-1] == WEIGHT_LOSS:
        table = {"from_weights": True, "direction": "increasing", **table}
    if table.get("from_weights") is True:
        return {"unit": "%", "lowest_possible": 0, **table}
    unit = table.get("unit", "1")
    if isinstance(unit, str):
        table["unit"] = TYPED_UNITS.get(unit, unit)
        _fill_bounds(table)
    return table


def _fill_kind(table: dict[str, Any], path: Path, faults: Faults) -> None:
    if "statements" in table:
        if "scale" in table:
            text = f"{where(path)} has both “scale” and “statements”"
            hint = "a score has a scale from best to worst, a statement has statements"
            faults.add((*path, "statements"), text, hint)
        table["scale"] = table.pop("statements")
        table.setdefault("kind", "stated")
    limit = table.get("limit")
    required = limit.get("required") if isinstance(limit, dict) else None
    if "scale" in table:
        table.setdefault("kind", "scored")
    elif required is not None:
        table.setdefault("kind", "stated")
        if required in _YES_AND_NO:
            table["scale"] = list(_YES_AND_NO)
    table.setdefault("kind", "measured")


def _fill_bounds(table: dict[str, Any]) -> None:
    lowest, highest = _POSSIBLE.get(table["unit"], (None, None))
    if lowest is not None:
        table.setdefault("lowest_possible", Decimal(lowest))
    if highest is not None:
        table.setdefault("highest_possible", Decimal(highest))
    if table["unit"] in _CHANGES_BY_SHARES:
        table.setdefault("fit_scale", "ln")


def _setting(value: Any, path: Path, faults: Faults) -> Any:
    """Bring a setting, written as a plain value, into the form of its record."""
    if isinstance(value, bool | list | OddNumber):
        hint = "write text, a number, “recorded”, “fixed at T0” or {between = [18, 26]}"
        faults.add(path, f"setting “{path[-1]}” cannot be {shown(value)}", hint)
        return {"kind": "recorded"}
    if not isinstance(value, dict):
        return _plain_setting(str(value))
    table = dict(value)
    between = table.pop("between", None)
    if between is None:
        return table
    if not isinstance(between, list) or len(between) != 2:
        text = f"“between” of {where(path)} is to hold a lowest and a highest value"
        faults.add((*path, "between"), text, "write {between = [18, 26]}")
        return {"kind": "recorded"}
    return {"kind": "band", "lowest": between[0], "highest": between[1], **table}


def _plain_setting(text: str) -> dict[str, str]:
    if text == "recorded":
        return {"kind": "recorded"}
    return (
        {"kind": "fixed"}
        if text == "fixed at T0"
        else {
            "kind": "fixed",
            "value": text,
        }
    )


#: Where a protocol file is written otherwise than the records are built.
LAYOUT: Final = Layout(
    keys={CycleStep: {"duration": "for"}},
    shapes={Attribute: _attribute, Setting: _setting},
)
