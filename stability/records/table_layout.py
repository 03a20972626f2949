"""What the columns of a received table hold, told by their headings.

Long form: columns `attribute` and `reading`, one row a reading. Wide form: one row for
each check of a sample, one column for each attribute, as most makers keep it.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from stability.errors import StabilityError
from stability.errors.files import RowsError
from stability.model.attribute import Attribute
from stability.model.nearest import did_you_mean
from stability.records.headings import fact_named
from stability.records.intake import checked_unit, find_attribute
from stability.records.names import matching
from stability.records.rows import COLUMNS
from stability.records.sheet_table import SheetTable
from stability.records.typed import WEIGHTS

#: Columns of the wide form that are no attribute's.
FACTS: Final = (
    "sample", "batch", "pack", "condition", "done", "check", "observers", "person",
    "control", "blind", "because", "note",
)  # fmt: skip
#: Columns for the reader's eye only, such as a workbook of ours prints them.
UNREAD: Final = ("study", "product", "limit", "due")
_UNIT = re.compile(r"(.*\S)\s*[\[(]([^\[\]()]*)[\])]")
_NUMBERED = re.compile(r"(.*\S)\s+([1-9])", re.ASCII)


@dataclass(frozen=True, slots=True)
class ReadingColumn:
    """A column that holds readings of one attribute."""

    #: Its place, from 0.
    place: int
    #: As the attribute is typed: its name, or `w` and `w2`.
    name: str
    #: The attribute.
    attribute: Attribute
    #: Which of several readings it holds, from 1; 0 where it holds all.
    number: int = 0


@dataclass(frozen=True, slots=True)
class SettingColumn:
    """A column that holds a setting, or a further reading, of one attribute."""

    #: Its place, from 0.
    place: int
    #: Attribute that it belongs to.
    attribute: str
    #: As it is typed: `pH.dilution`, or `layer_mm`.
    name: str


@dataclass(frozen=True, slots=True)
class Layout:
    """What the columns of a table hold."""

    #: Fact -> place of its column, from 0.
    facts: Mapping[str, int]
    #: Name of each column in the long form; empty in the wide form.
    long: tuple[str, ...] = ()
    #: Attribute as typed -> its columns in the order of their numbers.
    readings: Mapping[str, tuple[ReadingColumn, ...]] = field(default_factory=dict)
    #: Settings and further readings.
    settings: tuple[SettingColumn, ...] = ()
    #: Settings as typed that headings state for all rows, such as `pH (10 %)`.
    stated: tuple[str, ...] = ()


def place_of(table: SheetTable, fact: str) -> int | None:
    """Return the place of a fact's column; None where the table has none."""
    named = (place for place, one in enumerate(table.header) if fact_named(one) == fact)
    return next(named, None)


def layout_of(
    table: SheetTable,
    attributes: Mapping[str, Attribute],
    omitted: Mapping[str, str],
    told: Collection[str] = (),
) -> Layout:
    """Return what the columns of a table hold.

    Parameters
    ----------
    table
        As received.
    attributes
        The protocol's.
    omitted
        Attribute that the study leaves out -> reason.
    told
        Facts that were told beside the table, such as its sample.

    Raises
    ------
    RowsError
        With every fault of the header, or if it is not clear which form it has.
    """
    names = [fact_named(one) for one in table.header]
    long = {"attribute", "reading"} & set(names) or {"kind", "refers_to"} & set(names)
    heading = _Heading(table, attributes, omitted)
    for place, name in enumerate(names):
        if name and not (name in COLUMNS if long else name in (*FACTS, *UNREAD)):
            heading.take(place)
    if not names or not any(names):
        heading.faults.append(
            f"{table.row_place(table.header_number)}: a header is missing: sample, "
            "done and a column for each attribute"
        )
    elif long:
        heading.check_long(names)
    else:
        heading.check_wide({*names, *told})
    heading.check_twice(names)
    heading.faults += [
        f"{table.row_place(table.header_number)}: column {one} stands in the file, and "
        f"one {one} is named beside it; leave out either"
        for one in told
        if one in names
    ]
    if heading.faults:
        raise RowsError(table.file, heading.faults)
    facts = {name: place for place, name in enumerate(names) if name}
    if long:
        return Layout(facts, long=tuple(names))
    known = {name: place for name, place in facts.items() if name in FACTS}
    return Layout(
        known, (), heading.ordered(), tuple(heading.settings), tuple(heading.stated)
    )


