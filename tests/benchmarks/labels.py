"""A full page of the smallest labels, after imports, against its QR codes alone.

Run it: `.venv/bin/python -m tests.benchmarks.labels`.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

from tests.benchmarks.processes import tell

MOST_SECONDS = 1.0


def main() -> None:
    """Print how long a page takes, and the share of its QR codes."""
    from stability.report.fonts import load_fonts
    from stability.report.label_sizes import SHEETS
    from stability.report.label_words import CAUTION, Label, LabelLine
    from stability.report.labels import LabelPrint, labels_pdf
    from stability.report.pages import PdfDescription

    sheet = SHEETS["38.1x21.2"]
    words = [
        "T40 · 40 ± 2 °C", "reopened at each check", "Heather day cream 1.0",
        "batch A · JAR", "placed 2026-03-05 · made 2026-03-02",
        "next 4w 2026-04-02 · 8w 2026-04-30 · 12w 2026-05-28", CAUTION,
    ]  # fmt: skip
    labels = [
        Label(
            f"HDC-{number:03d}-W",
            tuple(
                LabelLine(text, f"{text} {number % 7}", rank)
                for rank, text in enumerate(words)
            ),
        )
        for number in range(1, sheet.count + 1)
    ]
    moment = datetime(2026, 3, 10, 12, tzinfo=UTC)
    description = PdfDescription("Labels", "A", "S", moment)
    fonts = load_fonts()
    page = _seconds(lambda: labels_pdf(labels, LabelPrint(sheet), description, fonts))
    bare = _seconds(lambda: [_encoder(one.code).make() for one in labels])
    tell(
        f"a page of {sheet.count} labels: {page:.2f} s (bar {MOST_SECONDS:g} s); "
        f"its QR codes alone {bare:.2f} s"
    )


def _encoder(code: str) -> Any:
    from reportlab.graphics.barcode.qr import QrCodeWidget

    widget: Any = QrCodeWidget(code, barLevel="Q")
    return widget.qr


def _seconds(work: Callable[[], object], repeats: int = 5) -> float:
    """Return the time of the quickest of several runs [s]."""
    times = []
    for _ in range(repeats):
        begun = time.perf_counter()
        work()
        times.append(time.perf_counter() - begun)
    return min(times)


if __name__ == "__main__":
    main()
