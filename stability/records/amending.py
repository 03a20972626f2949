"""Plans amended after the opening: which places may change, and what changed.

What was read stays comparable only while samples, storage, methods of reading and
scales stay what they were. Limits, reasons, windows, analysis and request may be
amended with a reason; everything else is another study.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fnmatch import fnmatchcase
from pathlib import Path
from typing import Final

from stability.errors.studies import AmendmentError, NothingAmendedError
from stability.model import content
from stability.model.content import Content
from stability.model.differences import Difference, differences
from stability.model.protocol import Protocol
from stability.model.sample import assign_samples
from stability.model.study import Sample, Study
from stability.model.study_record import StudyRecord
from stability.records.guards import reasoned
from stability.records.opening import read_text
from stability.records.protocol_file import read_protocol
from stability.records.study_file import read_study

#: Places of a protocol that may be amended.
PROTOCOL_PLACES: Final = (
    "title", "version", "purpose", "suits", "needs", "cautions", "sources", "units",
    "windows", "t0.place_within", "t0.reason", "analysis*",
    "conditions.*.reason", "conditions.*.source", "conditions.*.if_outside_limit",
    "attributes.*.limit*", "attributes.*.far", "attributes.*.bears_request",
    "attributes.*.method", "attributes.*.short", "attributes.*.observers",
    "attributes.*.takes_g", "attributes.*.needs_g", "attributes.*.takes_surfaces",
    "attributes.*.minutes", "attributes.*.instrument",
    "attributes.*.lowest_possible", "attributes.*.highest_possible",
)  # fmt: skip
#: Places of a study that may be amended.
STUDY_PLACES: Final = (
    "request*", "as_sold*", "maker", "places*", "place_on*", "omit*", "samples",
    "protocol", "structural_limit*", "batches.*.process*", "batches.*.filled",
    "packs.*.text", "microbial_category",
)  # fmt: skip
#: Places where something may be added that was not there.
ADDED_PLACES: Final = (
    "attributes.*", "packs.*", "batches.*", "batches.*.grams",
    "batches.*.pH_at_make", "packs.*.fill_g", "packs.*.tare_g", "packs.*.surfaces",
)  # fmt: skip


def amend(
    record: StudyRecord,
    because: str | None,
    *,
    study_file: Path | None = None,
    protocol_file: Path | None = None,
    texts: tuple[str, str],
) -> Content:
    """Return the content of an amendment.

    Parameters
    ----------
    record
        The study as it stands.
    because
        Why.
    study_file, protocol_file
        The changed files; None for one that stays.
    texts
        Study and protocol as they stand, whole.

    Raises
    ------
    StabilityError
        If a file has faults, nothing changed, or something changed that may not.
    """
    study_text = texts[0] if study_file is None else read_text(study_file)
    protocol_text = texts[1] if protocol_file is None else read_text(protocol_file)
    protocol_name = protocol_file.name if protocol_file else "protocol.toml"
    protocol = read_protocol(protocol_text, record.protocol.name, protocol_name)
    study_name = study_file.name if study_file else "study.toml"
    study = read_study(study_text, study_name, protocol)
    changes = changes_of(record, study, protocol)
    added = added_samples(record, study, protocol)
    if not changes and not added:
        raise NothingAmendedError(record.study.code)
    told = [str(one) for one in changes]
    if added:
        told.append(f"samples: {', '.join(one.code for one in added)}, new")
    return content.amended(
        reasoned(because, "Amending"),
        told,
        study_text=study_text if study_text != texts[0] else None,
        protocol_text=protocol_text if protocol_text != texts[1] else None,
        samples=added,
    )


def changes_of(
    record: StudyRecord, study: Study, protocol: Protocol
) -> list[Difference]:
    """Return what differs from the plan as it stands, without added sample rows.

    Raises
    ------
    AmendmentError
        If something differs that may not be amended; all of it at once.
    """
    kept = ("code", "time_zone", "person", "opened", "format")
    of_study = [
        one
        for one in differences(record.study, study)
        if one.path[0] not in kept and one.place != "samples"
    ]
    of_protocol = list(differences(record.protocol, protocol))
    refused = [
        str(one)
        for found, places in ((of_study, STUDY_PLACES), (of_protocol, PROTOCOL_PLACES))
        for one in found
        if not _may_change(one, places)
    ]
    if study.code and study.code != record.study.code:
        refused.append(f"code: {record.study.code} → {study.code}")
    if refused:
        raise AmendmentError(record.study.code, refused)
    return [*of_protocol, *of_study]


def added_samples(
    record: StudyRecord, study: Study, protocol: Protocol
) -> Sequence[Sample]:
    """Return the samples that new rows at the end of the table add.

    Raises
    ------
    AmendmentError
        If a row that stands was changed or taken away: labels are on the jars.
    """
    before, after = record.study.samples, study.samples
    if after[: len(before)] != before:
        what = (
            "samples: a row that stands was changed, moved or taken away; labels are "
            "on the jars, so that rows are only added at the end"
        )
        raise AmendmentError(record.study.code, [what])
    if len(after) == len(before):
        return ()
    code = record.study.code
    every = assign_samples(replace(study, code=code), protocol)
    return [one for one in every if one.code not in record.samples]


def _may_change(one: Difference, places: Sequence[str]) -> bool:
    if any(fnmatchcase(one.place, place) for place in places):
        return True
    fresh = one.before is None
    return fresh and any(
        fnmatchcase(one.place, place) and one.place.count(".") == place.count(".")
        for place in ADDED_PLACES
    )
