"""The storage places that a study names, read beside it, as of the same day."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from stability.model.surroundings import Surroundings
from stability.workflow.around import surroundings_of
from stability.workflow.occasion import Occasion

if TYPE_CHECKING:
    from stability.model.study_record import StudyRecord
    from stability.records.place_chains import PlaceChains


def whole_surroundings(
    at: Occasion, study: str | None, record: StudyRecord, day: date
) -> Surroundings:
    """Return instruments and storage places that a study names, as of a day.

    Parameters
    ----------
    at
        The occasion.
    study
        Code or folder from which the study was read; a folder carries its own places.
        None: the workspace, whatever folders there are.
    record
        The study.
    day
        Each is taken as it was stored by the end of this day.

    Raises
    ------
    StabilityError
        If something of them cannot be read.
    """
    from stability.records.place_chains import with_places

    around = surroundings_of(at, study, record, day)
    return with_places(around, places_of(at, study, record), record, day)


def places_of(
    at: Occasion, study: str | None, record: StudyRecord, *, with_files: bool = True
) -> PlaceChains:
    """Return the storage places that a study names, each with all its entries.

    Parameters
    ----------
    at, study, record
        As in `whole_surroundings`.
    with_files
        Whether the files of loggers are needed too.

    Raises
    ------
    StabilityError
        As `whole_surroundings` does.
    """
    from stability.records import store
    from stability.records.database import open_database
    from stability.records.place_chains import (
        PlaceChains,
        chains_kept,
        chains_of_folder,
        cited,
    )

    if not cited(record):
        return PlaceChains()
    if study is not None and store.is_folder(study):
        from stability.statistics.logger_file import recognise_logger

        return chains_of_folder(Path(study), at.now, record, recognise_logger)
    with open_database(at.records).reading() as connection:
        return chains_kept(connection, record, with_files=with_files)
