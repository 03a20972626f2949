"""The example studies: written by their maker script, read, and telling their story."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path

import pytest

from stability.evaluation.findings import Evaluation, SummaryCell
from stability.evaluation.readings import JudgedObservation
from stability.evaluation.series import MeasuredSeries
from stability.model.estimate import Drift
from stability.workflow import evaluate as verbs
from stability.workflow import records as keeping
from stability.workflow.occasion import Occasion

EXAMPLES = Path(__file__).parents[1] / "example_studies"
FOLDERS = sorted(path.parent for path in EXAMPLES.glob("*/study.toml"))
AS_OF = date(2026, 9, 30)


@cache
def evaluated(name: str) -> Evaluation:
    """Return the evaluation of an example as of the day its README names."""
    now = datetime(2026, 9, 30, 20, tzinfo=UTC)
    at = Occasion(records="none.db", now=now, account="bench")
    return verbs.evaluate(at, str(EXAMPLES / name), as_of=str(AS_OF))


def cell(found: Evaluation, attribute: str, condition: str) -> SummaryCell:
    """Return one cell of the summary."""
    return next(
        one
        for one in found.summary
        if (one.attribute, one.condition) == (attribute, condition)
    )


def observations(
    found: Evaluation, attribute: str, condition: str, check: str
) -> list[JudgedObservation]:
    """Return the observations of one attribute, condition and check."""
    return [
        one
        for one in found.judged
        if (one.attribute, one.condition, one.check) == (attribute, condition, check)
    ]


def drifts(
    found: Evaluation, attribute: str, condition: str
) -> Iterator[tuple[MeasuredSeries, Drift]]:
    """Yield the series that have a line."""
    for series in found.measured:
        meant = (series.key.attribute, series.key.condition) == (attribute, condition)
        if meant and isinstance(series.drift, Drift):
            yield series, series.drift


# Every example


def test_there_are_three_examples() -> None:
    assert [folder.name for folder in FOLDERS] == [
        "balm_tin",
        "day_cream",
        "plain_lotion",
    ]


def test_the_maker_script_writes_the_same_bytes_with_nothing_but_python(
    tmp_path: Path,
) -> None:
    script = EXAMPLES / "make_examples.py"

    subprocess.run([sys.executable, "-S", script, tmp_path], check=True)

    written = {path.relative_to(tmp_path) for path in tmp_path.rglob("*.*")}
    assert len(written) == 2 * len(FOLDERS) + 2
    for path in written:
        assert (tmp_path / path).read_bytes() == (EXAMPLES / path).read_bytes()


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_every_example_says_that_it_is_invented(folder: Path) -> None:
    readme = (folder / "README.md").read_text(encoding="utf-8")

    assert "Everything here is invented" in readme
    assert str(AS_OF) in readme


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_every_row_of_an_example_becomes_an_entry(folder: Path) -> None:
    lines = (folder / "events.csv").read_text(encoding="utf-8").splitlines()

    # One entry a row, in place of the header the opening.
    assert evaluated(folder.name).identity.head.position == len(lines)


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_no_check_of_an_example_is_left_unexplained(folder: Path) -> None:
    found = evaluated(folder.name)

    assert found.record.of("not recorded") == ()
    assert [one for one in found.checks if one.is_unrecorded] == []


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_limits_of_an_example_stood_before_its_first_reading(folder: Path) -> None:
    identity = evaluated(folder.name).identity

    assert identity.first_reading is not None
    assert identity.opened < identity.first_reading


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_a_workspace_tells_what_the_folder_tells(folder: Path, tmp_path: Path) -> None:
    at = Occasion(
        records=str(tmp_path / "stability.db"),
        now=datetime(2026, 11, 25, 9, tzinfo=UTC),
        account="bench",
    )

    imported = keeping.import_(at, folder)

    code = evaluated(folder.name).identity.study.code
    assert imported.outcome == "new"
    kept = verbs.evaluate(at, code, as_of=str(AS_OF))
    assert kept == evaluated(folder.name)


# The day cream


def test_day_cream_stood_in_an_oven_that_was_off_for_nine_hours() -> None:
    found = evaluated("day_cream")
    oven = found.storage.of("T40")
    assert oven is not None
    assert oven.figures is not None
    (one,) = oven.excursions

    assert one.text.startswith("9 h colder than meant, down to 24.0 °C (power cut)")
    assert one.answer_text.startswith("continued: 9 h of 12 weeks")
    assert oven.figures.colder_hours == pytest.approx(9)
    assert oven.figures.unknown_share < 0.01
    beside = {
        remark.text
        for seen in observations(found, "pH", "T40", "8w")
        if seen.sample.batch == "A"
        for remark in seen.remarks
        if remark.code == "excursion"
    }
    assert beside == {"excursion: 9 h colder than meant, 29 days before"}


def test_day_cream_has_only_looks_of_its_shelf() -> None:
    shelf = evaluated("day_cream").storage.of("ROOM")
    assert shelf is not None
    assert shelf.looks is not None

    assert (shelf.looks.looks, shelf.looks.never_outside) == (18, True)
    assert shelf.excursions == ()
    (against, *_) = evaluated("day_cream").ageing.references  # type: ignore[union-attr]
    assert "nominal" in against.text
    assert "no logger tells what it really was" in against.text


def test_day_cream_separates_at_45_where_it_holds_at_40() -> None:
    found = evaluated("day_cream")

    assert cell(found, "separation", "T45").state == "outside"
    assert cell(found, "separation", "T45").first_outside == "12w"
    assert cell(found, "separation", "T40").state == "inside"
    assert cell(found, "separation", "T40").read == 17
    assert cell(found, "separation", "ROOM").state == "inside"


def test_day_cream_has_nothing_outside_its_limit_that_bears_the_request() -> None:
    found = evaluated("day_cream")

    assert [group.meaning for group in found.outside] == ["stress as declared"]


def test_day_cream_ph_falls_towards_its_lower_limit_at_40() -> None:
    fallen = list(drifts(evaluated("day_cream"), "pH", "T40"))

    assert len(fallen) == 5
    for series, drift in fallen:
        assert series.state == ("changed, inside" if drift.n > 3 else "inside")
        assert -0.20 < drift.slope < -0.10
        assert all(change > -0.5 for change in changes(drift))
        assert min(changes(drift)) < -0.3


def changes(drift: Drift) -> list[float]:
    """Return each value less the one at T0."""
    return [value - drift.values[0] for value in drift.values]


def test_day_cream_ph_falls_slowly_at_room() -> None:
    fallen = list(drifts(evaluated("day_cream"), "pH", "ROOM"))

    assert {series.key.batch for series, _ in fallen} == {"A", "B", "C"}
    assert all(-0.02 < drift.slope < -0.005 for _, drift in fallen)
    # Measured scatter of a pH meter, day to day (common practice).
    assert all(0.005 < drift.s < 0.03 for _, drift in fallen)


def test_day_cream_changes_colour_in_the_window_and_not_in_foil() -> None:
    found = evaluated("day_cream")

    assert cell(found, "colour", "WINDOW").state == "changed, inside"
    assert cell(found, "colour", "FOIL").state == "inside"


def test_day_cream_ran_three_cycles_beside_a_twin() -> None:
    found = evaluated("day_cream")

    assert len(found.cycles) == 3
    assert all((run.done, run.planned) == (3, 3) for run in found.cycles)
    assert all(run.kept for run in found.cycles)
    twins = {one.sample.code for one in found.samples if one.sample.twin_of == "FT"}
    read = {one.observation.sample for one in found.judged if one.check == "c3"}
    assert len(twins) == 1
    assert twins < read
    assert len(read) == 4


def test_day_cream_missed_one_check_of_one_batch_with_its_reason() -> None:
    found = evaluated("day_cream")
    missed = found.record.of("missed")

    batches = {one.sample.code: one.sample.batch for one in found.samples}
    assert {one.check for one in missed} == {"4w"}
    assert {batches[one.sample or ""] for one in missed} == {"B"}
    assert all("Easter" in one.text for one in missed)


def test_day_cream_dropped_a_jar_and_gave_its_part_to_a_spare() -> None:
    found = evaluated("day_cream")
    broken = [one for one in found.samples if one.left and one.left.reason == "broken"]

    assert len(broken) == 1
    spare = next(
        one for one in found.samples if one.sample.code == broken[0].replaced_by
    )
    assert spare.placed is not None
    assert spare.placed.done.day == date(2025, 4, 24)
    assert spare.sample.condition == "T40"
    ages = [
        one.age_days
        for one in found.judged
        if one.observation.sample == spare.sample.code and one.attribute == "pH"
    ]
    assert [round(age or 0) for age in ages] == [14, 28, 56, 84]


def test_day_cream_has_one_ph_not_measured_for_a_dead_electrode() -> None:
    found = evaluated("day_cream").record.of("not measured")

    dead = [one for one in found if "electrode dead" in one.text]
    assert [(one.check, one.attribute) for one in dead] == [("9M", "pH")]


def test_day_cream_has_exactly_one_correction_and_keeps_both_readings() -> None:
    found = evaluated("day_cream")
    corrected = [one for one in found.judged if one.observation.corrected_by]

    assert len(found.record.of("corrected")) == len(corrected) == 1
    slip = corrected[0]
    right = next(one for one in found.judged if one.observation.corrects)
    assert (slip.attribute, slip.condition, slip.check) == ("pH", "T40", "8w")
    assert not slip.takes_part
    assert right.takes_part
    assert slip.readings_text != right.readings_text


def test_day_cream_sets_a_cold_spread_aside_and_reads_it_again() -> None:
    found = observations(evaluated("day_cream"), "spread", "COLD", "6M")

    assert [one.takes_part for one in found] == [False, True]
    assert "refrigerator" in found[0].left_out
    assert (found[1].observation.done.day - found[0].observation.done.day).days == 1


def test_day_cream_was_read_late_inside_a_window_and_beyond_one() -> None:
    late = evaluated("day_cream").record.of("late")

    beyond = [one for one in late if one.weight == "deviation"]
    assert [(one.check, "6 days" in one.text) for one in beyond] == [("8w", True)]
    assert any(one.weight == "remark" and "9 days" in one.text for one in late)


def test_day_cream_had_two_pumps_in_each_others_place_for_nine_days() -> None:
    exposed = [one for one in evaluated("day_cream").samples if one.exposures]

    assert {one.sample.pack for one in exposed} == {"PUMP"}
    assert {one.exposures[0].condition for one in exposed} == {"COLD", "ROOM"}
    assert [round(one.exposures[0].days) for one in exposed] == [9, 9]


def test_day_cream_was_smelled_by_two_with_the_worst_word_counting() -> None:
    found = observations(evaluated("day_cream"), "odour", "T40", "12w")

    assert all(one.observation.observers == ("Ines", "Tomas") for one in found)
    words = {
        (tuple(each.value for each in one.observation.readings), one.word)
        for one in found
    }
    assert (("as control", "slightly changed"), "slightly changed") in words
    assert evaluated("day_cream").identity.protocol.attributes["odour"].rule == "worst"


def test_day_cream_shows_12_months_in_every_batch_and_goes_on() -> None:
    found = evaluated("day_cream")

    assert found.months_shown == 12
    assert found.identity.state == "interim"
    assert found.identity.study.request.months == 24
    waiting = [one for one in found.coming if one.state == "open"]
    assert [(one.check, one.condition) for one in waiting] == [("18M", "ROOM")]


def test_day_cream_reopened_jars_are_weighed_before_and_after() -> None:
    found = evaluated("day_cream")
    room = {
        one.sample.code
        for one in found.samples
        if (one.sample.condition, one.sample.use) == ("ROOM", "reopened")
        and one.sample.twin_of is None
    }
    parts = {
        (one.observation.sample, one.observation.part)
        for one in found.judged
        if one.check == "12M" and one.attribute == "weight_loss"
    }

    assert len(room) == 5
    assert {(code, part) for code in room for part in ("before", "after")} <= parts


# The plain lotion


def test_plain_lotion_shows_what_it_asks_for_and_nothing_else_happens() -> None:
    found = evaluated("plain_lotion")

    assert found.months_shown == found.identity.study.request.months == 24
    assert found.outside == ()
    assert set(found.record.counts()) == {"late"}
    assert found.record.deviations == ()
    assert {one.state for one in found.summary} <= {
        "inside",
        "changed, inside",
        "recorded only",
        "not planned",
    }


def test_plain_lotion_has_no_caution_on_any_line_and_no_alert() -> None:
    found = evaluated("plain_lotion")

    assert [caution for one in found.measured for caution in one.cautions] == []
    assert found.trend.alerts == 0


# The balm


def test_balm_measures_nothing_but_its_weight() -> None:
    found = evaluated("balm_tin")

    measured = {series.key.attribute for series in found.measured}
    scored = {series.key.attribute for series in found.worded}
    assert measured == {"weight_loss"}
    assert len(scored) == 6


def test_balm_has_a_score_that_climbed_inside_its_limit() -> None:
    found = evaluated("balm_tin")
    grains = next(
        one
        for one in found.worded
        if (one.key.attribute, one.key.condition) == ("graininess", "ROOM")
    )

    assert cell(found, "graininess", "ROOM").state == "changed, inside"
    assert (grains.initial, grains.worst) == ("smooth", "a few grains")
    words = [
        observations(found, "graininess", "ROOM", check)[0].word
        for check in ("4w", "3M", "6M", "9M", "12M")
    ]
    assert words == ["smooth", "smooth", *["a few grains"] * 3]
    assert found.outside == ()
    assert found.months_shown == 12
