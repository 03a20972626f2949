"""The table attribute × condition: what failed first, each failure one link away."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from stability.report.findings_table import (
    INSIDE_TITLE,
    attributes_in_order,
    conditions_in_order,
)
from tests.report.printed import EXAMPLES, Printed, evaluated, printed


def test_what_failed_stands_first_under_what_it_means() -> None:
    ordered = attributes_in_order(evaluated("day_cream"))

    assert [title for title, _ in ordered] == [
        "Outside: Stress, as declared in the protocol",
        INSIDE_TITLE,
    ]
    assert ordered[0][1] == ["separation", "appearance"]
    assert ordered[1][1] == ["pH", "spread", "odour", "colour", "weight_loss"]


def test_without_a_failure_there_is_no_title() -> None:
    (only,) = attributes_in_order(evaluated("plain_lotion"))

    assert only[0] == ""
    assert only[1][0] == "pH"


def test_an_attribute_stands_under_the_gravest_of_its_failures() -> None:
    evaluation = evaluated("day_cream")
    (stress,) = evaluation.outside
    (graver,) = [one for one in stress.findings if one.attribute == "separation"]
    worse = replace(
        stress,
        meaning="bearing the request",
        findings=(replace(graver, condition="ROOM"),),
    )
    summary = tuple(
        replace(one, state="outside")
        if (one.attribute, one.condition) == ("separation", "ROOM")
        else one
        for one in evaluation.summary
    )
    changed = replace(evaluation, outside=(stress, worse), summary=summary)

    assert [names for _, names in attributes_in_order(changed)][:2] == [
        ["separation"],
        ["appearance"],
    ]
    assert attributes_in_order(changed)[0][0].endswith("(long-term storage)")


def test_an_attribute_without_a_planned_cell_takes_no_row() -> None:
    evaluation = evaluated("balm_tin")
    away = tuple(
        replace(one, state="not planned") if one.attribute == "odour" else one
        for one in evaluation.summary
    )

    told = attributes_in_order(replace(evaluation, summary=away))

    assert not any("odour" in names for _, names in told)
    none = tuple(replace(one, state="not planned") for one in evaluation.summary)
    assert attributes_in_order(replace(evaluation, summary=none)) == []


@pytest.mark.parametrize("name", EXAMPLES)
def test_conditions_stand_by_role(name: str) -> None:
    evaluation = evaluated(name)
    roles = evaluation.identity.protocol.conditions
    order = ["long-term", "intermediate", "accelerated", "stress", "control"]
    found = conditions_in_order(evaluation)

    assert found[0] == "T0"
    places = [order.index(roles[one].role) for one in found[1:]]
    assert places == sorted(places)
    assert set(found) == {one.condition for one in evaluation.summary}


def targets(report: Printed, page: int) -> list[int]:
    """Return the pages to which the links of a page lead."""
    pages = report.reader.pages
    numbers = {one.indirect_reference: at for at, one in enumerate(pages)}
    notes: list[Any] = list(pages[page].get("/Annots", ()))
    places = [one.get_object()["/Dest"][0] for one in notes]
    return [numbers[getattr(one, "indirect_reference", one)] for one in places]


def test_each_failure_of_the_table_leads_to_its_readings() -> None:
    report = printed("day_cream")
    outside = next(
        at
        for at, text in enumerate(report.pages)
        if "\nOutside limits\n" in text and "separation at T45" in text
    )
    failed = [one for one in evaluated("day_cream").summary if one.state == "outside"]

    # Two cells, and the lead of "Where to find it", go there.
    assert targets(report, 1).count(outside) >= len(failed) + 1
