"""The verb that takes in a file of readings, and what it would do."""

from __future__ import annotations

import gc
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from stability.errors.files import ReceivedFileError, RowsError
from stability.errors.samples import FarReadingError
from stability.errors.studies import StudyNeededError
from stability.model import content
from stability.model.moment import moment_at
from stability.workflow.confirming import Confirm, confirmed
from stability.workflow.entry_words import entry_words
from stability.workflow.file_forms import (
    FileForms,
    ForeseenFile,
    ForeseenRow,
    LoggedFile,
    told,
)
from stability.workflow.marks import judged_in, marks
from stability.workflow.occasion import Occasion, person_of
from stability.workflow.writing import of_sample, of_study
from stability.workflow.written import Written, written

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from stability.model.entry import Entry
    from stability.records.continuation import Continuation
    from stability.records.day_forms import Order
    from stability.records.event_rows import RowRules, TakenRow
    from stability.records.received_file import ReceivedFile, ReceivedTable
    from stability.records.rows import Row


@dataclass(frozen=True, slots=True)
class _Intake:
    """A file, and how it is to be read."""

    #: The file.
    file: Path
    #: It, split into cells.
    received: ReceivedFile
    #: How it is to be read, as typed.
    how: FileForms
    #: Order of day, month and year; None where the days tell it.
    order: Order | None


@dataclass(frozen=True, slots=True)
class _Part:
    """One table of the file, added to its study but not stored."""

    #: The table.
    received: ReceivedTable
    #: The study with the rows added.
    book: Continuation
    #: What became of each row; empty where the file was taken in before.
    taken: tuple[TakenRow, ...]
    #: Entry with which the same file was taken in before; None where it was not.
    receipt: Entry | None = None


def log_file(
    at: Occasion,
    file: Path,
    forms: FileForms | None = None,
    *,
    accept_far: bool = False,
    confirm: Confirm | None = None,
) -> LoggedFile:
    """Log every row of a file, or none of them.

    A row that says what is stored already is passed over, so that the same file may
    come twice. The file is kept as received, with an entry that names it.

    Parameters
    ----------
    at
        The occasion.
    file
        A CSV file, or an XLSX workbook.
    forms
        How it is to be read.
    accept_far
        Whether readings far from the last ones are taken without a question.
    confirm
        Asks a person; None where nobody can be asked.

    Raises
    ------
    StabilityError
        With every fault of every row; nothing was written.
    """
    with _without_collection():
        intake = _intake(file, forms or FileForms())
        return confirmed(
            lambda sure: _stored(at, intake, sure=sure),
            accept_far=accept_far,
            confirm=confirm,
        )


def foresee_file(
    at: Occasion, file: Path, forms: FileForms | None = None
) -> ForeseenFile:
    """Return what `log_file` would store; nothing is written.

    Raises
    ------
    StabilityError
        With every fault of every row.
    """
    from stability.records.database import open_database

    intake = _intake(file, forms or FileForms())
    database = open_database(at.records)
    questions: tuple[str, ...] = ()
    with database.reading() as connection:
        try:
            parts = _parts(at, connection, intake, sure=False)
        except FarReadingError as fault:
            questions = fault.questions
            parts = _parts(at, connection, intake, sure=True)
    return ForeseenFile(
        file=intake.received.kept.file.name,
        sha256=intake.received.kept.file.sha256,
        rows=tuple(one for part in parts for one in _foreseen(at, part)),
        questions=questions,
        remarks=tuple(_remarks(intake.received, parts)),
    )


def _intake(file: Path, how: FileForms) -> _Intake:
    from stability.records.day_forms import checked_order
    from stability.records.received_file import read_received

    order = checked_order(how.dates)
    received = read_received(file, how.sheet, decimal_comma=how.decimal_comma)
    return _Intake(file, received, how, order)


def _stored(at: Occasion, intake: _Intake, *, sure: bool) -> LoggedFile:
    from stability.records.database import open_database
    from stability.records.store import keep

    receipts: list[Written] = []
    with open_database(at.records).writing() as connection:
        parts = _parts(at, connection, intake, sure=sure)
        for part in parts:
            if part.book.added:
                receipts.append(_receipt(at, intake.received, part))
                keep(connection, part.book)
    taken = [one for part in parts for one in part.taken]
    return LoggedFile(
        entries=tuple(
            (one.entry, one.remarks) for one in taken if one.entry is not None
        ),
        receipts=tuple(receipts),
        known=sum(one.entry is None for one in taken),
        remarks=tuple(_remarks(intake.received, parts)),
    )


@contextmanager
def _without_collection() -> Iterator[None]:
    """Spare the search for garbage while all that is made is kept.

    It takes a third of the time of a large file and finds nothing. What was made is
    freed as ever when nothing holds it any more.
    """
    enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if enabled:
            gc.freeze()
            gc.enable()


def _parts(
    at: Occasion, connection: Connection, intake: _Intake, *, sure: bool
) -> list[_Part]:
    """Add the rows of every table to its study; all faults of all tables at once."""
    from stability.records.event_rows import add_rows
    from stability.records.store import continue_study

    rules = _row_rules(at, intake, sure=sure)
    parts: list[_Part] = []
    faults: list[str] = []
    questions: list[str] = []
    for one in intake.received.tables:
        code = _study(at, connection, intake, one)
        book = continue_study(connection, code)
        # A receipt does not hold of which sample a table is; its rows tell.
        told = intake.how.sample is not None
        before = None if told else _receipt_of(connection, intake.received, one, book)
        if before is not None:
            parts.append(_Part(one, book, (), before))
            continue
        try:
            rows = _rows(one, book, intake)
            parts.append(_Part(one, book, add_rows(book, rows, rules)))
        except RowsError as error:
            faults += error.faults
        except FarReadingError as error:
            questions += error.questions
    if faults:
        raise RowsError(rules.file, faults)
    if questions:
        raise FarReadingError(questions)
    return parts


