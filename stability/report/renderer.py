"""Figures drawn straight onto the page: matplotlib's artists as PDF operators.

The texts of a figure go through :func:`stability.report.text.text_runs`, so a name
in any script prints in figures as it does in tables, in the document's own fonts.
Build every figure inside :func:`figure_style`, give it texts as they are, and hand it
to :class:`FigureFlowable`. Hatches and images are refused: bands are told apart by
tint and outline, photographs are flowables of their own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, cast

import numpy as np
from matplotlib import style
from matplotlib.backend_bases import (
    FigureCanvasBase,
    GraphicsContextBase,
    RendererBase,
)
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties, weight_dict
from matplotlib.path import Path
from matplotlib.transforms import Affine2D, Transform
from reportlab.lib.colors import Color
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject
from reportlab.platypus import Flowable

from stability.report.fonts import Face, ReportFonts
from stability.report.text import Run, draw_runs, text_runs

_CAPS = {"butt": 0, "round": 1, "projecting": 2}
_JOINS = {"miter": 0, "round": 1, "bevel": 2}
_NON_ZERO = 1
# Height and depth of a line of DejaVu Sans, in shares of its size ("lp").
_LINE_HEIGHT = 0.968
_LINE_DEPTH = 0.208

_STYLE: Any = {
    "figure.dpi": 72,
    "savefig.dpi": 72,
    "text.parse_math": False,
    "font.family": ["sans-serif"],
    "font.sans-serif": ["DejaVu Sans"],
    "font.size": 7.5,
    "axes.titlesize": 8,
    "axes.labelsize": 7.5,
    "xtick.labelsize": 7,
    "ytick.labelsize": 7,
    "axes.linewidth": 0.5,
    "axes.edgecolor": "0.35",
    "axes.labelcolor": "0.15",
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.formatter.useoffset": False,
    "axes.xmargin": 0.02,
    "xtick.color": "0.35",
    "ytick.color": "0.35",
    "xtick.labelcolor": "0.15",
    "ytick.labelcolor": "0.15",
    "xtick.major.width": 0.5,
    "ytick.major.width": 0.5,
    "xtick.major.size": 2.5,
    "ytick.major.size": 2.5,
    "lines.linewidth": 1.0,
    "lines.markersize": 4.5,
    "path.simplify": True,
}


@contextmanager
def figure_style() -> Iterator[None]:
    """Hold matplotlib to its shipped settings and ours, whatever the user's file says.

    Build each figure inside it. Texts are never read as formulas there, so a batch
    called ``$5$`` prints as typed.
    """
    with style.context(["default", _STYLE]):
        yield


@dataclass(frozen=True, slots=True)
class PlannedFigure:
    """A figure that is made when it is drawn, so that few stand in memory at once."""

    #: width [mm]
    width_mm: float
    #: height [mm]
    height_mm: float
    #: makes the figure, in this size
    make: Callable[[], Figure]


class FigureFlowable(Flowable):
    """A matplotlib figure as a block of the story, in its own size.

    Parameters
    ----------
    figure
        Built inside :func:`figure_style`, with ``layout="constrained"``; or planned.
    fonts
        The report's fonts.
    """

    def __init__(self, figure: Figure | PlannedFigure, fonts: ReportFonts) -> None:
        super().__init__()
        self._figure = figure
        self._fonts = fonts
        if isinstance(figure, PlannedFigure):
            self.width, self.height = figure.width_mm * mm, figure.height_mm * mm
        else:
            width, height = figure.get_size_inches()
            self.width, self.height = float(width) * 72, float(height) * 72
        self.hAlign = "LEFT"

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: ARG002, N803 -- the library's names
        """Return the size, which is the figure's own."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw the figure onto the page."""
        planned = self._figure
        figure = planned.make() if isinstance(planned, PlannedFigure) else planned
        figure.set_dpi(72)
        renderer = CanvasRenderer(self.canv, self.width, self.height, self._fonts)
        _RendererHolder(figure, renderer)
        with figure_style():
            figure.draw(renderer)


