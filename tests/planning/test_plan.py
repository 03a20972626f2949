"""The whole plan of a study."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

from stability.model.attribute import Attribute
from stability.model.study import Pack, Study
from stability.planning.plan import plan_study
from tests.planning.worked_examples import (
    FACE_CREAM_SUMS,
    REOPENED,
    face_cream,
    face_cream_study,
    small_batch,
    small_batch_study,
    unshared,
)


def cautions(study: Study) -> str:
    """Return all cautions of a plan of the face cream."""
    return "\n".join(plan_study(study, face_cream()).cautions)


def test_stated_rows_are_taken_as_they_stand() -> None:
    plan = plan_study(face_cream_study(), face_cream())

    assert not plan.is_shared
    assert plan.rows == face_cream_study().samples
    assert {one.batch: one.needed_g for one in plan.batches} == FACE_CREAM_SUMS
    assert plan.short_g == 0
    assert not plan.is_short
    assert (plan.left_out, plan.ways_out) == ((), ())


def test_a_study_without_rows_is_shared_out() -> None:
    plan = plan_study(unshared(face_cream_study()), face_cream())

    assert plan.is_shared
    assert plan.rows
    assert not plan.is_short


def test_a_plan_that_is_short_says_by_how_much_and_the_ways_out() -> None:
    plan = plan_study(small_batch_study(), small_batch(), Decimal(1))

    assert (plan.short_g, plan.is_short) == (Decimal(40), True)
    assert any(one.enough for one in plan.ways_out)


def test_a_container_that_runs_dry_makes_a_plan_short() -> None:
    study = small_batch_study(REOPENED)
    tiny = replace(study.packs["JAR"], fill_g=Decimal(12))

    plan = plan_study(replace(study, packs={"JAR": tiny}), small_batch(), Decimal(1))

    assert plan.short_g == 0
    assert plan.is_short
    assert {one.check for one in plan.levels if one.unread} == {"8w", "12w"}
    assert plan.cautions[0].startswith(
        "too little is left for pH and odour in JAR in ROOM at 8w, JAR in T40 at 8w"
    )


def test_what_is_not_known_is_said() -> None:
    study = face_cream_study()
    bare = {
        name: replace(one, fill_g=None, tare_g=None)
        for name, one in study.packs.items()
        if name != "VIAL20"
    }
    unweighed = {name: replace(one, grams=None) for name, one in study.batches.items()}

    text = cautions(replace(study, packs={**study.packs, **bare}, batches=unweighed))

    assert "no grams stated for batch A, B and C" in text
    assert "no fill_g stated for pack JAR, PUMP and VIAL10" in text
    assert "weigh ten empty ones" in text


def test_a_protocol_that_states_no_grams_is_told() -> None:
    protocol = face_cream()
    silent = {
        name: replace(one, takes_g=None) for name, one in protocol.attributes.items()
    }

    plan = plan_study(face_cream_study(), replace(protocol, attributes=silent))

    assert any("takes_g for no attribute" in one for one in plan.cautions)
    assert {one.share for one in plan.levels} == {Decimal(1)}


def test_reopened_containers_without_an_untouched_one_are_told() -> None:
    study = face_cream_study()
    opened = tuple(row for row in study.samples if row.use != "untouched")

    assert "none is kept untouched" not in cautions(study)
    assert "none is kept untouched" in cautions(replace(study, samples=opened))


def test_placing_before_t0_can_be_read_is_told() -> None:
    study = replace(face_cream_study(), place_on={"T40": date(2026, 3, 17)})

    text = cautions(study)

    assert "batch C in T40 on 2026-03-17 would be placed before its T0 readings" in text
    assert "batch A in T40" not in text


def test_use_after_opening_without_samples_in_use_is_told() -> None:
    study = face_cream_study()
    unopened = tuple(row for row in study.samples if row.use != "in use")

    assert "no sample is in use" not in cautions(study)
    assert "no sample is in use" in cautions(replace(study, samples=unopened))


def test_a_day_that_is_too_long_is_told() -> None:
    study = face_cream_study()
    many = tuple(
        replace(row, count=30) if row.condition == "T40" else row
        for row in study.samples
    )

    assert "take more than 7 h at the bench" in cautions(replace(study, samples=many))
    assert "more than 7 h" not in cautions(study)


def test_more_than_one_way_to_read_the_same_is_told() -> None:
    protocol = face_cream()
    either = {
        name: replace(one, one_of="thickness") if name in ("pH", "spread") else one
        for name, one in protocol.attributes.items()
    }
    grouped = replace(protocol, attributes=either)
    study = face_cream_study()

    both = plan_study(study, grouped).cautions
    single = plan_study(replace(study, omit={"pH": "no meter"}), grouped).cautions

    assert any("for thickness, pH and spread are all planned" in one for one in both)
    assert not any("thickness" in one for one in single)


def test_glass_in_a_freezer_is_warned_of_only_where_something_freezes() -> None:
    study = face_cream_study()

    assert "leave a third empty" in cautions(study)
    assert "leave a third empty" not in cautions(
        replace(study, omit={"FT": "no freezer"})
    )


def test_the_days_of_the_cycles_are_told() -> None:
    study = replace(face_cream_study(), place_on={"FT": date(2026, 3, 20)})

    found = cautions(study)

    assert (
        "FT needs hands at 6 changes of place from 2026-03-20 (Fri) to 2026-03-26 (Thu)"
    ) in found


def test_water_without_a_challenge_test_is_told() -> None:
    study = face_cream_study()
    kept = tuple(row for row in study.samples if row.use != "sent out")
    unsent = replace(study, samples=kept)

    assert "efficacy test" not in cautions(study)
    assert "efficacy test" in cautions(unsent)
    assert "efficacy test" not in cautions(replace(unsent, contains_water=False))


def test_no_further_batch_is_offered_where_none_is_enough() -> None:
    tiny = replace(small_batch_study().batches["A"], grams=Decimal(60))
    study = replace(unshared(small_batch_study()), batches={"A": tiny})

    ways = [one.text for one in plan_study(study, small_batch()).ways_out]

    assert any(one.startswith("make ") for one in ways)
    assert not any("one more batch" in one for one in ways)


def test_a_pack_without_samples_is_told() -> None:
    study = face_cream_study()
    idle = Pack("SACHET", "2 g sachet", fill_g=Decimal(2))

    assert "filled into" not in cautions(study)
    assert "no sample is filled into SACHET: the plan shows nothing for it" in (
        cautions(replace(study, packs={**study.packs, "SACHET": idle}))
    )


def test_what_a_laboratory_reads_on_aged_product_asks_for_a_closed_container() -> None:
    """Microbes get into a jar at its first opening; a later count tells of that."""
    count = Attribute(
        "count", "measured", unit="CFU/g", when=("T0", "12M"),
        provided_by="certificate", takes_g=Decimal(10),
    )  # fmt: skip
    at_t0 = replace(count, name="challenge", when=("T0",))
    mini, study = face_cream(), face_cream_study()
    both = {**mini.attributes, "count": count, "challenge": at_t0}
    asked = replace(mini, attributes=both)

    told = "\n".join(plan_study(study, asked).cautions)
    assert "a laboratory reads count at 12M on aged product: keep a closed" in told
    assert "challenge" not in told

    without = replace(study, omit={**study.omit, "count": "no laboratory"})
    assert "aged product" not in "\n".join(plan_study(without, asked).cautions)


def test_what_heat_does_to_closed_packs_is_told_before_they_are_filled() -> None:
    study = face_cream_study()
    mild = dict.fromkeys(("T40", "T45"), "no oven")
    cool = replace(study, omit={**study.omit, **mild})
    room = replace(cool, omit={**cool.omit, "COLD": "none", "FT": "no freezer"})

    assert "leak or burst" in cautions(study)
    assert "never go into an unvented oven" in cautions(study)
    assert "no kitchen oven" in cautions(study)
    assert "leak or burst" not in cautions(cool)
    assert "no refrigerator that holds food" in cautions(cool)
    assert "refrigerator" not in cautions(room)


def test_a_period_after_opening_leads_to_the_protocol_for_it() -> None:
    study = face_cream_study()
    rows = tuple(row for row in study.samples if row.use != "in use")

    assert "the protocol in-use is for that" in cautions(replace(study, samples=rows))
