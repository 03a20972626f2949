"""What stands beside a reading outside its limit: weight, comparison, instrument."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from stability.evaluation.explanations import beside_of, explanations
from stability.evaluation.findings import Evaluation
from tests.evaluation.builders import Bench, bulk, protocol, sample, study

DONE = "2025-02-07"


def read(
    *, cold: str | None = None, weight: str | None = None, **more: Any
) -> Evaluation:
    """Return a pH outside its limit at 4w in the heat, with what stood beside it.

    Parameters
    ----------
    cold
        pH of the cold control at the same check; None: not read.
    weight
        Weight at the check as typed [g]; None: not weighed. The jar began at 82 g.
    more
        Changes of the study file.
    """
    bench = Bench(
        [bulk(), sample("HDC-HOT", "T40"), sample("HDC-COLD", "COLD")],
        study=replace(study(), **more),
    )
    bench.read("BULK-A", "pH", "T0", "5.5", "5.5", done="2025-01-09")
    for code, condition in (("HDC-HOT", "T40"), ("HDC-COLD", "COLD")):
        bench.place(code, condition)
    if weight is not None:
        bench.read(
            "HDC-HOT", "weight_loss", "T0", "82.0", done="2025-01-10", part="before"
        )
        bench.read("HDC-HOT", "weight_loss", "4w", weight, done=DONE, part="before")
    bench.read("HDC-HOT", "pH", "4w", "4.7", "4.7", done=DONE)
    if cold is not None:
        bench.read("HDC-COLD", "pH", "4w", cold, cold, done=DONE)
    return bench.evaluate("2025-02-20")


def told(evaluation: Evaluation, attribute: str = "pH") -> tuple[str, ...]:
    """Return what is said beside the one reading outside."""
    (seen,) = [
        one
        for one in evaluation.judged
        if one.is_outside and one.attribute == attribute and one.condition == "T40"
    ]
    return explanations(beside_of(evaluation), seen)


def test_a_loss_of_weight_at_the_same_check_stands_beside() -> None:
    # 82.0 g less 81.0 g, of 50 g net: 2 %; the jar's fill is 50 g.
    assert "weight loss: 2.000 % at this check" in told(read(weight="81.0"))


def test_a_loss_outside_its_own_limit_says_so() -> None:
    found = told(read(weight="79.0"))
    assert "weight loss outside its limit: 6.000 % at this check" in found


def test_a_weight_not_taken_is_told_where_the_study_weighs() -> None:
    assert "weight: not known at this check" in told(read())
    without = read(omit={"weight_loss": "no balance"})
    assert not any("weight" in one for one in told(without))


def test_a_loss_does_not_explain_itself() -> None:
    found = told(read(weight="79.0"), "weight_loss")
    assert not any("weight" in one for one in found)


def test_a_control_that_did_not_move_says_so() -> None:
    assert "cold control COLD: 5.50, not changed" in told(read(cold="5.50"))


def test_a_control_that_left_its_limit_too_is_the_first_thing_to_see() -> None:
    assert "cold control COLD: 4.80, outside too" in told(read(cold="4.80"))


def test_a_control_that_was_not_read_is_told() -> None:
    found = told(read())
    assert "control: none read at this check in this batch and pack" in found


def test_an_initial_value_has_no_control_and_no_loss() -> None:
    bench = Bench([bulk()], protocol=protocol())
    bench.read("BULK-A", "pH", "T0", "4.0", "4.0", done="2025-01-09")
    evaluation = bench.evaluate("2025-01-20")
    (seen,) = [one for one in evaluation.judged if one.is_outside]
    assert explanations(beside_of(evaluation), seen) == ()
