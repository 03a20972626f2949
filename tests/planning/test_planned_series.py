"""The series that a plan will give are those of the evaluation."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path

import pytest

from stability.evaluation.evaluate import evaluate
from stability.evaluation.findings import Evaluation
from stability.model.study import SampleRow
from stability.planning.planned_series import (
    Planned,
    age_of,
    planned_samples,
    planned_series,
)
from stability.records.store import record_of
from stability.records.study_folder import entries_of_folder
from tests.planning.simulated_plans import plan

EXAMPLES = Path(__file__).parents[2] / "example_studies"
AS_OF = date(2026, 9, 30)


@cache
def evaluated(name: str) -> Evaluation:
    """Return the evaluation of an example study."""
    entries = entries_of_folder(EXAMPLES / name, datetime(2026, 9, 30, 20, tzinfo=UTC))
    return evaluate(record_of(entries, AS_OF).record, AS_OF)


@cache
def planned(name: str) -> tuple[Planned, ...]:
    """Return the planned series of an example study."""
    identity = evaluated(name).identity
    study, protocol = identity.study, identity.protocol
    return planned_series(study, protocol, planned_samples(study, protocol))


def of(name: str, attribute: str, pack: str) -> Planned:
    """Return one attribute in one pack."""
    return next(
        one
        for one in planned(name)
        if (one.attribute.name, one.pack) == (attribute, pack)
    )


@pytest.mark.parametrize("name", ["day_cream", "plain_lotion", "balm_tin"])
def test_they_are_the_series_that_the_evaluation_of_an_example_finds(name: str) -> None:
    found = evaluated(name)
    fitted = [
        (one.key.attribute, one.key.condition, one.key.pack, one.key.batch,
         bool(one.key.sample))
        for one in found.measured
        if one.role == "long-term"
    ]  # fmt: skip
    expected = [
        (one.attribute.name, one.condition, one.pack, series.batch, series.reopened)
        for one in planned(name)
        for series in one.series
        if one.attribute.kind == "measured"
    ]

    assert expected
    assert sorted(expected) == sorted(fitted)


@pytest.mark.parametrize("name", ["day_cream", "plain_lotion", "balm_tin"])
def test_they_bear_what_the_evaluation_says_bears_the_request(name: str) -> None:
    lives = evaluated(name).shelf_life
    assert lives is not None

    assert sorted({(one.attribute, one.pack) for one in lives.attributes}) == sorted(
        {(one.attribute.name, one.pack) for one in planned(name)}
    )


def test_an_untouched_container_is_a_series_of_two_points() -> None:
    series = of("day_cream", "pH", "JAR").series
    (untouched,) = [one for one in series if not one.reopened]

    assert untouched.batch == "A"
    assert untouched.ages("36M") == (0.0, 12.0)
    assert untouched.ages("9M") == (0.0,)


def test_fresh_containers_of_a_batch_are_one_series() -> None:
    (series,) = of("balm_tin", "weight_loss", "TIN").series

    assert series.containers == dict.fromkeys(
        ("4w", "3M", "6M", "9M", "12M", "18M", "24M"), 1
    )
    assert series.containers_by("6M") == 3
    assert series.has_t0


def test_a_reopened_container_is_read_again_and_counted_once() -> None:
    study, protocol = plan(use="reopened", containers=2, batches=1)
    (found,) = planned_series(study, protocol, planned_samples(study, protocol))

    assert [one.containers_by("24M") for one in found.series] == [1, 1]
    assert [len(one.ages("24M")) for one in found.series] == [7, 7]


def test_stress_twins_and_containers_in_use_do_not_bear_the_request() -> None:
    study, protocol = plan()
    rows = (SampleRow(("A",), "in use", 1, "JAR", "ROOM"),)
    study = replace(study, samples=rows)

    assert planned_series(study, protocol, planned_samples(study, protocol)) == ()


def test_what_is_omitted_is_not_planned() -> None:
    study, protocol = plan()
    study = replace(study, omit={"pH": "no meter"})

    assert planned_series(study, protocol, planned_samples(study, protocol)) == ()


def test_without_bulk_fresh_containers_have_no_t0() -> None:
    study, protocol = plan()
    study = replace(study, samples=study.samples[1:2])
    (found,) = planned_series(study, protocol, planned_samples(study, protocol))

    assert {one.has_t0 for one in found.series} == {False}


def test_months_are_the_ages_that_fits_count() -> None:
    assert age_of("18M") == 18
    assert age_of("4w") == pytest.approx(28 / 30.4375)
    with pytest.raises(ValueError, match="no age"):
        age_of("c3")
