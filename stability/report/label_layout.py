"""Where code, QR code and lines stand on a label, and what fits on it.

The code comes first, then the QR code, then the lines by their rank. A line that is
too long is shortened with an ellipsis; what has no room at all is left off and told.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from reportlab.lib.units import mm

from stability.report.fonts import Face, ReportFonts
from stability.report.label_sizes import LabelSheet
from stability.report.label_words import Label, LabelLine
from stability.report.text import shortened, text_width

#: Height of capitals over size of the font in DejaVu Sans [-].
CAP_SHARE: Final = 0.729
#: Height of a code's letters that is read at arm's length [mm] (common practice: a
#: two-hundredth of the distance, and some more for a frosted lid).
READABLE: Final = 5.0
_TALLEST: Final = 7.0
#: Side below which a QR code of 29 modules with its quiet zone is not printed [mm].
_LEAST_QR: Final = 8.7
#: Side of a QR code where the label has room: its share of the width within bounds
#: [-, mm, mm].
_QR_SHARE: Final = (0.32, 11.5, 20.0)
#: How near to its edge a page is printed by most printers [mm] (common practice).
_UNPRINTED: Final = 4.5
_GAP: Final = 1.5
#: Sizes of the lines [points]; from `_TIGHT` on lines may be shortened.
_SIZES: Final = (9.0, 8.5, 8.0, 7.5, 7.0, 6.5, 6.0, 5.5, 5.0)
_TIGHT: Final = 6.0
_LEADING: Final = 1.18


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on a label, from its left and top edge."""

    #: Left edge [points].
    left: float
    #: Top edge [points].
    top: float
    #: Width [points].
    width: float
    #: Height [points].
    height: float


@dataclass(frozen=True, slots=True)
class LabelFrame:
    """Where things stand on every label of a sheet."""

    #: The code's line.
    code: Box
    #: Size of the code's font [points].
    code_size: float
    #: The QR code with its quiet zone; None where it has no room.
    qr: Box | None
    #: The lines.
    lines: Box

    @property
    def code_height(self) -> float:
        """Height of the code's letters [mm]."""
        return self.code_size * CAP_SHARE / mm

    @property
    def qr_side(self) -> float:
        """Side of the QR code with its quiet zone; 0 where there is none [mm]."""
        return 0.0 if self.qr is None else self.qr.width / mm


@dataclass(frozen=True, slots=True)
class FittedLine:
    """A line as it is printed."""

    #: What is printed.
    text: str
    #: Face of the font.
    face: Face


@dataclass(frozen=True, slots=True)
class FittedLabel:
    """The lines of one label as they are printed."""

    #: The lines from the top.
    lines: tuple[FittedLine, ...]
    #: Size of their font [points].
    size: float
    #: From one base line to the next [points].
    leading: float
    #: Names of the lines that had no room.
    left_off: tuple[str, ...]


def frame_of(sheet: LabelSheet, codes: Sequence[str], fonts: ReportFonts) -> LabelFrame:
    """Return where things stand, so that the longest of the codes fits.

    Parameters
    ----------
    sheet
        The sheet.
    codes
        Codes of all labels; they share one size.
    fonts
        The fonts.
    """
    inner = _inner(sheet)
    wide = max(text_width(code, 1.0, fonts, "bold") for code in codes)
    beside = _beside(inner, wide)
    over = _over(inner, wide)
    readable = min(READABLE, over.code_height) - 0.01
    if over.qr is None or (beside.qr is not None and beside.code_height >= readable):
        return beside
    return over


def fitted(label: Label, box: Box, fonts: ReportFonts) -> FittedLabel:
    """Return the lines of a label as they fit into a box.

    Parameters
    ----------
    label
        The label.
    box
        Room for its lines.
    fonts
        The fonts.
    """
    lines = [_measured(one, fonts) for one in label.lines]
    for size in _SIZES:
        wrapped = [_wrapped(one, box.width / size, 3) for one in lines]
        if all(wrapped) and _high(wrapped, size, box):
            return _result(lines, wrapped, size)
    for size in (one for one in _SIZES if one <= _TIGHT):
        cut = [_cut(one, box.width / size, 2, fonts) for one in lines]
        if all(cut) and _high(cut, size, box):
            return _result(lines, cut, size)
    return _pressed(lines, box, fonts)


