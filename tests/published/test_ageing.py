"""Arrhenius, acceleration and rules of thumb of known answer.

NIST/SEMATECH e-Handbook of Statistical Methods, 2003, sections 8.1.5.1 and 8.4.2.3.
"Stability of TP in free form," PLOS ONE 0210694, 2019, PMC6347292, Table 3. ASTM F1980
formula, whose text was not opened. Remington refrigerator example, from memory.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from stability.model.ageing import ArrheniusLine
from stability.statistics.ageing import (
    ageing_factor,
    arrhenius_line,
    energy_between,
    rate_ratio,
    rules_of_thumb,
)
from stability.statistics.drift import fit_drift
from stability.statistics.line import closed_line

Rows = Callable[[str], list[dict[str, str]]]

#: Boltzmann's constant, CODATA [eV/K] and Faraday's constant [kC/mol]: eV to kJ/mol.
KJ_PER_MOL_PER_EV = 96.48533212


def test_nist_degradation_of_15_units(rows: Rows) -> None:
    # NIST/SEMATECH e-Handbook 8.4.2.3: ln 30 - ln(D/t) on 1e5 / (8.617 (T + 273.16)).
    table = rows("nist_apr423_degradation.csv")
    inverse = [1e5 / (8.617 * (float(row["temp_c"]) + 273.16)) for row in table]
    times = [
        math.log(30) - math.log(float(row["percent_change"]) / float(row["hours"]))
        for row in table
    ]
    line = closed_line(inverse, times)
    slope_error = line.s_used / math.sqrt(line.sxx)
    intercept_error = line.s_used * math.sqrt(1 / line.n + line.mean_age**2 / line.sxx)

    assert line.intercept == pytest.approx(-18.94337, abs=1e-4)
    assert intercept_error == pytest.approx(1.83343, abs=1e-4)
    assert line.slope == pytest.approx(0.81877, abs=1e-4)
    assert slope_error == pytest.approx(0.05641, abs=1e-4)
    assert line.s_used == pytest.approx(0.5611, abs=1e-4)
    assert line.df == 43
    assert (line.slope / slope_error) ** 2 == pytest.approx(210.7, abs=0.05)
    residuals = sorted(
        y - line.intercept - line.slope * x for x, y in zip(inverse, times, strict=True)
    )
    quartiles = [residuals[i] for i in (0, 11, 22, 33, 44)]
    assert quartiles == pytest.approx(
        [-0.82806, -0.39392, -0.04028, 0.35714, 1.12534], abs=1e-4
    )


def test_nist_degradation_by_the_line_of_ln_k_on_1_over_t(rows: Rows) -> None:
    # The same data: rate D/t, so that the energy is 0.8188 eV but for the constants.
    table = rows("nist_apr423_degradation.csv")
    result = arrhenius_line(
        [float(row["temp_c"]) for row in table],
        [float(row["percent_change"]) / float(row["hours"]) for row in table],
    )
    assert isinstance(result, ArrheniusLine)

    assert result.energy / KJ_PER_MOL_PER_EV == pytest.approx(0.81877, abs=2e-4)
    assert result.energy_error / KJ_PER_MOL_PER_EV == pytest.approx(0.05641, abs=1e-4)
    assert result.s == pytest.approx(0.5611, abs=1e-4)


@pytest.mark.parametrize(
    ("kelvin", "rates", "energy", "half"),
    [
        ((303, 313, 323, 333), (3.94e-6, 4.80e-6, 5.38e-6, 6.12e-6), 12.07, 3.80),
        ((333, 343, 353, 363), (7.64e-6, 8.39e-6, 9.42e-6, 1.09e-5), 11.84, 4.51),
    ],
)
def test_activation_energies_with_their_limits(
    kelvin: tuple[int, ...], rates: tuple[float, ...], energy: float, half: float
) -> None:
    # PLOS ONE 0210694, Table 3; whole kelvins, ± t(0.975, n - 2) standard errors.
    result = arrhenius_line([t - 273.15 for t in kelvin], rates)
    assert isinstance(result, ArrheniusLine)

    assert result.energy == pytest.approx(energy, abs=0.01)
    assert result.energy_half == pytest.approx(half, abs=0.01)
    assert "rules of thumb of 2 to 3: they do not hold here" in result.text


def test_acceleration_from_60_to_100_degrees() -> None:
    # Printed in the documentation of a general reliability library: 1.2 eV.
    ratio = rate_ratio(1.2 * KJ_PER_MOL_PER_EV, 60, 100)

    assert ratio == pytest.approx(88.29574588463338, rel=1e-6)


@pytest.mark.parametrize(("energy", "factor"), [(0.5, 133), (1.0, 17597)])
def test_acceleration_from_25_to_125_degrees(energy: float, factor: float) -> None:
    # NIST/SEMATECH e-Handbook 8.1.5.1, from memory; older constants there.
    ratio = rate_ratio(energy * KJ_PER_MOL_PER_EV, 25, 125)

    assert ratio == pytest.approx(factor, rel=4e-3)


@pytest.mark.parametrize(
    ("heated", "room", "factor", "days", "heated_days"),
    [
        (55, 25, 8, 730, 91.25),
        (55, 22, 9.849155, 365, 37.059016),
        (50, 22, 6.964405, 365, 52.409362),
        (60, 22, 13.928809, 365, 26.204681),
    ],
)
def test_accelerated_ageing_factor(
    *, heated: float, room: float, factor: float, days: float, heated_days: float
) -> None:
    # ASTM F1980 formula with Q10 = 2; exact arithmetic.
    assert ageing_factor(2, heated, room) == pytest.approx(factor, abs=1e-6)
    assert days / ageing_factor(2, heated, room) == pytest.approx(heated_days, abs=1e-6)


@pytest.mark.parametrize(
    ("q10", "heated", "room", "factor"),
    [
        (2, 37, 25, 2.2974),
        (2, 40, 25, 2.8284),
        (2, 45, 25, 4.0),
        (2, 50, 25, 5.6569),
        (2, 45, 22, 4.9246),
        (2, 45, 21, 5.2780),
        (2, 45, 20, 5.6569),
        (3, 40, 25, 5.1962),
        (3, 45, 25, 9.0),
    ],
)
def test_rules_of_thumb(q10: float, heated: float, room: float, factor: float) -> None:
    # Exact arithmetic, computed.
    assert ageing_factor(q10, heated, room) == pytest.approx(factor, abs=5e-5)


@pytest.mark.parametrize(("q10", "hours"), [(2, 96), (3, 216), (4, 384)])
def test_a_day_at_room_in_the_refrigerator(q10: float, hours: float) -> None:
    # Remington, from memory: 24 h at 25 °C, at 5 °C; and 18 h with Q10 3 are 162 h.
    assert 24 * ageing_factor(q10, 25, 5) == pytest.approx(hours, abs=1e-6)
    assert 18 * ageing_factor(3, 25, 5) == pytest.approx(162, abs=1e-6)


@pytest.mark.parametrize(
    ("energy", "q10"), [(50, 1.9243), (53.6, 2.0171), (83.144, 2.9696), (100, 3.7028)]
)
def test_q10_from_an_activation_energy(energy: float, q10: float) -> None:
    # Computed, two programs.
    assert rate_ratio(energy, 25, 35) == pytest.approx(q10, abs=1e-4)


def test_energy_from_two_rates() -> None:
    # Seen: k 2e-3 at 298 K and 4e-3 at 308 K, about 53 kJ/mol; recomputed 52.894.
    # The value is for R = 8.314 J/(mol K).
    energy = energy_between(2.0, 298 - 273.15, 308 - 273.15) * 8.314 / 8.314462618

    assert energy == pytest.approx(52.894, abs=1e-3)


@pytest.mark.parametrize(
    ("heated", "room", "days"), [(45, 25, 336.0), (45, 20, 475.2), (40, 25, 237.6)]
)
def test_twelve_weeks_in_the_heat(heated: float, room: float, days: float) -> None:
    # Exact arithmetic with Q10 = 2, computed.
    row = rules_of_thumb(84, heated, room, measured=False).rows[0]

    assert row.reference_days == pytest.approx(days, abs=0.05)


def test_time_to_lose_a_tenth() -> None:
    # Computed: data 0, 4, 8, 12 weeks, least squares on ln.
    drift = fit_drift([0, 4, 8, 12], [100, 97.1, 94.0, 91.3], scale="ln")

    assert -drift.slope == pytest.approx(0.007638, abs=5e-7)  # type: ignore[union-attr]  # a line
    assert math.log(0.9) / drift.slope == pytest.approx(13.795, abs=5e-4)  # type: ignore[union-attr]  # a line