class _RendererHolder(FigureCanvasBase):
    """Gives the figure's layout our widths of text instead of a bitmap's."""

    def __init__(self, figure: Figure, renderer: CanvasRenderer) -> None:
        super().__init__(figure)
        self._renderer = renderer

    def get_renderer(self) -> CanvasRenderer:
        return self._renderer


class CanvasRenderer(RendererBase):
    """Draws what matplotlib asks for on a canvas; one unit is one point.

    Parameters
    ----------
    canvas
        Whose origin is the lower left corner of the figure.
    width, height
        Size of the figure in points.
    fonts
        The report's fonts.
    """

    def __init__(
        self, canvas: Canvas, width: float, height: float, fonts: ReportFonts
    ) -> None:
        super().__init__()
        self._canvas = canvas
        self._size = (width, height)
        self._fonts = fonts
        self._runs: dict[tuple[str, Face], list[Run]] = {}

    def flipy(self) -> bool:
        """Say that y grows upwards."""
        return False

    def get_canvas_width_height(self) -> tuple[float, float]:
        """Return the size of the figure in points."""
        return self._size

    def points_to_pixels(self, points: Any) -> Any:
        """Return points: a unit here is a point."""
        return points

    def draw_path(
        self,
        gc: GraphicsContextBase,
        path: Path,
        transform: Transform,
        rgbFace: Any = None,  # noqa: N803 -- the library's name
    ) -> None:
        """Stroke and fill one path."""
        stroked, filled = self._begin(gc, rgbFace)
        self._paint(path, transform, stroked=stroked, filled=filled)
        self._canvas.restoreState()

    def draw_markers(  # noqa: PLR0917 -- the library's signature
        self,
        gc: GraphicsContextBase,
        marker_path: Path,
        marker_trans: Transform,
        path: Path,
        trans: Transform,
        rgbFace: Any = None,  # noqa: N803 -- the library's name
    ) -> None:
        """Draw one marker at each vertex, with colours set once."""
        stroked, filled = self._begin(gc, rgbFace)
        for vertices, _ in path.iter_segments(trans, simplify=False):
            x, y = vertices[-2:]
            there = marker_trans + Affine2D().translate(x, y)
            self._paint(marker_path, there, stroked=stroked, filled=filled)
        self._canvas.restoreState()

    def draw_image(self, *args: Any, **kwargs: Any) -> None:  # noqa: ARG002
        """Refuse images."""
        msg = "figures of a report are vector drawings: no images"
        raise ValueError(msg)

    def draw_gouraud_triangles(self, *args: Any, **kwargs: Any) -> None:  # noqa: ARG002
        """Refuse shaded triangles."""
        msg = "figures of a report are plain drawings: no shading"
        raise ValueError(msg)

    def draw_text(  # noqa: PLR0917 -- the library's signature
        self,
        gc: GraphicsContextBase,
        x: float,
        y: float,
        s: str,
        prop: FontProperties,
        angle: float,
        ismath: Any = False,
        mtext: Any = None,
    ) -> None:
        """Draw one line of text; formulas go as outlines."""
        if ismath:
            super().draw_text(gc, x, y, s, prop, angle, ismath, mtext)
            return
        self._begin(gc, gc.get_rgb())
        self._canvas.translate(float(x), float(y))
        if angle:
            self._canvas.rotate(float(angle))
        runs = self._in_fonts(s, prop)
        draw_runs(self._canvas, 0, 0, runs, prop.get_size_in_points())
        self._canvas.restoreState()

    def get_text_width_height_descent(
        self, s: str, prop: FontProperties, ismath: Any
    ) -> tuple[float, float, float]:
        """Measure one line of text in the fonts in which it prints."""
        if ismath:
            width, height, descent = super().get_text_width_height_descent(
                s, prop, ismath
            )
            return float(width), float(height), float(descent)
        size = prop.get_size_in_points()
        runs = self._in_fonts(s, prop)
        width = sum(stringWidth(run.text, run.font, size) for run in runs)
        return width, _LINE_HEIGHT * size, _LINE_DEPTH * size

    def _in_fonts(self, text: str, prop: FontProperties) -> list[Run]:
        key = (text, _face(prop))
        if key not in self._runs:
            self._runs[key] = text_runs(text, self._fonts, key[1])
        return self._runs[key]

    def _begin(self, gc: GraphicsContextBase, fill: Any) -> tuple[bool, bool]:
        """Save the state and set clip, colours and line; say what is painted."""
        if gc.get_hatch() is not None:
            msg = "figures of a report know no hatches: use tint and outline"
            raise ValueError(msg)
        canvas = self._canvas
        canvas.saveState()
        self._clip(gc)
        line = _colour(gc.get_rgb(), gc)
        stroked = gc.get_linewidth() > 0 and line.alpha > 0
        if stroked:
            self._set_line(gc, line)
        area = None if fill is None else _colour(fill, gc)
        if area is not None and area.alpha > 0:
            canvas.setFillColor(area)
            return stroked, True
        return stroked, False

    def _set_line(self, gc: GraphicsContextBase, colour: Color) -> None:
        canvas = self._canvas
        canvas.setStrokeColor(colour)
        canvas.setLineWidth(float(gc.get_linewidth()))
        canvas.setLineCap(_CAPS[str(gc.get_capstyle())])
        canvas.setLineJoin(_JOINS[str(gc.get_joinstyle())])
        offset, dashes = gc.get_dashes()
        if dashes is not None:
            canvas.setDash(np.asarray(dashes, float).tolist(), float(offset or 0))

    def _clip(self, gc: GraphicsContextBase) -> None:
        box = gc.get_clip_rectangle()
        if box is not None:
            frame = self._canvas.beginPath()
            frame.rect(*(float(edge) for edge in box.bounds))
            self._canvas.clipPath(frame, stroke=0, fill=0)
        path, transform = gc.get_clip_path()
        if path is not None and transform is not None:
            outline = self._outline(cast("Path", path), transform)
            self._canvas.clipPath(outline, stroke=0, fill=0, fillMode=_NON_ZERO)

    def _paint(
        self, path: Path, transform: Transform, *, stroked: bool, filled: bool
    ) -> None:
        self._canvas.drawPath(
            self._outline(
                path, transform, simplify=path.should_simplify and not filled
            ),
            stroke=int(stroked),
            fill=int(filled),
            fillMode=_NON_ZERO,
        )

    def _outline(
        self, path: Path, transform: Transform, *, simplify: bool = False
    ) -> PDFPathObject:
        outline = self._canvas.beginPath()
        here = (0.0, 0.0)
        for vertices, code in path.iter_segments(transform, simplify=simplify):
            points = [float(vertex) for vertex in vertices]
            here = _add_segment(outline, int(code), points, here)
        return outline


