"""Grams of each batch and test, held against plans worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stability.model.plan import USUAL_USABLE
from stability.model.sample import assign_samples
from stability.model.study import SampleRow, Study
from stability.planning.grams import (
    attribute_uses,
    batch_grams,
    full_cross,
    grams_lines,
    usable_of,
)
from tests.planning.worked_examples import (
    BESIDE_THEM,
    FACE_CREAM_CROSS,
    FACE_CREAM_SUMS,
    FRESH,
    FRESH_JARS,
    ONE,
    REOPENED,
    SMALL_BATCH_NEEDS,
    face_cream,
    face_cream_study,
    small_batch,
    small_batch_study,
)


def needed(study: Study) -> Decimal:
    """Return what a study of the small batch needs."""
    return batch_grams(study, small_batch(), Decimal(1))[0].needed_g


def test_the_face_cream_needs_what_was_worked_out_by_hand() -> None:
    found = batch_grams(face_cream_study(), face_cream(), USUAL_USABLE)

    assert {one.batch: one.needed_g for one in found} == FACE_CREAM_SUMS
    assert [one.usable_g for one in found] == [Decimal(380)] * 3
    assert [one.left_g for one in found] == [Decimal(15), Decimal(35), Decimal(15)]
    assert [one.short_g for one in found] == [0, 0, 0]


def test_a_full_cross_of_the_face_cream_takes_what_was_worked_out_by_hand() -> None:
    found = full_cross(face_cream_study(), face_cream())

    assert found.grams == FACE_CREAM_CROSS
    assert found.containers == 2 * 34  # 29 checks, 3 cycled and a twin, 1 retained


def test_what_a_study_omits_is_in_no_full_cross() -> None:
    study = replace(face_cream_study(), omit={"FT": "no freezer", "T45": "no oven"})

    found = full_cross(study, face_cream())

    assert found.containers == 2 * (34 - 4 - 3)


def test_a_small_batch_needs_290_grams_and_is_short_by_40() -> None:
    study = small_batch_study(REOPENED)

    found = batch_grams(study, small_batch(), Decimal(1))[0]

    assert found.needed_g == SMALL_BATCH_NEEDS
    assert found.short_g == Decimal(40)


def test_fresh_jars_need_480_grams_and_what_stands_beside_them() -> None:
    assert needed(small_batch_study(FRESH)) == FRESH_JARS + BESIDE_THEM
    assert needed(small_batch_study(REOPENED[4:])) == BESIDE_THEM


def test_what_filling_loses_is_taken_off() -> None:
    assert usable_of(Decimal(400), USUAL_USABLE) == Decimal(380)
    assert usable_of(None, USUAL_USABLE) is None


def test_a_batch_of_unstated_mass_is_never_short() -> None:
    study = small_batch_study(REOPENED)
    unstated = {"A": replace(study.batches["A"], grams=None)}

    found = batch_grams(replace(study, batches=unstated), small_batch(), Decimal(1))

    assert found[0].left_g is None
    assert found[0].short_g == 0


def test_lines_tell_each_purpose_once_with_batches_side_by_side() -> None:
    study, protocol = face_cream_study(), face_cream()

    found = grams_lines(study, protocol, assign_samples(study, protocol))
    by_purpose = {(one.purpose, one.pack): one for one in found}

    room = by_purpose["ROOM, reopened", "JAR"]
    twin = by_purpose["ROOM, untreated twin of FT", "VIAL10"]
    kept = by_purpose["retained", "JAR"]
    assert dict(room.samples) == {"A": 1, "B": 1, "C": 1}
    assert (dict(twin.samples), twin.checks) == ({"A": 1}, ("c1", "c3"))
    assert kept.keep_until == date(2028, 3, 16)  # 12 months asked for, and one year
    assert by_purpose["tubes for the centrifuge", None].grams("A") == 20


def test_tests_use_up_what_their_observations_take() -> None:
    study, protocol = face_cream_study(), face_cream()

    found = attribute_uses(study, protocol, assign_samples(study, protocol))
    by_name = {one.attribute: one for one in found}

    assert by_name["pH"].grams == 2 * by_name["pH"].observations
    assert by_name["pH"].observations == by_name["odour"].observations
    assert by_name["centrifuge"].observations == 2
    assert by_name["weight_loss"].grams == 0


counts = st.integers(1, 9)
masses = st.decimals(1, 200, places=1)
USES = st.sampled_from(["reopened", "fresh", "retained", "bulk"])


@st.composite
def rows(draw: st.DrawFn) -> SampleRow:
    """Return any row of the small batch."""
    use = draw(USES)
    if use == "bulk":
        return SampleRow(ONE, "T0", draw(counts), kind="bulk", grams=draw(masses))
    place = draw(st.sampled_from(["ROOM", "T40", "COLD"]))
    if use == "reopened":
        return SampleRow(ONE, "reopened", draw(counts), "JAR", place)
    if use == "fresh":
        return SampleRow(ONE, "fresh per check", draw(counts), "JAR", place)
    return SampleRow(ONE, "retained", draw(counts), "JAR")


@settings(max_examples=60, deadline=None)
@given(st.lists(rows(), min_size=1, max_size=8))
def test_the_lines_and_the_samples_sum_to_what_the_batch_must_give(
    some: list[SampleRow],
) -> None:
    study, protocol = small_batch_study(tuple(some)), small_batch()
    samples = assign_samples(study, protocol)

    lines = grams_lines(study, protocol, samples)

    assert sum(line.grams("A") for line in lines) == needed(study)
    assert sum(sum(line.samples.values()) for line in lines) == len(samples)
    jars = sum(one.pack == "JAR" for one in samples) * Decimal(30)
    bulk = sum((r.count * (r.grams or 0) for r in some if r.kind == "bulk"), Decimal(0))
    assert needed(study) == jars + bulk


@pytest.mark.parametrize("grams", ["0.1", "399.9", "1000"])
def test_left_and_short_are_two_sides_of_one_number(grams: str) -> None:
    study = small_batch_study(REOPENED)
    made = {"A": replace(study.batches["A"], grams=Decimal(grams))}

    found = batch_grams(replace(study, batches=made), small_batch(), USUAL_USABLE)[0]

    assert found.left_g is not None
    assert found.short_g == max(Decimal(0), -found.left_g)
