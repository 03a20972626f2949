"""Rows of a file that stand beside readings: photographs and follow-ups."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Final

from stability.errors.photographs import NotCleanedError
from stability.errors.samples import ReadingsError
from stability.model.content import Content
from stability.model.moment import Moment
from stability.records import follow_ups
from stability.records.continuation import Continuation
from stability.records.guards import resolve_sample
from stability.records.observing import position_of
from stability.records.photograph_file import is_clean, read_photograph
from stability.records.photographing import Shown, check_shown, photograph
from stability.records.rows import Row

if TYPE_CHECKING:
    from stability.records.event_rows import RowRules


def _photographed(
    book: Continuation, row: Row, rules: RowRules, done: Moment
) -> Content:
    """Return a photograph; cleaned anew here, its digest would hang on the machine."""
    sample = resolve_sample(book.plan, row.needed("sample"))
    path = _inside(row.needed("reading"), rules.folder)
    if not is_clean(path):
        raise NotCleanedError(row.cell("reading"))
    shown = Shown(
        path, read_photograph(path), row.maybe("attribute"), row.maybe("because")
    )
    check = check_shown(book, sample, row.maybe("check"), done)
    taken = photograph(book, sample, check, shown, done)
    book.files.append(taken.file)
    return taken.held


def _inside(name: str, folder: Path | None) -> Path:
    """Return a file that stands in the folder of the rows, or below it."""
    path = PurePosixPath(name)
    if folder is None or path.is_absolute() or ".." in path.parts:
        fault = f"column reading: {name} is to lie in the folder of this file"
        raise ReadingsError([fault])
    return folder / path


def _answered(book: Continuation, row: Row, rules: RowRules, done: Moment) -> Content:
    del rules, done
    return follow_ups.answer(
        book,
        position_of(row.needed("refers_to"), book.plan.study.code),
        checked=row.several("settings"),
        outcome=row.needed("reading"),
        because=row.maybe("because"),
    )


_Make = Callable[[Continuation, Row, "RowRules", Moment], Content]

#: Kind -> makes the content of its entry from a row.
BESIDE_ROWS: Final[Mapping[str, _Make]] = {
    "photographed": _photographed,
    "answered": _answered,
}
