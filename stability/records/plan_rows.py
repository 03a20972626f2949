"""Rows of a file that are of the study as a whole: lodged, taken over, certified."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Final

from stability.errors.samples import ReadingsError
from stability.model.content import Content
from stability.model.moment import Moment
from stability.records import plan_acts
from stability.records.certifying import CertificateWish, certify
from stability.records.continuation import Continuation
from stability.records.rows import Row

if TYPE_CHECKING:
    from stability.records.event_rows import RowRules

#: What the settings of a certificate may hold.
CERTIFIED_SETTINGS: Final = (
    "laboratory", "number", "standard", "batch", "version", "pack", "issued",
    "verdict", "file",
)  # fmt: skip


def _lodged(book: Continuation, row: Row, rules: RowRules, done: Moment) -> Content:
    del rules
    return plan_acts.lodged(
        book.plan, row.needed("reading"), row.maybe("because"), done
    )


def _taken_over(book: Continuation, row: Row, rules: RowRules, done: Moment) -> Content:
    del book, rules, done
    return plan_acts.taken_over(row.cell("because"))


def _certified(book: Continuation, row: Row, rules: RowRules, done: Moment) -> Content:
    named = row.only_settings(CERTIFIED_SETTINGS)
    file = named.pop("file", None)
    wish = CertificateWish(
        what=row.needed("attribute"),
        results=tuple(row.several("reading")),
        sample=row.maybe("sample"),
        age=row.maybe("check"),
        file=None if file is None else _inside(file, rules.folder),
        **named,
    )
    today = rules.now.astimezone(book.plan.zone).date()
    certified = certify(book.plan, wish, done, today)
    if certified.file is not None:
        book.files.append(certified.file)
    return certified.held


def _inside(name: str, folder: Path | None) -> Path:
    """Return a file that stands in the folder of the rows, or below it."""
    path = PurePosixPath(name)
    if folder is None or path.is_absolute() or ".." in path.parts:
        fault = f"column settings: file={name} is to lie in the folder of this file"
        raise ReadingsError([fault])
    return folder / path


_Make = Callable[[Continuation, Row, "RowRules", Moment], Content]

#: Kind -> makes the content of its entry from a row.
PLAN_ROWS: Final[Mapping[str, _Make]] = {
    "lodged": _lodged,
    "taken-over": _taken_over,
    "certified": _certified,
}
