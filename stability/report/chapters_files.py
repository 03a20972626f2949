"""The files inside a report: their names, what they hold, and their SHA-256."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import Final

from reportlab.platypus import Flowable

from stability.evaluation.findings import Evaluation
from stability.report.attachments import Attachment
from stability.report.column_widths import Fitted, fitted_columns, shared
from stability.report.judged_csv import differences_csv, judged_csv
from stability.report.readings_summary import DIFFERENCES_FILE, JUDGED_FILE
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
    content = judged_csv(evaluation, left).encode()
    words = "every reading with its value, limit, mark and remarks"
    judged = Attachment(JUDGED_FILE, content, "text/csv", words)
    if not evaluation.contrasts.drifts:
        return (judged,)
    content = differences_csv(evaluation).encode()
    words = "every difference of drifts with its interval, or why there is none"
    return judged, Attachment(DIFFERENCES_FILE, content, "text/csv", words)


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
