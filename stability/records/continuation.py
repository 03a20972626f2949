"""A study with entries added to it that are not stored yet.

What a person does is checked against the study as it stands at that moment, and a
file of many rows must not fold the whole study again for each of them.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from datetime import date, datetime
from typing import Any, ParamSpec, TypeVar

from stability.model import content
from stability.model.certificate import Certificate
from stability.model.content import Content
from stability.model.entry import Entry, Head, following
from stability.model.fold import Folding
from stability.model.moment import Moment, utc_text
from stability.model.observation import Observation
from stability.model.photograph import Photograph
from stability.model.plain_text import checked_text
from stability.model.schedule import (
    Expecting,
    PlannedCheck,
    expecting,
    planned_checks,
)
from stability.model.study import Sample
from stability.model.study_record import StudyRecord
from stability.records.attachment import Attachment
from stability.records.instrument_names import InstrumentNames

#: Sample, attribute, and for weights before or after.
_Series = tuple[str, str, str | None]
Recalled = TypeVar("Recalled")
Needs = ParamSpec("Needs")


class Continuation:
    """A study's record, growing entry by entry."""

    def __init__(self, folding: Folding, head: Head) -> None:
        self._folding = folding
        self._last: Head | Entry = head
        self._record: StudyRecord | None = None
        self._plan: StudyRecord | None = None
        #: A moment in words: the entries of one row or line share it.
        self._said: tuple[Moment | None, str] = (None, "")
        self._recalled: dict[Hashable, Any] = {}
        self._planned: dict[str, tuple[PlannedCheck, ...]] = {}
        self._standing: dict[_Series, _Standing] | None = None
        self._on_day: dict[_Series, dict[date, list[Observation]]] | None = None
        #: Position of the last entry that is stored.
        self.stored = head.position
        #: The instruments that settings may name.
        self.names = InstrumentNames()
        #: What was added, in order.
        self.added: list[Entry] = []
        #: Files that the added entries name, to be kept with them.
        self.files: list[Attachment] = []

    @property
    def head(self) -> Head:
        """Return the last entry so far."""
        last = self._last
        return Head(last.subject, last.position, last.digest)

    @property
    def record(self) -> StudyRecord:
        """Return the record with everything added so far."""
        if self._record is None:
            self._record = self._folding.record()
        return self._record

    @property
    def plan(self) -> StudyRecord:
        """Return the record with all that was added but observations.

        It is enough to know samples, placings and stops, and stays the same while
        only observations and notes are added.
        """
        if self._plan is None:
            self._plan = self.record
        return self._plan

    @property
    def texts(self) -> tuple[str, str]:
        """Return the texts of study and protocol that hold now, whole."""
        return self._folding.texts

    def planned(self, sample: Sample) -> tuple[PlannedCheck, ...]:
        """Return the planned checks of a sample, worked out once for each plan."""
        found = self._planned.get(sample.code)
        if found is None:
            found = planned_checks(self.plan, sample, self._expecting())
            self._planned[sample.code] = found
        return found

    def add(
        self,
        kind: str,
        held: Content,
        *,
        person: str,
        done: Moment,
        entered: datetime,
        written: str | None = None,
    ) -> Entry:
        """Add an entry and return it.

        Parameters
        ----------
        kind
            Name and version.
        held
            Its content.
        person
            Who did it.
        done
            When it happened.
        entered
            When it is stored (UTC).
        written
            The content as a template wrote it; None where it is still to be written.

        Raises
        ------
        TextFormError
            If a text in it holds a character that cannot be kept.
        """
        if kind in {content.OBSERVED, content.CORRECTED}:
            named = self.names.completed(kind, held, self.plan.protocol.attributes)
            held, written = named, written if named is held else None
        if done is not self._said[0]:
            self._said = (done, str(done))
        said, stored = self._said[1], utc_text(entered)
        try:
            entry = following(
                self._last, kind, held,
                person=person, done=said, entered=stored, written=written,
            )  # fmt: skip
        except ValueError:
            _check_texts(held, "the entry")
            raise
        self._last = entry
        self._folding.add(entry)
        self.added.append(entry)
        self._record = None
        if kind == content.OBSERVED:
            self._take(entry.position)
        elif kind != content.NOTED:
            self._recalled = {}
            self._plan = None
            self._planned = {}
            self._standing = None
        return entry

    def recall(
        self,
        key: Hashable,
        make: Callable[Needs, Recalled],
        *args: Needs.args,
        **named: Needs.kwargs,
    ) -> Recalled:
        """Return what was worked out under a key, once for each plan.

        Parameters
        ----------
        key
            Names the work with all that it depends on besides the plan.
        make
            Works it out.
        args, named
            What it takes.
        """
        found = self._recalled.get(key)
        if found is None:
            found = self._recalled[key] = make(*args, **named)
        return found

    def observation(self, position: int) -> Observation | None:
        """Return the observation at a position; None where there is none."""
        return self._folding.observation(position)

    def certificate(self, position: int) -> Certificate | None:
        """Return the certificate at a position; None where there is none."""
        return self._folding.certificate(position)

    def photograph(self, position: int) -> Photograph | None:
        """Return the photograph at a position; None where there is none."""
        return self._folding.photograph(position)

    def standing(
        self, sample: str, check: str | None, attribute: str, part: str | None
    ) -> Observation | None:
        """Return the first observation that stands for this; None if there is none."""
        there = self._index().get((sample, attribute, part))
        return None if there is None else there.first.get(check)

    def latest(
        self, sample: str, attribute: str, part: str | None
    ) -> Observation | None:
        """Return the latest observation of a sample that holds readings."""
        there = self._index().get((sample, attribute, part))
        return None if there is None else there.latest

    def on_day(
        self, sample: str, attribute: str, part: str | None, day: date
    ) -> Sequence[Observation]:
        """Return what was observed on a day, superseded and set-aside ones too."""
        if self._on_day is None:
            self._on_day = {}
            for seen in self.record.observations:
                _note_day(self._on_day, seen)
        there = self._on_day.get((sample, attribute, part))
        return () if there is None else there.get(day, ())

    def _expecting(self) -> Expecting:
        plan = self.plan
        return self.recall("expecting", expecting, plan.study, plan.protocol)

    def _index(self) -> Mapping[_Series, _Standing]:
        if self._standing is None:
            self._standing = {}
            for seen in self.record.standing():
                _note(self._standing, seen)
        return self._standing

    def _take(self, position: int) -> None:
        seen = self._folding.observation(position)
        if seen is None:
            return
        if self._standing is not None:
            _note(self._standing, seen)
        if self._on_day is not None:
            _note_day(self._on_day, seen)


