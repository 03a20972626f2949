"""Rules of thumb and the plain line of ln k on 1/T."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.model.ageing import ArrheniusLine
from stability.model.estimate import NoFit
from stability.statistics.ageing import (
    ageing_factor,
    arrhenius_line,
    energy_between,
    rate_ratio,
    rules_of_thumb,
)


def test_the_table_has_three_factors_and_is_called_no_evidence() -> None:
    table = rules_of_thumb(84, 45, 21.3, measured=True)

    assert [row.q10 for row in table.rows] == [2.0, 2.5, 3.0]
    assert "an estimate, not evidence" in table.text
    assert "21.3 °C (the room's mean kinetic temperature)" in table.text
    assert "(nominal)" in rules_of_thumb(84, 45, 25, measured=False).text


@given(st.floats(1.1, 5), st.floats(-20, 60))
def test_the_same_temperature_ages_alike(q10: float, celsius: float) -> None:
    assert ageing_factor(q10, celsius, celsius) == 1


@given(st.floats(20, 150), st.floats(0, 30), st.floats(1, 40))
def test_an_energy_gives_back_its_ratio(
    energy: float, cold: float, warmer: float
) -> None:
    ratio = rate_ratio(energy, cold, cold + warmer)

    assert energy_between(ratio, cold, cold + warmer) == pytest.approx(energy)


@given(st.floats(20, 150), st.floats(1e-6, 1e3))
def test_exact_rates_give_back_their_energy(energy: float, rate: float) -> None:
    celsius = [25.0, 35.0, 40.0, 45.0]
    rates = [rate * rate_ratio(energy, 25, t) for t in celsius]
    line = arrhenius_line(celsius, rates)
    assert isinstance(line, ArrheniusLine)

    assert line.energy == pytest.approx(energy)
    assert line.q10 == pytest.approx(rate_ratio(energy, 25, 35))


@pytest.mark.parametrize(("energy", "warns"), [(20, True), (70, False), (150, True)])
def test_an_energy_off_the_rules_of_thumb_is_said(
    energy: float, *, warns: bool
) -> None:
    rates = [rate_ratio(energy, 25, t) for t in (25, 35, 45)]
    line = arrhenius_line([25, 35, 45], rates)
    assert isinstance(line, ArrheniusLine)

    assert ("do not hold here" in line.text) is warns
    assert "Supportive only" in line.text


@pytest.mark.parametrize(
    ("celsius", "rates", "code"),
    [
        ([25, 40], [1.0, 3.0], "too-few-temperatures"),
        ([25, 40, 40], [1.0, 3.0, 3.1], "too-few-temperatures"),
        ([25, 35, 45], [1.0, 0.0, 3.0], "rate-not-positive"),
    ],
)
def test_what_cannot_be_fitted_is_named(
    celsius: list[float], rates: list[float], code: str
) -> None:
    result = arrhenius_line(celsius, rates)

    assert isinstance(result, NoFit)
    assert result.code == code
