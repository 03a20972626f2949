"""The bench workbook: what is due on a day, to be filled and read back.

One sheet for each study, named by its code, in the wide form that `log --from` reads;
one sheet, Day, for what holds the whole day. Only cells to be filled are unlocked, and
the protection has no password.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Final

from openpyxl import Workbook
from openpyxl.cell.cell import Cell, MergedCell
from openpyxl.packaging.custom import StringProperty
from openpyxl.styles import (
    Alignment,
    Border,
    Font,
    PatternFill,
    Protection,
    Side,
)
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.page import PageMargins
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from stability.model.sheet_day import NOT_DUE, SheetDay, SheetSample
from stability.report.bench_columns import columns_of
from stability.report.bench_rules import Words, add_rules, put

#: Names that reading a workbook back looks for.
DAY_SHEET: Final = "Day"
ANCHORS: Final = "StabilityAnchors"
_ASIDE = Font(color="FF595959", italic=True)
_GREY = PatternFill("solid", start_color="FFD9D9D9")
_HEAD = PatternFill("solid", start_color="FFEDEDED")
_OPEN = Protection(locked=False)
_EDGE = Side(style="thin", color="FF7F7F7F")
_FRAMED = Border(left=_EDGE, right=_EDGE, top=_EDGE, bottom=_EDGE)
_WRAPPED = Alignment(wrap_text=True, vertical="top")
#: A fixed time, so that the same records give the same bytes.
_ZIP_TIME: Final = (1980, 1, 1, 0, 0, 0)
_STAMP = re.compile(rb"(<dcterms:(created|modified)[^>]*>)[^<]*(</dcterms:)")
_HOW: Final = """\
Fill the framed cells, save, then: stability log --from THIS_FILE. Nothing is stored
before; --dry-run shows what would be.
An empty cell is not recorded. Where something could not be read, write not-measured,
and the reason into because.
Numbers are stored as the cell shows them: 5.47, or 5,47 where your program writes so.
Settings and observers above hold for the whole day; change what was otherwise. Part
several observers by a semicolon, in the order of their words: Ana; Ben.
""".splitlines()


def workbook_bytes(days: Sequence[SheetDay]) -> bytes:
    """Return the workbook of a check day.

    Parameters
    ----------
    days
        One for each study, at least one.
    """
    book = Workbook()
    first = book.active
    if first is not None:
        book.remove(first)
    sheets = [book.create_sheet(one.study.code) for one in days]
    day_sheet = book.create_sheet(DAY_SHEET)
    words = Words(day_sheet)
    _fill_day(day_sheet, days)
    for sheet, one in zip(sheets, days, strict=True):
        _fill_study(sheet, one, words)
    anchors = " ".join(str(one.anchor) for one in days)
    properties = getattr(book, "custom_doc_props")  # noqa: B009 - not in the types
    properties.append(StringProperty(name=ANCHORS, value=anchors))
    book.properties.title = f"Check day {days[0].day}"
    book.properties.creator = "stability"
    kept = io.BytesIO()
    book.save(kept)
    return _same_bytes(kept.getvalue(), days[0].day.isoformat())


def _fill_study(sheet: Worksheet, day: SheetDay, words: Words) -> None:
    columns = columns_of(day)
    for place, column in enumerate(columns, 1):
        cell = sheet.cell(1, place)
        put(cell, column.heading)
        cell.font, cell.fill, cell.alignment = Font(bold=True), _HEAD, _WRAPPED
        sheet.column_dimensions[get_column_letter(place)].width = column.width
    for row, one in enumerate(day.samples, 2):
        due = {each.task.due for each in one.tasks}
        for place, column in enumerate(columns, 1):
            cell = sheet.cell(row, place)
            cell.alignment = _WRAPPED
            if column.fact:
                put(cell, _fact(column.fact, day, one))
                _fact_form(cell, column.fact)
            elif column.due in due:
                cell.protection, cell.border = _OPEN, _FRAMED
                cell.number_format = column.number_format
            else:
                put(cell, NOT_DUE)
                cell.fill, cell.font = _GREY, _ASIDE
    add_rules(sheet, day, columns, words)
    sheet.freeze_panes = "C2"
    _protect(sheet)
    _fit_width(sheet)
    sheet.print_title_rows = "1:1"


def _fit_width(sheet: Worksheet) -> None:
    """Let a sheet be printed across one page, and down as many as it needs."""
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = sheet.PAPERSIZE_A4
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.page_margins = PageMargins(left=0.4, right=0.4, top=0.4, bottom=0.4)


def _fact_form(cell: Cell | MergedCell, fact: str) -> None:
    if fact in {"date", "control", "because", "note"}:
        cell.protection, cell.border = _OPEN, _FRAMED
    if fact == "date":
        cell.number_format = "yyyy-mm-dd"


def _fact(fact: str, day: SheetDay, one: SheetSample) -> str | date | None:
    sample, planned = one.sample, one.planned
    late = " (overdue)" if planned.closes < day.day else ""
    facts: dict[str, str | date | None] = {
        "sample": sample.code,
        "check": planned.check,
        "date": day.day,
        "batch": sample.batch,
        "pack": sample.pack,
        "condition": sample.condition,
        "due": f"{planned.due}{late}",
    }
    return facts.get(fact)


def _fill_day(sheet: Worksheet, days: Sequence[SheetDay]) -> None:
    """Write what holds for the whole day: a name, and its value beside it."""
    rows: list[tuple[str, str, bool]] = [
        ("day", days[0].day.isoformat(), False),
        *(row for one in days for row in _day_rows(one)),
    ]
    for number, (name, value, is_open) in enumerate(rows, 1):
        put(sheet.cell(number, 1), name)
        cell = sheet.cell(number, 2)
        put(cell, value)
        cell.number_format = "@"
        if is_open:
            cell.protection, cell.border = _OPEN, _FRAMED
    cautions = dict.fromkeys(caution for one in days for caution in one.cautions)
    told = [*_HOW, *cautions, *_laboratory(days), _ASSESSMENT]
    for number, line in enumerate(told, len(rows) + 2):
        put(sheet.cell(number, 1), line)
    sheet.column_dimensions["A"].width = 34
    sheet.column_dimensions["B"].width = 40
    # On paper as far as its longest line reaches, without the lists at the right.
    sheet.print_area = f"A1:H{len(rows) + 1 + len(told)}"
    _fit_width(sheet)
    _protect(sheet)


_ASSESSMENT: Final = (
    "What is recorded here supports, and does not replace, assessment by a qualified "
    "safety assessor. Follow the rules of the place of sale."
)


def _day_rows(day: SheetDay) -> Iterable[tuple[str, str, bool]]:
    code = day.study.code
    yield (f"{code} product", f"{day.study.product} {day.study.version}", False)
    yield (f"{code} protocol", day.protocol.title, False)
    yield (f"{code} record", str(day.anchor), False)
    observers = "; ".join(day.facts.observers) if day.facts is not None else ""
    yield (f"{code} observers", observers, True)
    for attribute, settings in day.settings.items():
        for name, value in settings.items():
            yield (f"{code} {attribute}.{name}", value, True)


def _laboratory(days: Sequence[SheetDay]) -> Iterable[str]:
    for day in days:
        for one in day.samples:
            if one.laboratory:
                names = " and ".join(
                    f"{each.name} ({each.takes_g} g)" for each in one.laboratory
                )
                yield f"{one.sample.code}: take for the laboratory: {names}."


def _protect(sheet: Worksheet) -> None:
    sheet.protection.sheet = True
    sheet.protection.formatColumns = False
    sheet.protection.formatRows = False


def _same_bytes(content: bytes, day: str) -> bytes:
    """Return a workbook without the times at which it was written."""
    stamp = f"{day}T00:00:00Z".encode()
    kept = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(content)) as packed,
        zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as again,
    ):
        for name in packed.namelist():
            part = packed.read(name)
            if name == "docProps/core.xml":
                part = _STAMP.sub(rb"\g<1>" + stamp + rb"\g<3>", part)
            again.writestr(zipfile.ZipInfo(name, _ZIP_TIME), part, zipfile.ZIP_DEFLATED)
    return kept.getvalue()