class _Standing:
    """The observations of one attribute of one sample that stand."""

    __slots__ = ("first", "latest")

    def __init__(self) -> None:
        #: Check -> the first observation for it.
        self.first: dict[str | None, Observation] = {}
        #: The latest that holds readings; None where none does.
        self.latest: Observation | None = None


def _note(standing: dict[_Series, _Standing], seen: Observation) -> None:
    key = (seen.sample, seen.attribute, seen.part)
    there = standing.get(key)
    if there is None:
        there = standing[key] = _Standing()
    there.first.setdefault(seen.check, seen)
    last = there.latest
    if seen.readings and (last is None or not seen.done < last.done):
        there.latest = seen


def _note_day(
    on_day: dict[_Series, dict[date, list[Observation]]], seen: Observation
) -> None:
    key = (seen.sample, seen.attribute, seen.part)
    on_day.setdefault(key, {}).setdefault(seen.done.day, []).append(seen)


def _check_texts(held: Any, name: str) -> None:
    """Refuse in words a text that cannot be kept, wherever it stands in a content."""
    if isinstance(held, str):
        checked_text(held, name)
    elif isinstance(held, Mapping):
        for key, one in held.items():
            checked_text(str(key), name)
            _check_texts(one, f"“{key}”")
    elif isinstance(held, list | tuple):
        for one in held:
            _check_texts(one, name)
