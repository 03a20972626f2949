"""Results as somebody copies them from the paper."""

from __future__ import annotations

from decimal import Decimal

import pytest

from stability.errors.samples import ReadingsError
from stability.model.attribute import Attribute
from stability.model.certificate import ResultRow
from stability.records.certificate_results import read_results

ACID = Attribute("acid", "measured", unit="%", lowest_possible=Decimal(0))
SMELL = Attribute("smell", "scored", scale=("as control", "changed"))


def test_counts_stand_at_their_days() -> None:
    rows, verdict = read_results(
        ["Pseudomonas aeruginosa=2.5x10^5/-/<10/12"], "challenge", None
    )

    assert rows == (
        ResultRow("P. aeruginosa", 0, "count", "2.5x10^5"),
        ResultRow("P. aeruginosa", 14, "count", "10", "<"),
        ResultRow("P. aeruginosa", 28, "count", "12"),
    )
    assert verdict == ""


def test_log_reductions_stand_at_theirs() -> None:
    rows, _ = read_results(["c. alb = log 1.20 / - / >3.5"], "challenge", None)

    assert rows == (
        ResultRow("C. albicans", 7, "log reduction", "1.20"),
        ResultRow("C. albicans", 28, "log reduction", "3.5", ">"),
    )


def test_what_is_stated_is_a_word_or_the_verdict() -> None:
    rows, verdict = read_results(["E. coli=B", "A"], "challenge", None)

    assert rows == (ResultRow("E. coli", None, "word", "criteria B"),)
    assert verdict == "A"


def test_counts_and_organisms_of_a_product() -> None:
    rows, _ = read_results(
        ["TAMC=1.2x10^2", "yeasts and moulds=<10", "S. aureus=Absent"], "count", None
    )

    assert rows == (
        ResultRow("total", None, "count", "1.2x10^2"),
        ResultRow("yeast and mould", None, "count", "10", "<"),
        ResultRow("S. aureus", None, "word", "absent"),
    )


def test_another_organism_is_named_as_another() -> None:
    rows, _ = read_results(["other B. cepacia=absent"], "count", None)

    assert rows == (ResultRow("B. cepacia", None, "word", "absent"),)


@pytest.mark.parametrize("typed", ["97.30", "acid=97.30"])
def test_a_value_of_an_attribute_keeps_its_digits(typed: str) -> None:
    rows, _ = read_results([typed], "number", ACID)

    assert rows == (ResultRow("acid", None, "number", "97.30"),)


def test_several_values_and_words_of_an_attribute() -> None:
    assert len(read_results(["97.1/97.5"], "number", ACID)[0]) == 2
    assert read_results(["changed"], "word", SMELL)[0] == (
        ResultRow("smell", None, "word", "changed"),
    )


@pytest.mark.parametrize(
    ("kind", "attribute", "typed", "says"),
    [
        ("challenge", None, "E. coli=1x10^5/10/10", "3 counts for the days 0/7/14/28"),
        ("challenge", None, "E. coli=log 1/2", "2 log reductions for the days 7/14/28"),
        ("challenge", None, "E. coli=-/10/10/10", "without the count at the start"),
        ("challenge", None, "E. coli=1e5/10/10/10", "2.5x10"),
        ("challenge", None, "E. cola=log 1/2/3", "did you mean “E. coli”"),
        ("challenge", None, "=log 1/2/3", "say what the value is of"),
        ("challenge", None, "pass", "A, B or 'not met'"),
        ("count", None, "total=0", "<10"),
        ("count", None, "E. coli=none", "write absent or present"),
        ("count", None, "<10", "say what the value is of"),
        ("count", None, "colour=red", "known: total, bacteria"),
        ("number", ACID, "97,3", "97.3"),
        ("number", ACID, "-1", "-1"),
        ("number", ACID, "pH=5", "of acid alone"),
        ("number", ACID, "not-measured", "--because"),
        ("word", SMELL, "fine", "fine"),
    ],
)
def test_what_cannot_be_told_is_refused(
    kind: str, attribute: Attribute | None, typed: str, says: str
) -> None:
    with pytest.raises(ReadingsError) as caught:
        read_results([typed], kind, attribute)  # type: ignore[arg-type]

    assert says in " ".join(caught.value.faults)


def test_every_fault_is_told_at_once_and_nothing_stands_twice() -> None:
    with pytest.raises(ReadingsError) as caught:
        read_results(
            ["E. coli=log 1/2/3", "E. coli=log 3/3/3", "S. aureus=x/1/1/1", "A", "B"],
            "challenge",
            None,
        )

    faults = caught.value.faults
    assert len(faults) == 3
    assert "E. coli is given twice" in faults
    assert "more than one verdict is typed" in faults
