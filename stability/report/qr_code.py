"""QR codes drawn on a page."""

from __future__ import annotations

from itertools import groupby
from typing import Any, Final

from reportlab.graphics.barcode.qr import QrCodeWidget
from reportlab.pdfgen.canvas import Canvas

#: A sample code has at most 12 characters of the alphanumeric set, which 21 modules
#: hold at this level (ISO/IEC 18004): a quarter of them may be frosted over.
_LEVEL: Final = "Q"
#: White modules around a QR code (ISO/IEC 18004).
_QUIET_ZONE: Final = 4


def draw_qr(canvas: Canvas, code: str, left: float, top: float, side: float) -> None:
    """Draw a QR code as one path: bar by bar takes twice as long.

    Parameters
    ----------
    canvas
        Filled in the colour that is set.
    code
        What it holds.
    left, top
        Upper left corner of its white edge [points].
    side
        Width and height with the white edge [points].
    """
    widget: Any = QrCodeWidget(code, barLevel=_LEVEL)
    encoder = widget.qr
    encoder.make()
    module = side / (encoder.getModuleCount() + 2 * _QUIET_ZONE)
    path = canvas.beginPath()
    for number, row in enumerate(encoder.modules, start=1):
        y = top - (number + _QUIET_ZONE) * module
        at = _QUIET_ZONE
        for dark, run in groupby(map(bool, row)):
            length = len(list(run))
            if dark:
                path.rect(left + at * module, y, length * module, module)
            at += length
    canvas.drawPath(path, stroke=0, fill=1)
