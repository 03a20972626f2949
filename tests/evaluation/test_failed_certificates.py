"""A failed certificate ends what is supported, whether or not it names a sample.

The criteria are those of ISO 11930:2019 (below B does not meet) and the limits those of
ISO 17516:2014 (1000 CFU per g, four organisms absent). That a preservation failure
governs the shelf life of a product is common practice of safety assessors: a cosmetic
must be safe until its date (Regulation (EC) No 1223/2009, article 3 with 19(1)(c)).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from stability.evaluation.conclusion import conclusion_of
from stability.evaluation.findings import Evaluation
from stability.evaluation.life_findings import LifeFindings
from stability.model.attribute import Attribute
from stability.model.certificate import ResultRow
from stability.model.limit import Limit
from stability.model.protocol import Analysis, Provisional
from stability.model.study import Pack
from stability.report.front_page import beyond_lines, shown_lines
from stability.report.study_json import study_object
from stability.report.summary_sheet import summary_rows
from tests.evaluation.builders import Bench, band
from tests.evaluation.lived import lived, small_protocol

AS_OF = "2026-01-20"
DONE = "2025-06-01"
#: Everything for which a study of these helpers is read inside, up to 12M.
WHOLE = 12
MANY = ResultRow("total", None, "count", "5000")
FEW = ResultRow("total", None, "count", "10", "<")
ABSENT = tuple(
    ResultRow(name, None, "word", "absent")
    for name in ("E. coli", "P. aeruginosa", "S. aureus", "C. albicans")
)
ILL = (FEW, ResultRow("P. aeruginosa", None, "word", "present"), *ABSENT[:1])


def held(bench: Bench, **of: Any) -> int:
    return bench.certify("challenge", DONE, verdict="criteria A", **of)


def failed(bench: Bench, **of: Any) -> int:
    return bench.certify("challenge", DONE, verdict="not met", **of)


def life(bench: Bench) -> LifeFindings:
    found = bench.evaluate(AS_OF).shelf_life
    assert found is not None
    return found


def months(bench: Bench) -> int:
    return life(bench).supported.months


def test_the_study_itself_shows_all_that_is_asked_for() -> None:
    found = life(lived())

    assert found.supported.months == WHOLE
    assert found.request.outcome == "shown by real-time data"


def test_nothing_is_supported_while_preservation_has_failed() -> None:
    bench = lived()
    failed(bench)

    evaluation = bench.evaluate(AS_OF)
    found = evaluation.shelf_life

    assert found is not None
    assert found.request.outcome == "not supported"
    assert found.supported.months == found.supported.shown == 0
    assert evaluation.months_shown == 0
    assert evaluation.months_shown_text == (
        "nothing is shown; stopped by challenge, batch A, at T0"
    )
    assert found.supported.governing.attribute == "challenge"
    assert "failed at T0, below criteria B of ISO 11930" in found.supported.text
    assert "nothing can be supported while it stands" in found.supported.text


def test_where_something_else_leaves_nothing_too_the_certificate_is_named() -> None:
    bench = lived(readings={("pH", "ROOM", "4w"): "4.90"})
    assert life(bench).supported.governing.attribute == "pH"
    assert months(bench) == 0

    failed(bench)

    assert life(bench).supported.governing.attribute == "challenge"


def printed(evaluation: Evaluation) -> dict[str, str]:
    """Return every place where the life shown is read."""
    rows = dict(summary_rows(evaluation))
    return {
        "page 1": " ".join(beyond_lines(evaluation)),
        "page 1, real time": " ".join(shown_lines(evaluation)),
        "summary sheet": " ".join(rows["Outcome"] + rows["Shown in real time"]),
        "json": str(study_object(evaluation)["shelf_life"]),
        "conclusion": " ".join(one.text for one in conclusion_of(evaluation)),
    }


@pytest.mark.parametrize(
    "where", ["page 1", "page 1, real time", "summary sheet", "json", "conclusion"]
)
def test_every_place_where_the_life_is_read_names_what_ended_it(where: str) -> None:
    good, bad = lived(), lived()
    failed(bad)

    text = printed(bad.evaluate(AS_OF))[where]

    assert "challenge" in text
    assert "12 months are shown" not in text
    assert "shown to 12M" not in text
    assert "challenge of batch" not in printed(good.evaluate(AS_OF))[where]


@pytest.mark.parametrize(
    ("held_at", "failed_at", "expected"),
    [
        ((), "3M", 0),
        (("T0",), "6M", 0),
        (("T0", "3M"), "6M", 3),
        (("T0", "3M", "6M"), "12M", 6),
        (("3M", "12M"), "6M", 3),  # a later one that holds undoes nothing
        (("6M",), "6M", 0),  # nor does one of the same age
        (("8w",), "6M", 1),  # 56 days hold one month of 31 days
    ],
)
def test_no_more_is_supported_than_the_last_age_at_which_it_held(
    held_at: tuple[str, ...], failed_at: str, expected: int
) -> None:
    bench = lived()
    for age in held_at:
        held(bench, age=age)
    failed(bench, age=failed_at)

    assert months(bench) == expected
    assert bench.evaluate(AS_OF).months_shown == expected


def test_a_failure_after_all_that_is_shown_leaves_that() -> None:
    bench = lived(until="6M")
    for age in ("9M", "12M"):
        held(bench, age=age)
    failed(bench, age="18M")

    assert months(bench) == 6


@pytest.mark.parametrize(
    "other", [{"batch": "B"}, {"pack": "PUMP"}, {"pack": None}, {"verdict": "B"}]
)
def test_only_the_same_batch_and_pack_show_that_it_held(other: dict[str, Any]) -> None:
    bench = lived(batches=("A", "B"))
    bench.certify("challenge", DONE, **{"verdict": "criteria A", "age": "3M", **other})
    failed(bench, age="6M")

    assert months(bench) == 0


@pytest.mark.parametrize("changes", [{"version": "0.9"}, {"pack": "TUBE"}])
def test_one_of_another_version_or_pack_is_a_mismatch_and_ends_nothing(
    changes: dict[str, Any],
) -> None:
    bench = lived()
    failed(bench, **changes)

    evaluation = bench.evaluate(AS_OF)

    assert evaluation.certificates.findings[0].mark == "mismatch"
    assert evaluation.certificates.against == ()
    assert evaluation.months_shown == WHOLE


def test_one_of_another_batch_is_no_evidence_and_ends_the_life_all_the_same() -> None:
    bench = lived()
    failed(bench, batch="Z")

    evaluation = bench.evaluate(AS_OF)
    (found,) = evaluation.certificates.findings

    assert found.mark == "mismatch"
    assert evaluation.certificates.evidence == ()
    assert "speaks against the shelf life all the same" in found.text
    assert months(bench) == 0


def test_one_of_another_batch_that_held_shows_nothing() -> None:
    bench = lived()
    held(bench, batch="Z", age="3M")
    failed(bench, age="6M")

    assert months(bench) == 0


def test_it_ends_the_life_of_its_own_pack_only() -> None:
    bench = lived()
    failed(bench, pack="PUMP")  # no jar of it is kept in the pump

    assert bench.evaluate(AS_OF).certificates.anything_outside
    assert months(bench) == WHOLE


@pytest.mark.parametrize("pack", [None, "GLASS"])
def test_without_a_pack_or_in_an_inert_one_it_counts_for_every_pack(
    pack: str | None,
) -> None:
    bench = lived()
    glass = Pack("GLASS", "20 ml glass vial", inert=True)
    bench.study = replace(bench.study, packs={**bench.study.packs, "GLASS": glass})
    failed(bench, pack=pack)

    assert months(bench) == 0


def test_set_aside_with_its_cause_it_ends_nothing() -> None:
    bench = lived()
    position = failed(bench)
    assert months(bench) == 0

    bench.invalidate(position, "the laboratory mixed up two vials", "2025-06-02")

    assert months(bench) == WHOLE


@pytest.mark.parametrize(
    ("rows", "expected"),
    [((MANY,), 0), (ILL, 0), ((FEW, *ABSENT), WHOLE), ((FEW,), WHOLE)],
    ids=["too many", "an organism present", "clean", "not all stated"],
)
def test_counts_govern_like_a_challenge(
    rows: tuple[ResultRow, ...], expected: int
) -> None:
    bench = lived()
    bench.certify("count", DONE, *rows)

    assert months(bench) == expected


def test_what_needs_a_justification_is_left_to_the_assessor() -> None:
    bench = lived()
    bench.certify("challenge", DONE, verdict="criteria B")

    assert bench.evaluate(AS_OF).certificates.findings[0].mark == "needs justification"
    assert months(bench) == WHOLE


def test_a_laboratory_that_fails_a_count_is_believed() -> None:
    bench = lived()
    bench.certify("count", DONE, FEW, *ABSENT, verdict="fails")

    assert months(bench) == 0
    assert "not met, as the laboratory states" in life(bench).supported.text


@pytest.mark.parametrize(
    ("condition", "age", "expected"),
    [
        ("ROOM", "3M", 0),
        ("T40", "4w", WHOLE),  # heat speaks by its role, and not for the shelf
        ("T40", "T0", 0),  # before it was stored it was as every other
    ],
)
def test_where_the_sample_was_kept_decides(
    condition: str, age: str, expected: int
) -> None:
    bench = lived(conditions=("ROOM", "T40"))
    failed(bench, sample=f"HDC-{condition}-A", age=age)

    assert months(bench) == expected


def test_an_age_in_cycles_is_stress_and_not_the_shelf() -> None:
    bench = lived()
    failed(bench, age="c3")

    assert bench.evaluate(AS_OF).certificates.anything_outside
    assert months(bench) == WHOLE


def with_attribute(attribute: Attribute) -> Bench:
    rules = small_protocol()
    bench = lived(rules=rules)
    bench.protocol = replace(
        rules, attributes={**rules.attributes, attribute.name: attribute}
    )
    return bench


COUNT = Attribute(
    "count",
    "measured",
    unit="CFU/g",
    provided_by="certificate",
    when=("T0", "3M"),
    limit=Limit(absolute=band(highest="500")),
)


def test_a_reading_inside_does_not_hide_an_organism_on_its_certificate() -> None:
    bench = with_attribute(COUNT)
    bench.certify("count", DONE, *ILL, sample="HDC-ROOM-A", age="3M")

    evaluation = bench.evaluate(AS_OF)
    (found,) = evaluation.certificates.findings

    assert found.among_readings
    assert evaluation.judged[-1].mark == "inside"
    assert months(bench) == 0


def test_a_reading_outside_is_told_once() -> None:
    bench = with_attribute(COUNT)
    bench.certify("count", DONE, MANY, sample="HDC-ROOM-A", age="3M")

    evaluation = bench.evaluate(AS_OF)

    assert evaluation.shown[0].failures == (("A", "count", "3M"),)
    kinds = [one.kind for one in life(bench).attributes if one.attribute == "count"]
    assert kinds == ["fitted"]
    assert months(bench) == 0


ASSAY = replace(COUNT, name="assay", unit="%", limit=Limit(absolute=band("90")))


@pytest.mark.parametrize(("bears", "expected"), [(True, 0), (False, WHOLE)])
def test_another_attribute_counts_where_it_bears_the_request(
    bears: bool, expected: int
) -> None:
    bench = with_attribute(replace(ASSAY, bears_request=bears))
    low = ResultRow("assay", None, "number", "80")
    bench.certify("number", DONE, low, attribute="assay", age="3M")

    assert months(bench) == expected


def test_a_provisional_life_does_not_stand_beside_it() -> None:
    rule = Provisional(12, "T40", "12w", "3M", "12 weeks as a year", "custom", ("6M",))
    rules = small_protocol("pH", analysis=Analysis(provisional=rule))
    bench = lived(("ROOM", "T40"), until="3M", rules=rules)
    good = bench.evaluate("2025-05-10").shelf_life
    assert good is not None
    assert good.request.outcome == "provisional on accelerated data"

    bench.certify("challenge", "2025-04-20", verdict="not met")
    bad = bench.evaluate("2025-05-10").shelf_life

    assert bad is not None
    assert bad.request.outcome == "interim"
    assert bad.request.months == 0


def test_every_version_of_an_amended_plan_is_governed_by_it() -> None:
    bench = lived()
    failed(bench)
    bench.amend(small_protocol(), "2025-12-01")

    assert months(bench) == 0