class _Heading:
    """The columns of a header that are an attribute's, taken one after the other."""

    def __init__(
        self,
        table: SheetTable,
        attributes: Mapping[str, Attribute],
        omitted: Mapping[str, str],
    ) -> None:
        self.table = table
        self.attributes = attributes
        self.omitted = omitted
        self.faults: list[str] = []
        self.unknown: list[int] = []
        self.readings: list[ReadingColumn] = []
        self.settings: list[SettingColumn] = []
        self.stated: list[str] = []

    def take(self, place: int) -> None:
        """Take the column at a place."""
        heading = self.table.header[place]
        match = _UNIT.fullmatch(heading)
        name, unit = (match[1], match[2].strip()) if match else (heading, "")
        try:
            if self._is_setting(place, name):
                return
            self._reading(place, name, unit)
        except StabilityError as error:
            self.faults.append(f"{self._where(place)}: {error}")

    def check_long(self, names: Sequence[str]) -> None:
        """See that a table in the long form has no attribute's column besides."""
        if self.readings:
            mixed = ", ".join(self.table.header[one.place] for one in self.readings)
            self.faults.append(
                f"{self._header()}: columns attribute and reading mean one row a "
                f"reading, but {mixed} mean one column an attribute; keep one form and "
                "delete the other's columns"
            )
        self._tell_unknown(COLUMNS)
        missing = [one for one in ("attribute", "reading") if one not in names]
        if missing and "kind" not in names:
            self.faults.append(
                f"{self._header()}: a column {missing[0]} is missing; one row a "
                "reading needs sample, attribute and reading"
            )

    def check_wide(self, names: Collection[str]) -> None:
        """See that a table in the wide form tells sample, day and an attribute."""
        kept = [one for one in self.attributes if one not in self.omitted]
        self._tell_unknown((*kept, *FACTS))
        if not self.readings:
            self.faults.append(
                f"{self._header()}: no column holds readings; name columns by "
                f"attributes ({', '.join(kept)}), or have columns "
                "attribute and reading with one row a reading"
            )
        if "sample" not in names and not {"batch", "condition"} <= set(names):
            self.faults.append(
                f"{self._header()}: nothing tells the sample; add a column sample, or "
                "columns batch, pack and condition"
            )
        if "done" not in names:
            self.faults.append(
                f"{self._header()}: a column date is missing: on which day each row "
                "was read"
            )

    def check_twice(self, names: Sequence[str]) -> None:
        """See that no two columns are the same."""
        known = [name for name in names if name in {*COLUMNS, *FACTS}]
        twice = {name: known.count(name) for name in known if known.count(name) > 1}
        columns = [(one.name, one.number) for one in self.readings]
        for name, number in columns:
            if columns.count((name, number)) > 1 or (number and (name, 0) in columns):
                twice[name] = 2
        for name in twice:
            hint = "" if name in known else f"; number them {name} 1, {name} 2"
            self.faults.append(
                f"{self._header()}: column {name} stands there twice{hint}"
            )

    def ordered(self) -> dict[str, tuple[ReadingColumn, ...]]:
        """Return attribute as typed -> its columns in the order of their numbers."""
        grouped: dict[str, list[ReadingColumn]] = {}
        for one in self.readings:
            grouped.setdefault(one.name, []).append(one)
        return {
            name: tuple(sorted(ones, key=lambda one: one.number))
            for name, ones in grouped.items()
        }

    def _reading(self, place: int, name: str, unit: str) -> None:
        number = 0
        if not self._typable(name) and (match := _NUMBERED.fullmatch(name)):
            name, number = match[1], int(match[2])
        if not self._typable(name):
            self.unknown.append(place)
            return
        attribute, part = find_attribute(name, self.attributes, self.omitted)
        if attribute.name in self.omitted:
            self.faults.append(
                f"{self._where(place)}: {attribute.name} is left out of this study: "
                f"{self.omitted[attribute.name]}; delete the column"
            )
            return
        if attribute.from_weights and part is None:
            self.faults.append(
                f"{self._where(place)}: {attribute.name} is worked out from weights; "
                "name their columns w [g], before opening, and w2 [g], after closing"
            )
            return
        stated = _stated(attribute, unit)
        if stated is not None:
            self.stated.append(stated)
        elif unit:
            own = attribute.unit if attribute.kind == "measured" else ""
            checked_unit(unit, "g" if part else own)
        typed = name if part else attribute.name
        self.readings.append(ReadingColumn(place, typed, attribute, number))

    def _typable(self, name: str) -> list[str]:
        shorts = [one.short for one in self.attributes.values() if one.short]
        weighed = any(one.from_weights for one in self.attributes.values())
        weights = list(WEIGHTS) if weighed else []
        return matching(name, [*self.attributes, *shorts, *weights])

    def _is_setting(self, place: int, heading: str) -> bool:
        """Take a setting `pH.dilution`, `dilution`, or a further reading."""
        found = list(self._owners(heading))
        if len(found) > 1:
            either = " or ".join(one.name for one in found)
            self.faults.append(
                f"{self._where(place)}: {heading} may be {either}; write it so"
            )
        elif found:
            one = found[0]
            self.settings.append(SettingColumn(place, one.attribute, one.name))
        return bool(found)

    def _owners(self, heading: str) -> Iterator[SettingColumn]:
        owner, dot, own = (one.strip() for one in heading.partition("."))
        if not dot and self._typable(heading):
            return
        wanted = own if dot else heading
        for attribute in self.attributes.values():
            if attribute.name in self.omitted:
                continue
            if dot and owner not in {attribute.name, attribute.short}:
                continue
            for name in matching(wanted, attribute.all_settings):
                yield SettingColumn(-1, attribute.name, f"{attribute.name}.{name}")
            names = [one.partition(":")[0].strip() for one in attribute.extra]
            for name in matching(wanted, names):
                yield SettingColumn(-1, attribute.name, name)

    def _tell_unknown(self, known: Sequence[str]) -> None:
        self.faults += [
            f"{self._where(place)}: there is no column {self.table.header[place]!r}; "
            f"{self._hint(self.table.header[place], known)}; rename or delete it"
            for place in self.unknown
        ]

    def _hint(self, heading: str, known: Sequence[str]) -> str:
        """Return what an unknown column may mean."""
        for one in (*self.attributes.values(),):
            for name in filter(None, (one.name, one.short)):
                if heading.casefold().startswith(f"{name.casefold()} "):
                    return (
                        f"if it is {one.name} of one of several samples, give each "
                        "sample a row, told by a column sample"
                    )
        return did_you_mean(heading, known).rstrip("?")

    def _header(self) -> str:
        return self.table.row_place(self.table.header_number)

    def _where(self, place: int) -> str:
        return self.table.cell_place(self.table.header_number, place)


def _stated(attribute: Attribute, words: str) -> str | None:
    """Return the setting that words behind a heading state, as in `pH (10 %)`."""
    plain = "".join(words.split()).casefold()
    for one in attribute.settings.values():
        if plain and one.value and "".join(one.value.split()).casefold() == plain:
            return f"{attribute.name}.{one.name}={one.value}"
    return None