def _rows(one: ReceivedTable, book: Continuation, intake: _Intake) -> tuple[Row, ...]:
    from stability.records.table_rows import TableRules, table_rows

    told = {"sample": intake.how.sample} if intake.how.sample else {}
    rules = TableRules(
        intake.how.decimal_comma, intake.order, one.settings, one.facts, told
    )
    return table_rows(one.table, book.plan, rules)


def _study(
    at: Occasion, connection: Connection, intake: _Intake, one: ReceivedTable
) -> str:
    """Return the code of the study that a table belongs to."""
    from stability.records.anchors import passes_through
    from stability.records.table_layout import place_of

    name, typed = intake.received.kept.file.name, intake.how.study
    if one.anchor is not None and not passes_through(connection, one.anchor):
        reason = (
            f"it was written from another record of study {one.study} than this one "
            f"({str(one.anchor)[:40]}…); write it anew with sheet --xlsx"
        )
        raise ReceivedFileError(name, reason)
    if one.study is not None:
        return of_study(one.study)(connection)
    if intake.how.sample is not None:
        return of_sample(at, intake.how.sample, typed)(connection)
    if typed is not None:
        return of_study(typed)(connection)
    place = place_of(one.table, "sample")
    cells = (row.cells[place] for row in one.table.rows if place is not None)
    first = next((cell for cell in cells if cell), None)
    if first is None:
        raise StudyNeededError(name)
    return of_sample(at, first, None)(connection)


def _row_rules(at: Occasion, intake: _Intake, *, sure: bool) -> RowRules:
    from stability.records.event_rows import RowRules

    return RowRules(
        file=intake.file.name,
        person=person_of(None, None, at.environment_person, at.account),
        account=at.account,
        now=at.now,
        entered_is_done=False,
        stated_person=at.person,
        decimal_comma=intake.how.decimal_comma,
        accept_far=sure,
        folder=intake.file.parent,
        skips_stored=True,
    )


def _receipt(at: Occasion, received: ReceivedFile, part: _Part) -> Written:
    """Add the receipt of the file to a study, with the file to be kept."""
    file = received.kept.file
    part.book.files.append(received.kept)
    entry = part.book.add(
        content.RECEIVED_FILE,
        content.received_file(
            file.name,
            file.sha256,
            part.received.table.sheet,
            len(part.received.table.rows),
            len(part.book.added),
        ),
        person=person_of(at.person, None, at.environment_person, at.account),
        done=moment_at(at.now, part.book.plan.zone),
        entered=at.now,
    )
    return written(entry, entry_words(entry))


def _receipt_of(
    connection: Connection,
    received: ReceivedFile,
    one: ReceivedTable,
    book: Continuation,
) -> Entry | None:
    """Return the entry with which the same table was taken in; None if it was not."""
    from stability.records import attachment, journal

    sha256 = received.kept.file.sha256
    if not attachment.is_kept(connection, sha256):
        return None
    receipts = (
        entry
        for entry in journal.entries(connection, book.head.subject, check=False)
        if entry.kind == content.RECEIVED_FILE
        and entry.content["file"]["sha256"] == sha256
        and entry.content["sheet"] == one.table.sheet
    )
    return next(receipts, None)


def _foreseen(at: Occasion, part: _Part) -> Iterator[ForeseenRow]:
    code = part.book.plan.study.code
    now = [written(one, "") for one in part.book.added]
    judged = marks(judged_in(part.book.record, now, at))
    for one in part.taken:
        entry = one.entry
        stands = one.stands_as
        yield ForeseenRow(
            where=one.row.where,
            text=told(entry) if entry is not None else one.row.cell("attribute"),
            done=entry.done if entry is not None else one.row.cell("done"),
            mark=judged.get(f"{code}/{entry.position}", "") if entry else "",
            stands_as=f"{code}/{stands.position}" if stands else None,
            remarks=one.remarks,
        )


def _remarks(received: ReceivedFile, parts: Sequence[_Part]) -> Iterator[str]:
    """Say what was passed over, and why."""
    name = received.kept.file.name
    for part in parts:
        code = part.book.plan.study.code
        if part.receipt is not None:
            yield (
                f"{name} was taken in as {code}/{part.receipt.position}, byte for "
                "byte; nothing is stored twice"
            )
            continue
        known = [one for one in part.taken if one.entry is None]
        if known:
            rows = "1 row says" if len(known) == 1 else f"{len(known)} rows say"
            yield f"{code}: {rows} what is stored already; nothing is stored twice"
        changed = [
            one.stands_as
            for one in known
            if one.stands_as is not None and not one.stands_as.stands
        ]
        if changed:
            told = ", ".join(f"{code}/{one.position}" for one in changed[:5])
            yield (
                f"{code}: of these, {len(changed)} were corrected or set aside since "
                f"({told}); they stay so"
            )
        yield from _passed_over(part)
        if not part.taken:
            yield f"{code}: no row of {name} holds a reading"


def _passed_over(part: _Part) -> Iterator[str]:
    """Say which rows hold something and no reading; unread ones of ours are usual."""
    table = part.received.table
    if table.titles:
        yield (
            f"the header is taken to stand in {table.row_place(table.header_number)}; "
            "what stands above it was passed over"
        )
    taken = {one.row.line for one in part.taken}
    others = [row.number for row in table.rows if row.number not in taken]
    if others and part.received.study is None:
        shown = ", ".join(map(table.row_place, others[:5]))
        more = f" and {len(others) - 5} more" if len(others) > 5 else ""
        yield f"no reading stands in {shown}{more}: passed over"
