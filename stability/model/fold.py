"""Entries folded, in their order, into the record of a study."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from zoneinfo import ZoneInfo

from stability.model import content
from stability.model.certificate import Certificate
from stability.model.entry import Entry, Head
from stability.model.fold_kinds import (
    APPLY,
    ReadTexts,
    State,
    opening_of,
    samples_of,
)
from stability.model.moment import parse_utc
from stability.model.observation import Observation
from stability.model.photograph import Photograph
from stability.model.protocol import Protocol
from stability.model.study import Study
from stability.model.study_record import StudyRecord


def entries_as_of(
    entries: Iterable[Entry], day: date, zone: ZoneInfo
) -> tuple[Entry, ...]:
    """Return the longest run of entries stored by the end of a day.

    Parameters
    ----------
    entries
        All entries of one subject, from position 1.
    day
        The as-of date.
    zone
        The study's time zone, in which the day ends.
    """
    run: list[Entry] = []
    for entry in entries:
        if parse_utc(entry.entered).astimezone(zone).date() > day:
            break
        run.append(entry)
    return tuple(run)


def fold(
    entries: Sequence[Entry],
    study: Study,
    protocol: Protocol,
    read: ReadTexts | None = None,
) -> StudyRecord:
    """Return what the entries of one study tell together.

    Parameters
    ----------
    entries
        From the opening on, in order, at least one.
    study, protocol
        As read from the texts that the opening holds.
    read
        Reads the texts of amendments; None for a study that has none.

    Raises
    ------
    ValueError
        If the first entry is no opening, or a kind is not known.
    """
    if not entries:
        raise ValueError("a study begins with its opening")
    folding = Folding(entries[0], study, protocol, read)
    for entry in entries[1:]:
        folding.add(entry)
    return folding.record()


class Folding:
    """A record in the making, for callers that need it between two entries."""

    def __init__(
        self,
        opening: Entry,
        study: Study,
        protocol: Protocol,
        read: ReadTexts | None = None,
    ) -> None:
        if opening.kind != content.OPENED:
            raise ValueError("a study begins with its opening")
        held = opening.content
        zone = ZoneInfo(held["time_zone"])
        self._opening = opening_of(opening, zone)
        self._last = opening
        self._state = State(
            zone,
            study,
            protocol,
            (held["study_text"], held["protocol_text"], held["protocol_name"]),
            read=read,
            samples=samples_of(held["samples"]),
        )

    def add(self, entry: Entry) -> None:
        """Take in the next entry.

        Raises
        ------
        ValueError
            If its kind is not known.
        """
        apply = APPLY.get(entry.kind)
        if apply is None:
            raise ValueError(f"entry {entry.position} is of unknown kind {entry.kind}")
        apply(self._state, entry)
        self._last = entry

    @property
    def texts(self) -> tuple[str, str]:
        """Return the texts of study and protocol that hold now."""
        return self._state.texts[:2]

    def observation(self, position: int) -> Observation | None:
        """Return the observation at a position; None where there is none."""
        return self._state.observations.get(position)

    def certificate(self, position: int) -> Certificate | None:
        """Return the certificate at a position; None where there is none."""
        return self._state.certificates.get(position)

    def photograph(self, position: int) -> Photograph | None:
        """Return the photograph at a position; None where there is none."""
        return self._state.photographs.get(position)

    def record(self) -> StudyRecord:
        """Return what the entries taken in so far tell together."""
        state = self._state
        return StudyRecord(
            study=state.study,
            protocol=state.protocol,
            zone=state.zone,
            opening=self._opening,
            head=Head(self._last.subject, self._last.position, self._last.digest),
            samples=dict(state.samples),
            observations=tuple(state.observations.values()),
            placings=tuple(state.placings),
            retirements=tuple(state.retirements),
            missed=tuple(state.missed),
            stops=tuple(state.stops),
            notes=tuple(state.notes),
            days=tuple(state.days),
            lodgings=tuple(state.lodgings),
            taken_over=state.taken_over,
            amendments=tuple(state.amendments),
            certificates=tuple(state.certificates.values()),
            photographs=tuple(state.photographs.values()),
            answers=tuple(state.answers),
        )
