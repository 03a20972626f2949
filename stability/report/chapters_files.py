"""The files inside a report: their names, what they hold, and their SHA-256."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from typing import Final

from reportlab.platypus import Flowable

from stability.evaluation.findings import Evaluation
from stability.report.attachments import Attachment
from stability.report.column_widths import Fitted, fitted_columns, shared
from stability.report.judged_csv import differences_csv, judged_csv
from stability.report.readings_summary import DIFFERENCES_FILE, JUDGED_FILE
from stability.report.series_csv import life_csv, lines_csv, trend_csv
from stability.report.series_in_print import (
    LIFE_FILE,
    LINES_FILE,
    TREND_FILE,
    has_many_series,
    is_long,
    only_alarms,
)
from stability.report.styles import ReportStyles, heading, paragraph
from stability.report.tables import TableRow, record_table

#: Anchor of the list.
FILES: Final = "files"
_HOW: Final = (
    "These files are inside this document; a PDF reader lists them as its "
    "attachments and saves them unchanged. `sha256sum FILE` prints the digest that "
    "stands here. A cell that a spreadsheet would run as a formula has an apostrophe "
    "before its sign."
)


def judged_files(
    evaluation: Evaluation, left: frozenset[int]
) -> tuple[Attachment, ...]:
    """Return readings as judged and differences, as files to put into the document.

    Parameters
    ----------
    evaluation
        What is printed.
    left
        Positions of the entries that are not printed one by one.
    """
    words = "every reading with its value, limit, mark and remarks"
    found = [_table(JUDGED_FILE, judged_csv(evaluation, left), words)]
    if evaluation.contrasts.drifts:
        words = "every difference of drifts with its interval, or why there is none"
        found.append(_table(DIFFERENCES_FILE, differences_csv(evaluation), words))
    return (*found, *_of_large_studies(evaluation))


def _of_large_studies(evaluation: Evaluation) -> Iterator[Attachment]:
    """Yield what a large study leaves to files: lines, results out of trend, lives."""
    if has_many_series(evaluation):
        words = "every line with its interval and forecast, or why there is none"
        yield _table(LINES_FILE, lines_csv(evaluation), words)
    if only_alarms(evaluation):
        words = "every check that is out of trend, alerts among them"
        yield _table(TREND_FILE, trend_csv(evaluation), words)
    life = evaluation.shelf_life
    if life is not None and is_long(life):
        words = "what every batch brings to the shelf life, with its basis"
        yield _table(LIFE_FILE, life_csv(life), words)


def _table(name: str, text: str, words: str) -> Attachment:
    return Attachment(name, text.encode(), "text/csv", words)


def files_chapter(
    attachments: Sequence[Attachment], styles: ReportStyles
) -> list[Flowable]:
    """Return the list of the files inside the document; nothing where there is none."""
    if not attachments:
        return []
    rows: list[TableRow] = [
        [one.name, _words(one)] for one in sorted(attachments, key=lambda one: one.name)
    ]
    columns = (Fitted("File", strong=True), shared("What it holds, and its SHA-256"))
    return [
        *heading("Files inside this document", 2, styles, anchor=FILES, keep_mm=40),
        record_table(fitted_columns(columns, rows, styles), rows, styles),
        paragraph(_HOW, styles.small, styles),
    ]


def _words(one: Attachment) -> str:
    digest = hashlib.sha256(one.content).hexdigest()
    return f"{one.description}; {len(one.content)} bytes\n{digest}"
