"""The evaluation as JSON: the same numbers, with their units in the keys."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest

from stability.model.estimate import Drift
from stability.model.program import program_name
from stability.report.study_json import study_json
from tests.evaluation.builders import Bench, bulk, sample
from tests.report.printed import EXAMPLES, evaluated


def loaded(name: str) -> dict[str, Any]:
    """Return an example's evaluation as another program reads it."""
    found: dict[str, Any] = json.loads(study_json(evaluated(name)))
    return found


def test_the_program_that_wrote_it_is_named_with_its_version() -> None:
    assert loaded("balm_tin")["written_by"] == program_name()


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


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_observation_says_who_with_what_and_under_which_entry(name: str) -> None:
    said = {one["position"]: one for one in loaded(name)["observations"]}
    several = with_instrument = 0
    for seen in evaluated(name).judged:
        one, told = said[seen.position], seen.observation
        assert one["entry"] == f"{evaluated(name).identity.study.code}/{seen.position}"
        assert one["person"] == told.person
        assert one["entered"] == told.entered.isoformat()
        assert one["observers"] == [each.observer for each in told.readings]
        assert one["settings"] == dict(told.settings)
        assert one["instrument"] == told.settings.get("instrument")
        assert one["check"] == seen.check
        several += len(set(one["observers"])) > 1
        with_instrument += one["instrument"] is not None
    # Two people smell cream and balm; the lotion is read with named instruments.
    assert (several > 0) == (name != "plain_lotion")
    assert (with_instrument > 0) == (name == "plain_lotion")


def test_a_check_after_cycles_is_named_for_people() -> None:
    named = {
        one["check"]: one["check_text"] for one in loaded("day_cream")["observations"]
    }
    cycles = {key: text for key, text in named.items() if key and key.startswith("c")}
    assert cycles
    assert all("cycle" in text for text in cycles.values())


def test_corrected_and_set_aside_readings_say_why_and_by_whom() -> None:
    bench = Bench((bulk(), sample("HDC-1", "ROOM")))
    first = bench.read("BULK-A", "pH", "T0", "5.5", "5.5", done="2025-01-09")
    why = "read from the wrong line"
    bench.correct(first, "5.4", "5.4", because=why, done="2025-01-09")
    said = json.loads(study_json(bench.evaluate("2025-01-20")))["observations"]
    old, new = said
    assert old["corrected_by"] == new["position"]
    assert new["corrects"] == old["position"]
    assert (new["because"], new["person"]) == (why, old["person"])


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_plan_and_its_limits_are_told_with_their_reasons(name: str) -> None:
    said = loaded(name)
    identity = evaluated(name).identity
    protocol = said["protocol"]
    assert [one["condition"] for one in protocol["conditions"]] == list(
        identity.protocol.conditions
    )
    for one in protocol["attributes"]:
        attribute = identity.protocol.attributes[one["attribute"]]
        assert one["limit"]["text"] == attribute.limit.words(attribute.unit)
        assert one["limit"]["reason"] == (attribute.limit.reason or None)
    assert [one["sample"] for one in said["samples"]] == [
        one.sample.code for one in evaluated(name).samples
    ]
    assert [one["batch"] for one in said["batches"]] == list(identity.study.batches)
    assert len(said["checks"]) == len(evaluated(name).checks)
    assert len(said["coming"]) == len(evaluated(name).coming)


@pytest.mark.parametrize("name", EXAMPLES)
def test_comparisons_words_and_trend_tests_are_all_there(name: str) -> None:
    said, found = loaded(name), evaluated(name)
    assert len(said["check_by_check"]) == len(found.comparisons)
    assert len(said["differences_of_words"]) == len(found.contrasts.words)
    assert said["out_of_trend"]["tests"] == found.trend.made
    tests = sum(len(one["trend_tests"]) for one in said["drift"])
    assert tests == sum(len(one.trend_tests) for one in found.measured)
    containers = sum(len(one["containers"]) for one in said["scores"])
    assert containers == sum(len(one.containers) for one in found.worded)


#: Ends of keys whose unit stands in them; and what has none.
UNITS = ("_months", "_days", "_hours", "_c", "_g", "_percent", "_per_month", "_share",
         "_per_mol", "_cfu", "_kj", "_log")  # fmt: skip
WITHOUT = {
    "bytes", "blind", "p", "n", "df", "f", "f_df", "q10", "factor", "confidence",
    "share", "intercept", "start", "residual_sd", "residual_sd_used", "value",
    "predicted", "alert_limits", "alarm_limits", "difference", "drift_over_life",
    "may_fail_share", "tau_b", "p_one_sided", "least_p_possible",
}  # fmt: skip


def fractions(said: Any, key: str = "") -> Iterator[str]:
    """Yield the key of every number that is no count."""
    if isinstance(said, dict):
        for name, one in said.items():
            yield from fractions(one, name)
    elif isinstance(said, list):
        for one in said:
            yield from fractions(one, key)
    elif isinstance(said, float):
        yield key


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_number_has_its_unit_in_its_key_or_the_unit_of_its_series(name: str) -> None:
    keys = set(fractions(loaded(name)))
    assert keys
    assert {key for key in keys - WITHOUT if not f"_{key}".endswith(UNITS)} == set()


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
