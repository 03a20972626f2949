"""What storage places did while the samples of a study stood there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime

from stability.evaluation.excursions import Period, excursions_in
from stability.evaluation.phrases import listed
from stability.evaluation.place_readings import (
    PlaceReadings,
    figures_over,
    merged,
    read_place,
    thinned,
)
from stability.evaluation.spells import Spell, spells_of
from stability.evaluation.storage_findings import (
    ConditionStorage,
    Envelope,
    PlaceFigures,
    PlaceUsed,
    Stay,
    Storage,
    StorageExcursion,
)
from stability.model.ageing import temperature_span
from stability.model.condition import Condition
from stability.model.place import PlaceRecord, Range
from stability.model.storage_figures import MinMaxFigures
from stability.model.study_record import StudyRecord
from stability.model.surroundings import Surroundings
from stability.statistics.temperature import minmax_figures

#: Whole name -> the place with its readings.
Places = Mapping[str, PlaceReadings]


def read_places(surroundings: Surroundings) -> Places:
    """Return the readings of every place that a study names, each file read once."""
    return {
        code: read_place(place, surroundings.files)
        for code, place in surroundings.places.items()
    }


def storage_of(
    record: StudyRecord, as_of: date, surroundings: Surroundings, places: Places
) -> Storage:
    """Return what the places of a study did while its samples stood there.

    Parameters
    ----------
    record
        The study.
    as_of
        The day; what lasts, lasts to its end.
    surroundings
        The places that the study names, each as of that day.
    places
        The same with their readings.
    """
    spells = tuple(spells_of(record, as_of, surroundings))
    looking = _Looking(record.study.code, places)
    order = {name: at for at, name in enumerate(record.protocol.conditions)}
    names = sorted({one.condition for one in spells}, key=lambda one: order[one])
    conditions = tuple(
        _condition(
            record.protocol.conditions[name],
            [one for one in spells if one.condition == name],
            looking,
        )
        for name in names
    )
    drawn = (_envelope(name, spells, places) for name in names)
    used = {one.code for one in spells}
    return Storage(
        conditions=conditions,
        stays=tuple(
            _stay(one, looking)
            for one in sorted(spells, key=lambda one: (one.sample, one.start))
        ),
        places=tuple(_used(one.place) for code, one in places.items() if code in used),
        envelopes=tuple(one for one in drawn if one is not None),
        zone=record.zone,
    )


class _Looking:
    """Figures and excursions of places, each worked out once."""

    def __init__(self, study: str, places: Places) -> None:
        self.study = study
        self.places = places
        self._figures: dict[
            tuple[str, Range | None, tuple[tuple[datetime, datetime], ...]],
            PlaceFigures | None,
        ] = {}
        self._excursions: dict[
            tuple[str, Range | None, datetime, datetime], tuple[StorageExcursion, ...]
        ] = {}

    def place(self, code: str | None) -> PlaceReadings | None:
        """Return a place; None where nothing is known of it."""
        return None if code is None else self.places.get(code)

    def figures(
        self,
        code: str,
        meant: Range | None,
        periods: tuple[tuple[datetime, datetime], ...],
    ) -> PlaceFigures | None:
        """Return figures of a place; None without a file of a logger."""
        key = (code, meant, periods)
        if key not in self._figures:
            readings = self.places[code]
            logs = bool(readings.place.logs())
            self._figures[key] = (
                figures_over(readings, meant, periods) if logs else None
            )
        return self._figures[key]

    def excursions(
        self, code: str, meant: Range | None, start: datetime, end: datetime
    ) -> tuple[StorageExcursion, ...]:
        """Return the excursions of a place in a period."""
        key = (code, meant, start, end)
        if key not in self._excursions:
            period = Period(start, end, self.study)
            found = excursions_in(self.places[code], meant, period)
            self._excursions[key] = found
        return self._excursions[key]


def _condition(
    condition: Condition, spells: Sequence[Spell], looking: _Looking
) -> ConditionStorage:
    figures: list[PlaceFigures] = []
    excursions: list[StorageExcursion] = []
    for (code, meant), here in _by_place(spells).items():
        periods = _united([(one.start, one.end) for one in here])
        hours = sum((end - start).total_seconds() for start, end in periods) / 3600
        if looking.place(code) is None or code is None:
            figures.append(_nothing_known(periods, hours))
            continue
        found = looking.figures(code, meant, periods)
        figures.append(found or _nothing_known(periods, hours))
        for start, end in periods:
            excursions += looking.excursions(code, meant, start, end)
    known = any(looking.place(one.code) is not None for one in spells)
    ranges = {one.meant for one in spells}
    span = next(iter(ranges)) if len(ranges) == 1 else None
    return ConditionStorage(
        condition=condition.name,
        places=tuple(dict.fromkeys(one.named for one in spells if one.named)),
        meant_text=condition.words(),
        meant=span,
        samples=len({one.sample for one in spells}),
        figures=merged(figures) if known else None,
        looks=_looks(spells, span, looking),
        excursions=tuple(sorted(excursions, key=lambda one: one.start)),
        cautions=tuple(_cautions(condition, spells, looking)),
    )


def _by_place(
    spells: Iterable[Spell],
) -> dict[tuple[str | None, Range | None], list[Spell]]:
    found: dict[tuple[str | None, Range | None], list[Spell]] = {}
    for one in spells:
        found.setdefault((one.code, one.meant), []).append(one)
    return found


def _united(
    periods: Iterable[tuple[datetime, datetime]],
) -> tuple[tuple[datetime, datetime], ...]:
    """Return periods in order, those that overlap or touch as one."""
    found: list[tuple[datetime, datetime]] = []
    for start, end in sorted(periods):
        if found and start <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], end))
        else:
            found.append((start, end))
    return tuple(found)


def _nothing_known(
    periods: Sequence[tuple[datetime, datetime]], hours: float
) -> PlaceFigures:
    return PlaceFigures(
        start=periods[0][0],
        end=periods[-1][1],
        hours=hours,
        known_hours=0.0,
        within_share=None,
        hotter_hours=0.0,
        colder_hours=0.0,
        lowest_c=None,
        highest_c=None,
        mean_c=None,
        mean_kinetic_c=None,
        not_stated="no known time",
        humidity=None,
    )


def _looks(
    spells: Sequence[Spell], meant: Range | None, looking: _Looking
) -> MinMaxFigures | None:
    start, end = min(one.start for one in spells), max(one.end for one in spells)
    places = [looking.place(code) for code in dict.fromkeys(one.code for one in spells)]
    looks = [
        (one.place.time_of(look), look)
        for one in places
        if one is not None
        for look in one.place.looks()
        if start < one.place.time_of(look) <= end
    ]
    low, high = (None, None) if meant is None else (float(meant[0]), float(meant[1]))
    found = minmax_figures(
        [(time - start).total_seconds() / 86_400 for time, _ in looks],
        [float(look.lowest) for _, look in looks],
        [float(look.highest) for _, look in looks],
        lowest=low,
        highest=high,
    )
    return found if isinstance(found, MinMaxFigures) else None


def _cautions(
    condition: Condition, spells: Sequence[Spell], looking: _Looking
) -> Iterator[str]:
    """Yield what keeps the record of a condition from being whole."""
    unnamed = [one.sample for one in spells if not one.named]
    warm = temperature_span(condition) is not None or bool(condition.steps)
    if unnamed and warm:
        all_ = len(unnamed) == len(spells)
        of = "" if all_ else f" for {len(set(unnamed))} of its samples"
        yield (
            f"No storage place is named for {condition.name}{of}: what temperature it "
            "really had is not known."
        )
    unknown = dict.fromkeys(one.named for one in spells if one.named and not one.code)
    for named in unknown:
        yield (
            f"{condition.name} was in {named}, of which nothing, or more than one "
            "place, is on record: what temperature it really had is not known."
        )
    for code in dict.fromkeys(one.code for one in spells):
        readings = looking.place(code)
        if readings is not None:
            yield from _of_place(condition, readings)


def _of_place(condition: Condition, readings: PlaceReadings) -> Iterator[str]:
    place, span = readings.place, temperature_span(condition)
    if readings.lacking:
        yield f"The file {listed(readings.lacking)} of {place.name} is not at hand."
    if not (place.logs() or place.looks()):
        yield f"{place.name} is registered, but no logger or look of it is on record."
    stated = span is not None and span[0] < span[1]
    if stated and place.meant is not None and span != place.meant:
        yield (
            f"{place.name} is registered for {place.meant_words()}; here it is held "
            f"against what the protocol means for {condition.name}."
        )


def _stay(spell: Spell, looking: _Looking) -> Stay:
    figures: PlaceFigures | None = None
    excursions: tuple[StorageExcursion, ...] = ()
    if spell.code is not None and looking.place(spell.code) is not None:
        periods = ((spell.start, spell.end),)
        figures = looking.figures(spell.code, spell.meant, periods)
        excursions = looking.excursions(spell.code, spell.meant, spell.start, spell.end)
    return Stay(
        sample=spell.sample,
        condition=spell.condition,
        place=spell.named,
        start=spell.start,
        end=spell.end,
        lasts=spell.lasts,
        figures=figures,
        excursions=excursions,
    )


def _used(place: PlaceRecord) -> PlaceUsed:
    return PlaceUsed(
        place.code, place.name, place.text, place.meant_words(), place.head
    )


def _envelope(
    condition: str, spells: Iterable[Spell], places: Places
) -> Envelope | None:
    """Return the readings of a condition to be drawn; None without any."""
    here = [one for one in spells if one.condition == condition]
    parts = [
        thinned(places[code], *period)
        for code in dict.fromkeys(one.code for one in here)
        if code is not None and code in places
        for period in _united((one.start, one.end) for one in here if one.code == code)
    ]
    parts = [one for one in parts if one[0]]
    if not parts:
        return None
    parts.sort(key=lambda one: one[0][0])
    times: list[datetime] = []
    lowest: list[float] = []
    highest: list[float] = []
    breaks: list[int] = []
    for part in parts:
        if times:
            breaks.append(len(times) - 1)
        breaks += [len(times) + one for one in part[3]]
        times += part[0]
        lowest += part[1]
        highest += part[2]
    return Envelope(
        condition, tuple(times), tuple(lowest), tuple(highest), tuple(breaks)
    )
