"""Heat beside real time: the storage it is held against, and what it never touches."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stability.evaluation.ageing import of_attribute
from tests.evaluation.heated import (
    ACTIVE,
    ODOUR,
    ROOM,
    T40,
    T45,
    T50,
    condition,
    decaying,
    found,
    heated,
)
from tests.evaluation.test_rules_of_thumb import PLAIN, steady

UNKNOWN = condition("ROOM", "long-term", None, storage_class="room")


def test_without_a_long_term_temperature_there_is_nothing_to_hold_heat_against() -> (
    None
):
    without = found(heated((UNKNOWN, T40, T50)))

    assert (without.references, without.heat, without.kinetics) == ((), (), ())
    assert "gives long-term storage no temperature" in without.no_heat
    assert "no Arrhenius fit of active" in without.no_kinetics
    assert without.cautions == ()


def test_without_heat_that_is_said() -> None:
    cold = condition("COLD", "control", "5")
    without = found(heated((ROOM, cold), steady, attributes=(PLAIN,)))

    assert without.heat == ()
    assert without.no_heat == (
        "No sample of this study is kept in an accelerated or stress condition."
    )


def test_heat_in_which_nothing_is_judged_is_said() -> None:
    silent = replace(PLAIN, bears_request=False)
    without = found(heated((ROOM, T45), steady, attributes=(silent,)))

    assert [one.outcome for one in without.heat] == ["not read"]


def test_a_kinetic_attribute_that_was_not_read_is_named() -> None:
    without = found(heated(value=lambda *_: None))

    assert without.kinetics == ()
    assert without.no_kinetics == "Nothing is read yet of active: no Arrhenius fit."


def test_each_long_term_storage_is_held_against() -> None:
    cool = condition("COOL", "long-term", "15")
    both = found(heated((ROOM, cool, T45), steady, attributes=(PLAIN,)))

    # Exact arithmetic: 45 °C against 25 and 15 °C with Q10 = 2: × 4 and × 8.
    factors = {one.against.condition: one.translations[0].factor for one in both.heat}
    assert factors == pytest.approx({"ROOM": 4.0, "COOL": 8.0})
    nominal = [one for one in both.cautions if one.code == "nominal-storage"]
    assert [("ROOM" in one.text, "COOL" in one.text) for one in nominal] == [
        (True, False),
        (False, True),
    ]


def test_a_screen_in_heat_alone_is_held_against_the_storage_meant() -> None:
    made = heated((T45,), steady, attributes=(PLAIN,))
    made.protocol = replace(
        made.protocol, conditions={"ROOM": ROOM, **made.protocol.conditions}
    )

    assert [one.outcome for one in found(made).heat] == ["translated"]


def test_constants_stand_beside_every_fit() -> None:
    words = " ".join(one.text for one in found(heated()).cautions)

    assert "R = 8.314462618 J/(mol K), 0 °C = 273.15 K" in words
    assert "supportive only" in words


def test_one_attribute_can_be_asked_for() -> None:
    both = found(heated(attributes=(ACTIVE, ODOUR), value=_mixed))

    odour = of_attribute(both, "odour")
    assert {one.attributes for one in both.heat} == {("active", "odour")}
    assert {one.attributes for one in odour.heat} == {("odour",)}
    assert odour.kinetics == ()
    assert odour.no_kinetics == "odour is not declared kinetic: no Arrhenius fit."
    assert len(of_attribute(both, "active").kinetics) == 1


def test_an_attribute_without_a_part_in_it_is_told_so() -> None:
    silent = replace(ODOUR, bears_request=False)
    both = found(heated(attributes=(ACTIVE, silent), value=_mixed))

    assert of_attribute(both, "odour").heat == ()
    assert "does not bear the request" in of_attribute(both, "odour").no_heat


def _mixed(place: str, name: str, weeks: int) -> str | None:
    if name == "odour":
        return steady(place, name, weeks)
    return decaying(rate=0.001)(place, name, weeks)


def test_heat_changes_nothing_of_the_shelf_life() -> None:
    plain = heated(attributes=(PLAIN,)).evaluate("2025-12-31")
    kinetic = heated(attributes=(ACTIVE,)).evaluate("2025-12-31")
    no_limit = heated(attributes=(ACTIVE,), limit=None).evaluate("2025-12-31")

    assert plain.shelf_life is not None
    assert plain.shelf_life == kinetic.shelf_life == no_limit.shelf_life
    assert plain.shown == kinetic.shown == no_limit.shown
