"""Workbooks for tests: by a library, or part by part as other programs write them."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable, Mapping, Sequence

from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_KIND = "application/vnd.openxmlformats-officedocument.spreadsheetml"
#: Part -> what it holds.
_KINDS = {
    "workbook": "sheet.main",
    "worksheets/sheet1": "worksheet",
    "sharedStrings": "sharedStrings",
    "styles": "styles",
}


def new_sheet(rows: Iterable[Sequence[object]]) -> tuple[Workbook, Worksheet]:
    """Return a workbook of one sheet with rows in it."""
    book = Workbook()
    sheet = book.active
    assert isinstance(sheet, Worksheet)
    for row in rows:
        sheet.append(list(row))
    return book, sheet


def saved(book: Workbook) -> bytes:
    """Return a workbook as a file."""
    kept = io.BytesIO()
    book.save(kept)
    return kept.getvalue()


def packed(parts: Mapping[str, str | bytes]) -> bytes:
    """Return parts as a ZIP archive."""
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in parts.items():
            archive.writestr(name, text)
    return kept.getvalue()


def parts_of(content: bytes) -> dict[str, bytes]:
    """Return the parts of a ZIP archive."""
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def by_hand(
    sheet_data: str, *, shared: Sequence[str] = (), date_1904: bool = False
) -> dict[str, str | bytes]:
    """Return the parts of a workbook written by hand, after ECMA-376 part 1.

    Parameters
    ----------
    sheet_data
        What stands inside `sheetData`.
    shared
        Texts that cells name by their number.
    date_1904
        Whether days count from 1904 (18.2.28), as some programs have it.
    """
    strings = "".join(f"<si><t>{text}</t></si>" for text in shared)
    epoch = '<workbookPr date1904="1"/>' if date_1904 else ""
    return {
        "[Content_Types].xml": (
            f'<Types xmlns="{_PACKAGE}/content-types">'
            '<Default Extension="rels" ContentType='
            '"application/vnd.openxmlformats-package.relationships+xml"/>'
            '<Default Extension="xml" ContentType="application/xml"/>'
            + "".join(
                f'<Override PartName="/xl/{name}.xml" '
                f'ContentType="{_KIND}.{kind}+xml"/>'
                for name, kind in _KINDS.items()
            )
            + "</Types>"
        ),
        "_rels/.rels": (
            f'<Relationships xmlns="{_PACKAGE}/relationships">'
            f'<Relationship Id="rId1" Type="{_OFFICE}/officeDocument" '
            'Target="xl/workbook.xml"/></Relationships>'
        ),
        "xl/workbook.xml": (
            f'<workbook xmlns="{_MAIN}" xmlns:r="{_OFFICE}">{epoch}<sheets>'
            '<sheet name="Readings" sheetId="1" r:id="rId1"/></sheets></workbook>'
        ),
        "xl/_rels/workbook.xml.rels": (
            f'<Relationships xmlns="{_PACKAGE}/relationships">'
            f'<Relationship Id="rId1" Type="{_OFFICE}/worksheet" '
            'Target="worksheets/sheet1.xml"/>'
            f'<Relationship Id="rId2" Type="{_OFFICE}/sharedStrings" '
            'Target="sharedStrings.xml"/>'
            f'<Relationship Id="rId3" Type="{_OFFICE}/styles" Target="styles.xml"/>'
            "</Relationships>"
        ),
        "xl/styles.xml": (
            f'<styleSheet xmlns="{_MAIN}"><fonts><font/></fonts>'
            "<fills><fill><patternFill/></fill></fills>"
            "<borders><border/></borders><cellStyleXfs><xf/></cellStyleXfs>"
            '<cellXfs><xf numFmtId="0"/><xf numFmtId="2" applyNumberFormat="1"/>'
            '<xf numFmtId="14" applyNumberFormat="1"/></cellXfs></styleSheet>'
        ),
        "xl/sharedStrings.xml": f'<sst xmlns="{_MAIN}">{strings}</sst>',
        "xl/worksheets/sheet1.xml": (
            f'<worksheet xmlns="{_MAIN}"><sheetData>{sheet_data}</sheetData>'
            "</worksheet>"
        ),
    }
