"""Figures on the page: vector, in the document's fonts, where matplotlib put them."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import matplotlib as mpl
import pdfplumber
import pytest
from matplotlib.figure import Figure

from stability.report.fonts import ReportFonts
from stability.report.pages import PageSetup
from stability.report.renderer import FigureFlowable, figure_style

PLAIN_PAGE = PageSetup(numbered=False)
Draw = Callable[..., Any]


@pytest.fixture
def drawn(render: Callable[..., bytes], kana_fonts: ReportFonts) -> Draw:
    """Return a function that draws a figure and reads its page back."""

    def read(figure: Figure) -> Any:
        content = render([FigureFlowable(figure, kana_fonts)], page=PLAIN_PAGE)
        return pdfplumber.open(io.BytesIO(content)).pages[0]

    return read


def bare(width: float = 4, height: float = 3) -> tuple[Figure, Any]:
    """Return a figure whose axes fill it and show nothing of their own."""
    with figure_style():
        figure = Figure(figsize=(width, height))
        axes = figure.add_axes((0, 0, 1, 1))
        axes.set(xlim=(0, width * 72), ylim=(0, height * 72))
        axes.set_axis_off()
        figure.patch.set_visible(False)
    return figure, axes


def origin(page: Any) -> tuple[float, float]:
    """Return where the figure's lower left corner stands on the page, y upwards."""
    left, top, _, _ = (edge / 25.4 * 72 for edge in PLAIN_PAGE.margins_mm)
    return left, float(page.height) - top - 3 * 72


def test_a_line_stands_where_it_was_drawn(drawn: Draw) -> None:
    figure, axes = bare()
    axes.plot([10, 110], [20, 70], color="#ff0000", linewidth=2)

    page = drawn(figure)
    left, low = origin(page)
    (line,) = page.lines

    assert (line["x0"] - left, line["x1"] - left) == pytest.approx((10, 110), abs=0.01)
    assert (line["y0"] - low, line["y1"] - low) == pytest.approx((20, 70), abs=0.01)
    assert line["linewidth"] == 2
    assert line["stroking_color"] == pytest.approx((1, 0, 0))


def test_dashes_are_drawn_as_dashes(drawn: Draw) -> None:
    figure, axes = bare()
    axes.plot([0, 100], [5, 5], linestyle=(3, (4, 2)), linewidth=1)

    (line,) = drawn(figure).lines

    assert line["dash"] == ([4.0, 2.0], 3.0)


def test_each_point_has_a_marker(drawn: Draw) -> None:
    figure, axes = bare()
    axes.plot([10, 20, 30], [5, 6, 7], "s", markersize=6, markerfacecolor="#00ff00")
    axes.scatter([40, 50], [5, 6], marker="o")

    page = drawn(figure)

    assert len([shape for shape in page.rects if shape["fill"]]) == 3
    assert len([shape for shape in page.curves if shape["fill"]]) == 2


def test_an_open_marker_is_not_filled(drawn: Draw) -> None:
    figure, axes = bare()
    axes.plot([10], [5], "s", markerfacecolor="none", markeredgecolor="k")

    (shape,) = drawn(figure).rects

    assert shape["stroke"]
    assert not shape["fill"]


def test_a_band_is_see_through(drawn: Draw, render: Draw, kana_fonts: Any) -> None:
    figure, axes = bare()
    axes.fill_between([0, 50, 100], [0, 1, 2], [10, 20, 30], alpha=0.25, linewidth=0)

    content = render([FigureFlowable(figure, kana_fonts)], page=PLAIN_PAGE)
    assert b"/ca .25" in content
    assert len(drawn(figure).curves) == 1


def test_drawing_is_clipped_to_the_axes(
    render: Callable[..., bytes], kana_fonts: ReportFonts
) -> None:
    import pypdf

    figure, axes = bare()
    axes.plot([-500, 500], [50, 50])

    content = render([FigureFlowable(figure, kana_fonts)], page=PLAIN_PAGE)
    operators: Any = pypdf.PdfReader(io.BytesIO(content)).pages[0].get_contents()

    assert b"0 0 288 216 re W* n" in b" ".join(operators.get_data().split())


@pytest.mark.parametrize(
    ("horizontal", "start"), [("left", 100), ("center", 91), ("right", 82)]
)
def test_text_is_aligned_by_its_width_in_the_fonts_that_print_it(
    drawn: Draw, horizontal: str, start: float
) -> None:
    figure, axes = bare()
    # two glyphs of 900 of 1,000 at 10 points: 18 points wide
    axes.text(100, 50, "クリ", ha=horizontal, fontsize=10)

    page = drawn(figure)
    first = page.chars[0]

    assert first["x0"] - origin(page)[0] == pytest.approx(start, abs=0.05)
    assert "Squares" in first["fontname"]


