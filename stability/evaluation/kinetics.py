"""Arrhenius fits of kinetic attributes, batch by batch: supportive, never a request."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from stability.evaluation.ageing_findings import KineticFinding, StorageReference
from stability.evaluation.histories import step_of
from stability.evaluation.index import Index, unit_judged
from stability.evaluation.series import MeasuredSeries, Point, SeriesKey
from stability.model.age import T0
from stability.model.ageing import ArrheniusFit, temperature_span
from stability.model.attribute import Attribute
from stability.model.condition import Condition
from stability.model.estimate import Caution, NoFit, Scale
from stability.model.study import StructuralLimit
from stability.statistics.ageing import rate_ratio
from stability.statistics.arrhenius import LEVEL, arrhenius_fit

_REOPENED = Caution(
    "reopened",
    "Read from reopened containers: their rate is that of an opened container.",
)
_NO_LIMIT = NoFit(
    "no-structural-limit",
    "The study declares no structural limit, below which all temperatures must lie.",
)
_QUALIFIED = NoFit(
    "qualified",
    "A reading is written with < or >: no rate is fitted; every reading is judged by "
    "itself.",
)


def kinetic_findings(
    index: Index, against: StorageReference, measured: Sequence[MeasuredSeries]
) -> Iterator[KineticFinding]:
    """Yield a fit for each kinetic attribute, pack and batch, or why there is none.

    Parameters
    ----------
    index
        The record, looked up once.
    against
        The storage to which rates are carried.
    measured
        Series of the whole study.
    """
    grouped: dict[SeriesKey, list[MeasuredSeries]] = {}
    for one in measured:
        if index.attribute(one.key.attribute).kinetic and _takes_part(index, one):
            key = replace(one.key, condition=against.condition, sample="")
            grouped.setdefault(key, []).append(one)
    for key, series in grouped.items():
        yield _finding(index, against, key, series)


def _takes_part(index: Index, one: MeasuredSeries) -> bool:
    """Say whether a series stands for the product as it is stored."""
    sample = index.record.samples.get(one.key.sample)
    return not one.key.twin_of and (sample is None or sample.use != "in use")


def _finding(
    index: Index,
    against: StorageReference,
    key: SeriesKey,
    series: Sequence[MeasuredSeries],
) -> KineticFinding:
    limit = index.record.study.structural_limit
    attribute = index.attribute(key.attribute)
    fitted: dict[str, list[MeasuredSeries]] = {}
    left_out: dict[str, str] = {}
    for one in series:
        condition = index.protocol.conditions[one.key.condition]
        why = _unfit(condition, limit)
        if why:
            left_out[condition.name] = why
        else:
            fitted.setdefault(condition.name, []).append(one)
    celsius = {name: _celsius(index.protocol.conditions[name]) for name in fitted}
    readings = _readings(fitted, celsius)
    result = _refused(against, limit) or _fit(
        readings, attribute, against, step_of(index, attribute)
    )
    return KineticFinding(
        key=key,
        unit=unit_judged(attribute),
        scale=attribute.fit_scale,
        against=against,
        conditions=tuple(celsius.items()),
        left_out=tuple(left_out.items()),
        result=result,
        cautions=(*_near_limit(index, fitted), *_cautions(fitted)),
        text=_text(result, unit_judged(attribute), attribute.fit_scale, celsius),
    )


def _unfit(condition: Condition, limit: StructuralLimit | None) -> str:
    """Return why a condition has no place in a law of temperature; "" where it has."""
    if condition.steps:
        return "cycles are counted, not fitted as time"
    if condition.light:
        return "light is another stress than heat"
    if temperature_span(condition) is None:
        return "no temperature is part of it"
    celsius = _celsius(condition)
    if celsius <= 0:
        return "frozen, or nearly: another state than the product in storage"
    if limit is not None and celsius >= limit.temperature:
        return (
            f"at or above {limit.temperature} °C, where the structure gives way "
            f"({limit.reason})"
        )
    return ""


def _celsius(condition: Condition) -> float:
    """Return the temperature taken for a condition: the middle of its span [°C]."""
    low, high = temperature_span(condition) or (Decimal(0), Decimal(0))
    return float((low + high) / 2)


@dataclass(frozen=True, slots=True)
class _Readings:
    """Readings of all temperatures of one batch; T0 once."""

    #: Temperature of each [°C].
    celsius: tuple[float, ...]
    #: Age of each [months].
    ages: tuple[float, ...]
    #: Value of each [attribute's unit].
    values: tuple[float, ...]


def _refused(against: StorageReference, limit: StructuralLimit | None) -> NoFit | None:
    if limit is None:
        return _NO_LIMIT
    if against.celsius < limit.temperature:
        return None
    return NoFit(
        "storage-above-limit",
        f"Storage at {against.celsius:g} °C lies at or above the structural limit of "
        f"{limit.temperature} °C: no rate is carried to it.",
    )


def _fit(
    readings: _Readings | None,
    attribute: Attribute,
    against: StorageReference,
    step: float | None,
) -> ArrheniusFit | NoFit:
    if readings is None:
        return _QUALIFIED
    return arrhenius_fit(
        readings.celsius,
        readings.ages,
        readings.values,
        against.celsius,
        scale=attribute.fit_scale,
        resolution=step,
    )


def _readings(
    fitted: Mapping[str, Sequence[MeasuredSeries]], celsius: Mapping[str, float]
) -> _Readings | None:
    """Return one reading for each condition and check; None where one has < or >."""
    points = [
        (name, point)
        for name, series in fitted.items()
        for one in series
        for point in one.points
    ]
    if any(point.value is None for _, point in points):
        return None
    rows: list[tuple[float, float, float]] = []
    start = {
        code: value
        for _, point in points
        if point.check == T0
        for code, value in point.containers
    }
    if start:
        rows.append((0.0, 0.0, _mean(list(start.values()))))
    together: dict[tuple[str, str], list[Point]] = {}
    for name, point in points:
        if point.check != T0:
            check = point.check or f"extra {point.day}"
            together.setdefault((name, check), []).append(point)
    rows += [
        (
            celsius[name],
            sum(one.age_months for one in ones) / len(ones),
            _mean([one.value for one in ones if one.value is not None]),
        )
        for (name, _), ones in together.items()
    ]
    found = tuple(zip(*rows, strict=True)) or ((), (), ())
    return _Readings(*found)


def _mean(values: Sequence[Fraction]) -> float:
    return float(sum(values, Fraction(0)) / len(values))


def _near_limit(index: Index, fitted: Iterable[str]) -> Iterator[Caution]:
    """Yield conditions that are meant below the structural limit and may reach it."""
    limit = index.record.study.structural_limit
    for name in fitted:
        span = temperature_span(index.protocol.conditions[name])
        if limit is not None and span is not None and span[1] >= limit.temperature:
            yield Caution(
                "near-structural-limit",
                f"{name} may reach {limit.temperature} °C, where the structure gives "
                f"way ({limit.reason}).",
            )


def _cautions(fitted: Mapping[str, Sequence[MeasuredSeries]]) -> Iterator[Caution]:
    """Yield what makes a single temperature's rate doubtful."""
    for name, series in fitted.items():
        for one in series:
            for caution in one.cautions:
                if caution.blocks_extrapolation:
                    yield replace(caution, text=f"{name}: {caution.text}")
    if any(one.key.sample for series in fitted.values() for one in series):
        yield _REOPENED


