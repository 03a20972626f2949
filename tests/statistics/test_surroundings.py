"""Salts and light."""

from __future__ import annotations

import pytest

from stability.statistics.surroundings import light_dose, salt_humidity


def test_an_unknown_salt_breaks_the_contract() -> None:
    with pytest.raises(ValueError, match="gold"):
        salt_humidity("gold", 25)


def test_without_a_measured_dose_q1b_is_not_named() -> None:
    dose = light_dose(hours=1000)

    assert "Q1B" not in dose.text
    assert not dose.reached


def test_both_doses_must_be_reached() -> None:
    assert not light_dose(lux=8000, hours=150).reached
    assert light_dose(lux=8000, ultraviolet=2, hours=150).reached
    assert not light_dose(lux=8000, ultraviolet=1, hours=150).reached


def test_what_was_not_measured_is_said() -> None:
    assert "ultraviolet not measured" in light_dose(lux=8000, hours=1).text
    assert "visible light not measured" in light_dose(ultraviolet=2, hours=1).text