def _add_segment(
    outline: PDFPathObject,
    code: int,
    points: Sequence[float],
    here: tuple[float, float],
) -> tuple[float, float]:
    """Append one segment of a path and return where it ends."""
    if code == Path.CLOSEPOLY:
        outline.close()
        return here
    x, y = points[-2:]
    if code == Path.MOVETO:
        outline.moveTo(x, y)
    elif code == Path.LINETO:
        outline.lineTo(x, y)
    elif code == Path.CURVE3:
        # A quadratic curve as the cubic one of the same shape.
        (x0, y0), (x1, y1) = here, (points[0], points[1])
        outline.curveTo(
            x0 + (x1 - x0) * 2 / 3,
            y0 + (y1 - y0) * 2 / 3,
            x + (x1 - x) * 2 / 3,
            y + (y1 - y) * 2 / 3,
            x,
            y,
        )
    elif code == Path.CURVE4:
        outline.curveTo(*points)
    return x, y


def _colour(rgba: Any, gc: GraphicsContextBase) -> Color:
    red, green, blue = (float(part) for part in rgba[:3])
    if gc.get_forced_alpha():
        alpha = gc.get_alpha()
    else:
        alpha = rgba[3] if len(rgba) > 3 else 1.0
    return Color(red, green, blue, float(1.0 if alpha is None else alpha))


def _face(prop: FontProperties) -> Face:
    weight = prop.get_weight()
    bold = (weight_dict[weight] if isinstance(weight, str) else weight) >= 600
    oblique = prop.get_style() != "normal"
    if bold:
        return "bold oblique" if oblique else "bold"
    return "oblique" if oblique else "regular"
