"""A bench book: what a person did on which day, written as the rows of events.csv.

Rows are gathered in any order and written in the order in which they were entered.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from io import StringIO

COLUMNS = (
    "kind", "done", "entered", "person", "sample", "check", "attribute", "reading",
    "unit", "settings", "observers", "refers_to", "because",
)  # fmt: skip


@dataclass(slots=True, eq=False)
class Row:
    """One row, and the row of which it speaks."""

    #: Column -> text; absent columns stay empty.
    cells: dict[str, str]
    #: When it was done (local).
    done: datetime
    #: The earlier row that it refers to; None for none.
    refers_to: Row | None = None


class BenchBook:
    """The rows of one study."""

    def __init__(self, codes: Mapping[str, str]) -> None:
        #: Name of a sample in the story -> its code.
        self.codes = codes
        self.rows: list[Row] = []

    def text(self) -> str:
        """Return the whole of events.csv; the opening is entry 1, its first row 2."""
        rows = sorted(self.rows, key=lambda row: row.done)
        positions = {id(row): place for place, row in enumerate(rows, start=2)}
        out = StringIO()
        writer = csv.DictWriter(out, COLUMNS, restval="", lineterminator="\n")
        writer.writeheader()
        for row in rows:
            cells = row.cells | {"done": row.done.isoformat(timespec="minutes")}
            if row.refers_to is not None:
                cells["refers_to"] = str(positions[id(row.refers_to)])
            writer.writerow(cells)
        return out.getvalue()

    def found(self, sample: str, check: str, attribute: str) -> Row:
        """Return the row of an observation."""
        wanted = {"sample": self.codes[sample], "check": check, "attribute": attribute}
        return next(row for row in self.rows if wanted.items() <= row.cells.items())


class BenchDay:
    """One person's day at the bench: the clock goes on with every row."""

    def __init__(self, book: BenchBook, person: str, on: date, hour: int = 9) -> None:
        self.book = book
        self.person = person
        self.on = on
        #: Time of the next row (local).
        self.now = datetime.combine(on, time(hour))

    def until(self, hour: int) -> None:
        """Wait until a full hour, unless it is past already."""
        self.now = max(self.now, datetime.combine(self.on, time(hour)))

    def wait(self, minutes: int) -> None:
        """Let time pass."""
        self.now += timedelta(minutes=minutes)

    def write(
        self,
        kind: str,
        sample: str | None = None,
        *,
        settings: Mapping[str, str] | None = None,
        refers_to: Row | None = None,
        **cells: str,
    ) -> Row:
        """Add a row now and let a minute pass."""
        if sample is not None:
            cells["sample"] = self.book.codes[sample]
        if settings:
            pairs = (f"{name}={value}" for name, value in settings.items())
            cells["settings"] = "; ".join(pairs)
        named = {"kind": kind, "person": self.person, **cells}
        row = Row(named, self.now, refers_to)
        self.book.rows.append(row)
        self.wait(1)
        return row

    def set_day(
        self,
        observers: Sequence[str],
        settings: Mapping[str, str],
        control: str | None = None,
    ) -> None:
        """Set what holds for every reading of the day."""
        compared = {} if control is None else {"control": self.book.codes[control]}
        self.write(
            "day", settings={**settings, **compared}, observers="; ".join(observers)
        )

    def observe(
        self,
        sample: str,
        check: str,
        attribute: str,
        reading: str,
        unit: str = "",
        *,
        settings: Mapping[str, str] | None = None,
        because: str = "",
    ) -> Row:
        """Log one attribute of one sample."""
        return self.write(
            "observed",
            sample,
            check=check,
            attribute=attribute,
            reading=reading,
            unit=unit,
            settings=settings,
            because=because,
        )

    def correct(self, row: Row, reading: str, because: str) -> None:
        """Correct an observation."""
        self.write("corrected", refers_to=row, reading=reading, because=because)

    def invalidate(self, row: Row, because: str) -> None:
        """Set an observation aside."""
        self.write("invalidated", refers_to=row, because=because)

    def place(self, sample: str, condition: str) -> None:
        """Put a sample into its condition."""
        self.write("placed", sample, reading=condition)

    def step(self, sample: str, cycle: int, step: int) -> None:
        """Take a cycled sample on to another step."""
        self.write("placed", sample, settings={"step": f"{cycle}/{step}"})

    def replace(self, sample: str, old: str, condition: str, because: str) -> None:
        """Put a spare in the part of a sample that has left."""
        replaces = {"replaces": self.book.codes[old]}
        self.write(
            "placed", sample, reading=condition, settings=replaces, because=because
        )

    def swap(self, into: Mapping[str, str], because: str) -> None:
        """Put two samples each into the condition where the other was."""
        one, other = into
        now = self.now
        for sample, partner in ((one, other), (other, one)):
            self.now = now
            self.write(
                "placed",
                sample,
                reading=into[sample],
                settings={"swap_with": self.book.codes[partner]},
                because=because,
            )

    def retire(self, sample: str, reason: str, because: str) -> None:
        """Take a sample out of the study."""
        self.write("retired", sample, reading=reason, because=because)

    def miss(self, check: str, samples: Sequence[str], because: str) -> None:
        """Record that a check was not made."""
        codes = "; ".join(self.book.codes[one] for one in samples)
        row = self.write("missed", check=check, because=because)
        row.cells["sample"] = codes

    def certify(
        self,
        what: str,
        age: str,
        results: Sequence[str],
        settings: Mapping[str, str],
    ) -> None:
        """Store what a laboratory's certificate says."""
        self.write(
            "certified", check=age, attribute=what,
            reading="; ".join(results), settings=settings,
        )  # fmt: skip

    def note(self, sample: str | None, text: str) -> None:
        """Explain something."""
        self.write("noted", sample, because=text)