def test_text_is_turned(drawn: Draw) -> None:
    figure, axes = bare()
    axes.text(100, 50, "turned", rotation=90, fontsize=10)

    letters = drawn(figure).chars

    assert not any(letter["upright"] for letter in letters)
    assert letters[-1]["matrix"][1] == pytest.approx(1, abs=1e-6)


@pytest.mark.parametrize("text", ["$5$", "<b>A & B</b>", r"\alpha", "a_b^c"])
def test_text_in_figures_prints_as_typed(drawn: Draw, text: str) -> None:
    figure, axes = bare()
    with figure_style():
        axes.text(10, 50, text)

    assert drawn(figure).extract_text() == text


def test_bold_and_slanted_text_takes_its_own_face(drawn: Draw) -> None:
    figure, axes = bare()
    axes.text(10, 50, "A", fontweight="bold")
    axes.text(50, 50, "B", fontstyle="italic")
    axes.text(90, 50, "C", fontweight=700, fontstyle="oblique")

    faces = {one["text"]: one["fontname"].split("+")[1] for one in drawn(figure).chars}

    assert faces == {
        "A": "DejaVuSans-Bold",
        "B": "DejaVuSans-Oblique",
        "C": "DejaVuSans-BoldOblique",
    }


def test_a_formula_that_was_asked_for_is_drawn_as_outlines(drawn: Draw) -> None:
    figure, axes = bare()
    text = axes.text(10, 50, r"$\alpha^2$")
    text.set_parse_math(True)

    page = drawn(figure)

    assert page.chars == []
    assert len(page.curves) >= 2


def test_layout_leaves_room_for_every_text(
    drawn: Draw,
) -> None:
    with figure_style():
        figure = Figure(figsize=(4, 3), layout="constrained")
        left, right = figure.subplots(1, 2)
        left.set_ylabel("クリーム " * 6)
        left.set_title("title " * 4)
        right.set_xlabel("label")
        right.text(1.05, 0.5, "beside クリーム", transform=right.transAxes)

    page = drawn(figure)
    x, y = origin(page)

    for letter in page.chars:
        assert x - 0.1 <= letter["x0"]
        assert letter["x1"] <= x + 4 * 72 + 0.1
        assert y - 0.1 <= letter["y0"]


def test_hatches_are_refused(drawn: Draw) -> None:
    figure, axes = bare()
    axes.bar([10], [10], width=20, hatch="//")

    with pytest.raises(ValueError, match="no hatches"):
        drawn(figure)


def test_images_are_refused(drawn: Draw) -> None:
    figure, axes = bare()
    axes.imshow([[0, 1], [1, 0]])

    with pytest.raises(ValueError, match="no images"):
        drawn(figure)


def test_shading_is_refused(drawn: Draw) -> None:
    figure, axes = bare()
    axes.tripcolor([0, 50, 100], [0, 100, 0], [1, 2, 3], shading="gouraud")

    with pytest.raises(ValueError, match="no shading"):
        drawn(figure)


def test_settings_of_the_user_do_not_reach_a_figure() -> None:
    with mpl.rc_context({"lines.linewidth": 9, "font.size": 30}):
        with figure_style():
            figure, axes = bare()
            (line,) = axes.plot([0, 1], [0, 1])
        assert mpl.rcParams["lines.linewidth"] == 9

    assert line.get_linewidth() == 1.0
    assert figure.get_dpi() == 72


def test_a_curve_keeps_its_shape(drawn: Draw) -> None:
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path

    figure, axes = bare()
    quadratic = Path([(0, 0), (50, 100), (100, 0)], [1, 3, 3])
    axes.add_patch(PathPatch(quadratic, facecolor="none"))

    page = drawn(figure)
    left, low = origin(page)
    height = float(page.height)
    (curve,) = page.curves
    points = [point for step in curve["path"] for point in step[1:]]
    flat = [(x - left, height - y - low) for x, y in points]

    # degree elevation: the inner points lie two thirds of the way to the middle one
    expected = [(0, 0), (100 / 3, 200 / 3), (200 / 3, 200 / 3), (100, 0)]
    for found, wanted in zip(flat, expected, strict=True):
        assert found == pytest.approx(wanted, abs=0.01)
