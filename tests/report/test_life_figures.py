"""The figures in the shelf life chapter of a report."""

from __future__ import annotations

import pytest

from stability.evaluation.findings import Evaluation
from stability.report.life_figures import drawn_lives, life_figures, shortest
from stability.report.outlook_panels import OutlookPanel
from stability.report.renderer import FigureFlowable
from stability.report.styles import ReportStyles
from tests.report.outlooks import long_study
from tests.report.printed import evaluated, printed


def figures(evaluation: Evaluation, styles: ReportStyles) -> list[FigureFlowable]:
    """Return the figures of the chapter."""
    assert evaluation.shelf_life is not None
    story = life_figures(evaluation, evaluation.shelf_life, styles)
    return [one for one in story if isinstance(one, FigureFlowable)]


@pytest.mark.parametrize(
    ("name", "words"),
    [
        (
            "day_cream",
            (
                "pH · JAR at ROOM",
                "B: bound meets initial − 0.5 at 29.5 months",
                "lowest: initial − 0.5",
                "asked for, cap of C: 24 months",
                "shown: 12 months",
                "thin: ends of the two-sided 95 % interval of the mean",
            ),
        ),
        ("plain_lotion", ("viscosity · BOTTLE at ROOM", "beyond this axis")),
        ("balm_tin", ("weight loss · TIN at ROOM", "mean of all containers")),
    ],
)
def test_the_report_draws_what_bears_the_request(
    name: str, words: tuple[str, ...]
) -> None:
    chapter = printed(name).chapter("Shelf life")

    assert "Lines that bear the request" in chapter
    assert [each for each in words if each not in chapter] == []


def test_every_fitted_attribute_of_every_pack_has_its_figure(
    styles: ReportStyles,
) -> None:
    assert len(figures(evaluated("day_cream"), styles)) == 6
    assert len(figures(evaluated("plain_lotion"), styles)) == 3


def test_a_study_without_lines_has_no_figures(styles: ReportStyles) -> None:
    evaluation = long_study("A", months=(3,))

    assert evaluation.shelf_life is not None
    assert drawn_lives(evaluation, evaluation.shelf_life) == []
    assert life_figures(evaluation, evaluation.shelf_life, styles) == []


def test_of_many_panels_those_of_the_shortest_lives_stay_in_order() -> None:
    panels = [OutlookPanel(str(at), "pH", ()) for at in range(12)]
    months = [5.0, 90.0, 4.0, 80.0, 3.0, 70.0, 2.0, 60.0, 1.0, 50.0, 9.0, 40.0]

    kept = shortest(list(zip(months, panels, strict=True)))

    assert [one.title for one in kept] == ["0", "2", "4", "6", "8", "9", "10", "11"]
