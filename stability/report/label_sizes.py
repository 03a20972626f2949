"""Sheets of labels by their size in millimetres, and where each label lies.

Sizes, numbers and pitches of the table are those of sheets as shops sell them (common
practice); a sheet that differs is met by a margin and a pitch of its own.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Final

from stability.errors.labels import LabelKindError, LabelSheetError, LabelSizeError

#: Width and height [mm].
Size = tuple[float, float]

_A4: Final = (210.0, 297.0)
_LETTER: Final = (215.9, 279.4)
_SIZE = re.compile(
    r"\s*(\d{1,4}(?:\.\d{1,3})?)\s*[x×]\s*(\d{1,4}(?:\.\d{1,3})?)\s*",
    re.ASCII | re.IGNORECASE,
)
#: How far a label may reach over the page: sheets are cut to a tenth [mm].
_CUT: Final = 0.5
#: Smallest label on which a code can be read, widest that a printer takes [mm].
_SMALLEST: Final = (15.0, 8.0)
_LARGEST: Final = 400.0


def size_text(size: Size) -> str:
    """Return a size as people write it.

    Examples
    --------
    >>> size_text((63.5, 38.0))
    '63.5x38'
    """
    return f"{size[0]:g}x{size[1]:g}"


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """A page of labels of one size."""

    #: Width and height of the page [mm].
    page: Size
    #: Width and height of one label [mm].
    label: Size
    #: Labels in a row [-].
    columns: int
    #: Rows on the page [-].
    rows: int
    #: From the left edge of a label to the next, from the top edge to the next [mm].
    pitch: Size
    #: From the page's left and top edge to the first label [mm].
    margin: Size
    #: Whether every label is a page of its own.
    printer: bool = False

    @property
    def count(self) -> int:
        """Labels on a page [-]."""
        return self.columns * self.rows

    @property
    def name(self) -> str:
        """Return the size of a label as people write it: `63.5x38.1`."""
        return size_text(self.label)

    def corner(self, place: int) -> Size:
        """Return the left and top edge of a label, from the page's top left [mm].

        Parameters
        ----------
        place
            Place on the page, from 0, row by row.
        """
        row, column = divmod(place, self.columns)
        return (
            self.margin[0] + column * self.pitch[0],
            self.margin[1] + row * self.pitch[1],
        )


def _sheet(
    label: Size, across: int, down: int, gap: Size = (0, 0), page: Size = _A4
) -> LabelSheet:
    """Return a sheet whose labels stand in the middle of the page."""
    pitch = (label[0] + gap[0], label[1] + gap[1])
    margin = (
        round((page[0] - across * pitch[0] + gap[0]) / 2, 2),
        round((page[1] - down * pitch[1] + gap[1]) / 2, 2),
    )
    return LabelSheet(page, label, across, down, pitch, margin)


#: Sheets that are known, the largest label first (common practice).
SHEETS: Final = {
    one.name: one
    for one in (
        _sheet((105, 57), 2, 5),
        _sheet((99.1, 67.7), 2, 4, (2.5, 0)),
        _sheet((99.1, 38.1), 2, 7, (2.5, 0)),
        _sheet((101.6, 50.8), 2, 5, (4.8, 0), _LETTER),
        _sheet((70, 42.3), 3, 7),
        _sheet((70, 37), 3, 8),
        _sheet((66.7, 25.4), 3, 10, (3.15, 0), _LETTER),
        _sheet((63.5, 38.1), 3, 7, (2.54, 0)),
        _sheet((63.5, 33.9), 3, 8, (2.54, 0)),
        _sheet((52.5, 29.7), 4, 10),
        _sheet((48.5, 25.4), 4, 11),
        _sheet((45.7, 21.2), 4, 12, (2.5, 0)),
        _sheet((38.1, 21.2), 5, 13, (2.5, 0)),
    )
}
#: The sheet where none is named.
USUAL_SHEET: Final = "63.5x38.1"


def sheet_for(
    sheet: str | None = None,
    printer: str | None = None,
    margin: str | None = None,
    pitch: str | None = None,
) -> LabelSheet:
    """Return the sheet that was asked for.

    Parameters
    ----------
    sheet
        Size of the labels of a known sheet, as typed; None: the usual one.
    printer
        Size of one label for a label printer, as typed; None: a sheet.
    margin, pitch
        Of the sheet at hand, as typed; None: as in the table.

    Raises
    ------
    LabelSheetError, LabelSizeError
        If a size is not known, cannot be read, or does not fit on the page.
    LabelKindError
        If an option for sheets stands beside a printer.
    """
    if printer is not None:
        for option, typed in (
            ("--sheet", sheet), ("--margin", margin), ("--pitch", pitch),
        ):  # fmt: skip
            if typed is not None:
                raise LabelKindError(option)
        return _for_printer(printer)
    found = _known(sheet or USUAL_SHEET)
    if pitch is not None:
        found = replace(found, pitch=_size("--pitch", pitch))
    if margin is not None:
        found = replace(found, margin=_size("--margin", margin))
    _check_fit(found, margin, pitch)
    return found


def _known(typed: str) -> LabelSheet:
    match = _SIZE.fullmatch(typed)
    name = size_text((float(match[1]), float(match[2]))) if match else typed
    if name not in SHEETS:
        raise LabelSheetError(typed, list(SHEETS))
    return SHEETS[name]


def _for_printer(typed: str) -> LabelSheet:
    size = _size("--printer", typed)
    if size[0] < _SMALLEST[0] or size[1] < _SMALLEST[1]:
        raise LabelSizeError(
            "--printer",
            typed,
            f"no code can be read below {size_text(_SMALLEST)} mm",
        )
    if max(size) > _LARGEST:
        raise LabelSizeError("--printer", typed, f"the most is {_LARGEST:g} mm")
    return LabelSheet(size, size, 1, 1, size, (0, 0), printer=True)


def _size(option: str, typed: str) -> Size:
    match = _SIZE.fullmatch(typed)
    if match is None:
        raise LabelSizeError(option, typed, "it is no size")
    return float(match[1]), float(match[2])


def _check_fit(sheet: LabelSheet, margin: str | None, pitch: str | None) -> None:
    """Refuse labels that overlap or reach over the page."""
    option, typed = ("--pitch", pitch) if pitch is not None else ("--margin", margin)
    if typed is None:
        return
    if sheet.pitch[0] < sheet.label[0] or sheet.pitch[1] < sheet.label[1]:
        reason = f"labels of {sheet.name} mm would overlap"
        raise LabelSizeError(option, typed, reason)
    left, top = sheet.corner(sheet.count - 1)
    over = (
        left + sheet.label[0] > sheet.page[0] + _CUT
        or top + sheet.label[1] > sheet.page[1] + _CUT
    )
    if over:
        reason = (
            f"{sheet.columns} x {sheet.rows} labels of {sheet.name} mm would reach "
            "over the page"
        )
        raise LabelSizeError(option, typed, reason)
