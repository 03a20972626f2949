"""Figures in a black-and-white print: what is drawn is seen, and told apart.

A mark or a line needs a contrast of 3 : 1 to what is beside it, words 4.5 : 1: success
criteria 1.4.11 and 1.4.3 of WCAG 2.2, with relative luminance as defined there (from
memory). Pages are turned grey by a program that had no part in drawing them.
"""

from __future__ import annotations

import io
import shutil
import subprocess
from collections.abc import Iterator
from functools import cache
from itertools import combinations
from pathlib import Path
from typing import Any

import pdfplumber
import pytest
from matplotlib.collections import PolyCollection
from matplotlib.colors import to_rgb, to_rgba
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.text import Text
from PIL import Image

from stability.report.figures import planned_figures
from stability.report.fonts import ReportFonts, load_fonts
from stability.report.life_figures import drawn_lives
from stability.report.outlook_plotting import outlook_figure
from stability.report.pages import PageSetup, PdfDescription
from stability.report.pdf import pdf_bytes
from stability.report.plot_names import look_at, marker_style
from stability.report.plotting import (
    EDGE_WIDTH,
    FIT_WIDTH,
    LIMIT_SHADE,
    LIMIT_WIDTH,
)
from stability.report.renderer import FigureFlowable
from stability.report.storage_figure import storage_figure
from tests.report.conftest import MOMENT
from tests.report.printed import EXAMPLES, evaluated
from tests.report.test_chapters_storage import evaluation as logged

LEAST, LEAST_OF_WORDS = 3.0, 4.5
DOTS_PER_INCH = 300
SIXTEEN = range(16)


def luminance(colour: Any) -> float:
    """Return the relative luminance of a colour on white paper [-]."""
    red, green, blue, alpha = to_rgba(colour)
    parts = [alpha * part + 1 - alpha for part in (red, green, blue)]
    linear = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
        for part in parts
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: Any, other: Any = "white") -> float:
    """Return the contrast of two colours, from 1 to 21 [-]."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


@cache
def figures(name: str) -> tuple[Figure, ...]:
    """Return every figure of an example's report, made anew."""
    evaluation, fonts = evaluated(name), load_fonts()
    found = [
        planned.make()
        for attribute in evaluation.identity.protocol.attributes
        for planned in planned_figures(evaluation, attribute, fonts)
    ]
    if evaluation.shelf_life is not None:
        lives = drawn_lives(evaluation, evaluation.shelf_life)
        found += [outlook_figure([panel], fonts) for _, panel in lives]
    return tuple(found)


def artists(name: str, kind: type[Any]) -> Iterator[Any]:
    """Yield what is drawn of one kind in the figures of an example."""
    for figure in figures(name):
        yield from (one for one in figure.findobj(kind) if one.get_visible())


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_line_and_every_mark_is_seen_on_white(name: str) -> None:
    seen = 0
    for line in artists(name, Line2D):
        alpha = line.get_alpha() or 1
        if line.get_linestyle() != "None" and line.get_linewidth():
            colour = (*to_rgb(line.get_color()), alpha)
            assert contrast(colour) >= LEAST, line.get_color()
            seen += 1
        if line.get_marker() not in {"None", "", None} and len(line.get_xdata()):
            parts = (line.get_markerfacecolor(), line.get_markeredgecolor())
            drawn = [part for part in parts if str(part) != "none"]
            assert max(map(contrast, drawn)) >= LEAST, parts
            seen += 1
    assert seen > 20


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_word_is_read_on_white(name: str) -> None:
    words = [one for one in artists(name, Text) if one.get_text().strip()]
    assert len(words) > 20
    for one in words:
        assert contrast(one.get_color()) >= LEAST_OF_WORDS, one.get_text()
        assert (one.get_alpha() or 1) == 1


def test_what_a_store_did_is_seen_on_white_and_its_limits_are_seen_on_it() -> None:
    storage = logged().storage
    drawn = storage.envelopes[0]
    stored = next(one for one in storage.conditions if one.condition == drawn.condition)
    figure = storage_figure(stored, drawn, storage.zone)
    bands = list(figure.findobj(PolyCollection))
    assert bands
    for band in bands:
        assert isinstance(band, PolyCollection)
        shades: Any = band.get_facecolor()
        shade = tuple(shades[0])
        assert contrast(shade) >= LEAST
        assert contrast(shade, LIMIT_SHADE) >= LEAST


def test_sixteen_batches_differ_in_marker_or_in_its_filling() -> None:
    looks = [
        (look_at(look)[1], marker_style(look)["markerfacecolor"] == "white")
        for look in SIXTEEN
    ]
    assert len(set(looks)) == len(looks)


def dashes(look: int) -> tuple[float, ...]:
    """Return strokes and gaps of a line; () for a line without gaps."""
    pattern = look_at(look)[2]
    return () if pattern == "solid" else tuple(pattern[1])  # type: ignore[index]  # a pair