def _text(
    result: ArrheniusFit | NoFit, unit: str, scale: Scale, celsius: Mapping[str, float]
) -> str:
    """Return a fit in words; the rate on ln is told as a share of the value."""
    if isinstance(result, NoFit):
        return result.text
    slow, fast = (_rate(one, scale) for one in result.rate_interval)
    named = "% of its value" if scale == "ln" else "" if unit == "1" else unit
    low, high = result.energy_interval
    return (
        f"At {result.storage_c:g} °C {_rate(result.rate, scale)} "
        f"{f'{named} ' if named else ''}a month ({slow} to {fast}); "
        f"activation energy {result.energy:.1f} kJ/mol ({low:.1f} to {high:.1f}), a "
        f"Q10 of {rate_ratio(result.energy, 25, 35):.2f} from 25 to 35 °C; two-sided "
        f"{100 * result.confidence:g} % intervals, {result.n} readings, "
        f"{result.df} df, {_temperatures(celsius)}. {_law(result)} Supportive only."
    )


def _rate(rate: float, scale: Scale) -> str:
    # On ln a rate r is a change of 100 r % a month for as long as it lasts.
    return f"{100 * rate if scale == 'ln' else rate:.3g}"


def _temperatures(celsius: Mapping[str, float]) -> str:
    return "at " + ", ".join(f"{name} {one:g} °C" for name, one in celsius.items())


def _law(result: ArrheniusFit) -> str:
    if result.f is None or result.p is None:
        return "Whether one law fits all temperatures cannot be tested."
    holds = "is not contradicted" if result.p >= LEVEL else "does not fit"
    return (
        f"One law for all temperatures {holds} (F({result.df_top}, "
        f"{result.df_bottom}) = {result.f:.3g}, p = {result.p:.2g})."
    )
