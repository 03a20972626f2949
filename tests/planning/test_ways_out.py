"""Ways out where a batch is too small, and what each costs."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from stability.model.plan import WayOut
from stability.model.study import SampleRow, Study
from stability.planning.grams import batch_grams
from stability.planning.prices import is_frozen, price_of
from stability.planning.ways_out import plain, usable_share_words, ways_out
from tests.planning.worked_examples import (
    FRESH,
    REOPENED,
    face_cream,
    face_cream_study,
    small_batch,
    small_batch_study,
)

ALL = Decimal(1)


def ways(study: Study) -> dict[str, WayOut]:
    """Return the ways out of a study of the small batch, by their words."""
    batches = batch_grams(study, small_batch(), ALL)
    return {one.text: one for one in ways_out(study, small_batch(), batches, ALL)}


def test_a_batch_short_by_40_grams_has_ways_out() -> None:
    found = ways(small_batch_study(REOPENED))

    assert found["make 290 g of batch A instead of 250 g"].enough
    certificate = found["have challenge test and counts made on another batch"]
    assert (certificate.grams, certificate.enough) == (Decimal(120), True)
    heat = found["leave T45 out, with its reason"]
    assert (heat.grams, heat.enough) == (Decimal(30), False)
    assert "heat in storage" in heat.costs
    cold = found["leave COLD out, with its reason"]
    assert "odour has nothing to be compared with" in cold.costs
    small = found["a pack of 15 g in place of JAR"]
    assert (small.grams, small.enough) == (Decimal(75), True)
    assert "differs from the one sold" in small.costs


@pytest.mark.parametrize("usable", ["0.95", "0.9", "0.97", "1"])
def test_the_mass_that_is_named_is_enough_and_one_gram_less_is_not(usable: str) -> None:
    share, study = Decimal(usable), small_batch_study(REOPENED)
    short = batch_grams(study, small_batch(), share)
    text = ways_out(study, small_batch(), short, share)[0].text
    named = Decimal(text.split()[1])

    def lacking(grams: Decimal) -> Decimal:
        made = {"A": replace(study.batches["A"], grams=grams)}
        found = batch_grams(replace(study, batches=made), small_batch(), share)
        return found[0].short_g

    assert text.startswith("make ")
    assert lacking(named) == 0
    assert lacking(named - 1) > 0


def test_reopening_wins_what_fresh_jars_take_and_says_so_in_print() -> None:
    """Fresh: 15 jars of 30 g; reopened: 3."""
    found = ways(small_batch_study(FRESH))[
        "reopen one container instead of a fresh one"
    ]

    assert found.grams == Decimal(12 * 30)
    assert not found.enough  # 660 g, and 250 g there
    assert "every report prints" in found.costs


def test_what_is_enough_comes_first() -> None:
    order = [one.enough for one in ways(small_batch_study(REOPENED)).values()]

    assert order == sorted(order, reverse=True)
    assert {True, False} == set(order)


def test_one_more_batch_carries_its_own_t0_and_series() -> None:
    text = next(
        text for text in ways(small_batch_study(REOPENED)) if "more batch" in text
    )

    # 40 g short; T0 20, room 30, 40 °C 30, retained 30
    assert "150 g or more" in text
    assert "it carries 110 g as every batch does" in text


def test_what_cannot_be_filled_of_one_more_batch_is_made_besides() -> None:
    study, share = small_batch_study(REOPENED), Decimal("0.95")
    batches = batch_grams(study, small_batch(), share)
    text = next(
        one.text
        for one in ways_out(study, small_batch(), batches, share)
        if "more batch" in one.text
    )

    # 290 g needed, 237.5 can be filled: 52.5 short; (52.5 + 110) / 0.95 = 171.05
    assert "172 g or more" in text


def test_nothing_is_offered_where_nothing_is_short() -> None:
    study = face_cream_study()
    batches = batch_grams(study, face_cream(), Decimal("0.95"))

    assert ways_out(study, face_cream(), batches, Decimal("0.95")) == ()


def test_a_batch_with_room_can_carry_what_another_cannot() -> None:
    study = face_cream_study()
    tight = replace(study.batches["A"], grams=Decimal(370))
    study = replace(study, batches={**study.batches, "A": tight})

    batches = batch_grams(study, face_cream(), Decimal("0.95"))
    found = ways_out(study, face_cream(), batches, Decimal("0.95"))

    moved = [
        one for one in found if one.text == "take T45 VIAL20 reopened from batch B"
    ]
    assert [one.grams for one in moved] == [Decimal(20)]
    assert not [one for one in found if "T40 JAR reopened from" in one.text]


def test_inert_and_untouched_and_spares_have_their_price() -> None:
    rows = (
        *REOPENED,
        SampleRow(("A",), "spare", 1, "JAR"),
        SampleRow(("A",), "untouched", 1, "JAR", "ROOM", open_at="12w"),
        SampleRow(("A",), "reopened", 1, "GLASS", "T40"),
    )
    study = small_batch_study(rows)
    glass = replace(study.packs["JAR"], name="GLASS", inert=True, fill_g=Decimal(10))

    found = ways(replace(study, packs={**study.packs, "GLASS": glass}))

    assert found["no spares"].grams == Decimal(30)
    assert found["no untouched container"].grams == Decimal(30)
    assert found["no inert comparison"].grams == Decimal(10)
    assert found["leave T40 out, with its reason"].grams == Decimal(40)


@pytest.mark.parametrize(
    ("condition", "words"),
    [
        ("T40", "real time"),
        ("T45", "heat"),
        ("COLD", "odour"),
        ("FT", "frost"),
        ("WINDOW", "light"),
        ("FOIL", "cannot be told"),
        ("IN-USE", "after opening"),
    ],
)
def test_every_condition_has_a_price(condition: str, words: str) -> None:
    protocol = face_cream()

    assert words in price_of(protocol.conditions[condition], protocol)


def test_cycles_without_frost_have_another_price_than_frost() -> None:
    protocol = face_cream()
    frozen = protocol.conditions["FT"]
    warm = tuple(replace(step, at=abs(step.at)) for step in frozen.steps)

    words = price_of(replace(frozen, steps=warm), protocol)

    assert "frost" not in words
    assert "warm and cold" in words
    assert is_frozen(frozen)
    assert not is_frozen(protocol.conditions["COLD"])


def test_what_filling_loses_is_printed() -> None:
    study = face_cream_study()

    assert usable_share_words(study, Decimal("0.95")) == (
        "95 % of each batch can be filled (380 of 400 g)"
    )
    assert usable_share_words(study, ALL) == "100 % of each batch can be filled"


@pytest.mark.parametrize(
    ("grams", "text"), [("380.00", "380"), ("237.50", "237.5"), ("1E+3", "1000")]
)
def test_masses_are_printed_without_idle_zeros(grams: str, text: str) -> None:
    assert plain(Decimal(grams)) == text
