"""Amended limits: each reading keeps those of its day, the shorter life governs."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta

import pytest

from stability.evaluation.amended import judged_otherwise
from stability.evaluation.evaluate import evaluate
from stability.evaluation.findings import Evaluation
from stability.model.age import add_calendar_months
from stability.model.attribute import Attribute
from stability.model.limit import Limit
from stability.model.protocol import Analysis, Protocol
from stability.model.study import Request
from tests.evaluation.builders import (
    PLACED,
    Bench,
    band,
    bulk,
    protocol,
    sample,
    study,
)

PH = protocol().attributes["pH"]
MONTHS = (3, 6, 9, 12)


def with_limit(lowest: str, highest: str) -> Protocol:
    limit = Limit(absolute=band(lowest, highest), reason="preservative")
    return protocol(attributes={"pH": replace(PH, limit=limit)})


def with_words(plan: Protocol) -> Protocol:
    """Return a protocol that judges separation by its words, too."""
    words = Attribute(
        "separation",
        "scored",
        scale=("none", "droplets on the surface", "layer"),
        limit=Limit(highest="none", reason_kind="felt or seen"),
    )
    return replace(plan, attributes={**plan.attributes, "separation": words})


WIDE, NARROW, WIDER = (
    with_limit("5.0", "5.9"),
    with_limit("5.3", "5.9"),
    with_limit("4.0", "5.9"),
)


def bench(first: Protocol, rate: float = 0.02) -> Bench:
    """Return a study of one batch whose pH falls, read for a year."""
    made = Bench(
        [bulk(), sample("ROOM-A", "ROOM"), sample("T40-A", "T40")],
        protocol=first,
        study=study(request=Request(12)),
    )
    made.read("BULK-A", "pH", "T0", "5.50", done="2025-01-09")
    made.place("ROOM-A", "ROOM")
    made.place("T40-A", "T40")
    for weeks in (4, 8, 12):
        day = (PLACED + timedelta(weeks=weeks)).isoformat()
        if f"{weeks}w" in first.conditions["T40"].checks:
            made.read("T40-A", "pH", f"{weeks}w", "5.49", done=day)
    for months in MONTHS:
        day = add_calendar_months(PLACED, months).isoformat()
        value = f"{5.5 - rate * months + 0.005 * (-1) ** months:.2f}"
        made.read("ROOM-A", "pH", f"{months}M", value, done=day)
    return made


def room(found: Evaluation) -> list[tuple[str | None, str, str]]:
    return [
        (one.check, one.mark, one.limit_text)
        for one in found.judged
        if one.condition == "ROOM"
    ]


def test_what_was_read_before_keeps_its_limits_and_what_follows_has_the_new_ones() -> (
    None
):
    made = bench(WIDE)
    made.amend(NARROW, "2026-01-15")
    made.read("ROOM-A", "pH", "18M", "5.20", done="2026-07-10")

    marks = room(made.evaluate("2026-08-01"))

    assert [mark for _, mark, _ in marks[:4]].count("outside") == 0
    assert all("5.0" in limit for _, _, limit in marks[:4])
    assert marks[-1][1] == "outside"
    assert "5.3" in marks[-1][2]


def test_a_reading_of_an_earlier_day_that_is_entered_later_keeps_its_limits() -> None:
    made = bench(WIDE)
    made.amend(NARROW, "2026-01-15")
    made.read(
        "ROOM-A",
        "pH",
        None,
        "5.21",
        done="2026-01-12",
        entered="2026-02-01T09:00:00Z",
    )

    late = made.evaluate("2026-03-01").judged[-1]

    assert (late.mark, late.observation.done.day) == ("inside", date(2026, 1, 12))


def test_both_judgements_are_shown_of_what_the_new_limits_judge_otherwise() -> None:
    made = bench(WIDE)
    position = made.amend(NARROW, "2026-01-15", "the assessor asks for 5.3")

    found = made.evaluate("2026-02-01").amendments[0]

    assert (found.position, found.because) == (position, "the assessor asks for 5.3")
    assert found.before == 1 + 3 + len(MONTHS)
    assert {(one.check, one.mark, one.mark_otherwise) for one in found.otherwise} == {
        ("12M", "inside", "outside")
    }
    assert "5.0" in found.otherwise[0].limit_text
    assert "5.3" in found.otherwise[0].limit_otherwise


@pytest.mark.parametrize(
    ("first", "then"), [(NARROW, WIDER), (WIDE, NARROW)], ids=["loosened", "tightened"]
)
def test_an_amendment_never_lengthens_a_shelf_life(
    first: Protocol, then: Protocol
) -> None:
    plain = bench(first).evaluate("2026-02-01")
    made = bench(first)
    made.amend(then, "2026-01-15")
    amended = made.evaluate("2026-02-01")
    other = bench(then).evaluate("2026-02-01")

    assert plain.shelf_life is not None
    assert amended.shelf_life is not None
    assert other.shelf_life is not None
    shortest = min(plain.shelf_life.supported.months, other.shelf_life.supported.months)
    assert amended.shelf_life.supported.months == shortest
    assert amended.months_shown == min(plain.months_shown, other.months_shown)
    caution = next(one for one in amended.shelf_life.cautions if one.code == "amended")
    assert "The shortest governs" in caution.text


def test_loosening_a_limit_cannot_undo_a_failure() -> None:
    made = bench(NARROW)
    before = made.evaluate("2026-01-14")
    made.amend(WIDER, "2026-01-15")
    after = made.evaluate("2026-02-01")

    assert before.outside != ()
    assert after.outside != ()
    assert after.shelf_life is not None
    assert after.shelf_life.request.outcome == "not supported"


@pytest.mark.parametrize("limit", [WIDER, NARROW], ids=["loosened", "as it was"])
def test_leaving_out_what_has_failed_cannot_undo_its_failure(limit: Protocol) -> None:
    made = bench(with_words(NARROW))
    for months in (0, *MONTHS):
        day = add_calendar_months(PLACED, months).isoformat()
        check = f"{months}M" if months else "T0"
        where = "ROOM-A" if months else "BULK-A"
        made.read(where, "separation", check, "none", done=day)
    before = made.evaluate("2026-01-14").shelf_life
    left_out = replace(made.study, omit={"pH": "the meter is broken"})
    made.amend(with_words(limit), "2026-01-15", study=left_out)
    after = made.evaluate("2026-02-01")

    assert before is not None
    assert after.shelf_life is not None
    assert before.request.outcome == "not supported"
    assert after.shelf_life.request.outcome == "not supported"
    assert after.shelf_life.supported.months == before.supported.months
    assert after.shelf_life.supported.governing.attribute == "pH"
    assert "pH" in {one.attribute for one in after.shelf_life.attributes}
    assert "The shortest governs: the plan as opened" in " ".join(
        one.text for one in after.shelf_life.cautions
    )


def test_of_versions_that_grant_nothing_the_one_with_fewest_months_governs() -> None:
    made = bench(NARROW)
    less = replace(
        with_limit("5.45", "5.9"), analysis=Analysis(evaluate_at=("6M", "18M"))
    )
    made.amend(less, "2026-01-15")

    life = made.evaluate("2026-02-01").shelf_life
    caution = (
        next(one for one in life.cautions if one.code == "amended") if life else None
    )

    assert life is not None
    assert caution is not None
    assert re.findall(r": (\d+) months, (\w+)", caution.text) == [
        ("9", "not"),
        ("0", "interim"),
    ]
    assert life.supported.months == 0


def test_a_thought_of_amendment_is_judged_without_being_made() -> None:
    record = bench(WIDE).record("2026-02-01")

    found = judged_otherwise(record, NARROW, date(2026, 2, 1), evaluate)

    assert [(one.check, one.mark_otherwise) for one in found] == [("12M", "outside")]
    assert judged_otherwise(record, WIDE, date(2026, 2, 1), evaluate) == ()


def test_without_amendments_nothing_is_said_of_them() -> None:
    found = bench(WIDE).evaluate("2026-02-01")

    assert found.amendments == ()
    assert found.shelf_life is not None
    assert "amended" not in {one.code for one in found.shelf_life.cautions}
