"""What a plan can prove, from rows of samples to sentences."""

from __future__ import annotations

import json
import time
from dataclasses import asdict, replace
from datetime import date
from decimal import Decimal

import pytest

from stability.model.attribute import Attribute
from stability.model.limit import Limit
from stability.model.prospects import PlanAssumptions, PlanProspects
from stability.model.protocol import Protocol, Provisional
from stability.model.study import Batch, Pack, SampleRow, Study
from stability.planning.prospects import prospects_of
from tests.planning.simulated_plans import plan, stated

SCORED = Attribute(
    "odour", "scored", scale=("as control", "changed", "strongly changed"),
    limit=Limit(highest="as control"),
)  # fmt: skip
VISCOSITY = Attribute("viscosity", "measured", unit="mPa·s", readings=1)


def with_odour(parts: tuple[Study, Protocol]) -> tuple[Study, Protocol]:
    """Return the plan with a score beside."""
    study, protocol = parts
    attributes = {**protocol.attributes, "odour": SCORED}
    return study, replace(protocol, attributes=attributes)


def only_odour(parts: tuple[Study, Protocol]) -> tuple[Study, Protocol]:
    """Return the plan with a score alone."""
    study, protocol = parts
    return study, replace(protocol, attributes={"odour": SCORED})


def looks_at(parts: tuple[Study, Protocol], *checks: str) -> tuple[Study, Protocol]:
    """Return the plan with the request judged at these checks."""
    study, protocol = parts
    return study, replace(
        protocol, analysis=replace(protocol.analysis, evaluate_at=checks)
    )


def words(found: PlanProspects) -> str:
    """Return everything that a plan says."""
    texts = [*found.text, *found.assumptions]
    texts += [one.text for one in found.evaluations]
    texts += [one.text for one in found.purchases]
    texts += [two.text for one in found.evaluations for two in one.attributes]
    return "\n".join(texts)


def test_six_percent_scatter_shows_three_months_and_estimates_nothing() -> None:
    # Worked example: one container a check, scatter 6 %, limit 20 % either way.
    parts = plan(
        limit="share", checks=("1M", "2M", "3M", "6M", "9M", "12M"), months=12,
        attribute=VISCOSITY,
    )  # fmt: skip
    found = prospects_of(*parts)
    third = next(one for one in found.evaluations if one.check == "3M")

    assert third.attributes[0].text.startswith(
        "viscosity in JAR (ROOM): with 4 checks a series, 1 container a check, "
        "1 reading each, limit 80 to 120 % of initial, scatter 6 % (a default, common "
        "practice without a source), the 3M evaluation will show 3 months and estimate "
        "nothing (fewer than 5 checks)"
    )
    assert third.cap == 3
    assert "The 3M report will show 3 months and estimate nothing" in found.text[1]


def test_every_long_term_check_is_told_as_a_look_or_interim() -> None:
    found = prospects_of(*looks_at(plan(), "12M", "24M"))

    assert [(one.check, one.is_planned_look) for one in found.evaluations] == [
        ("3M", False), ("6M", False), ("9M", False),
        ("12M", True), ("18M", False), ("24M", True),
    ]  # fmt: skip
    assert found.final is found.evaluations[-1]
    assert "interim, carries no request" in found.evaluations[0].text


def test_without_a_named_look_the_last_check_is_taken() -> None:
    found = prospects_of(*looks_at(plan()))

    assert [one.check for one in found.evaluations if one.is_planned_look] == ["24M"]


def test_a_life_beyond_the_cap_cannot_be_supported() -> None:
    found = prospects_of(*looks_at(plan(months=36), "12M", "18M"))

    assert found.earliest is None
    assert found.text[0].startswith(
        "This plan cannot support 36 months: at 18M it supports at most 30 months"
    )
    assert {one.at_most for one in found.evaluations[3].chances} == {0.0}


def test_the_earliest_look_is_one_that_the_cap_allows() -> None:
    found = prospects_of(*looks_at(plan(), "12M", "18M", "24M"))

    assert found.earliest == "12M"
    assert "24 months can be supported at 12M at the earliest" in found.text[0]
    assert "by extrapolation within the cap" in found.text[0]


