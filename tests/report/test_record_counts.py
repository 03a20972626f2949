"""Counts of the first page equal what the pages behind it list."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from stability.evaluation.findings import Evaluation, RecordRemark, RecordRemarks
from stability.evaluation.readings import Weight
from stability.report.chapters_findings import RECORD_TITLES
from stability.report.chapters_storage import storage_text
from stability.report.record_counts import COUNTED, record_text
from tests.evaluation.builders import Bench, bulk, sample
from tests.evaluation.instruments import bench as metered_bench
from tests.evaluation.instruments import evaluated as evaluated_with
from tests.evaluation.instruments import instrument, read
from tests.evaluation.stored import Place, evaluated
from tests.report.printed import evaluated as example
from tests.report.printed import read_back


def stored_bench() -> Bench:
    """Return a jar in an oven and one in a fridge, the jar in heat read late."""
    made = Bench([bulk(), sample("HDC-001-A", "T40"), sample("HDC-002-B", "COLD")])
    made.place("HDC-001-A", "T40", place="OVEN")
    made.place("HDC-002-B", "COLD", place="FRIDGE")
    return made


def many_excursions() -> Evaluation:
    """Return a study whose fridge was too warm on twenty days."""
    made = stored_bench()
    warm = [5.0 if hour % 24 else 12.0 for hour in range(24 * 20)]
    return evaluated(made, "2025-03-01", Place("FRIDGE", temperature="5",
                                               tolerance="3").log(warm))  # fmt: skip


def test_every_kind_has_one_and_several_in_words() -> None:
    assert set(COUNTED) == set(RECORD_TITLES)
    for one, several in COUNTED.values():
        assert one != several


def test_excursions_listed_together_are_counted_one_by_one(tmp_path: Path) -> None:
    found = many_excursions()
    (told,) = found.record.of("excursion")
    number = told.count
    assert number > 12
    assert number == len(found.storage.excursions)

    assert f"{number} excursions; " in record_text(found)
    assert f"; {number} excursions, {number} without an answer." in storage_text(found)
    printed = read_back(found, tmp_path / "r.pdf").flowing
    assert f"{RECORD_TITLES['excursion']} ({number})" in printed


def test_observations_told_together_are_counted_one_by_one() -> None:
    made = metered_bench()
    read(made, "2025-02-07", "5.50", "PH7", "4w")
    read(made, "2025-04-10", "5.45", "PH7", "3M")
    found = evaluated_with(made, "2025-05-01", instrument("PH1-9XR2", "pH meter"))

    assert "2 observations without a valid calibration" in record_text(found)
    assert len(found.record.of("not calibrated")) == 1


def in_front(found: Evaluation) -> dict[str, int]:
    """Return what the first page counts, by the title of its kind."""
    titles = {
        word: RECORD_TITLES[kind] for kind, both in COUNTED.items() for word in both
    }
    said, _, _ = record_text(found).partition("; ")
    parts = [one.split(" ", 1) for one in re.split(r", (?=\d)", said)]
    return {titles[name]: int(number) for number, name in parts}


@pytest.mark.parametrize("name", ["day_cream", "plain_lotion"])
def test_each_count_of_the_first_page_is_that_of_its_chapter(
    name: str, tmp_path: Path
) -> None:
    found = example(name)
    printed = "".join(read_back(found, tmp_path / "r.pdf").flowing.split())

    for title, number in in_front(found).items():
        assert "".join(f"{title} ({number})".split()) in printed


def happened(*weights: Weight) -> RecordRemarks:
    """Return late checks, each a remark or a deviation."""
    one = RecordRemark("late", "remark", "HDC-001-A", "2w", None, 3, None, "", "late")
    return RecordRemarks(tuple(replace(one, weight=weight) for weight in weights))


@pytest.mark.parametrize(
    ("record", "words"),
    [
        (happened(), "Nothing missed, late, corrected, set aside or lost."),
        (happened("remark"), "1 late check; it is no deviation."),
        (happened("deviation"), "1 late check; it is a deviation."),
        (
            happened("remark", "remark"),
            "2 late checks; none of these 2 is a deviation.",
        ),
        (
            happened("remark", "deviation"),
            "2 late checks; 1 of these 2 is a deviation.",
        ),
        (
            happened("deviation", "deviation"),
            "2 late checks; all of these 2 are deviations.",
        ),
        (
            happened("remark", "deviation", "deviation"),
            "3 late checks; 2 of these 3 are deviations.",
        ),
    ],
)
def test_deviations_are_told_of_all_that_is_counted(
    record: RecordRemarks, words: str
) -> None:
    found = Bench([bulk()]).evaluate("2025-01-25")

    assert record_text(replace(found, record=record)) == words


def test_a_place_of_which_only_an_event_was_told_is_not_called_recorded() -> None:
    made = stored_bench()
    oven = Place().event("power cut", "2025-02-01T10:00:00Z", "2025-02-01T19:00:00Z")
    fridge = Place("FRIDGE", temperature="5", tolerance="3")

    told = storage_text(evaluated(made, "2025-03-01", oven, fridge))
    assert told == (
        "Storage told by stated events only for T40, not recorded for COLD; "
        "1 excursion, 1 without an answer."
    )
    fridge.look("4", "6", "2025-02-01")
    told = storage_text(evaluated(made, "2025-03-01", oven, fridge))
    assert told.startswith(
        "Storage recorded for COLD, told by stated events only for T40; 1 excursion"
    )
