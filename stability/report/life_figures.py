"""The figures of the shelf life chapter: lines, bounds, limits, caps, the request."""

from __future__ import annotations

from reportlab.platypus import Flowable

from stability.evaluation.findings import Evaluation
from stability.evaluation.life_findings import AttributeLife, LifeFindings
from stability.report.outlook_life import life_panels
from stability.report.outlook_panels import OutlookPanel
from stability.report.outlook_plotting import outlook_figure
from stability.report.renderer import FigureFlowable
from stability.report.styles import ReportStyles, heading, paragraph
from stability.report.wording import count

# So many panels are drawn; of more, those of the shortest lives.
_MOST_PANELS = 8
_NOTE = (
    "Ages in months from placing. Lines are fitted by least squares; a limit that "
    "counts from the initial value is judged inside the fit, and its values are drawn "
    "from the fitted start. A filled diamond marks where a bound meets its limit, an "
    "open one where that carries no estimate. A line beyond the last reading is "
    "extrapolation and allowed up to the cap only."
)


def life_figures(
    evaluation: Evaluation, life: LifeFindings, styles: ReportStyles
) -> list[Flowable]:
    """Return a figure for each attribute and pack of which lines bear the request.

    Of many, those that support the fewest months are drawn.
    """
    found = drawn_lives(evaluation, life)
    if not found:
        return []
    chosen = shortest(found)
    fonts = styles.fonts
    figures = [FigureFlowable(outlook_figure([one], fonts), fonts) for one in chosen]
    keep_mm = figures[0].height / 72 * 25.4 + 28
    left_out = len(found) - len(chosen)
    more = (
        f" The {len(chosen)} panels that support the fewest months are drawn; "
        f"{count(left_out, 'further one')} stand in the tables."
        if left_out
        else ""
    )
    return [
        *heading("Lines that bear the request", 2, styles, keep_mm=keep_mm),
        paragraph(f"{_NOTE}{more}", styles.small, styles),
        *figures,
    ]


def drawn_lives(
    evaluation: Evaluation, life: LifeFindings
) -> list[tuple[float, OutlookPanel]]:
    """Return what there is to draw, in order, each with the months it supports."""
    return [
        (_months(one), panel)
        for one in life.attributes
        for panel in life_panels(evaluation, one)
    ]


def shortest(found: list[tuple[float, OutlookPanel]]) -> list[OutlookPanel]:
    """Return the panels that support the fewest months, in the order given."""
    by_months = sorted(range(len(found)), key=lambda at: found[at][0])
    return [found[at][1] for at in sorted(by_months[:_MOST_PANELS])]


def _months(life: AttributeLife) -> float:
    return min((one.limit for one in life.bearings), default=0.0)