def test_the_lines_of_eight_batches_differ_in_their_dashes() -> None:
    # Dashes are told apart by the length of a stroke, of a gap, or their number.
    for one, other in combinations(map(dashes, range(8)), 2):
        if len(one) == len(other):
            parts = zip(one, other, strict=True)
            assert max(max(pair) / min(pair) for pair in parts) >= 1.25, (one, other)


@pytest.mark.parametrize("name", EXAMPLES)
def test_lines_of_one_panel_differ_without_colour(name: str) -> None:
    panels = 0
    for figure in figures(name):
        for axes in figure.axes:
            fits = [
                line
                for line in axes.get_lines()
                if line.get_linewidth() in {FIT_WIDTH, 0.8}
                and line.get_linestyle() != "None"
                and line.get_transform() == axes.transData
                and line.get_color() != LIMIT_SHADE
            ]
            by_shade = {
                str(line.get_color()): str(line._dash_pattern)  # type: ignore[attr-defined]  # nothing public tells it
                for line in fits
            }
            assert len(set(by_shade.values())) == len(by_shade)
            panels += len(by_shade) > 1
    assert panels or name != "day_cream"


def test_a_fitted_line_has_the_dashes_that_name_it_beside_its_panel() -> None:
    drawn = set()
    for figure in figures("day_cream"):
        for axes in figure.axes:
            for line in axes.get_lines():
                if line.get_color() == look_at(1)[0] and line.get_linestyle() != "None":
                    width = line.get_linewidth()
                    _, pattern = line._dash_pattern  # type: ignore[attr-defined]  # nothing public tells it
                    if width > EDGE_WIDTH:
                        drawn.add(tuple(round(one / width, 6) for one in pattern or ()))
    # Lines fitted, lines joined, and the sample beside the panel.
    assert drawn == {dashes(1)}


def test_limits_are_thicker_than_lines_and_edges_of_bands_thinner() -> None:
    assert LIMIT_WIDTH >= 1.5 * FIT_WIDTH
    assert FIT_WIDTH >= 2 * EDGE_WIDTH
    # Below a quarter of a point many printers lose a line (common practice).
    assert EDGE_WIDTH >= 0.25


@pytest.mark.parametrize("name", EXAMPLES)
def test_only_limits_are_as_thick_as_limits(name: str) -> None:
    thick = {
        str(line.get_color())
        for line in artists(name, Line2D)
        if line.get_linestyle() != "None" and line.get_linewidth() >= LIMIT_WIDTH
    }
    assert thick == {LIMIT_SHADE}


def grey_page(content: bytes, folder: Path) -> Image.Image:
    """Return the only page of a document as a grey print shows it."""
    (folder / "page.pdf").write_bytes(content)
    command = ["pdftoppm", "-gray", "-singlefile", "-r", str(DOTS_PER_INCH)]
    subprocess.run(
        [*command, str(folder / "page.pdf"), str(folder / "page")], check=True
    )
    return Image.open(folder / "page.pgm").convert("L")


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="needs poppler's pdftoppm")
@pytest.mark.parametrize("name", EXAMPLES)
def test_on_the_grey_page_limits_and_marks_stand_out(
    name: str, tmp_path: Path, fonts: ReportFonts
) -> None:
    description = PdfDescription("Title", "Author", "Subject", MOMENT)
    limits = marks = 0
    for figure in figures(name)[:4]:
        story = [FigureFlowable(figure, fonts)]
        content = pdf_bytes(story, description, PageSetup(), fonts)
        image = grey_page(content, tmp_path)
        with pdfplumber.open(io.BytesIO(content)) as document:
            page = document.pages[0]
            for line in page.lines:
                if line["linewidth"] == LIMIT_WIDTH and line["width"] > 50:
                    assert share_seen(image, line) > 0.9
                    limits += 1
            for mark in (*page.curves, *page.rects):
                fill = mark["non_stroking_color"]
                if mark["fill"] and max(mark["width"], mark["height"]) < 6:
                    marks += fill not in {(1, 1, 1), (1.0, 1.0, 1.0)}
    assert limits > 3
    assert marks > 10


def share_seen(image: Image.Image, line: dict[str, Any]) -> float:
    """Return the share of a level line that stands out from white [-]."""
    scale = DOTS_PER_INCH / 72
    y = round(float(line["top"]) * scale)
    columns = range(round(line["x0"] * scale) + 3, round(line["x1"] * scale) - 3, 3)
    darkest = [
        min(int(image.getpixel((x, row))) for row in range(y - 2, y + 3))  # type: ignore[arg-type]  # grey: one number
        for x in columns
    ]
    seen = [contrast((level / 255,) * 3) >= LEAST for level in darkest]
    return sum(seen) / len(seen)
