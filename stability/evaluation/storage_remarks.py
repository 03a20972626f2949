"""Excursions beside the readings that they may explain, and in the list of remarks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from zoneinfo import ZoneInfo

from stability.evaluation.findings import RecordRemark
from stability.evaluation.phrases import days_text, listed
from stability.evaluation.readings import Remark
from stability.evaluation.storage_findings import Storage, StorageExcursion, hours_text
from stability.model.moment import Moment, moment_at
from stability.model.observation import Observation

#: Code of the remark that is made here.
EXCURSION = "excursion"
#: Excursions of one place and answer that are listed one by one.
_MOST_LISTED = 12


def excursion_remarks(
    storage: Storage, seen: Observation, zone: ZoneInfo
) -> tuple[Remark, ...]:
    """Return the remark on excursions that a sample met before it was read.

    It stays a remark: what the place did is a deviation of the storage, told once in
    the record, and not of every reading after it.

    Parameters
    ----------
    storage
        What the places did.
    seen
        The observation.
    zone
        The study's time zone.
    """
    before = [
        one
        for one in storage.met_by(seen.sample)
        if moment_at(one.start.astimezone(zone), zone) < seen.done
    ]
    if not before:
        return ()
    text = _together(before, seen.done, zone)
    return (Remark(EXCURSION, "remark", f"excursion: {text}"),)


def _together(before: Sequence[StorageExcursion], done: Moment, zone: ZoneInfo) -> str:
    """Return excursions in words: `9 h colder than meant, 12 days before`."""
    last = max(before, key=lambda one: one.end)
    when = _before(last, done, zone)
    if len(before) == 1:
        return f"{last.lead}, {when}"
    parts = []
    for side in ("hotter", "colder", None):
        here = [one for one in before if one.direction == side]
        if not here:
            continue
        name = f"{side} than meant" if side else "out of order"
        timed = [one.hours for one in here if one.hours is not None]
        length = f"{hours_text(sum(timed))} " if timed else ""
        unknown = " and an unknown time" if timed and len(timed) < len(here) else ""
        parts.append(f"{length}{name}{unknown}")
    return f"{listed(parts)} in {len(before)} excursions, the last {when}"


def _before(one: StorageExcursion, done: Moment, zone: ZoneInfo) -> str:
    days = (done.day - one.end.astimezone(zone).date()).days
    return f"{days_text(days)} before" if days > 0 else "up to the same day"


def excursions_recorded(storage: Storage, zone: ZoneInfo) -> Iterator[RecordRemark]:
    """Yield every excursion, many of one place and answer together.

    Parameters
    ----------
    storage
        What the places did.
    zone
        The study's time zone.
    """
    groups: dict[tuple[str, str], list[StorageExcursion]] = {}
    for one in storage.excursions:
        groups.setdefault((one.place, one.answer_text), []).append(one)
    for (place, answer), here in groups.items():
        if len(here) <= _MOST_LISTED:
            for one in here:
                yield _recorded(one, f"{place}: {one.text}; {answer}", zone)
        else:
            together = _recorded(here[0], f"{place}: {_many(here)}; {answer}", zone)
            yield replace(together, count=len(here))


def _many(here: Iterable[StorageExcursion]) -> str:
    ones = list(here)
    timed = [one.hours for one in ones if one.hours is not None]
    longest = max(timed, default=0.0)
    return (
        f"{len(ones)} excursions, {hours_text(sum(timed))} together, the longest "
        f"{hours_text(longest)}"
    )


def _recorded(one: StorageExcursion, text: str, zone: ZoneInfo) -> RecordRemark:
    return RecordRemark(
        kind="excursion",
        weight="deviation",
        sample=None,
        check=None,
        attribute=None,
        position=None,
        done=moment_at(one.start.astimezone(zone), zone),
        person="" if one.answer is None else one.answer.person,
        text=text,
    )
