"""Arrhenius fits of kinetic attributes, batch by batch."""

from __future__ import annotations

import math
from dataclasses import replace
from decimal import Decimal

import pytest

from stability.evaluation.ageing_findings import KineticFinding
from stability.model.age import Age
from stability.model.ageing import ArrheniusFit
from stability.model.condition import CycleStep
from stability.model.estimate import NoFit
from stability.model.study import StructuralLimit
from tests.evaluation.builders import sample
from tests.evaluation.heated import (
    ACTIVE,
    ROOM,
    SHELF,
    T40,
    T45,
    T50,
    condition,
    decaying,
    found,
    heated,
)


def fits(*arguments: object, **options: object) -> tuple[KineticFinding, ...]:
    """Return the fits of a study made in code."""
    return found(heated(*arguments, **options)).kinetics  # type: ignore[arg-type]  # passed on


def fitted(one: KineticFinding) -> ArrheniusFit:
    """Return the fit, and insist on it."""
    assert isinstance(one.result, ArrheniusFit), one.text
    return one.result


def refused(one: KineticFinding) -> str:
    """Return the code of the reason why there is no fit."""
    assert isinstance(one.result, NoFit), one.text
    return one.result.code


def test_a_known_energy_and_rate_come_back() -> None:
    (one,) = fits()

    fit = fitted(one)
    assert fit.temperatures_c == (25.0, 40.0, 50.0)
    # T0 once and four checks at each of three temperatures.
    assert (fit.n, fit.df) == (13, 10)
    assert fit.energy == pytest.approx(83.0, abs=0.5)
    assert fit.rate == pytest.approx(-0.02, rel=0.01)
    assert fit.storage_c == 25.0


def test_the_words_carry_units_intervals_and_that_it_is_supportive() -> None:
    (one,) = fits()

    assert one.text.startswith("At 25 °C -0.02 % a month (-0.0")
    assert "kJ/mol (8" in one.text
    # A Q10 of 83 kJ/mol from 25 to 35 °C: 2.96, from R 8.314462618 and 273.15 K.
    expected = math.exp(83000 / 8.314462618 * (1 / 298.15 - 1 / 308.15))
    assert f"a Q10 of {expected:.2f}" in one.text
    assert "ROOM 25 °C, T40 40 °C, T50 50 °C" in one.text
    assert "One law for all temperatures" in one.text
    assert one.text.endswith("Supportive only.")


def test_every_batch_is_fitted_by_itself() -> None:
    slow, fast = decaying(60.0), decaying(100.0)
    made = heated(batches=("A", "B"), value=lambda *_: None)
    for batch, value in (("A", slow), ("B", fast)):
        start = value("T0", "", 0) or ""
        made.read(f"BULK-{batch}", "active", "T0", start, done="2025-01-09")
        for place in ("ROOM", "T40", "T50"):
            for week, day in ((4, "2025-02-07"), (8, "2025-03-07"), (12, "2025-04-04")):
                typed = value(place, "", week) or ""
                code = f"HDC-{place}-{batch}"
                made.read(code, "active", f"{week}w", typed, done=day)

    energies = {one.key.batch: fitted(one).energy for one in found(made).kinetics}
    assert energies["A"] == pytest.approx(60.0, abs=1.0)
    assert energies["B"] == pytest.approx(100.0, abs=1.0)


def test_the_rate_is_carried_to_the_middle_of_a_measured_range() -> None:
    (one,) = fits((SHELF, T40, T50))

    assert fitted(one).storage_c == 21.0
    assert dict(one.conditions)["ROOM"] == 21.0


def test_a_rate_on_ln_is_told_as_a_share() -> None:
    # 1 % a month at 25 °C and 83 kJ/mol, exactly on the ln scale.
    celsius = {"ROOM": 25.0, "T40": 40.0, "T50": 50.0, "T0": 25.0}

    def value(place: str, _name: str, weeks: int) -> str:
        kelvin = celsius[place] + 273.15
        rate = 0.01 * math.exp(83000 / 8.314462618 * (1 / 298.15 - 1 / kelvin))
        return f"{5 * math.exp(-rate * weeks * 7 / 30.4375):.6f}"

    (one,) = fits(attributes=(replace(ACTIVE, fit_scale="ln"),), value=value)

    assert fitted(one).energy == pytest.approx(83.0, abs=0.5)
    assert one.text.startswith("At 25 °C -1 % of its value a month (-")


def test_conditions_at_the_structural_limit_take_no_part() -> None:
    limit = StructuralLimit(Decimal(50), "the wax melts")
    (one,) = fits((ROOM, T40, T45, T50), limit=limit)

    assert fitted(one).temperatures_c == (25.0, 40.0, 45.0)
    assert dict(one.left_out) == {
        "T50": "at or above 50 °C, where the structure gives way (the wax melts)"
    }


