"""The verb that packs a report with all that it rests on into one file."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, time
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from stability.workflow.around import chains_of
from stability.workflow.around_places import places_of
from stability.workflow.occasion import Occasion
from stability.workflow.photographs import copies_of
from stability.workflow.report_files import Progress, write_study_report

if TYPE_CHECKING:
    from stability.evaluation.findings import Evaluation
    from stability.model.entry import Entry
    from stability.records.attachment import Attachment
    from stability.records.store import StudySource
    from stability.report.in_print import PrintWish


def write_study_pack(
    at: Occasion,
    study: str,
    found: tuple[Evaluation, StudySource],
    target: Path,
    *,
    font: Path | None = None,
    readings: PrintWish = "auto",
    progress: Progress | None = None,
) -> None:
    """Write report, summary, plan record and record of a study as one ZIP file.

    The record is an archive that `import` takes, up to the as-of day, with the
    instruments and places that the study names, photographs and certificates.

    Parameters
    ----------
    at, study, found, font, readings, progress
        As for `write_study_report`.
    target
        The file; an older one is replaced only when the new one is whole.

    Raises
    ------
    StabilityError
        If a file is missing or the pack cannot be written.
    """
    from stability.model.entry import Head
    from stability.records.pack import pack_bytes, packed_record
    from stability.report.whole_file import check_place, write_whole

    check_place(target)
    evaluation, source = found
    with TemporaryDirectory() as folder:
        report = Path(folder) / "report.pdf"
        write_study_report(
            at, study, found, report, font=font, readings=readings, progress=progress
        )
        files = {"report.pdf": report.read_bytes(), **_sheets(found, folder, font)}
    beside = _beside(at, study, source, evaluation)
    every = [*source.entries, *(one for chain in beside for one in chain)]
    kept = _kept(at, study, source, every)
    others = [one for chain in beside for one in chain]
    files |= packed_record(every, kept, _views(at, study, source, others))
    files |= _certificates(source, kept)
    anchors = [source.record.head] + [
        Head(chain[-1].subject, chain[-1].position, chain[-1].digest)
        for chain in beside
    ]
    identity = evaluation.identity
    named = f"{identity.study.product}, version {identity.study.version}"
    title = f"Stability study {identity.study.code} as of {identity.as_of}: {named}"
    moment = datetime.combine(identity.as_of, time(12), tzinfo=UTC)
    write_whole(target, pack_bytes(files, title, anchors, moment))


def _sheets(
    found: tuple[Evaluation, StudySource], folder: str, font: Path | None
) -> dict[str, bytes]:
    """Return the summary and the plan record as files."""
    from stability.report.plan_record import write_plan_record
    from stability.report.summary_sheet import write_summary

    evaluation, source = found
    summary, plan = Path(folder) / "summary.pdf", Path(folder) / "plan_record.pdf"
    write_summary(evaluation, summary, font=font)
    write_plan_record(source.record, plan, font=font)
    return {one.name: one.read_bytes() for one in (summary, plan)}


def _beside(
    at: Occasion, study: str, source: StudySource, evaluation: Evaluation
) -> list[Sequence[Entry]]:
    """Return the entries of instruments and places by the end of the as-of day."""
    from stability.model.fold import entries_as_of

    record, day = source.record, evaluation.identity.as_of
    places = places_of(at, study, record, with_files=False)
    chains = (*chains_of(at, study, record).values(), *places.chains.values())
    known = (entries_as_of(chain, day, record.zone) for chain in chains)
    return [chain for chain in known if chain]


def _kept(
    at: Occasion, study: str, source: StudySource, entries: Iterable[Entry]
) -> list[Attachment]:
    """Return the files that entries name, in the order in which they are named."""
    from stability.records import attachment, store
    from stability.records.database import open_database
    from stability.records.study_folder import files_of_folder

    named = attachment.cited(entries)
    if store.is_folder(study):
        places = places_of(at, study, source.record).files
        own = {one.file.sha256: one for one in files_of_folder(Path(study), at.now)}
        found = {**places, **own}
        return [found[one] for one in named if one in found]
    with open_database(at.records).reading() as connection:
        return [attachment.fetch(connection, one) for one in named]


def _views(
    at: Occasion, study: str, source: StudySource, beside: Iterable[Entry]
) -> dict[str, str | bytes]:
    from stability.records.views import photographs_in, views_of

    photographs = photographs_in(source.record)
    copies = copies_of(at, study, list(photographs.values()))
    return {
        **views_of(source.record, source.entries, beside),
        **{path: copies[sha256] for path, sha256 in photographs.items()},
    }


def _certificates(source: StudySource, kept: Iterable[Attachment]) -> dict[str, bytes]:
    """Return the files of certificates under the names with which they came."""
    from stability.records.pack import certificate_path

    content = {one.file.sha256: one.content for one in kept}
    named = [one.file for one in source.record.certificates if one.file is not None]
    return {
        certificate_path(one.name, one.sha256): content[one.sha256]
        for one in named
        if one.sha256 in content
    }
