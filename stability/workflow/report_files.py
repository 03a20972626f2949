"""The study report with the study's files inside it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Final

from stability.workflow.occasion import Occasion
from stability.workflow.photographs import copies_of

if TYPE_CHECKING:
    from stability.evaluation.findings import Evaluation
    from stability.records.store import StudySource
    from stability.report.attachments import Attachment
    from stability.report.in_print import PrintWish

#: Told how much is done, and of how much.
Progress = Callable[[int, int], None]
#: View of the record -> its media type and what it holds, for who opens a report.
_VIEWS: Final = {
    "observations.csv": (
        "text/csv",
        "every observation as recorded, superseded and set-aside ones among them",
    ),
    "study.toml": (
        "application/toml",
        "the study file as it was when the study was opened",
    ),
    "protocol.toml": (
        "application/toml",
        "the protocol as it was then, with limits and reasons",
    ),
}


def write_study_report(
    at: Occasion,
    study: str,
    found: tuple[Evaluation, StudySource],
    target: Path,
    *,
    font: Path | None = None,
    readings: PrintWish = "auto",
    progress: Progress | None = None,
) -> None:
    """Write the study report as a PDF with the views of its record inside.

    Parameters
    ----------
    at
        The occasion.
    study
        Study code or folder.
    found
        The evaluation, and the study it was worked out from.
    target
        The file.
    font
        A TrueType font for scripts that the usual one does not have.
    readings
        Which readings are printed one by one.
    progress
        Told how far it is; None: nobody watches.

    Raises
    ------
    StabilityError
        If a photograph is missing or the file cannot be written.
    """
    from stability.report.study_report import write_report

    evaluation, source = found
    kept = [one.kept.sha256 for one in evaluation.photographs]
    write_report(
        evaluation,
        target,
        font=font,
        photographs=copies_of(at, study, kept),
        attachments=view_files(source),
        readings=readings,
        progress=progress,
    )


def view_files(source: StudySource) -> tuple[Attachment, ...]:
    """Return the views of a record that go into its report, as files."""
    from stability.records.views import views_of
    from stability.report.attachments import Attachment

    views = views_of(source.record, source.entries)
    return tuple(
        Attachment(name, views[name].encode(), *_VIEWS[name]) for name in _VIEWS
    )