def test_a_score_holds_the_request_to_what_real_time_shows() -> None:
    found = prospects_of(*looks_at(with_odour(plan()), "18M", "24M"))

    assert found.earliest == "24M"
    assert "by real time" in found.text[0]
    assert "if every score passes" in found.text[0]


def test_what_no_container_failing_leaves_open_is_said() -> None:
    # None of 3: 1 - 0.05^(1/3) = 63 % (exact binomial).
    found = prospects_of(*only_odour(plan(use="reopened", months=12)))
    at_year = next(one for one in found.evaluations if one.check == "12M")

    assert "if none of 3 containers fails, up to 63 % of all may still fail" in (
        at_year.attributes[0].text
    )


def test_scores_alone_have_no_chance_but_words() -> None:
    found = prospects_of(*only_odour(plan()))

    assert found.earliest == "24M"
    assert found.text[0].endswith("by real time, if every reading passes.")
    assert {one.at_most for one in found.evaluations[-1].chances} == {None}


def test_the_product_and_the_smallest_chance_stand_for_what_moves_together() -> None:
    study, protocol = plan()
    other = replace(protocol.attributes["pH"], name="pH_neat", short="neat")
    parts = study, replace(protocol, attributes={"pH": protocol.attributes["pH"],
                                                 "pH_neat": other})  # fmt: skip
    mine = PlanAssumptions(scatter={"pH": stated(0.05), "pH_neat": stated(0.08)})
    last = prospects_of(*parts, mine).evaluations[-1]
    for place, chance in enumerate(last.chances):
        single = [one.chances[place].support or 0.0 for one in last.attributes]

        assert chance.at_most == pytest.approx(min(single))
        assert chance.at_least == pytest.approx(single[0] * single[1])


def test_what_has_no_scatter_is_left_out_and_named() -> None:
    study, protocol = plan()
    odd = replace(protocol.attributes["pH"], name="gloss", unit="GU")
    parts = study, replace(protocol, attributes={**protocol.attributes, "gloss": odd})
    found = prospects_of(*parts)

    assert any(
        "gloss in JAR is not in the chances" in one and "--scatter gloss=" in one
        for one in found.text
    )


def test_one_batch_cannot_show_how_batches_differ() -> None:
    one, three = (prospects_of(*plan(batches=k)) for k in (1, 3))

    assert any("One batch cannot show how batches differ" in text for text in one.text)
    assert any("worse than all 3 tested with chance 1/4" in text for text in three.text)


def test_reopened_containers_describe_themselves() -> None:
    fresh, reopened = (
        "\n".join(prospects_of(*plan(use=use)).text)
        for use in ("fresh per check", "reopened")
    )

    assert "describes that container, not the unopened product" in reopened
    assert "describes that container" not in fresh


def test_an_untouched_container_is_said_to_have_no_line_of_its_own() -> None:
    study, protocol = plan(use="reopened")
    untouched = SampleRow(("A",), "untouched", 1, "JAR", "ROOM", open_at="12M")
    found = prospects_of(replace(study, samples=(*study.samples, untouched)), protocol)

    assert any(
        one.startswith("pH in JAR, batch A: some containers are read at 2 checks only")
        for one in found.text
    )


def test_a_provisional_answer_is_announced_from_the_check_that_allows_it() -> None:
    study, protocol = plan(months=12)
    rule = Provisional(
        12, "T40", "3M", "3M", "12 weeks at 40 °C taken as a year", "custom", ("6M",)
    )
    declared = replace(protocol, analysis=replace(protocol.analysis, provisional=rule))
    found = prospects_of(study, declared)
    said = next(one for one in found.text if "may stand provisionally" in one)

    assert said.startswith("From 3M on 12 months may stand provisionally")
    assert "Trade custom, no standard" in said
    assert [one.provisional for one in found.evaluations][:2] == [True, True]
    longer = replace(study, request=replace(study.request, months=24))
    assert any("covers 12 months, not the 24" in one
               for one in prospects_of(longer, declared).text)  # fmt: skip
    bare = replace(study, samples=study.samples[:2])
    assert any("needs samples at T40" in one
               for one in prospects_of(bare, declared).text)  # fmt: skip


