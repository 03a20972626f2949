"""How long a plan can show and support (ICH Q1E, Evaluation of Stability, 2003)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stability.model.age import Age
from stability.model.prospects import PlanAssumptions
from stability.model.protocol import Protocol
from stability.model.study import SampleRow, Study
from stability.planning.attribute_prospects import ground_of
from stability.planning.caps import months_shown
from stability.planning.plan_evaluations import evaluation_at
from tests.planning.simulated_plans import plan
from tests.planning.test_planned_series import evaluated, of, planned


def cap(parts: tuple[Study, Protocol], check: str) -> tuple[float, str]:
    """Return the cap of the only attribute at a check, with its reason."""
    (one,) = evaluation_at(ground_of(*parts, PlanAssumptions()), check).attributes
    return one.cap, one.cap_text


@pytest.mark.parametrize(("check", "months"), [("12M", 24), ("18M", 30), ("24M", 36)])
def test_a_finished_accelerated_arm_allows_twice_and_twelve_months(
    check: str, months: int
) -> None:
    assert cap(plan(), check)[0] == months


def test_without_an_accelerated_arm_nothing_goes_beyond_what_is_shown() -> None:
    months, why = cap(plan(accelerated=False), "18M")

    assert months == 18
    assert "no finished accelerated condition" in why


def test_an_arm_that_is_not_finished_yet_allows_nothing() -> None:
    early = plan(checks=("1M", "2M", "3M", "4M", "5M", "6M"))

    assert cap(early, "5M")[0] == 5
    assert cap(early, "6M")[0] == 12


def test_fewer_than_five_checks_allow_nothing() -> None:
    months, why = cap(plan(), "9M")

    assert months == 9
    assert "fewer than 5 checks" in why


def test_a_refrigerated_product_has_rows_of_its_own() -> None:
    study, protocol = plan()
    cold = replace(protocol.conditions["ROOM"], storage_class="refrigerated")
    conditions = {**protocol.conditions, "ROOM": cold}

    assert cap((study, replace(protocol, conditions=conditions)), "18M")[0] == 24


def test_the_protocol_may_allow_less() -> None:
    study, protocol = plan()
    analysis = replace(protocol.analysis, longest_extrapolation=Age(3, "M"))

    assert cap((study, replace(protocol, analysis=analysis)), "18M")[0] == 21


@pytest.mark.parametrize(("declared", "months"), [(False, 18), (True, 24)])
def test_scores_go_beyond_only_where_declared(*, declared: bool, months: int) -> None:
    study, protocol = plan()
    odour = replace(
        protocol.attributes["pH"], kind="scored", scale=("good", "bad"),
        limit=replace(protocol.attributes["pH"].limit, change=None, highest="good"),
    )  # fmt: skip
    analysis = replace(protocol.analysis, extrapolate_scores=declared)
    worded = replace(protocol, attributes={"pH": odour}, analysis=analysis)

    assert cap((study, worded), "18M")[0] == months


def test_scores_go_no_farther_than_the_protocol_allows() -> None:
    study, protocol = plan()
    odour = replace(
        protocol.attributes["pH"], kind="scored", scale=("good", "bad"),
        limit=replace(protocol.attributes["pH"].limit, change=None, highest="good"),
    )  # fmt: skip
    analysis = replace(
        protocol.analysis, extrapolate_scores=True, longest_extrapolation=Age(3, "M")
    )
    worded = replace(protocol, attributes={"pH": odour}, analysis=analysis)

    assert cap((study, worded), "18M")[0] == 21


def test_an_attribute_read_at_few_checks_limits_nothing_before_its_next() -> None:
    study, protocol = plan()
    rare = replace(protocol.attributes["pH"], when=("T0", "6M", "24M"))
    often = replace(protocol.attributes["pH"], name="viscosity", short="visc")
    parts = study, replace(protocol, attributes={"pH": rare, "viscosity": often})
    ground = ground_of(*parts, PlanAssumptions())
    (one, _) = ground.planned

    assert [months_shown(one, "A", check) for check in ("3M", "6M", "18M")] == [
        3,
        6,
        18,
    ]


def test_a_batch_with_fewer_checks_shows_less() -> None:
    study, protocol = plan(batches=2)
    short = SampleRow(("B",), "fresh per check", 1, "JAR", "ROOM", checks=("3M", "6M"))
    rows = (study.samples[0], replace(study.samples[1], batch=("A",)), short)
    ground = ground_of(replace(study, samples=rows), protocol, PlanAssumptions())

    assert evaluation_at(ground, "24M").shown == 6


@pytest.mark.parametrize("name", ["plain_lotion", "balm_tin"])
def test_an_example_that_passed_everything_has_the_planned_caps(name: str) -> None:
    # The evaluation stands at the last check that was made; every reading passed.
    lives = evaluated(name).shelf_life
    identity = evaluated(name).identity
    assert lives is not None
    assert lives.look.check is not None
    ground = ground_of(identity.study, identity.protocol, PlanAssumptions())
    found = evaluation_at(ground, lives.look.check)
    expected = {
        life.attribute: min(one.cap.months for one in life.bearings)
        for life in lives.attributes
        if all(one.ends_at is None for one in life.bearings)
    }

    assert expected
    for one in found.attributes:
        if one.attribute in expected:
            assert one.cap == expected[one.attribute]


def test_an_untouched_jar_takes_nothing_from_the_batch_whose_other_jar_is_fitted() -> (
    None
):
    # As the evaluation of that example has it: 18 months shown, cap 30.
    jar = of("day_cream", "pH", "JAR")
    identity = evaluated("day_cream").identity
    ground = ground_of(identity.study, identity.protocol, PlanAssumptions())
    found = evaluation_at(ground, "18M").attributes[planned("day_cream").index(jar)]

    assert (found.attribute, found.pack, found.cap) == ("pH", "JAR", 30)
