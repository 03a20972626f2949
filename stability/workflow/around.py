"""What a study rests on besides its own record: read beside it, as of the same day."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from stability.model.surroundings import Surroundings
from stability.workflow.occasion import Occasion

if TYPE_CHECKING:
    from stability.model.study_record import StudyRecord
    from stability.records.instrument_chains import Chains


def surroundings_of(
    at: Occasion, study: str | None, record: StudyRecord, day: date
) -> Surroundings:
    """Return the instruments that a study names, as of a day.

    Parameters
    ----------
    at
        The occasion.
    study
        Code or folder from which the study was read; a folder carries its own
        instruments. None: the workspace, whatever folders there are.
    record
        The study.
    day
        Each instrument is taken as it was stored by the end of this day.

    Raises
    ------
    StabilityError
        If something of an instrument cannot be read.
    """
    from stability.records.instrument_chains import around

    return around(chains_of(at, study, record), record, day)


def chains_of(at: Occasion, study: str | None, record: StudyRecord) -> Chains:
    """Return the instruments that a study names, each with all its entries.

    Parameters
    ----------
    at, study, record
        As in `surroundings_of`.

    Raises
    ------
    StabilityError
        As `surroundings_of` does.
    """
    from stability.records import store
    from stability.records.database import open_database
    from stability.records.instrument_chains import chains_in, chains_kept, cited

    if not cited(record):
        return {}
    if study is not None and store.is_folder(study):
        from stability.records.study_folder import instruments_of_folder

        return chains_in(instruments_of_folder(Path(study), at.now), record)
    with open_database(at.records).reading() as connection:
        return chains_kept(connection, record)