def test_a_drift_that_is_noticed_is_told_beside_the_room() -> None:
    # Seven checks, scatter 0.03: 0.0051 a month (noncentral t, two programs), 0.12 by
    # 24 months of a room of 0.5.
    fine = prospects_of(*plan(), PlanAssumptions(scatter={"pH": stated(0.03)}))
    few = prospects_of(*plan(checks=("3M", "6M"), months=12))

    assert fine.evaluations[-1].attributes[0].noticed == (
        "a drift of 0.0051 pH a month, which by 24 months has gone 24 % of the way to "
        "the limit, is noticed with chance 80 %"
    )
    assert few.evaluations[-1].attributes[0].noticed.startswith("no drift inside")
    assert few.evaluations[0].attributes[0].noticed == ""


def test_without_a_long_term_check_nothing_is_shown() -> None:
    study, protocol = plan()
    found = prospects_of(replace(study, samples=study.samples[2:]), protocol)

    assert found.evaluations == ()
    assert found.final is None
    assert found.purchases == ()
    assert found.text[0].startswith("No sample is read under long-term storage")


@pytest.mark.parametrize("checks", [("3M",), ("3M", "6M")])
def test_one_or_two_checks_show_and_estimate_nothing(checks: tuple[str, ...]) -> None:
    found = prospects_of(*plan(checks=checks, months=12))

    assert found.earliest is None
    assert found.evaluations[-1].cap == found.evaluations[-1].shown == 3 * len(checks)
    assert "estimate nothing" in "\n".join(found.text)


def test_assumptions_stand_beside_the_chances() -> None:
    found = prospects_of(*plan(), PlanAssumptions(scatter={"pH": stated(0.03)}))
    said = "\n".join(found.assumptions)

    assert "by 24 months it has gone nowhere, 50 %, 67 % of the way from start" in said
    assert "pH: scatter 0.03 pH (stated)" in said
    assert "10 % of the way from start to limit (standard deviation" in said
    assert "50 % of its square belongs to the day" in said


def test_a_plan_that_pools_says_that_it_was_not_pooled_here() -> None:
    study, protocol = plan()
    analysis = replace(protocol.analysis, carries_request="pooled")
    pooled = prospects_of(study, replace(protocol, analysis=analysis))

    assert any("pooled estimate" in one for one in pooled.assumptions)
    assert not any("pooled" in one for one in prospects_of(study, protocol).assumptions)


def test_no_number_is_printed_that_is_none() -> None:
    for parts in (
        plan(),
        only_odour(plan()),
        plan(checks=("3M",)),
        plan(limit="share"),
    ):
        found = prospects_of(*with_odour(parts))
        said = words(found).lower()

        assert not {"nan", "inf"} & set(said.replace(",", " ").split())
        json.dumps(asdict(found), allow_nan=False)


def test_it_supports_and_does_not_replace_the_assessor() -> None:
    assert prospects_of(*plan()).text[-1] == (
        "Supports, and does not replace, assessment by a qualified safety assessor."
    )


def test_a_large_plan_is_worked_out_at_once() -> None:
    # 3 batches in 2 packs; the time is generous, for machines that are busy.
    study, protocol = plan()
    rows = tuple(replace(row, pack="PUMP") for row in study.samples[1:])
    both = replace(
        study,
        samples=(*study.samples, *rows),
        packs={**study.packs, "PUMP": Pack("PUMP", "pump", fill_g=Decimal(30))},
    )
    began = time.process_time()
    prospects_of(*with_odour((both, protocol)))

    assert time.process_time() - began < 1.5


def test_a_batch_of_the_study_without_samples_is_no_batch_of_the_plan() -> None:
    study, protocol = plan(batches=2)
    more = replace(study, batches={**study.batches, "Z": Batch("Z", date(2026, 3, 9))})

    assert prospects_of(more, protocol).batches == 2