@dataclass(frozen=True, slots=True)
class _Measured:
    """A line with the widths of its words."""

    #: The line.
    line: LabelLine
    #: Its words; a separating dot belongs to the word before it.
    words: tuple[str, ...]
    #: Their widths over the size of the font [-].
    widths: tuple[float, ...]
    #: Width of a blank over the size of the font [-].
    blank: float

    @property
    def face(self) -> Face:
        """Return the face in which it prints."""
        return "bold" if self.line.strong else "regular"


@lru_cache(maxsize=2048)
def _measured(line: LabelLine, fonts: ReportFonts) -> _Measured:
    """Measure a line; many labels share one, and every size asks for it."""
    face: Face = "bold" if line.strong else "regular"
    words = tuple(_words(line.text))
    widths = tuple(text_width(one, 1.0, fonts, face) for one in words)
    return _Measured(line, words, widths, text_width(" ", 1.0, fonts, face))


def _pressed(lines: Sequence[_Measured], box: Box, fonts: ReportFonts) -> FittedLabel:
    """Fit in the smallest size: by rank, one print line each, as long as there is room.

    A line that stands whole or not at all may take more.
    """
    size = _SIZES[-1]
    room = box.width / size
    left = int(box.height / (size * _LEADING))
    kept: dict[str, list[str]] = {}
    for one in sorted(lines, key=lambda one: one.line.rank):
        cut = _cut(one, room, 1, fonts)
        if cut and len(cut) <= left:
            kept[one.line.name] = cut
            left -= len(cut)
        else:
            _join(one, lines, kept, room, fonts)
    stay = [one for one in lines if one.line.name in kept]
    left_off = tuple(one.line.name for one in lines if one.line.name not in kept)
    return _result(stay, [kept[one.line.name] for one in stay], size, left_off)


def _join(
    one: _Measured,
    lines: Sequence[_Measured],
    kept: dict[str, list[str]],
    room: float,
    fonts: ReportFonts,
) -> None:
    """Put a line that has no print line of its own behind one of the same face."""
    for other in lines:
        texts = kept.get(other.line.name)
        if not texts or other.face != one.face:
            continue
        joined = f"{texts[-1]} · {one.line.text}"
        if text_width(joined, 1.0, fonts, one.face) <= room:
            kept[other.line.name] = [*texts[:-1], joined]
            kept[one.line.name] = []
            return


def _result(
    lines: Sequence[_Measured],
    printed: Sequence[Sequence[str]],
    size: float,
    left_off: tuple[str, ...] = (),
) -> FittedLabel:
    return FittedLabel(
        tuple(
            FittedLine(text, one.face)
            for one, texts in zip(lines, printed, strict=True)
            for text in texts
        ),
        size,
        size * _LEADING,
        left_off,
    )


def _high(printed: Sequence[Sequence[str]], size: float, box: Box) -> bool:
    """Say whether so many lines of a size are not too high for a box."""
    return sum(map(len, printed)) * size * _LEADING <= box.height


def _cut(one: _Measured, room: float, most: int, fonts: ReportFonts) -> list[str]:
    """Return a line in at most so many print lines, shortened where too wide.

    Empty where it does not stand: a line that is whole or left off may take three.
    """
    if one.line.whole:
        return _wrapped(one, room, 3)
    # A single word may be too wide for any line, so each is shortened.
    cut = [
        shortened(text, 1.0, room, fonts, one.face)
        for text, _ in _broken(one, room, most)
    ]
    return cut if all(cut) else []


def _wrapped(one: _Measured, room: float, most: int) -> list[str]:
    """Return a line wrapped between words; empty where it needs more print lines."""
    broken = _broken(one, room, most)
    fits = all(width <= room for _, width in broken)
    return [text for text, _ in broken] if fits else []


