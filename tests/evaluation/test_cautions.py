"""Cautions that apply to a product and its conditions."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

from stability.evaluation.cautions import NOTE
from stability.model.attribute import Attribute
from stability.model.limit import Limit
from stability.model.study import AsSold
from tests.evaluation.builders import Bench, protocol, sample, study


def codes(
    *conditions: str, attributes: tuple[str, ...] = (), **changes: Any
) -> set[str]:
    """Return the cautions of a study with one jar in some conditions."""
    base = protocol()
    kept = {name: base.attributes[name] for name in attributes or ("odour",)}
    made = Bench(
        [sample(f"HDC-{name}", name, use="fresh per check") for name in conditions],
        protocol=protocol(attributes=kept),
        study=study(("A", "B"), **changes),
    )
    return {one.code for one in made.evaluate("2025-02-01").cautions}


def test_the_note_says_that_an_assessor_is_not_replaced() -> None:
    assert "does not replace assessment by a qualified safety assessor" in NOTE
    assert "not the product's release specification" in NOTE
    assert Bench([]).evaluate("2025-02-01").note == NOTE


def test_some_cautions_are_always_there() -> None:
    assert {"not-on-skin", "real-time-carries", "physical-only"} <= codes("ROOM")


def test_a_product_with_water_needs_a_preservation_test() -> None:
    assert "preservation" in codes("ROOM")
    assert "keep-closed" in codes("ROOM")


def test_a_product_without_water_leaves_that_to_the_assessor() -> None:
    dry = codes("ROOM", contains_water=False)

    assert "preservation" not in dry
    assert "no-water" in dry


def test_the_freezer_and_the_oven_warn_only_where_they_are_used() -> None:
    assert "glass-in-freezer" in codes("FT")
    assert "closed-in-heat" in codes("T40")
    assert "no-kitchen" in codes("COLD")
    assert not {"glass-in-freezer", "closed-in-heat", "no-kitchen"} & codes("ROOM")


def test_light_without_a_measured_dose_names_no_standard() -> None:
    made = Bench([sample("HDC-001-A", "WINDOW")])
    texts = [one.text for one in made.evaluate("2025-02-01").cautions]

    assert not any("Q1B" in text for text in texts)
    assert "light-dose" in codes("WINDOW")
    assert "light-dose" not in codes("ROOM")


def test_light_whose_dose_was_read_is_not_said_to_be_without() -> None:
    dose = Attribute("dose", "measured", unit="lx·h", limit=Limit(recorded_only=True))
    made = Bench(
        [sample("HDC-001-A", "WINDOW"), sample("HDC-002-C", "FOIL")],
        protocol=protocol(attributes={"dose": dose}),
    )
    made.place("HDC-001-A", "WINDOW")
    before = {one.code for one in made.evaluate("2025-02-01").cautions}
    read = made.read("HDC-001-A", "dose", "4w", "1200000", done="2025-02-07")
    after = {one.code for one in made.evaluate("2025-02-08").cautions}
    made.invalidate(read, "meter was off", done="2025-02-09")

    assert "light-dose" in before
    assert "light-dose" not in after
    assert "light-dose" in {one.code for one in made.evaluate("2025-02-10").cautions}


def test_a_clock_that_begins_with_the_opening_is_told_with_its_condition() -> None:
    base = protocol()
    opened = replace(base.conditions["T45"], name="USE", age_from="first opening")
    using = replace(base, conditions={**base.conditions, "USE": opened})
    in_use = sample("HDC-001-A", "USE", use="in use", checks=("4w",))
    made = Bench([in_use], protocol=using)

    (told,) = [
        one.text
        for one in made.evaluate("2025-02-01").cautions
        if one.code == "first-opening"
    ]
    assert told.startswith("Age in USE counts from the first opening")
    assert "first-opening" not in codes("ROOM", "T45")


def test_acid_and_alkali_warn_where_ph_is_read() -> None:
    assert "acid-and-alkali" in codes("ROOM", attributes=("pH",))
    assert "acid-and-alkali" not in codes("ROOM")


def test_a_tube_in_a_centrifuge_warns() -> None:
    spun = Attribute("spun", "scored", scale=("none", "layer"), on="tube")
    made = Bench([], protocol=protocol(attributes={"spun": spun}))

    assert "centrifuge" in {one.code for one in made.evaluate("2025-02-01").cautions}


def test_what_is_not_as_sold_is_said() -> None:
    not_sold = AsSold(formula=True, pack=False, scale="400 g")

    assert "not-as-sold" in codes("ROOM", as_sold=not_sold)
    assert "not-as-sold" not in codes("ROOM")


def test_one_batch_and_reopened_jars_are_said() -> None:
    made = Bench([sample("HDC-001-A", "ROOM")])

    found = {one.code for one in made.evaluate("2025-02-01").cautions}

    assert {"one-batch", "reopened"} <= found
    assert not {"one-batch", "reopened"} & codes("ROOM")


def test_the_protocol_s_own_cautions_are_kept_as_written() -> None:
    made = Bench([], protocol=protocol(cautions=("Zinc oxide: grounded scoop.",)))

    (caution,) = [
        one for one in made.evaluate("2025-02-01").cautions if one.code == "protocol"
    ]

    assert caution.text == "Zinc oxide: grounded scoop."


def test_limits_that_rest_on_custom_are_counted() -> None:
    (caution,) = [
        one
        for one in Bench([]).evaluate("2025-02-01").cautions
        if one.code == "custom-limits"
    ]

    assert caution.text.startswith("1 limit rests on trade custom")
    assert protocol().conditions["T40"].temperature == Decimal(40)
