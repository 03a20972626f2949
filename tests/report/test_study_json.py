"""The evaluation as JSON: the same numbers, with their units in the keys."""

from __future__ import annotations

import json
from typing import Any

import pytest

from stability.model.estimate import Drift
from stability.report.study_json import study_json
from tests.evaluation.builders import Bench, sample
from tests.report.printed import EXAMPLES, evaluated


def loaded(name: str) -> dict[str, Any]:
    """Return an example's evaluation as another program reads it."""
    found: dict[str, Any] = json.loads(study_json(evaluated(name)))
    return found


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_observation_is_there_with_its_readings_as_typed(name: str) -> None:
    said = {one["position"]: one for one in loaded(name)["observations"]}
    judged = evaluated(name).judged
    assert len(said) == len(judged)
    for seen in judged:
        one = said[seen.position]
        assert one["readings"] == [str(each) for each in seen.observation.readings]
        assert one["value"] == (seen.value_text or None)
        assert one["mark"] == seen.mark
        assert one["age_days"] == seen.age_days


@pytest.mark.parametrize("name", EXAMPLES)
def test_drift_is_told_by_month_with_its_unit(name: str) -> None:
    for one, series in zip(
        loaded(name)["drift"], evaluated(name).measured, strict=True
    ):
        assert one["unit"] == series.unit
        if isinstance(series.drift, Drift):
            assert one["slope_per_month"] == series.drift.slope
            assert one["slope_interval_per_month"] == list(series.drift.slope_interval)
        else:
            assert one["no_line"] == series.drift.text


@pytest.mark.parametrize("name", EXAMPLES)
def test_differences_of_drifts_are_told_with_interval_and_unit(name: str) -> None:
    for one, found in zip(
        loaded(name)["differences"], evaluated(name).contrasts.drifts, strict=True
    ):
        assert (one["unit"], one["text"]) == (found.unit, found.text)
        assert one["first"]["name"] == found.sides.first.name
        if found.interval is None:
            assert one["not_compared"] == found.text
        else:
            assert one["difference_interval_per_month"] == list(found.interval)
            assert one["excludes_0"] == found.excludes_no_difference


@pytest.mark.parametrize("name", EXAMPLES)
def test_shelf_life_is_told_in_months(name: str) -> None:
    life = evaluated(name).shelf_life
    assert life is not None
    said = loaded(name)["shelf_life"]
    assert said["shown_months"] == life.supported.shown
    assert said["supported_months"] == life.supported.months
    assert said["outcome"] == life.request.outcome
    assert len(said["packs"]) == len(life.packs)


def test_a_loss_is_a_share_and_its_weights_are_grams() -> None:
    weighed = [
        one
        for one in loaded("day_cream")["observations"]
        if one["attribute"] == "weight_loss"
    ]
    units = {(one["part"], one["readings_unit"], one["value_unit"]) for one in weighed}
    assert units == {("before", "g", "%"), ("after", "g", "g")}


def test_note_and_record_come_with_the_numbers() -> None:
    said = loaded("balm_tin")
    head = evaluated("balm_tin").identity.head
    assert said["record"]["digest"] == head.digest
    assert "does not replace assessment by a qualified safety assessor" in said["note"]


def test_letters_of_any_script_stay_as_they_are() -> None:
    bench = Bench((sample("HDC-1", "ROOM"),))
    bench.miss("4w", "HDC-1", because="Καλοκαίρι", done="2025-02-07")
    assert "Καλοκαίρι" in study_json(bench.evaluate("2025-02-20"))


def test_a_study_of_which_nothing_was_read_is_whole_json() -> None:
    bench = Bench((sample("HDC-1", "ROOM"),))
    text = study_json(bench.evaluate("2025-01-07"))
    assert json.loads(text)["observations"] == []
    assert text.endswith("}\n")
