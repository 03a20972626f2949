"""Studies made for figures of an outlook: few and many batches, scales, limits."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import Any

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox

from stability.evaluation.findings import Evaluation
from stability.evaluation.life_findings import AttributeLife
from stability.model.age import add_calendar_months
from stability.model.attribute import Attribute
from stability.model.condition import Condition
from stability.model.limit import Limit
from stability.model.protocol import Analysis
from stability.model.study import Request
from stability.report.outlook_life import life_panels
from stability.report.outlook_panels import OutlookPanel
from tests.evaluation.builders import PLACED, Bench, band, bulk, protocol, sample, study

MONTHS = (3, 6, 9, 12, 18)
CHECKS = tuple(f"{months}M" for months in MONTHS)
Value = Callable[[int, float], float]
#: What scatters about a line, one at each check, T0 first.
WOBBLE = (0.0, 1.0, -1.0, 0.5, -0.5, 0.3)


def falling(rate: float = 0.02, apart: float = 0.01, scatter: float = 0.01) -> Value:
    """Return a value by batch and month that falls, the batches a little apart."""

    def value(batch: int, months: float) -> float:
        at = [0, *MONTHS].index(int(months))
        steeper = rate * (1 + 0.05 * batch)
        return 5.5 + apart * batch - steeper * months + scatter * WOBBLE[at]

    return value


def lowest(value: str) -> Limit:
    """Return a limit with a lowest value."""
    return Limit(absolute=band(value), reason_kind="active or preservative")


def long_study(
    batches: Sequence[str] = "ABC",
    value: Value | None = None,
    *,
    limit: Limit | None = None,
    asked: int = 24,
    months: Sequence[int] = MONTHS,
    analysis: Analysis | None = None,
    **attribute: Any,
) -> Evaluation:
    """Return a study under long-term storage alone, every check on its date."""
    ph = Attribute(
        "pH",
        "measured",
        unit="pH",
        resolution=Decimal("0.001"),
        limit=limit or lowest("5.0"),
    )
    room = Condition(
        "ROOM",
        "long-term",
        between=(Decimal(15), Decimal(25)),
        checks=CHECKS,
    )
    bench = Bench(
        [bulk(name) for name in batches]
        + [
            sample(f"HDC-{name}", "ROOM", batch=name, checks=CHECKS) for name in batches
        ],
        protocol=protocol(
            conditions={"ROOM": room},
            attributes={"pH": replace(ph, **attribute)},
            analysis=analysis or Analysis(),
        ),
        study=study(batches, request=Request(asked)),
    )
    number = value or falling()
    for at, name in enumerate(batches):
        bench.read(
            f"BULK-{name}", "pH", "T0", f"{number(at, 0):.3f}", done="2025-01-09"
        )
        bench.place(f"HDC-{name}", "ROOM")
    for month in months:
        day = add_calendar_months(PLACED, month)
        for at, name in enumerate(batches):
            bench.read(
                f"HDC-{name}",
                "pH",
                f"{month}M",
                f"{number(at, month):.3f}",
                done=day.isoformat(),
            )
    last = add_calendar_months(PLACED, max(months, default=1)) + timedelta(days=20)
    return bench.evaluate(last.isoformat())


def life_of(evaluation: Evaluation) -> AttributeLife:
    """Return the first life of an evaluation."""
    assert evaluation.shelf_life is not None
    return evaluation.shelf_life.attributes[0]


def only_panel(evaluation: Evaluation) -> OutlookPanel:
    """Return the one panel of the one life of an evaluation."""
    (panel,) = life_panels(evaluation, life_of(evaluation))
    return panel


def boxes_of(figure: Figure) -> list[tuple[str, Bbox]]:
    """Return every text with its box, measured by another drawing program."""
    canvas: Any = FigureCanvasAgg(figure)
    canvas.draw()
    renderer = canvas.get_renderer()
    texts = [one for one in figure.findobj(Text) if isinstance(one, Text)]
    return [
        # The box of an annotation would hold its arrow; that of its words is wanted.
        (one.get_text(), Text.get_window_extent(one, renderer))
        for one in texts
        if one.get_visible() and one.get_text().strip()
    ]


def overlaps(figure: Figure) -> list[tuple[str, str]]:
    """Return pairs of texts of which one lies on the other."""
    boxes = [(words, box.padded(-0.4)) for words, box in boxes_of(figure)]
    return [
        (words, others)
        for at, (words, box) in enumerate(boxes)
        for others, other in boxes[at + 1 :]
        if box.overlaps(other)
    ]


def outside(figure: Figure) -> list[str]:
    """Return texts that leave the figure."""
    page = figure.bbox.padded(0.6)
    return [
        words
        for words, box in boxes_of(figure)
        if not (page.x0 <= box.x0 and box.x1 <= page.x1)
        or not (page.y0 <= box.y0 and box.y1 <= page.y1)
    ]
