"""Work shared out between batches."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stability.model.attribute import Attribute
from stability.model.grams import needed_of_batch
from stability.model.plan import USUAL_USABLE
from stability.model.study import Batch, Pack, SampleRow, Study
from stability.planning.portions import (
    Wishes,
    asked_check,
    fed_checks,
    inert_pack,
    t0_bulk,
    usual_sent_out,
)
from stability.planning.sharing import Shared, further_batch, share
from tests.planning.worked_examples import (
    SMALL_BATCH_NEEDS,
    face_cream,
    face_cream_study,
    small_batch,
    small_batch_study,
    unshared,
)

USABLE = Decimal(380)


def shared_face_cream(**batches: int) -> Shared:
    """Return the face cream shared out between batches of these masses."""
    study = unshared(face_cream_study())
    if batches:
        made = {
            name: Batch(name, date(2026, 3, 2), grams=Decimal(grams))
            for name, grams in batches.items()
        }
        study = replace(study, batches=made)
    return share(study, face_cream(), USUAL_USABLE)


def rows_of(study: Study, **wanted: object) -> list[SampleRow]:
    """Return the rows of which these fields have these values."""
    return [
        row
        for row in study.samples
        if all(getattr(row, key) == value for key, value in wanted.items())
    ]


def test_three_batches_of_400_g_carry_the_face_cream() -> None:
    study = shared_face_cream().study

    for batch in study.batches:
        assert needed_of_batch(study, face_cream(), batch) <= USABLE


def test_every_batch_carries_what_the_request_rests_on() -> None:
    study = shared_face_cream().study

    for place in ("ROOM", "T40"):
        rows = rows_of(study, condition=place, pack="JAR", use="reopened")
        assert [row.batch for row in rows] == [("A", "B", "C")]
    assert rows_of(study, kind="bulk", use="T0")[0].batch == ("A", "B", "C")
    assert rows_of(study, use="retained", pack="JAR")[0].batch == ("A", "B", "C")


def test_what_is_compared_stands_in_one_batch() -> None:
    study = shared_face_cream().study

    places = ("T45", "FT", "WINDOW", "FOIL")
    found = {row.batch for row in study.samples if row.condition in places}
    cold = rows_of(study, condition="COLD", pack="JAR")
    assert found == {cold[0].batch} == {("A",)}


def test_stress_and_light_stand_in_small_glass_and_cycles_have_a_twin() -> None:
    study = shared_face_cream().study

    glass = {
        row.condition: row.pack
        for row in study.samples
        if row.condition in ("T45", "FT", "WINDOW", "FOIL")
    }
    cycled = rows_of(study, condition="FT")[0]
    assert glass == {
        "T45": "VIAL20",  # three checks of 5 g
        "FT": "VIAL10",  # two
        "WINDOW": "VIAL20",
        "FOIL": "VIAL20",
    }
    assert (cycled.count, cycled.untreated_twins) == (3, 1)


def test_the_second_pack_is_shown_by_two_batches() -> None:
    study = shared_face_cream().study

    pumps = rows_of(study, condition="ROOM", pack="PUMP")
    assert len(pumps[0].batch) == 2
    assert pumps[0].checks == ("4w", "8w", "3M", "6M", "9M", "12M")  # 30 g, 5 g a check


def test_a_container_is_kept_untouched_to_the_months_asked_for() -> None:
    found = rows_of(shared_face_cream().study, use="untouched")

    assert [(row.condition, row.open_at) for row in found] == [("ROOM", "12M")]


def test_use_challenge_test_and_tubes_are_there_once() -> None:
    study = shared_face_cream().study

    assert len(rows_of(study, condition="IN-USE", pack="JAR", use="in use")) == 1
    sent = rows_of(study, use="sent out")
    assert [(len(row.batch), row.grams) for row in sent] == [(1, Decimal(120))]
    tubes = rows_of(study, kind="tube")
    assert [(len(row.batch), row.count) for row in tubes] == [(1, 2)]


def test_what_does_not_fit_is_told_with_what_it_costs() -> None:
    spares = shared_face_cream().left_out

    assert [one.text for one in spares] == [
        f"JAR spare of batch {name}" for name in "ABC"
    ]
    assert all("ends its series" in one.costs for one in spares)


def test_what_matters_less_is_left_out_first() -> None:
    tight = shared_face_cream(A=340, B=340, C=340)

    assert "PUMP" in {row.pack for row in tight.study.samples}
    for batch in tight.study.batches:
        needed = needed_of_batch(tight.study, face_cream(), batch)
        assert needed <= 340 * USUAL_USABLE
    texts = " ".join(one.text for one in tight.left_out)
    assert "GLASS" not in texts
    assert {"COLD", "T45", "FT", "WINDOW", "FOIL", "IN-USE"} <= {
        row.condition for row in tight.study.samples
    }


def test_a_large_batch_is_read_in_fresh_containers() -> None:
    large = shared_face_cream(A=5000, B=5000, C=5000)

    assert large.fresh
    assert large.left_out == ()
    fresh = rows_of(large.study, use="fresh per check")
    assert {row.condition for row in fresh} == {"ROOM", "T40"}
    assert rows_of(large.study, use="untouched") == []


def test_a_small_batch_is_shared_out_as_by_hand_though_it_is_short() -> None:
    """Source: worked example, 290 g of 250 g."""
    shared = share(small_batch_study(), small_batch(), Decimal(1))

    needed = needed_of_batch(shared.study, small_batch(), "A")
    assert needed == SMALL_BATCH_NEEDS
    assert [one.text for one in shared.left_out] == ["JAR spare of batch A"]


def test_without_stated_grams_nothing_is_left_out() -> None:
    study = small_batch_study()
    unstated = {"A": replace(study.batches["A"], grams=None)}

    shared = share(replace(study, batches=unstated), small_batch(), Decimal(1))

    assert (shared.left_out, shared.fresh) == ((), False)


def test_nothing_is_sent_out_where_the_maker_says_so() -> None:
    wishes = Wishes(sent_out_g=Decimal(0))

    shared = share(small_batch_study(), small_batch(), Decimal(1), wishes)

    assert rows_of(shared.study, use="sent out") == []


def test_a_challenge_test_waits_until_the_formula_has_stood_for_a_while() -> None:
    protocol = small_batch()
    short = replace(protocol.conditions["ROOM"], checks=("1w", "4w"))
    first_look = replace(protocol, conditions={**protocol.conditions, "ROOM": short})
    dry = replace(small_batch_study(), contains_water=False)

    assert usual_sent_out(small_batch_study(), protocol) == 120  # 12w: two months
    assert usual_sent_out(small_batch_study(), first_look) == 0
    assert usual_sent_out(dry, protocol) == 0


@pytest.mark.parametrize(
    ("months", "check"), [(3, "3M"), (6, "6M"), (7, "9M"), (24, "24M"), (30, None)]
)
def test_the_check_asked_for_is_the_first_that_shows_the_months(
    months: int, check: str | None
) -> None:
    assert asked_check(face_cream().conditions["ROOM"], months) == check


@pytest.mark.parametrize(
    ("fill", "checks"),
    [
        (50, ("4w", "8w", "3M", "6M", "9M", "12M", "18M", "24M")),
        (35, ("4w", "8w", "3M", "6M", "9M", "12M", "18M")),
        (30, ("4w", "8w", "3M", "6M", "9M", "12M")),
        (15, ("6M", "9M", "12M")),
        # not even half of the six checks to 12M: all are kept, and told to run dry
        (14, ("4w", "8w", "3M", "6M", "9M", "12M", "18M", "24M")),
        (2, ("4w", "8w", "3M", "6M", "9M", "12M", "18M", "24M")),
    ],
)
def test_a_small_pack_keeps_the_checks_that_matter_most(
    fill: int, checks: tuple[str, ...]
) -> None:
    pack = Pack("JAR", "jar", fill_g=Decimal(fill))
    study = replace(face_cream_study(), packs={"JAR": pack})

    found = fed_checks(study, face_cream(), pack, face_cream().conditions["ROOM"])

    assert found == checks


def test_the_smallest_glass_that_feeds_a_condition_is_taken() -> None:
    study, protocol = face_cream_study(), face_cream()
    only_jar = replace(study, packs={"JAR": study.packs["JAR"]})

    cycled = inert_pack(study, protocol, protocol.conditions["FT"])
    room = inert_pack(study, protocol, protocol.conditions["ROOM"])

    assert cycled is not None
    assert room is not None
    assert (cycled.name, room.name) == ("VIAL10", "VIAL20")  # the largest, though short
    assert inert_pack(only_jar, protocol, protocol.conditions["FT"]) is None


def test_t0_can_be_read_three_times_or_beside_what_goes_back() -> None:
    assert t0_bulk(face_cream_study(), face_cream()) == 15  # 3 x 5 g
    assert t0_bulk(small_batch_study(), small_batch()) == 20  # 4 g and 16 g


def test_t0_bulk_is_rounded_up() -> None:
    protocol = face_cream()
    more = replace(protocol.attributes["pH"], takes_g=Decimal("2.1"))
    larger = replace(protocol, attributes={**protocol.attributes, "pH": more})

    assert t0_bulk(face_cream_study(), larger) == 20  # 3 x 5.1 g


def test_a_needle_is_read_at_t0_in_a_container() -> None:
    protocol = small_batch()
    needle = Attribute("hardness", "measured", takes_surfaces=1)
    pricked = replace(protocol, attributes={**protocol.attributes, "hardness": needle})

    bulk = share(small_batch_study(), protocol, Decimal(1)).study
    tin = share(small_batch_study(), pricked, Decimal(1)).study

    assert [(row.kind, row.pack) for row in rows_of(bulk, use="T0")] == [("bulk", None)]
    assert [(row.kind, row.pack) for row in rows_of(tin, use="T0")] == [
        ("container", "JAR")
    ]


masses = st.lists(st.integers(50, 3000), min_size=1, max_size=4)
fills = st.tuples(st.integers(5, 120), st.integers(5, 60), st.booleans())


@settings(max_examples=80, deadline=None)
@given(masses, fills, st.sampled_from([6, 12, 24, 36]))
def test_no_plan_takes_more_than_there_is_unless_it_must(
    grams: list[int], packs: tuple[int, int, bool], months: int
) -> None:
    protocol = face_cream()
    base = unshared(face_cream_study())
    study = replace(
        base,
        request=replace(base.request, months=months),
        batches={
            name: Batch(name, date(2026, 3, 2), grams=Decimal(mass))
            for name, mass in zip("ABCD", grams, strict=False)
        },
        packs={
            "JAR": Pack("JAR", "jar", fill_g=Decimal(packs[0])),
            "OTHER": Pack("OTHER", "other", packs[2], fill_g=Decimal(packs[1])),
        },
    )

    shared = share(study, protocol, USUAL_USABLE)

    need = {
        name: needed_of_batch(shared.study, protocol, name) for name in study.batches
    }
    short = [
        name
        for name, one in study.batches.items()
        if need[name] > (one.grams or 0) * USUAL_USABLE
    ]
    if short:
        dispensable = {"spare", "untouched", "fresh per check"}
        assert not {row.use for row in shared.study.samples} & dispensable
    for name in study.batches:
        for place in ("ROOM", "T40"):
            assert any(
                name in row.batch and row.condition == place
                for row in shared.study.samples
            )
    places = {row.condition for row in shared.study.samples}
    assert set(protocol.conditions) <= places


@pytest.mark.parametrize(
    ("grams", "usable"), [(250, "0.95"), (180, "0.95"), (250, "1")]
)
def test_one_more_batch_as_named_is_enough_and_one_gram_less_is_not(
    grams: int, usable: str
) -> None:
    """Containers go whole: what is short and what a batch carries is no sum of it."""
    share_of, mini = Decimal(usable), small_batch()
    first = Batch("A", date(2026, 3, 2), grams=Decimal(grams))
    study = replace(unshared(small_batch_study()), batches={"A": first})
    named = further_batch(study, mini, share_of)

    def short(more: Decimal) -> bool:
        batches = {"A": first, "B": Batch("B", date(2026, 3, 2), grams=more)}
        shared = share(replace(study, batches=batches), mini, share_of).study
        return any(
            needed_of_batch(shared, mini, name) > (one.grams or 0) * share_of
            for name, one in batches.items()
        )

    assert not short(named)
    assert short(named - 1)


def test_no_further_batch_helps_one_that_cannot_carry_its_own_part() -> None:
    tiny = Batch("A", date(2026, 3, 2), grams=Decimal(60))
    study = replace(unshared(small_batch_study()), batches={"A": tiny})

    assert not further_batch(study, small_batch(), USUAL_USABLE).is_finite()
