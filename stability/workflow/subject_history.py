"""The entries of a storage place or an instrument in their order, in words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from stability.errors.studies import UnknownStudyError
from stability.model import place
from stability.model.calibration import Calibration
from stability.model.content import INVALIDATED
from stability.model.instrument import fold_instrument
from stability.model.instrument_checks import rules_words
from stability.model.instrument_words import (
    change_words,
    outcome_words,
)
from stability.model.place import fold_place
from stability.model.place_words import happening_words
from stability.workflow.occasion import Occasion
from stability.workflow.studies import HistoryLine

if TYPE_CHECKING:
    from stability.model.entry import Entry


def subject_history(at: Occasion, typed: str) -> tuple[HistoryLine, ...]:
    """Return every entry of a storage place or an instrument; () where none is meant.

    Parameters
    ----------
    at
        The occasion.
    typed
        Short or whole name.

    Raises
    ------
    UnknownStudyError
        If several are meant; the message names them.
    """
    from stability.records import instruments, journal, places
    from stability.records.database import open_database

    with open_database(at.records).reading() as connection:
        meant = (
            *places.meant_subjects(places.place_subjects(connection), typed),
            *instruments.meant_subjects(
                instruments.instrument_subjects(connection), typed
            ),
        )
        if len(meant) > 1:
            names = " or ".join(one.partition(":")[2] for one in meant)
            raise UnknownStudyError(typed.strip(), names)
        if not meant:
            return ()
        entries = journal.entries(connection, meant[0])
    is_place = meant[0].startswith(place.SUBJECT)
    say = _of_place(entries) if is_place else _of_instrument(entries)
    return tuple(_line(one, entries, say) for one in entries)


def _line(
    one: Entry, entries: Sequence[Entry], say: Callable[[Entry], str]
) -> HistoryLine:
    code = one.subject.partition(":")[2]
    aside = [
        f"set aside by {code}/{each.position}"
        for each in entries
        if each.kind == INVALIDATED and each.content["refers_to"] == one.position
    ]
    return HistoryLine(
        reference=f"{code}/{one.position}",
        position=one.position,
        kind=one.kind.partition("/")[0],
        done=one.done,
        entered=one.entered,
        person=one.person,
        sample=None,
        text=_set_aside(one) if one.kind == INVALIDATED else say(one),
        state="".join(aside),
    )


def _set_aside(one: Entry) -> str:
    return f"{one.content['refers_to']} set aside: {one.content['because']}"


def _of_place(entries: Sequence[Entry]) -> Callable[[Entry], str]:
    record = fold_place(entries)

    def say(one: Entry) -> str:
        told = record.happenings.get(one.position)
        if told is not None:
            file = one.content.get("file")
            kept = f"; SHA-256 {file['sha256'][:16]}" if file else ""
            return f"{happening_words(replace(told, invalidated=None), record)}{kept}"
        gap = f"a reading stands for up to {record.longest_gap}"
        usual = " (common practice)" if record.usual_gap else ""
        what = f"{record.text}, " if record.text else ""
        zone = f"times in {record.zone.key}"
        return f"registered: {what}{record.meant_words()}; {gap}{usual}; {zone}"

    return say


def _of_instrument(entries: Sequence[Entry]) -> Callable[[Entry], str]:
    record = fold_instrument(entries)
    said = {one.position: _calibration(one) for one in record.calibrations}
    said |= {one.position: f"rules {change_words(one)}" for one in record.changes}
    said |= {one.position: f"retired: {one.because}" for one in record.retirements}
    what = f", {record.text}" if record.text else ""
    first = f"registered: {record.kind}{what}; {rules_words(record.rules)}"
    return lambda one: said.get(one.position, first)


def _calibration(one: Calibration) -> str:
    reason = f"; because {one.because}" if one.because else ""
    return f"{outcome_words(replace(one, invalidated=None))}{reason}"
