"""Verbs that draw what was evaluated into a file of its own."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from stability.errors.reports import FigureEmptyError, FigureExistsError

if TYPE_CHECKING:
    from stability.evaluation.findings import Evaluation
    from stability.evaluation.series import MeasuredSeries
    from stability.report.outlook_panels import OutlookPanel


def draw_drift(
    evaluation: Evaluation,
    series: Sequence[MeasuredSeries],
    target: Path,
    *,
    font: Path | None = None,
    overwrite: bool = False,
) -> None:
    """Draw series with lines, bands, limits and forecasts.

    Parameters
    ----------
    evaluation
        The evaluation.
    series
        Those of its measured series that are drawn.
    target
        The file; its ending says whether it is a PDF, PNG or SVG.
    font
        A TrueType font for scripts that the usual one does not have.
    overwrite
        Whether a file that stands there is replaced.

    Raises
    ------
    StabilityError
        If nothing was read, or the file cannot be written.
    """
    from stability.report.outlook_drift import drift_panels

    panels = drift_panels(evaluation, series)
    _draw(evaluation, "drift", panels, target, font=font, overwrite=overwrite)


def draw_shelf_life(
    evaluation: Evaluation,
    target: Path,
    *,
    font: Path | None = None,
    overwrite: bool = False,
) -> None:
    """Draw the lines that bear the request, with bounds, limits and caps.

    Parameters
    ----------
    evaluation
        The evaluation.
    target
        The file; its ending says whether it is a PDF, PNG or SVG.
    font
        A TrueType font for scripts that the usual one does not have.
    overwrite
        Whether a file that stands there is replaced.

    Raises
    ------
    StabilityError
        If no line bears the request, or the file cannot be written.
    """
    from stability.report.outlook_life import life_panels

    lives = evaluation.shelf_life.attributes if evaluation.shelf_life else ()
    panels = [one for life in lives for one in life_panels(evaluation, life)]
    _draw(evaluation, "shelf life", panels, target, font=font, overwrite=overwrite)


def _draw(
    evaluation: Evaluation,
    what: str,
    panels: Sequence[OutlookPanel],
    target: Path,
    *,
    font: Path | None,
    overwrite: bool,
) -> None:
    from stability.report.figure_file import write_figure

    if target.exists() and not overwrite:
        raise FigureExistsError(target)
    if not panels:
        raise FigureEmptyError(what)
    write_figure(evaluation, what, panels, target, font=font)