def _broken(one: _Measured, room: float, most: int) -> list[tuple[str, float]]:
    """Break a line between words into at most so many; the last takes the rest.

    Parameters
    ----------
    one
        The line.
    room
        Width over the size of the font [-].
    most
        Print lines [-].
    """
    lines: list[tuple[list[str], float]] = []
    for word, width in zip(one.words, one.widths, strict=True):
        if lines:
            words, taken = lines[-1]
            wider = taken + one.blank + width
            if wider <= room or len(lines) == most:
                lines[-1] = ([*words, word], wider)
                continue
        lines.append(([word], width))
    return [(" ".join(words).removesuffix(" ·"), width) for words, width in lines]


def _words(text: str) -> Iterator[str]:
    """Yield words; a separating dot stays with the word before it."""
    held = ""
    for word in text.split(" "):
        if word == "·" and held:
            held = f"{held} ·"
            continue
        if held:
            yield held
        held = word.strip()
    if held:
        yield held


def _inner(sheet: LabelSheet) -> Box:
    """Return the room within a label, off its edges and off those of the page."""
    width, height = sheet.label
    pad = 2.0 if min(width, height) >= 30 else 1.5
    across = down = pad
    if not sheet.printer:
        across = max(pad, _UNPRINTED - sheet.margin[0])
        down = max(pad, _UNPRINTED - sheet.margin[1])
    return Box(
        across * mm, down * mm, (width - 2 * across) * mm, (height - 2 * down) * mm
    )


def _beside(inner: Box, wide: float) -> LabelFrame:
    """Return the QR code at the right, the code and the lines at its left."""
    side = _qr_side(inner.width, inner.height)
    if side < _LEAST_QR * mm:
        return _framed(inner, inner.width, None, wide, 0.6)
    left = Box(inner.left + inner.width - side, inner.top, side, side)
    return _framed(inner, inner.width - side - _GAP * mm, left, wide, 0.6)


def _over(inner: Box, wide: float) -> LabelFrame:
    """Return the code over the whole width, below it lines and QR code."""
    size = _code_size(inner.width, inner.height, 0.3, wide)
    top = size * CAP_SHARE + _GAP * mm
    side = _qr_side(inner.width, inner.height - top)
    if side < _LEAST_QR * mm:
        return _framed(inner, inner.width, None, wide, 0.3)
    qr = Box(inner.left + inner.width - side, inner.top + top, side, side)
    frame = _framed(inner, inner.width, qr, wide, 0.3)
    room = inner.width - side - _GAP * mm
    lines = Box(inner.left, frame.lines.top, room, frame.lines.height)
    return LabelFrame(frame.code, frame.code_size, qr, lines)


def _framed(
    inner: Box, width: float, qr: Box | None, wide: float, share: float
) -> LabelFrame:
    """Return a frame with code and lines in one column."""
    size = _code_size(width, inner.height, share, wide)
    high = size * CAP_SHARE
    code = Box(inner.left, inner.top, width, high)
    top = high + _GAP * mm
    lines = Box(inner.left, inner.top + top, width, max(inner.height - top, 0.0))
    return LabelFrame(code, size, qr, lines)


def _code_size(width: float, height: float, share: float, wide: float) -> float:
    """Return the size of the code's font: readable first, larger on a large label.

    Parameters
    ----------
    width, height
        Room within the label [points].
    share
        The most of the height that the letters may take [-].
    wide
        Width of the longest code over the size of the font [-].
    """
    wanted = max(READABLE * mm, min(_TALLEST * mm, height / 5))
    return min(width / wide, min(wanted, height * share) / CAP_SHARE)


def _qr_side(width: float, height: float) -> float:
    """Return the side of the QR code in the room that there is [points]."""
    share, least, most = _QR_SHARE
    wanted = max(least * mm, min(most * mm, width * share))
    return min(wanted, height, width * 0.45)
