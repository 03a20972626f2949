"""Rows of a file, each of which becomes one entry.

The columns are those of `events.csv`; a file for `log --from` may leave out columns
that it does not need. One row is one entry, in the order of the file; an empty `kind`
means `observed`, an empty `entered` means `done`, an empty `person` the one who imports
or logs. What a kind needs beyond its columns stands in `settings` as `name=value`,
several separated by `;`.

============ ==================================================================
kind         what its columns hold
============ ==================================================================
observed     sample, check (empty: worked out; `extra`: none), attribute (name,
             short name, `w`, `w2`), reading as typed at the bench (`5.47/5.49`,
             `not-measured`), unit (only to check it), settings (`dilution=10 %`,
             further readings such as `layer_mm=2`, `control=HDC-007-K`,
             `blind=yes`), observers (`Ana; Ben`), because (for not-measured).
             With refers_to it repeats that observation, because says why
corrected    refers_to, reading, because; settings and observers where they
             change, check where it changes
invalidated  refers_to (an observation, certificate or photograph), because
placed       sample; reading: condition (empty: the sample's own; `out`: taken
             out); settings: `step=2/1`, `at=OVEN`, `replaces=HDC-009-C`,
             `swap_with=HDC-010-D`; because. A swap is one row for each of the two,
             with the condition into which it goes
retired      sample; reading: reason for leaving; because
missed       check; sample (several separated by `;`, empty: all that wait),
             settings: `batch=C`, `condition=T40`, `pack=JAR`; because
day          done: the day; observers; settings: `pH.dilution=10 %`,
             `control=HDC-007-K`, `odour.control=HDC-007-K`, `blind=yes`
stopped      sample or settings: `batch=C`, `condition=T40`, `pack=JAR` (none: the
             whole study); because
noted        because: the text; sample and refers_to where it speaks of one
lodged       reading: who received the plan record; because: a note
taken-over   because: where the study was kept before, and why it goes on here
certified    attribute: `challenge`, `count` or an attribute; check: the age of what was
             tested; reading: results separated by `;`; sample where one is named;
             settings: `laboratory=…; number=…; batch=A; version=1.0; pack=JAR;
             issued=2026-04-20`, `standard=…`, `verdict=…`, `file=NAME` beside this file
photographed sample; reading: a cleaned copy beside this file; attribute, check;
             because: the caption
answered     refers_to; settings: `right sample=yes; weight=no`; reading: the outcome;
             because
============ ==================================================================

`refers_to` is the position of the entry in the study's record. The opening is entry 1,
so in a folder's `events.csv` it is the line of the row: the first row, below the
header, is line 2 and becomes entry 2.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final

from stability.errors import StabilityError
from stability.errors.files import RowsError
from stability.errors.samples import FarReadingError, ReadingsError
from stability.model import content
from stability.model.content import Content
from stability.model.entry import Entry
from stability.model.moment import Moment, moment_at
from stability.model.nearest import did_you_mean
from stability.model.observation import Observation
from stability.model.plain_text import checked_name
from stability.model.quick import quick
from stability.records import acts, observing
from stability.records.acts import Scope
from stability.records.beside_rows import BESIDE_ROWS
from stability.records.continuation import Continuation
from stability.records.guards import checked_moment, resolve_sample
from stability.records.logged import Logged
from stability.records.placing import PlacingWish, place, swap_one
from stability.records.plan_rows import PLAN_ROWS
from stability.records.reading_rows import READING_ROWS, position_in
from stability.records.rows import Row


@dataclass(frozen=True, slots=True)
class RowRules:
    """What holds for all rows of a file."""

    #: The file's name, for messages.
    file: str
    #: Who did what neither a row nor a day's facts say who did.
    person: str
    #: Account under which days are set.
    account: str
    #: Now.
    now: datetime
    #: True where a row without `entered` was stored when it was done, as in a folder.
    entered_is_done: bool
    #: Person stated for the whole file, before a day's facts; None where none is.
    stated_person: str | None = None
    #: Whether numbers are written with a decimal comma.
    decimal_comma: bool = False
    #: True once a person has confirmed readings far from the last ones.
    accept_far: bool = False
    #: Whether a row that says what the record says already is passed over, so that
    #: the same file can be taken in twice.
    skips_stored: bool = False
    #: Folder in which files lie that rows name; None where none can be named.
    folder: Path | None = None


@quick
@dataclass(frozen=True, slots=True)
class TakenRow:
    """What became of one row."""

    #: The row.
    row: Row
    #: The entry that was added; None where the record says it already.
    entry: Entry | None
    #: What the person should know, without being stopped.
    remarks: tuple[str, ...] = ()
    #: The observation that says it already; None where none does.
    stands_as: Observation | None = None


def add_rows(
    book: Continuation, rows: Iterable[Row], rules: RowRules
) -> tuple[TakenRow, ...]:
    """Add every row to a study as an entry.

    Parameters
    ----------
    book
        The study.
    rows
        In the file's order.
    rules
        What holds for all of them.

    Returns
    -------
    tuple of TakenRow
        What became of each.

    Raises
    ------
    RowsError
        With every fault of every row, each with its line.
    FarReadingError
        If nothing else is wrong, but readings far from the last ones wait for a
        person's word.
    """
    faults: list[str] = []
    questions: list[str] = []
    bad: set[int] = set()
    taken: list[TakenRow] = []
    for row in rows:
        try:
            taken.append(_add_row(book, row, rules))
        except FarReadingError as error:
            questions += [f"{row.where}: {one}" for one in error.questions]
            _hold_place(book, rules, bad)
        except ReadingsError as error:
            faults += [f"{row.where}: {one}" for one in error.faults]
            _hold_place(book, rules, bad)
        except StabilityError as error:
            # What refers to a row that could not be read is no fault of its own.
            if row.refers_to not in bad:
                faults.append(f"{row.where}: {error}")
            _hold_place(book, rules, bad)
    if faults:
        raise RowsError(rules.file, faults)
    if questions:
        raise FarReadingError(questions)
    return tuple(taken)


def _hold_place(book: Continuation, rules: RowRules, bad: set[int]) -> None:
    """Keep the positions of later rows right; nothing of this is ever stored."""
    moment = moment_at(rules.now, book.plan.zone)
    entry = book.add(
        content.NOTED,
        content.noted("a row that could not be read"),
        person=rules.person,
        done=moment,
        entered=rules.now,
    )
    bad.add(entry.position)


def _add_row(book: Continuation, row: Row, rules: RowRules) -> TakenRow:
    if row.faults:
        raise ReadingsError(row.faults)
    kind = row.cell("kind") or "observed"
    make = _KINDS.get(kind)
    if make is None:
        hint = did_you_mean(kind, _KINDS)
        raise ReadingsError([f"column kind: there is no kind {kind!r}; {hint}"])
    done = _done(book, row, rules, kind)
    made = make(book, row, rules, done)
    if made is None or isinstance(made, Observation):
        return TakenRow(row, None, stands_as=made)
    held, written, remarks = (
        (made.held, made.written, made.remarks)
        if isinstance(made, Logged)
        else (made, None, ())
    )
    person, entered = _signed(book, row, rules, done)
    stored = f"{kind}/1"
    if stored == content.INVALIDATED:
        stored = observing.kind_setting_aside(book, held["refers_to"])
    entry = book.add(
        stored, held, person=person, done=done, entered=entered, written=written
    )
    return TakenRow(row, entry, remarks)


def _done(book: Continuation, row: Row, rules: RowRules, kind: str) -> Moment:
    typed = row.maybe("done")
    if typed is None and kind == "corrected":
        position = position_in(book, row)
        reference = f"{book.plan.study.code}/{position}"
        return acts.referred(reference, position, book.observation(position)).done
    if typed is None and rules.entered_is_done:
        raise ReadingsError(["column done: say when it was done"])
    return book.recall(
        ("done", typed), checked_moment, typed, book.plan.zone, rules.now
    )


def _signed(
    book: Continuation, row: Row, rules: RowRules, done: Moment
) -> tuple[str, datetime]:
    """Return who did it and when it is stored, once for all rows that say the same."""
    cell = row.cells.get
    return book.recall(
        ("signed", cell("person"), cell("entered"), done.day, done.time),
        _signature, book, row, rules, done,
    )  # fmt: skip


def _signature(
    book: Continuation, row: Row, rules: RowRules, done: Moment
) -> tuple[str, datetime]:
    return _person(book, row, rules, done), _entered(book, row, rules, done)


def _entered(book: Continuation, row: Row, rules: RowRules, done: Moment) -> datetime:
    typed = row.maybe("entered")
    if typed is not None:
        entered = checked_moment(typed, book.plan.zone, rules.now)
    elif rules.entered_is_done:
        entered = done
    else:
        return rules.now
    if entered.time is not None:
        return entered.time
    zone = book.plan.zone
    return datetime(
        entered.day.year, entered.day.month, entered.day.day, 12, tzinfo=zone
    )


def _person(book: Continuation, row: Row, rules: RowRules, done: Moment) -> str:
    typed = row.maybe("person")
    if typed is not None:
        return checked_name(typed, "column person")
    if rules.stated_person is not None:
        return rules.stated_person
    facts = observing.day_facts(book.plan, done, rules.account)
    return facts.person if facts is not None else rules.person


def _placed(book: Continuation, row: Row, rules: RowRules, done: Moment) -> Content:
    del rules
    named = row.only_settings(("step", "at", "replaces", "swap_with"))
    to = row.maybe("reading")
    sample = row.needed("sample")
    wish = PlacingWish(
        to=None if to == "out" else to,
        place=named.get("at"),
        step=named.get("step"),
        swap_with=named.get("swap_with"),
        replaces=named.get("replaces"),
        out=to == "out",
        because=row.maybe("because"),
    )
    if wish.swap_with is not None:
        return swap_one(book.plan, sample, wish, done)
    return place(book.plan, sample, wish, done)[0]


def _retired(book: Continuation, row: Row, rules: RowRules, done: Moment) -> Content:
    del rules
    sample = resolve_sample(book.plan, row.needed("sample"))
    because = row.maybe("because")
    return acts.retire(book.plan, sample, row.needed("reading"), because, done)


def _missed(book: Continuation, row: Row, rules: RowRules, done: Moment) -> Content:
    del rules, done
    check = row.needed("check")
    return acts.miss(book.record, check, _scope(row), row.maybe("because"))


def _stopped(book: Continuation, row: Row, rules: RowRules, done: Moment) -> Content:
    del rules, done
    return acts.stop(book.plan, _scope(row), row.maybe("because"))


def _scope(row: Row) -> Scope:
    named = row.only_settings(("batch", "pack", "condition"))
    samples = tuple(row.several("sample"))
    return Scope(named.get("batch"), named.get("pack"), named.get("condition"), samples)


_Make = Callable[
    [Continuation, Row, RowRules, Moment], Content | Logged | Observation | None
]

_KINDS: Final[Mapping[str, _Make]] = {
    "placed": _placed,
    "retired": _retired,
    "missed": _missed,
    "stopped": _stopped,
    **READING_ROWS,
    **PLAN_ROWS,
    **BESIDE_ROWS,
}
