"""Whether what was read rests on an instrument that was calibrated.

A reading without a valid calibration carries a caution, one that a failed calibration
reaches back to is doubtful. Neither changes a value, a mark or a fit.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from stability.evaluation.index import Index
from stability.evaluation.instrument_findings import Instruments, InstrumentUse
from stability.evaluation.phrases import count_text, listed
from stability.evaluation.readings import JudgedObservation, Remark
from stability.model.attribute import Attribute
from stability.model.calibration import Calibration
from stability.model.instrument import Calibrated, InstrumentRecord
from stability.model.instrument_words import doubt_words, lack_words, retired_words
from stability.model.names import in_words
from stability.model.observation import Observation
from stability.model.ph_electrode import brackets
from stability.model.surroundings import INSTRUMENT, Surroundings

#: Codes of the remarks that are made here.
LACKING, DOUBTFUL, CHANGED = "calibration", "doubtful", "recorded setting"
RETIRED = "retired instrument"


def with_calibrations(
    remarks: tuple[Remark, ...],
    index: Index,
    seen: Observation,
    attribute: Attribute,
    usual: Mapping[str, str],
) -> tuple[Remark, ...]:
    """Return the remarks of an observation with those on its instrument.

    Parameters
    ----------
    remarks
        All others, deviations first.
    index
        The record with its surroundings.
    seen, attribute
        The observation, and what it observes.
    usual
        Settings of the first readings of this attribute and batch.
    """
    stated = seen.settings.get(INSTRUMENT)
    if stated is None or not seen.readings:
        return remarks
    own = list(_remarks(index.surroundings, seen, attribute, stated))
    before = usual.get(INSTRUMENT)
    if INSTRUMENT not in attribute.settings and before not in {None, stated}:
        own.append(Remark(CHANGED, "remark", f"instrument {stated}, before {before}"))
    found = (*remarks, *own)
    return tuple(sorted(found, key=lambda one: one.weight != "deviation"))


def instruments_of(index: Index, judged: Sequence[JudgedObservation]) -> Instruments:
    """Return the instruments that observations name, and what names none.

    Parameters
    ----------
    index
        The record with its surroundings.
    judged
        Every observation; those that stand and hold readings count.
    """
    uses: dict[str, _Use] = {}
    named: dict[str, list[bool]] = {}
    for one in judged:
        seen = one.observation
        attribute = index.attribute(one.attribute)
        if not seen.stands or not seen.readings or attribute.instrument is None:
            continue
        meant = index.surroundings.named(seen.settings.get(INSTRUMENT, ""))
        known = INSTRUMENT in seen.settings and _is_told(meant, attribute)
        named.setdefault(one.attribute, []).append(known)
        if len(meant) == 1:
            use = uses.setdefault(meant[0].code, _Use(meant[0]))
            use.take(one, meant[0].at(seen.done))
    unnamed = tuple(
        (name, told.count(False), len(told))
        for name, told in named.items()
        if not all(told)
    )
    return Instruments(
        uses=tuple(uses[code].finding() for code in sorted(uses)),
        unnamed=unnamed,
        caution=_caution(unnamed),
    )


def lacking_groups(
    judged: Iterable[JudgedObservation],
) -> Iterator[tuple[list[JudgedObservation], Remark]]:
    """Yield observations that lack a calibration in the same way, with the remark.

    Those made with an instrument that had been retired are among them.
    """
    groups: dict[tuple[str, str], list[JudgedObservation]] = {}
    told: dict[tuple[str, str], Remark] = {}
    for one in judged:
        for remark in one.remarks:
            if remark.code in {LACKING, RETIRED} and one.observation.stands:
                key = (one.attribute, remark.text)
                groups.setdefault(key, []).append(one)
                told[key] = remark
    for key, ones in groups.items():
        yield ones, told[key]


def _is_told(meant: tuple[InstrumentRecord, ...], attribute: Attribute) -> bool:
    """Say whether a stated name tells an instrument, or is remarked on by itself."""
    return bool(meant) or INSTRUMENT not in attribute.settings


def _remarks(
    around: Surroundings, seen: Observation, attribute: Attribute, stated: str
) -> Iterator[Remark]:
    meant = around.named(stated)
    if len(meant) != 1:
        if text := _unclear(meant, attribute, stated):
            yield Remark(LACKING, "remark", text)
        return
    instrument = meant[0]
    at = instrument.at(seen.done)
    if doubt := doubt_words(instrument, at):
        yield Remark(DOUBTFUL, "deviation", doubt)
    if left := retired_words(instrument, at):
        yield Remark(RETIRED, "remark", left)
    if lack := lack_words(instrument, at):
        yield Remark(LACKING, "remark", lack)
    elif at.last is not None and _beyond(seen, attribute, at.last):
        low, high = min(at.last.range_ph), max(at.last.range_ph)
        text = (
            f"outside the buffers {low} to {high} of the calibration of "
            f"{instrument.name} on {at.last.done.day}"
        )
        yield Remark(LACKING, "remark", text)


def _unclear(
    meant: tuple[InstrumentRecord, ...], attribute: Attribute, stated: str
) -> str:
    if meant:
        names = " or ".join(one.code for one in meant)
        return f"no calibration known: {stated} may be {names}"
    if INSTRUMENT in attribute.settings:
        return ""
    return f"no calibration known: {stated} is not a registered instrument"


def _beyond(seen: Observation, attribute: Attribute, last: Calibration) -> bool:
    """Say whether a pH lies outside the buffers in which the meter was calibrated."""
    if attribute.unit != "pH" or not last.buffers:
        return False
    return not all(
        brackets(last.range_ph, one.number)
        for one in seen.readings
        if not one.qualifier
    )


def _caution(unnamed: Sequence[tuple[str, int, int]]) -> str:
    if not unnamed:
        return ""
    names = [
        in_words(name)
        if without == of
        else f"{in_words(name)} ({without} of {of} observations)"
        for name, without, of in unnamed
    ]
    return (
        f"No instrument is named for {listed(names)}; whether it was calibrated is not "
        "on record."
    )


@dataclass(frozen=True, slots=True)
class _Use:
    """What was read with one instrument, gathered observation by observation."""

    #: The instrument.
    instrument: InstrumentRecord
    #: Attributes, in the order in which they were met.
    attributes: dict[str, None] = field(default_factory=dict)
    #: Positions of the observations.
    positions: list[int] = field(default_factory=list)
    #: Position of a calibration -> it.
    calibrations: dict[int, Calibration] = field(default_factory=dict)
    #: Positions of observations without a valid calibration.
    lacking: list[int] = field(default_factory=list)
    #: Positions of observations that are doubtful.
    doubtful: list[int] = field(default_factory=list)
    #: Positions of observations made after it was retired.
    retired: list[int] = field(default_factory=list)

    def take(self, one: JudgedObservation, at: Calibrated) -> None:
        """Take in an observation that stands."""
        self.attributes[one.attribute] = None
        self.positions.append(one.position)
        for made in (at.last_good, at.last, at.failed):
            if made is not None:
                self.calibrations[made.position] = made
        if at.standing != "valid":
            self.lacking.append(one.position)
        if at.failed is not None:
            self.doubtful.append(one.position)
        if at.retired is not None:
            self.retired.append(one.position)

    def finding(self) -> InstrumentUse:
        """Return what was gathered."""
        made = [
            one
            for one in self.instrument.standing()
            if one.position in self.calibrations
        ]
        count = len(self.positions)
        parts = [f"{self.instrument.code}: {count_text(count, 'observation')}"]
        if self.doubtful:
            parts.append(f"{len(self.doubtful)} doubtful, not corrected")
        if self.lacking:
            parts.append(f"{len(self.lacking)} without a valid calibration")
        if self.retired:
            parts.append(f"{len(self.retired)} after it was retired")
        good = "" if len(parts) > 1 else ", all with a valid calibration"
        return InstrumentUse(
            instrument=self.instrument,
            attributes=tuple(self.attributes),
            observations=count,
            calibrations=tuple(made),
            lacking=tuple(self.lacking),
            doubtful=tuple(self.doubtful),
            retired=tuple(self.retired),
            text=f"{', '.join(parts)}{good}.",
        )
