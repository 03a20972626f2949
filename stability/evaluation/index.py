"""What the record holds, looked up once: plans, initial values, weights.

Every later step asks for these by sample, check or attribute; asking the record
anew each time would make the evaluation grow with the square of the readings.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from stability.evaluation.phrases import decimals_of, number_text
from stability.evaluation.readings import Basis, InitialUsed, Purpose
from stability.evaluation.remarks import same_words
from stability.evaluation.storage_findings import NOT_LOOKED_AT, Storage
from stability.evaluation.weights import Loss, losses_of
from stability.model.age import T0
from stability.model.attribute import Attribute
from stability.model.condition import Role
from stability.model.judgement import mean_reading, word_of
from stability.model.limit import Limit
from stability.model.observation import Observation
from stability.model.protocol import Protocol
from stability.model.schedule import PlannedCheck, planned_checks
from stability.model.study import Sample
from stability.model.study_record import StudyRecord
from stability.model.surroundings import ALONE, Surroundings

#: Fixed settings by name.
Settings = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class InitialReading:
    """One T0 observation that may serve as an initial value."""

    #: The sample it was read on.
    sample: Sample
    #: The observation.
    observation: Observation
    #: Mean of its readings [attribute's unit]; None for words and for < or >.
    value: Fraction | None
    #: Its word; None for measured attributes.
    word: str | None


#: (attribute, fixed settings, whose: sample code, "batch|pack" or "batch|") -> T0.
InitialTable = Mapping[tuple[str, Settings, str], list[InitialReading]]


@dataclass(frozen=True, slots=True)
class Index:
    """A study record with what is looked up again and again."""

    #: The record.
    record: StudyRecord
    #: The as-of date.
    as_of: date
    #: (sample, check) -> plan.
    planned: Mapping[tuple[str, str], PlannedCheck]
    #: Sample -> its plans by due date.
    plans: Mapping[str, tuple[PlannedCheck, ...]]
    #: Sample -> its observations, in order of the entries.
    observations: Mapping[str, list[Observation]]
    #: T0 observations that may serve as initial values.
    initials: InitialTable
    #: The initial values worked out from them, without whose they are.
    initial_values: Mapping[tuple[str, Settings, str], InitialUsed | None]
    #: (attribute, batch) -> fixed settings of the first T0 reading, then of the first.
    usual_settings: Mapping[tuple[str, str], Mapping[str, str]]
    #: Position of a weight before opening -> loss up to it.
    losses: Mapping[int, Loss]
    #: (attribute, condition or None for T0) -> limit and its words.
    limits: Mapping[tuple[str, str | None], tuple[Limit, str]]
    #: Sample -> role of its condition; None where it has none.
    roles: Mapping[str, Role | None]
    #: What the study rests on besides its own record.
    surroundings: Surroundings = ALONE
    #: What the storage places did while its samples stood there.
    storage: Storage = NOT_LOOKED_AT

    @property
    def protocol(self) -> Protocol:
        """The frozen protocol."""
        return self.record.protocol

    def attribute(self, name: str) -> Attribute:
        """Return an attribute of the protocol."""
        return self.record.protocol.attributes[name]

    def limit_on_its_day(
        self, seen: Observation, condition: str | None
    ) -> tuple[Limit, str]:
        """Return the limit, and its words, that held when an observation was made."""
        if self.record.amendments:
            held = self.record.protocol_on(seen).attributes.get(seen.attribute)
            if held is not None:
                limit = held.limit_in(condition)
                return limit, limit.words(_unit_of_words(held))
        return self.limits[seen.attribute, condition]

    def initial_readings(
        self, attribute: str, settings: Settings, sample: Sample
    ) -> tuple[list[InitialReading], Basis]:
        """Return the T0 readings that serve a sample, and whose they are.

        Those of the same container, else of the same batch and pack, else of the same
        batch.
        """
        for whose, basis in _owners(sample):
            found = self.initials.get((attribute, settings, whose))
            if found:
                return found, basis
        return [], "same batch"

    def initial_of(
        self, attribute: Attribute, settings: Settings, sample: Sample
    ) -> InitialUsed | None:
        """Return the initial value that serves a sample; None where there is none."""
        for whose in (sample.code, _batch_and_pack(sample), _batch(sample)):
            key = (attribute.name, settings, whose)
            if key in self.initial_values:
                return self.initial_values[key]
        return None


def _owners(sample: Sample) -> tuple[tuple[str, Basis], ...]:
    return (
        (sample.code, "same container"),
        (_batch_and_pack(sample), "same batch and pack"),
        (_batch(sample), "same batch"),
    )


def _basis(whose: str) -> Basis:
    """Return whose T0 readings stand under a key of the table."""
    if whose.endswith("||"):
        return "same batch"
    return "same batch and pack" if "|" in whose else "same container"


def index_of(
    record: StudyRecord, as_of: date, surroundings: Surroundings = ALONE
) -> Index:
    """Look a record up once.

    Parameters
    ----------
    record
        As folded from the entries up to the as-of date.
    as_of
        The as-of date.
    surroundings
        What the study rests on besides, as of that date.
    """
    plans = {
        code: planned_checks(record, sample) for code, sample in record.samples.items()
    }
    observations: dict[str, list[Observation]] = {}
    for seen in record.observations:
        observations.setdefault(seen.sample, []).append(seen)
    usual = _usual_settings(record)
    initials = _initials(record, usual)
    return Index(
        record=record,
        as_of=as_of,
        planned={
            (code, one.check): one for code, ones in plans.items() for one in ones
        },
        plans=plans,
        observations=observations,
        initials=initials,
        initial_values={
            key: _initial(record.protocol.attributes[key[0]], found, _basis(key[2]))
            for key, found in initials.items()
        },
        usual_settings=usual,
        losses=_losses(record, observations),
        limits=_limits(record.protocol),
        roles={
            code: role_of(record, sample) for code, sample in record.samples.items()
        },
        surroundings=surroundings,
    )


def _limits(
    protocol: Protocol,
) -> dict[tuple[str, str | None], tuple[Limit, str]]:
    found: dict[tuple[str, str | None], tuple[Limit, str]] = {}
    for name, attribute in protocol.attributes.items():
        unit = _unit_of_words(attribute)
        for condition in (None, *protocol.conditions):
            limit = attribute.limit_in(condition)
            found[name, condition] = limit, limit.words(unit)
    return found


def _unit_of_words(attribute: Attribute) -> str:
    return unit_judged(attribute) if attribute.kind == "measured" else ""


def unit_judged(attribute: Attribute) -> str:
    """Return the unit of what is judged: a loss is a share of the net fill."""
    return "%" if attribute.from_weights else attribute.unit


def purpose_of(record: StudyRecord, seen: Observation) -> Purpose:
    """Return what an observation is for.

    A T0 reading made before the structure has settled is kept as "at make" and never
    serves as an initial value. Weights need no settling.
    """
    if seen.check is None:
        return "extra"
    if seen.check != T0:
        return "check"
    batch = record.study.batches[record.samples[seen.sample].batch]
    settled = record.protocol.t0.read_after.after(batch.made)
    return "at make" if seen.part is None and seen.done.day < settled else "T0"


def fixed_settings(
    attribute: Attribute, seen: Observation, usual: Mapping[str, str]
) -> Settings:
    """Return the fixed settings of an observation.

    A setting that was not stated is as the protocol prescribes it, else as usual in
    this study.
    """
    return settings_meant(attribute, seen.settings, usual)


def settings_meant(
    attribute: Attribute, stated: Mapping[str, str], usual: Mapping[str, str]
) -> Settings:
    """Return the fixed settings that are meant by those stated."""
    if not attribute.settings:
        return ()
    return tuple(
        (name, _setting(stated.get(name), (setting.value, usual.get(name))))
        for name, setting in attribute.settings.items()
        if setting.kind == "fixed"
    )


def _setting(stated: str | None, known: tuple[str | None, ...]) -> str:
    """Return a stated setting in the words in which it is known already."""
    if not stated:
        return next((one for one in known if one), "")
    return next((one for one in known if one and same_words(one, stated)), stated)


def role_of(record: StudyRecord, sample: Sample) -> Role | None:
    """Return the role of a sample's condition; None where it has no condition.

    An untreated twin is there for comparison. A container in use says nothing of the
    unopened product, wherever it stands.
    """
    if sample.condition is None:
        return None
    role = record.protocol.conditions[sample.condition].role
    if sample.twin_of is not None:
        return "control"
    return "stress" if sample.use == "in use" and role == "long-term" else role


def _usual_settings(
    record: StudyRecord,
) -> dict[tuple[str, str], dict[str, str]]:
    found: dict[tuple[str, str], dict[str, str]] = {}
    ordered = sorted(record.observations, key=lambda one: one.check != T0)
    for seen in ordered:
        if seen.settings and seen.stands:
            batch = record.samples[seen.sample].batch
            usual = found.setdefault((seen.attribute, batch), {})
            for name, value in seen.settings.items():
                usual.setdefault(name, value)
    return found


def _initials(
    record: StudyRecord, usual: Mapping[tuple[str, str], Mapping[str, str]]
) -> dict[tuple[str, Settings, str], list[InitialReading]]:
    found: dict[tuple[str, Settings, str], list[InitialReading]] = {}
    for seen in record.observations:
        if seen.check != T0 or not seen.stands or not seen.readings:
            continue
        attribute = record.protocol.attributes[seen.attribute]
        if attribute.from_weights or purpose_of(record, seen) != "T0":
            continue
        sample = record.samples[seen.sample]
        reading = _initial_reading(attribute, sample, seen)
        settings = fixed_settings(
            attribute, seen, usual.get((seen.attribute, sample.batch), {})
        )
        for whose in {sample.code, _batch_and_pack(sample), _batch(sample)}:
            found.setdefault((seen.attribute, settings, whose), []).append(reading)
    return found


def _initial_reading(
    attribute: Attribute, sample: Sample, seen: Observation
) -> InitialReading:
    if attribute.kind == "measured":
        return InitialReading(sample, seen, mean_reading(seen.readings), None)
    return InitialReading(sample, seen, None, word_of(seen.readings, attribute))


def _initial(
    attribute: Attribute, found: Sequence[InitialReading], basis: Basis
) -> InitialUsed | None:
    positions = tuple(one.observation.position for one in found)
    if attribute.kind != "measured":
        word = _worst([one.word for one in found if one.word is not None], attribute)
        return InitialUsed(None, word, basis, word, positions)
    readings = [reading for one in found for reading in one.observation.readings]
    value = mean_reading(readings)
    if value is None:
        return None
    text = number_text(value, decimals_of(readings))
    return InitialUsed(value, None, basis, text, positions)


def _worst(words: list[str], attribute: Attribute) -> str:
    if attribute.kind == "scored":
        return max(words, key=attribute.rank)
    return next((one for one in words if one != attribute.limit.required), words[0])


def _losses(
    record: StudyRecord, observations: Mapping[str, list[Observation]]
) -> dict[int, Loss]:
    names = [
        one.name for one in record.protocol.attributes.values() if one.from_weights
    ]
    found: dict[int, Loss] = {}
    for code, ones in observations.items():
        standing = [one for one in ones if one.stands]
        pack = record.study.packs.get(record.samples[code].pack or "")
        for name in names:
            found |= losses_of(standing, name, pack)
    return found


def _batch_and_pack(sample: Sample) -> str:
    return f"{sample.batch}|{sample.pack or ''}"


def _batch(sample: Sample) -> str:
    return f"{sample.batch}||"