def test_a_tolerance_that_reaches_the_structural_limit_is_a_caution() -> None:
    near = replace(T50, tolerance=Decimal(10))
    (one,) = fits((ROOM, T40, near))

    assert fitted(one)
    assert "near-structural-limit" in {caution.code for caution in one.cautions}
    assert "near-structural-limit" not in {c.code for c in fits()[0].cautions}


def test_reopened_containers_are_said_to_be_such() -> None:
    fresh = {"use": "fresh per check"}

    assert [caution.code for caution in fits()[0].cautions] == ["reopened"]
    assert fits(changes=fresh)[0].cautions == ()


# Refusals, each by its name


def test_a_study_without_structural_limit_has_no_fit() -> None:
    (one,) = fits(limit=None)

    assert refused(one) == "no-structural-limit"


def test_two_temperatures_are_too_few() -> None:
    (one,) = fits((ROOM, T40))

    assert refused(one) == "too-few-temperatures"
    assert one.text.startswith("Read at 2 temperatures")


def test_equal_temperatures_count_once() -> None:
    again = condition("OVEN", "stress", "40")
    (one,) = fits((ROOM, T40, again))

    assert refused(one) == "too-few-temperatures"


def test_one_age_is_too_little() -> None:
    once = [replace(one, checks=("12w",)) for one in (ROOM, T40, T50)]
    (one,) = fits(once)

    assert refused(one) == "too-few-readings"


def test_a_reading_with_less_than_is_not_fitted() -> None:
    exact = decaying()

    def value(place: str, name: str, weeks: int) -> str:
        typed = exact(place, name, weeks) or ""
        return f"<{typed}" if (place, weeks) == ("T50", 24) else typed

    (one,) = fits(value=value)

    assert refused(one) == "qualified"
    assert "< or >" in one.text


def test_a_rate_of_the_other_sign_is_refused_and_told() -> None:
    exact = decaying()

    def value(place: str, name: str, weeks: int) -> str | None:
        return (
            f"{5 + 0.01 * weeks:.4f}" if place == "T40" else exact(place, name, weeks)
        )

    (one,) = fits(value=value)

    assert refused(one) == "rates-of-both-signs"
    assert "0.043 at 40 °C" in one.text


def test_an_energy_whose_interval_holds_zero_is_refused() -> None:
    # Nearly the same rate at every temperature, with scatter.
    wobble = {4: 0.03, 8: -0.03, 12: 0.02, 24: 0.0}

    def value(place: str, _name: str, weeks: int) -> str:
        turned = -1 if place == "T40" else 1
        return f"{5 - 0.02 * weeks + turned * wobble.get(weeks, 0):.4f}"

    (one,) = fits(value=value)

    assert refused(one) == "energy-not-clear"
    assert "is not all above 0" in one.text


def test_storage_above_the_structural_limit_has_no_rate() -> None:
    low = StructuralLimit(Decimal(20), "the butter melts")
    (one,) = fits((SHELF, T40, T50), limit=low)

    assert refused(one) == "storage-above-limit"


@pytest.mark.parametrize(
    ("place", "why"),
    [
        (condition("X", "stress", "45", light="window"), "light is another stress"),
        (condition("X", "stress", None), "no temperature is part of it"),
        (condition("X", "control", "-18"), "frozen, or nearly"),
        (
            condition(
                "X",
                "stress",
                None,
                cycles=3,
                steps=(
                    CycleStep(Decimal(5), Decimal(2), Age(24, "h")),
                    CycleStep(Decimal(45), Decimal(2), Age(24, "h")),
                ),
                read_after_cycles=(3,),
            ),
            "cycles are counted",
        ),
    ],
    ids=["light", "none", "frozen", "cycles"],
)
def test_what_is_no_temperature_of_storage_is_left_out(place: object, why: str) -> None:
    (one,) = fits((ROOM, T40, T50, place))

    assert why in dict(one.left_out)["X"]
    assert fitted(one).temperatures_c == (25.0, 40.0, 50.0)


def test_an_opened_container_in_use_takes_no_part() -> None:
    made = heated()
    extra = sample("HDC-USE", "T40", use="in use", checks=("4w",))
    again = replace(made, samples=[*made.samples, extra], drafts=[])
    again.drafts.extend(made.drafts[1:])
    again.place("HDC-USE", "T40")
    again.read("HDC-USE", "active", "4w", "1.0000", done="2025-02-07")

    (one,) = found(again).kinetics
    assert fitted(one).n == 13


def test_an_attribute_that_is_not_declared_kinetic_is_not_fitted() -> None:
    made = heated(attributes=(replace(ACTIVE, kinetic=False),))

    assert found(made).kinetics == ()
    assert found(made).no_kinetics.startswith("No attribute is declared kinetic")
