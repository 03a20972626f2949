"""What is left in containers that are opened at every check."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from stability.model.attribute import Attribute
from stability.model.plan import FillLevel
from stability.model.sample import assign_samples
from stability.model.study import Pack
from stability.planning.fill_levels import (
    dry_words,
    feeds,
    fill_levels,
    unreadable,
)
from tests.planning.worked_examples import face_cream, face_cream_study


def levels(batch: str, condition: str, pack: str, use: str) -> dict[str, FillLevel]:
    """Return check -> level of one kind of container of the face cream."""
    study, protocol = face_cream_study(), face_cream()
    found = fill_levels(study, protocol, assign_samples(study, protocol))
    return {
        one.check: one
        for one in found
        if (one.batch, one.condition, one.pack, one.use)
        == (batch, condition, pack, use)
    }


def test_a_reopened_jar_is_60_percent_full_at_6_months_and_40_at_12() -> None:
    """Source: worked example, 50 g and 5 g a check, T0 read on bulk."""
    found = levels("A", "ROOM", "JAR", "reopened")

    assert found["6M"].share == Decimal("0.6")
    assert found["12M"].share == Decimal("0.4")
    assert found["6M"].words() == ""
    assert found["9M"].words().startswith("below 60 %")
    assert found["12M"].words().startswith("below 60 %")
    assert found["18M"].words().startswith("below 40 %")


def test_an_untouched_jar_is_full_when_it_is_opened() -> None:
    found = levels("A", "ROOM", "JAR", "untouched")

    assert list(found) == ["12M"]
    assert found["12M"].before_g == Decimal(50)
    assert found["12M"].words() == ""


def test_a_pump_that_is_read_too_often_runs_dry() -> None:
    study, protocol = face_cream_study(), face_cream()
    pump = study.packs["PUMP"]

    assert feeds(study, protocol, pump, "ROOM", protocol.conditions["ROOM"].checks[:6])
    assert not feeds(study, protocol, pump, "ROOM", protocol.conditions["ROOM"].checks)


def attribute(name: str, takes: int | None, needs: int | None, holes: int) -> Attribute:
    """Return an attribute that uses something up."""
    return Attribute(
        name,
        "measured",
        takes_g=None if takes is None else Decimal(takes),
        needs_g=None if needs is None else Decimal(needs),
        takes_surfaces=holes,
    )


@pytest.mark.parametrize(
    ("grams", "surfaces", "unread"),
    [
        ("20", 5, ()),
        ("16", 1, ()),
        ("15.9", 1, ("viscosity",)),
        ("2", 1, ("viscosity",)),
        ("1.9", 1, ("pH", "viscosity")),
        ("20", 0, ("hardness",)),
        ("20", None, ()),
    ],
)
def test_too_little_is_told_by_what_is_taken_and_what_goes_back(
    grams: str, surfaces: int | None, unread: tuple[str, ...]
) -> None:
    wanted = [
        attribute("pH", 2, None, 0),
        attribute("viscosity", None, 16, 0),
        attribute("hardness", None, None, 1),
    ]

    assert unreadable(wanted, Decimal(grams), surfaces) == unread


def test_a_needle_uses_up_surfaces_and_leaves_the_grams() -> None:
    protocol = face_cream()
    needle = Attribute("hardness", "measured", takes_surfaces=1, conditions=("ROOM",))
    tin = Pack("JAR", "30 g tin", fill_g=Decimal(30), surfaces=3)
    study = face_cream_study()
    study = replace(study, packs={**study.packs, "JAR": tin})
    only = replace(protocol, attributes={"hardness": needle})

    found = fill_levels(study, only, assign_samples(study, only))
    room = [one for one in found if (one.batch, one.use) == ("A", "reopened")]
    jar = [one for one in room if (one.condition, one.pack) == ("ROOM", "JAR")]

    assert [one.surfaces_left for one in jar[:4]] == [2, 1, 0, 0]
    assert [one.unread for one in jar[2:4]] == [(), ("hardness",)]
    assert {one.left_g for one in jar} == {Decimal(30)}


def test_a_twin_beside_a_container_of_the_same_place_is_told_by_itself() -> None:
    study, protocol = face_cream_study(), face_cream()
    jars = tuple(
        replace(row, pack="JAR") if row.condition == "FT" else row
        for row in study.samples
    )
    study = replace(study, samples=jars)

    found = fill_levels(study, protocol, assign_samples(study, protocol))

    room = [one for one in found if (one.batch, one.condition) == ("A", "ROOM")]
    by_sample: dict[str, list[str]] = {one.sample: [] for one in room}
    for one in room:
        by_sample[one.sample].append(one.check)
    assert ["c1", "c3"] in by_sample.values()
    cycled = [one for one in found if one.condition == "FT"]
    assert [one.check for one in cycled] == ["c1", "c3"]  # three alike, told once


def test_a_test_for_which_a_full_pack_is_too_small_is_told_once() -> None:
    study, protocol = face_cream_study(), face_cream()
    cup = replace(protocol.attributes["spread"], name="flow", needs_g=Decimal(40))
    with_cup = replace(protocol, attributes={**protocol.attributes, "flow": cup})
    levels = fill_levels(study, with_cup, assign_samples(study, with_cup))

    found = [one for one in dry_words(with_cup, levels) if "PUMP" in one]

    assert "a full PUMP holds 30 g, and flow needs 40 g: leave flow out" in found[0]
    assert not any("flow" in one for one in found[1:])
    jar = [one for one in dry_words(with_cup, levels) if "JAR in ROOM" in one]
    assert "too little is left for flow in JAR in ROOM at 3M" in jar[0]
