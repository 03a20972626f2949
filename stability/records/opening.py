"""The opening of a study: both files frozen, every sample assigned."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from typing import Final
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from stability.errors.codes import TimeZoneError
from stability.errors.files import UnreadableFileError
from stability.errors.studies import StudyExistsError
from stability.model import content
from stability.model.code import allot_study_code, checked_study_code
from stability.model.content import Content
from stability.model.entry import Draft, Entry
from stability.model.moment import Moment, utc_text
from stability.model.plain_text import unix_newlines
from stability.model.protocol import Protocol
from stability.model.sample import assign_samples
from stability.model.study import Sample, Study
from stability.records.protocol_file import (
    find_protocol,
    protocol_digest,
    read_protocol,
)
from stability.records.study_file import read_study, study_protocol_name

#: Names of the files as faults in a frozen text give them.
STUDY_FILE: Final = "study.toml"
PROTOCOL_FILE: Final = "protocol.toml"


@dataclass(frozen=True, slots=True)
class NewStudy:
    """A study about to be opened."""

    #: The study, with its code and time zone.
    study: Study
    #: Its protocol.
    protocol: Protocol
    #: Every sample with its code.
    samples: tuple[Sample, ...]
    #: IANA name of the time zone.
    time_zone: str
    #: What the opening entry holds.
    held: Content
    #: Whether the code was allotted, because the file names none.
    code_allotted: bool
    #: Whether the zone is the machine's, because the file names none.
    zone_assumed: bool

    @property
    def zone(self) -> ZoneInfo:
        """Return the time zone."""
        return ZoneInfo(self.time_zone)


def subject_of(code: str) -> str:
    """Return the subject under which a study's entries stand."""
    return f"study:{code}"


def opening_draft(new: NewStudy, person: str, done: Moment, entered: datetime) -> Draft:
    """Return the first entry of a study, still to be linked.

    Parameters
    ----------
    new
        The study.
    person
        Who opens it.
    done
        When it is opened.
    entered
        When that is stored.
    """
    return Draft(
        subject=subject_of(new.study.code),
        kind=content.OPENED,
        person=person,
        done=str(done),
        entered=utc_text(entered),
        content=new.held,
    )


def new_study(
    study_file: Path,
    taken: Collection[str],
    zone: str | None,
    protocol_file: str | None = None,
) -> NewStudy:
    """Read a study file with its protocol and assign the samples.

    Parameters
    ----------
    study_file
        The file.
    taken
        Study codes in use.
    zone
        IANA name of the zone where the file states none; None refuses that.
    protocol_file
        Protocol beside the study file that is used whatever the study file names;
        None for the one it names.

    Raises
    ------
    StabilityError
        If a file cannot be read or has faults, or the code is in use.
    """
    text = read_text(study_file)
    named, where = study_protocol_name(text, study_file.name)
    protocol_text, name, file = (
        find_protocol(named, study_file.parent, where)
        if protocol_file is None
        else find_protocol(protocol_file, study_file.parent)
    )
    protocol = read_protocol(protocol_text, name, file)
    read = read_study(text, study_file.name, protocol)
    if read.code in taken:
        raise StudyExistsError(read.code)
    code = checked_study_code(read.code or allot_study_code(read.product, taken))
    zone_name = checked_zone(read.time_zone or zone or "")
    study = replace(read, code=code, time_zone=zone_name)
    samples = assign_samples(study, protocol)
    held = content.opened(
        study_text=text,
        protocol_text=protocol_text,
        protocol_name=name,
        protocol_digest=protocol_digest(protocol_text),
        time_zone=zone_name,
        samples=samples,
    )
    return NewStudy(
        study=study,
        protocol=protocol,
        samples=samples,
        time_zone=zone_name,
        held=held,
        code_allotted=not read.code,
        zone_assumed=read.time_zone is None,
    )


def read_opening(opening: Entry) -> tuple[Study, Protocol]:
    """Return study and protocol as the texts of an opening tell them."""
    held = opening.content
    study, protocol = read_texts(
        held["study_text"], held["protocol_text"], held["protocol_name"]
    )
    code = opening.subject.partition(":")[2]
    return replace(study, code=code, time_zone=held["time_zone"]), protocol


@lru_cache(maxsize=128)
def read_texts(study_text: str, text: str, name: str) -> tuple[Study, Protocol]:
    """Return study and protocol as frozen texts tell them, still without a code."""
    protocol = read_protocol(text, name, PROTOCOL_FILE)
    return read_study(study_text, STUDY_FILE, protocol), protocol


def read_text(file: Path) -> str:
    """Return the text of a file with newlines as line ends.

    Raises
    ------
    UnreadableFileError
        If it cannot be read or is not UTF-8.
    """
    try:
        return unix_newlines(file.read_bytes().decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise UnreadableFileError(str(file), "it is no text in UTF-8") from error
    except OSError as error:
        reason = error.strerror or "the system refuses it"
        raise UnreadableFileError(str(file), reason) from error


def checked_zone(name: str) -> str:
    """Return the name of a time zone that there is.

    Raises
    ------
    TimeZoneError
        If there is none of this name.
    """
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise TimeZoneError(name) from error
    return name
