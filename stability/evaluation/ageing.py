"""Heat beside real time: what the storage is, and what must stand beside it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from stability.evaluation.ageing_findings import (
    AgeingFindings,
    HeatFinding,
    KineticFinding,
    StorageReference,
)
from stability.evaluation.failures import Seen
from stability.evaluation.index import Index
from stability.evaluation.kinetics import kinetic_findings
from stability.evaluation.phrases import listed
from stability.evaluation.readings import Exposure
from stability.evaluation.rules_of_thumb import heat_findings, hot_conditions
from stability.evaluation.series import MeasuredSeries
from stability.model.ageing import temperature_span
from stability.model.condition import Condition
from stability.model.estimate import Caution
from stability.statistics.temperature import GAS_CONSTANT, ZERO_CELSIUS

#: Constants behind every figure of Arrhenius; older ones change the fourth digit.
CONSTANTS = f"R = {GAS_CONSTANT} J/(mol K), 0 °C = {ZERO_CELSIUS} K"
_RULE_OF_THUMB = Caution(
    "rule-of-thumb",
    "Rules of thumb (a factor of 2, 2.5 or 3 for 10 °C): an estimate, not evidence; "
    "trade custom, no standard. Melting, inversion, loss of water, light and microbes "
    "follow none of them. Real time carries the request.",
)
_SUPPORTIVE = Caution(
    "supportive",
    f"Arrhenius fits are supportive only: they enter neither the months shown nor the "
    f"cap nor the request. {CONSTANTS}.",
)
_NO_LIMIT = Caution(
    "no-structural-limit",
    "The study declares no structural limit: nothing says from which temperature on "
    "this product melts or inverts, and whether it was passed here.",
)


def ageing_findings(
    index: Index,
    seen: Seen,
    exposures: Mapping[str, Sequence[Exposure]],
    measured: Sequence[MeasuredSeries],
) -> AgeingFindings:
    """Return what heat says beside real time.

    Parameters
    ----------
    index
        The record, looked up once.
    seen, measured
        Of the whole study.
    exposures
        Sample -> time that it spent in other conditions than its own.
    """
    references = tuple(_references(index))
    heat = tuple(
        one
        for reference in references
        for one in heat_findings(index, reference, seen, exposures)
    )
    kinetics = tuple(
        one
        for reference in references
        for one in kinetic_findings(index, reference, measured)
    )
    return AgeingFindings(
        references=references,
        structural_limit=index.record.study.structural_limit,
        heat=heat,
        no_heat="" if heat else _no_heat(index, references),
        kinetics=kinetics,
        no_kinetics="" if kinetics else _no_kinetics(index, references),
        cautions=tuple(_cautions(index, heat, kinetics)),
    )


def of_attribute(found: AgeingFindings, name: str) -> AgeingFindings:
    """Return what is said of one attribute; what is said of all stays."""
    heat = tuple(
        replace(one, attributes=one.attributes and (name,))
        for one in found.heat
        if not one.attributes or name in one.attributes
    )
    kinetics = tuple(one for one in found.kinetics if one.key.attribute == name)
    no_heat = f"{name} is not judged in a hot condition, or does not bear the request."
    return replace(
        found,
        heat=heat,
        no_heat="" if heat else found.no_heat or no_heat,
        kinetics=kinetics,
        no_kinetics=""
        if kinetics
        else found.no_kinetics or f"{name} is not declared kinetic: no Arrhenius fit.",
    )


def _references(index: Index) -> Iterator[StorageReference]:
    """Yield long-term storage with a temperature; that of this study's samples first.

    What loggers measured there stands before what the protocol means, as its mean
    kinetic temperature, where at most a tenth of the time is unknown. A study that
    screens in heat alone is held against the storage that its protocol means.
    """
    used = {one.condition for one in index.record.samples.values()}
    meant = [
        one for one in index.protocol.conditions.values() if one.role == "long-term"
    ]
    for one in [one for one in meant if one.name in used] or meant:
        span = temperature_span(one)
        measured = _measured(index, one)
        if measured is not None:
            yield measured
        elif span is not None:
            low, high = map(float, span)
            middle = (low + high) / 2
            text = f"{middle:g} °C, {_whence(index, one, low, high)}"
            yield StorageReference(one.name, middle, low, high, text)


def _measured(index: Index, condition: Condition) -> StorageReference | None:
    """Return the mean kinetic temperature of long-term storage; None without one."""
    stored = index.storage.of(condition.name)
    figures = None if stored is None else stored.figures
    if stored is None or figures is None or figures.mean_kinetic_c is None:
        return None
    # To the tenth that is printed, so that its figures follow from what is read.
    celsius = round(figures.mean_kinetic_c, 1)
    unknown, zone = figures.unknown_share, index.record.zone
    start, end = figures.start.astimezone(zone), figures.end.astimezone(zone)
    gap = f", {100 * unknown:.1f} % of the time unknown" if unknown >= 0.0005 else ""
    text = (
        f"{celsius:g} °C, the mean kinetic temperature of {listed(stored.places)} as "
        f"measured {start:%Y-%m-%d} to {end:%Y-%m-%d}{gap}"
    )
    return StorageReference(
        condition.name, celsius, celsius, celsius, text, measured=True
    )


def _whence(index: Index, condition: Condition, low: float, high: float) -> str:
    span = f"{low:g} to {high:g} °C" if low < high else ""
    if condition.between is not None:
        words = f"the middle of the range of {condition.name}, {span}"
    else:
        words = f"as the protocol has {condition.name}{f', {span}' if span else ''}"
    stored = index.storage.of(condition.name)
    why = "what it really was is not known here"
    figures = None if stored is None else stored.figures
    if figures is not None and figures.known_hours <= 0:
        why = "no logger tells what it really was"
    elif figures is not None:
        why = f"no mean kinetic temperature as measured: {figures.not_stated}"
    return f"nominal, {words}; {why}"


_NO_STORAGE = (
    "The protocol gives long-term storage no temperature: there is nothing to hold "
    "heat against"
)


def _no_heat(index: Index, references: Sequence[StorageReference]) -> str:
    if not hot_conditions(index):
        return "No sample of this study is kept in an accelerated or stress condition."
    if not references:
        return f"{_NO_STORAGE}."
    return "Nothing that bears the request is judged in a hot condition."


def _no_kinetics(index: Index, references: Sequence[StorageReference]) -> str:
    kinetic = [one.name for one in index.protocol.attributes.values() if one.kinetic]
    if not kinetic:
        return "No attribute is declared kinetic: no Arrhenius fit is made."
    if not references:
        return f"{_NO_STORAGE}; no Arrhenius fit of {listed(kinetic)}."
    return f"Nothing is read yet of {listed(kinetic)}: no Arrhenius fit."


def _cautions(
    index: Index, heat: Sequence[HeatFinding], kinetics: Sequence[KineticFinding]
) -> Iterator[Caution]:
    if heat:
        yield _RULE_OF_THUMB
    held_against = [one.against for one in heat] + [one.against for one in kinetics]
    for storage in dict.fromkeys(held_against):
        code = "measured-storage" if storage.measured else "nominal-storage"
        yield Caution(code, f"Held against {storage.condition} at {storage.text}.")
    if (heat or kinetics) and index.record.study.structural_limit is None:
        yield _NO_LIMIT
    if kinetics:
        yield _SUPPORTIVE
