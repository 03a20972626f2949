"""Certificates in an evaluation: marks, both verdicts, mismatches, what is asked."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from stability.evaluation.certificate_findings import CertificateFinding
from stability.evaluation.evaluate import evaluate
from stability.evaluation.findings import Evaluation
from stability.model import content
from stability.model.moment import Moment
from stability.records.certifying import certify
from stability.records.continuation import Continuation
from stability.records.observing import invalidate
from tests.records.certified_study import ALL_A, CLEAN, certified_book, wish
from tests.records.small_study import BULK_A, BULK_B, ROOM_A, ROOM_B, add

#: After every check of these studies, with everything stored before.
LATE = date(2026, 9, 1)
ONLY_B = (*ALL_A[:4], "A. brasiliensis=log -/0.0/0.9")
BELOW_B = (*ALL_A[:4], "A. brasiliensis=log -/-1.0/0.0")


@pytest.fixture
def book(tmp_path: Path) -> Continuation:
    found = certified_book(tmp_path)
    for code in (ROOM_A, ROOM_B):
        place = content.placed(code, "ROOM", "in")
        add(found, content.PLACED, place, "2026-03-12")
    return found


def record_one(book: Continuation, what: str = "challenge", **changes: Any) -> int:
    made = certify(book.record, wish(what, **changes), Moment(LATE), LATE)
    return add(book, content.CERTIFIED, made.held, LATE.isoformat())


def acid(book: Continuation, sample: str, age: str, value: str, **more: Any) -> int:
    batch = book.record.samples[sample].batch
    pack = book.record.samples[sample].pack
    return record_one(
        book, "acid", results=(value,), sample=sample, batch=batch, pack=pack,
        age=age, issued="2026-08-01", **more,
    )  # fmt: skip


def evaluated(book: Continuation, **of_study: Any) -> Evaluation:
    record = book.record
    study = replace(record.study, **of_study)
    return evaluate(replace(record, study=study), LATE)


def only(book: Continuation, **of_study: Any) -> CertificateFinding:
    (found,) = evaluated(book, **of_study).certificates.findings
    return found


def states_of(evaluation: Evaluation) -> dict[tuple[str, str], str]:
    asked = evaluation.certificates.asked
    return {(one.attribute, one.check): one.state for one in asked}


@pytest.mark.parametrize(
    ("results", "mark", "words"),
    [
        (ALL_A, "inside", "criteria A of ISO 11930 met"),
        (ONLY_B, "outside", "needs justification of a further protection"),
        (BELOW_B, "outside", "does not meet"),
        (ALL_A[1:], "undecided", "not decided"),
        (("A",), "inside", "as the laboratory states, nothing computed"),
    ],
)
def test_a_challenge_is_held_against_the_table_and_the_protocol(
    book: Continuation, results: tuple[str, ...], mark: str, words: str
) -> None:
    record_one(book, results=results)

    found = only(book)

    assert found.mark == mark
    assert words in found.verdict
    assert found.microbiological


def test_criteria_b_need_justification_where_the_protocol_asks_for_no_more(
    book: Continuation,
) -> None:
    record_one(book, results=ONLY_B)
    record = book.record
    attributes = dict(record.protocol.attributes)
    del attributes["challenge"]
    bare = replace(record, protocol=replace(record.protocol, attributes=attributes))

    (found,) = evaluate(bare, LATE).certificates.findings

    assert found.mark == "needs justification"
    assert found.by_protocol == ""


@pytest.mark.parametrize(
    ("results", "verdict", "mark", "told"),
    [
        (ALL_A, "criteria A", "inside", "“criteria A”, agrees"),
        (ONLY_B, "criteria A", "outside", "differs from criteria B here"),
        (ALL_A, "criteria B", "outside", "differs from criteria A here"),
        (ALL_A, "not met", "outside", "differs from criteria A here"),
        (ALL_A, "complies", "inside", "“complies”, agrees"),
        (ONLY_B, "complies", "outside", "“complies”, differs from criteria B here"),
        (ALL_A, "see letter", "inside", "“see letter”, not compared"),
        (ALL_A[1:], "criteria A", "undecided", "not decided here"),
    ],
)
def test_both_verdicts_are_told_and_the_worse_governs(
    book: Continuation, results: tuple[str, ...], verdict: str, mark: str, told: str
) -> None:
    record_one(book, results=results, verdict=verdict)

    found = only(book)

    assert told in found.laboratory_verdict
    assert found.mark == mark


def test_an_organism_of_which_the_laboratory_states_otherwise_is_named(
    book: Continuation,
) -> None:
    record_one(book, results=(*ALL_A, "E. coli=B"))

    found = only(book)

    assert found.laboratory_verdict == (
        "E. coli: laboratory states criteria B, computed criteria A"
    )
    assert found.mark == "outside"  # the protocol asks for A


@pytest.mark.parametrize(
    ("category", "count", "mark"),
    [
        (1, "100", "inside"),
        (1, "101", "outside"),
        (2, "500", "inside"),
        (2, "501", "outside"),  # the protocol's own limit is 500
        (None, "500", "inside"),
    ],
)
def test_counts_are_held_against_category_and_protocol(
    book: Continuation, category: int | None, count: str, mark: str
) -> None:
    record_one(book, "count", results=(f"total={count}", *CLEAN[1:]))

    found = only(book, microbial_category=category)

    assert found.mark == mark
    assert f"category {category or 2}" in found.verdict
    told = "states no category; 2 is taken" in " ".join(found.reasons)
    assert told is (category is None)


def test_a_laboratory_that_fails_a_count_is_believed(book: Continuation) -> None:
    record_one(book, "count", verdict="fails")

    found = only(book)

    assert found.mark == "outside"
    assert "differs from met here" in found.laboratory_verdict
    assert "which governs" in " ".join(found.reasons)


@pytest.mark.parametrize(
    "changes", [{"version": "0.9"}, {"batch": "Z"}, {"pack": "TUBE"}]
)
def test_a_mismatch_is_never_evidence(
    book: Continuation, changes: dict[str, Any]
) -> None:
    record_one(book, results=BELOW_B, **changes)

    evaluation = evaluated(book)
    (found,) = evaluation.certificates.findings

    assert found.mark == "mismatch"
    assert not found.is_evidence
    assert found.text.startswith("Mismatch, not evidence for this study: of ")
    assert evaluation.certificates.evidence == ()
    assert not evaluation.certificates.anything_outside
    states = {
        (one.attribute, one.check): one.state for one in evaluation.certificates.asked
    }
    assert states["challenge", "T0"] == "not received"


def test_a_certificate_set_aside_is_no_evidence_and_stays_readable(
    book: Continuation,
) -> None:
    position = acid(book, ROOM_A, "2w", "8.0")
    held = invalidate(book, position, "of another product")
    add(book, content.INVALIDATED, held, "2026-09-01")

    evaluation = evaluated(book)

    assert evaluation.certificates.findings[0].mark == "set aside"
    assert "of another product" in evaluation.certificates.findings[0].reasons[-1]
    assert evaluation.outside == ()
    assert [one.text for one in evaluation.record.of("set aside")] == [
        "acid 8.0 set aside by Ana Reyes: of another product"
    ]


def test_a_certificate_of_a_named_sample_is_judged_and_fitted_like_any_reading(
    book: Continuation,
) -> None:
    acid(book, BULK_A, "T0", "10.0")
    for age, value in (("2w", "9.9"), ("4w", "9.8"), ("3M", "8.9")):
        acid(book, ROOM_A, age, value, number=f"A{age}")

    evaluation = evaluated(book)

    marks = [(one.check, one.mark) for one in evaluation.judged]
    assert marks == [
        ("T0", "inside"), ("2w", "inside"), ("4w", "inside"), ("3M", "outside"),
    ]  # fmt: skip
    assert all(
        one.observation.person == "Corran Laboratory" for one in evaluation.judged
    )
    remarks = [one.text for one in evaluation.judged[1].remarks]
    assert "from the certificate of Corran Laboratory, no. A2w" in remarks[0]
    (series,) = evaluation.measured
    assert (series.key.attribute, len(series.points)) == ("acid", 4)
    group = evaluation.outside[0]
    assert group.meaning == "bearing the request"
    assert evaluation.certificates.outside_alone == ()
    assert evaluation.certificates.findings[0].among_readings


def test_without_a_sample_it_is_judged_alone_and_told_as_outside(
    book: Continuation,
) -> None:
    record_one(book, results=BELOW_B)

    evaluation = evaluated(book)

    assert evaluation.judged == ()
    assert len(evaluation.certificates.outside_alone) == 1
    assert evaluation.certificates.anything_outside


def test_a_value_against_its_initial_value_needs_a_sample(book: Continuation) -> None:
    record_one(book, "acid", results=("5.0",))

    assert only(book).mark == "no initial"


def life_of(evaluation: Evaluation, attribute: str) -> list[str]:
    assert evaluation.shelf_life is not None
    return [
        one.pack
        for one in evaluation.shelf_life.attributes
        if one.attribute == attribute
    ]


def test_it_bears_the_request_once_every_batch_has_one(book: Continuation) -> None:
    acid(book, BULK_A, "T0", "10.0")
    acid(book, BULK_B, "T0", "10.0")
    acid(book, ROOM_A, "2w", "9.9")
    assert life_of(evaluated(book), "acid") == []

    acid(book, ROOM_B, "2w", "9.9")
    assert life_of(evaluated(book), "acid") == ["JAR"]


def test_one_that_failed_bears_the_request_alone(book: Continuation) -> None:
    acid(book, BULK_A, "T0", "10.0")
    acid(book, ROOM_A, "2w", "8.9")

    evaluation = evaluated(book)

    assert life_of(evaluation, "acid") == ["JAR"]
    assert evaluation.shown[0].failures == (("A", "acid", "2w"),)


def test_a_certificate_is_no_first_reading_of_the_bench(book: Continuation) -> None:
    acid(book, BULK_A, "T0", "10.0")

    identity = evaluated(book).identity

    assert identity.first_reading is None


def test_what_the_protocol_asks_for_stands_with_its_state(book: Continuation) -> None:
    position = record_one(book, "count")
    early = evaluate(book.record, date(2026, 4, 1)).certificates.asked

    found = {(one.attribute, one.check): one for one in early}

    assert found["count", "T0"].state == "received"
    assert found["organisms", "T0"].positions == (position,)  # on the same paper
    assert found["challenge", "T0"].state == "not received"
    assert found["count", "3M"].state == "to come"
    late = states_of(evaluated(book))
    assert late["count", "3M"] == "not received"


def test_organisms_not_all_stated_answer_nothing(book: Continuation) -> None:
    record_one(book, "count", results=CLEAN[:3])

    found = states_of(evaluated(book))

    assert found["count", "T0"] == "received"
    assert found["organisms", "T0"] == "not received"


def test_what_is_left_out_is_told_with_its_reason(book: Continuation) -> None:
    evaluation = evaluated(book, omit={"challenge": "no water in it"})

    assert evaluation.certificates.left_out == (("challenge", "no water in it"),)
    assert not any(
        one.attribute == "challenge" for one in evaluation.certificates.asked
    )


def test_those_outside_come_first(book: Continuation) -> None:
    record_one(book)
    record_one(book, batch="B", results=BELOW_B)

    marks = [one.mark for one in evaluated(book).certificates.findings]

    assert marks == ["outside", "inside"]
