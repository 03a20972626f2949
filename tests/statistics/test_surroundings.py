"""Doses of light."""

from __future__ import annotations

from stability.statistics.surroundings import light_dose


def test_without_a_measured_dose_q1b_is_not_named() -> None:
    dose = light_dose()

    assert "Q1B" not in dose.text
    assert not dose.reached


def test_both_doses_must_be_reached() -> None:
    assert not light_dose(visible=1.2e6).reached
    assert light_dose(visible=1.2e6, ultraviolet=200).reached
    assert not light_dose(visible=1.2e6, ultraviolet=199).reached
    assert not light_dose(visible=1.199e6, ultraviolet=200).reached


def test_a_dose_that_falls_short_never_reads_as_whole() -> None:
    text = light_dose(visible=1_199_999, ultraviolet=400).text

    assert text == (
        "1199999 lx·h, 99 % of the visible light of ICH Q1B; 400 W·h/m², 200 % of the "
        "near ultraviolet of ICH Q1B."
    )


def test_what_was_not_measured_is_said() -> None:
    assert "near ultraviolet not measured" in light_dose(visible=8000).text
    assert "visible light not measured" in light_dose(ultraviolet=2).text
