"""Reports of the example studies and of studies made in code, printed and read back."""

from __future__ import annotations

import io
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pdfplumber
import pypdf

from stability.evaluation.evaluate import evaluate
from stability.evaluation.findings import Evaluation
from stability.records.store import record_of
from stability.records.study_folder import entries_of_folder
from stability.report.study_report import write_report

EXAMPLES = ("day_cream", "plain_lotion", "balm_tin")
FOLDERS = Path(__file__).parents[2] / "example_studies"
AS_OF = date(2026, 9, 30)


@dataclass(frozen=True)
class Printed:
    """A report as an independent reader finds it."""

    #: what was printed
    evaluation: Evaluation
    #: the file
    content: bytes
    #: text of each page, line by line as it stands on the page
    pages: tuple[str, ...]
    #: words of each page with their places
    words: tuple[tuple[dict[str, Any], ...], ...]

    @property
    def reader(self) -> pypdf.PdfReader:
        """Return the file opened by a reader of its own."""
        return pypdf.PdfReader(io.BytesIO(self.content))

    @property
    def text(self) -> str:
        """Return all pages' text."""
        return "\n".join(self.pages)

    @property
    def flowing(self) -> str:
        """Return all text with single spaces in place of line ends."""
        return " ".join(self.text.split())

    def titles(self) -> list[str]:
        """Return the bookmarks, chapters only."""
        return [
            str(one["/Title"])
            for one in self.reader.outline
            if not isinstance(one, list)
        ]

    def chapter(self, title: str) -> str:
        """Return the text of the pages from a chapter's own to the next one's."""
        reader = self.reader
        starts = [
            (str(one["/Title"]), reader.get_destination_page_number(one))
            for one in reader.outline
            if not isinstance(one, list)
        ]
        at = [name for name, _ in starts].index(title)
        first = starts[at][1] or 0
        last = starts[at + 1][1] if at + 1 < len(starts) else len(self.pages) - 1
        return "\n".join(self.pages[first : (last or 0) + 1])


@cache
def evaluated(name: str) -> Evaluation:
    """Return the evaluation of an example as of the day its README names."""
    entries = entries_of_folder(FOLDERS / name, datetime(2026, 9, 30, 20, tzinfo=UTC))
    return evaluate(record_of(entries, AS_OF).record, AS_OF)


@cache
def printed(name: str) -> Printed:
    """Return the report of an example, printed and read once for all tests."""
    with TemporaryDirectory() as folder:
        return read_back(evaluated(name), Path(folder) / f"{name}.pdf")


def read_back(evaluation: Evaluation, target: Path) -> Printed:
    """Print an evaluation and read the file with an independent reader."""
    write_report(evaluation, target)
    return read_file(evaluation, target)


def read_file(evaluation: Evaluation, target: Path) -> Printed:
    """Read the report of an evaluation with an independent reader."""
    content = target.read_bytes()
    pages, words = [], []
    with pdfplumber.open(io.BytesIO(content)) as document:
        for page in document.pages:
            found = page.extract_words(keep_blank_chars=False, use_text_flow=False)
            words.append(tuple(found))
            pages.append(page.extract_text())
            page.close()
    return Printed(evaluation, content, tuple(pages), tuple(words))
