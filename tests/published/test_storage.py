"""Mean kinetic temperature, salts and light of known answer.

J. D. Haynes, J. Pharm. Sci. 60:927-929, 1971, and USP constants (83.144 kJ/mol); no
published example with its answer was found: values computed, two programs. CRC Handbook
table of constant humidity. ICH Q1B, Photostability Testing, 1996.
"""

from __future__ import annotations

import pytest

from stability.model.salt import SALT_TOLERANCE, Salt, salt_humidity
from stability.statistics.surroundings import light_dose
from stability.statistics.temperature import mean_kinetic_temperature


@pytest.mark.parametrize(
    ("readings", "weights", "kinetic"),
    [
        ([25.0, 25.0, 25.0], None, 25.0),
        ([25.0, 40.0], [29.0, 1.0], 26.113034266),
        ([4.0, 4.0, 4.0, 4.0, 16.0], None, 8.108857215),
        ([20.0, 30.0], None, 26.259886916),
    ],
)
def test_mean_kinetic_temperature(
    readings: list[float], weights: list[float] | None, kinetic: float
) -> None:
    # The values are for R = 8.3144 J/(mol K) exactly, energy over R = 10 000 K.
    energy = 83.144 * 8.314462618 / 8.3144
    computed = mean_kinetic_temperature(readings, weights, activation_energy=energy)

    assert computed == pytest.approx(kinetic, abs=1e-6)
    assert mean_kinetic_temperature(readings, weights) == pytest.approx(
        kinetic, abs=1e-4
    )


@pytest.mark.parametrize(
    ("readings", "weights", "kinetic"),
    [
        ([25.0, 40.0], None, 35.074),
        ([20.0, 20.0, 20.0, 30.0], None, 23.644),
        ([40.0, 48.0], [162.0, 6.0], 40.417),
    ],
)
def test_mean_kinetic_temperature_to_three_decimals(
    readings: list[float], weights: list[float] | None, kinetic: float
) -> None:
    # Computed with energy over R = 10 000 K.
    assert mean_kinetic_temperature(readings, weights) == pytest.approx(
        kinetic, abs=6e-4
    )


@pytest.mark.parametrize(
    ("salt", "celsius", "humidity"),
    [
        ("sodium chloride", 25, 75.25),
        ("sodium chloride", 40, 74.95),
        ("potassium nitrate", 25, 91.92),
        ("magnesium chloride", 25, 32.79),
    ],
)
def test_humidity_over_salts(salt: Salt, celsius: float, humidity: float) -> None:
    # CRC Handbook constants, A e^(B/T).
    assert salt_humidity(salt, celsius) == pytest.approx(humidity, abs=0.01)


@pytest.mark.parametrize(
    ("salt", "measured"),
    [
        ("sodium chloride", {5: 75.65, 25: 75.29, 40: 74.68, 45: 74.52}),
        ("magnesium chloride", {5: 33.60, 25: 32.78, 40: 31.60, 45: 31.10}),
        ("potassium nitrate", {5: 96.27, 25: 93.58, 40: 89.03, 45: 87.03}),
    ],
)
def test_humidity_over_salts_lies_within_its_tolerance_of_what_was_measured(
    salt: Salt, measured: dict[int, float]
) -> None:
    # L. Greenspan, J. Res. Natl. Bur. Stand. A 81:89, 1977, table 2, from memory.
    for celsius, humidity in measured.items():
        assert abs(salt_humidity(salt, celsius) - humidity) < SALT_TOLERANCE


@pytest.mark.parametrize(("lux", "hours"), [(8000, 150), (4430, 270.88)])
def test_light_dose(lux: float, hours: float) -> None:
    # 1.2 million lx·h: 150 h at 8000 lx, 270.88 h at 4430 lx.
    assert light_dose(visible=lux * hours).share_of_visible == pytest.approx(
        1.0, abs=1e-5
    )
