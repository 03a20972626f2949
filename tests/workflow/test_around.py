"""A study with its instruments: logged, evaluated as of a day, moved and proved."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from stability.errors.archives import DivergingRecordError
from stability.model.instrument import fold_instrument
from stability.workflow import bench, evaluate, instruments, records
from stability.workflow.marks import judged_now, marks
from stability.workflow.occasion import Occasion
from stability.workflow.sources import entries_of
from tests.records.metered_study import METERED
from tests.records.small_study import BULK_A, BULK_B, NOW, write_files
from tests.records.test_instrument_rows import folder

At = Callable[[str], Occasion]


@pytest.fixture
def metered(nowhere: Occasion, tmp_path: Path) -> At:
    """Return a maker of occasions; PH1 is calibrated on 4 March and read on 5 March."""
    bench.start(nowhere, write_files(tmp_path / "metered", protocol=METERED))
    instruments.add(nowhere, "PH1", "pH meter", "glass", suffix="9XR2")

    def on(day: str) -> Occasion:
        return replace(nowhere, now=datetime.fromisoformat(f"{day}T12:00:00+00:00"))

    instruments.calibrate(on("2026-03-04"), "PH1", slope="98.6")
    bench.day(on("2026-03-05"), "HDC", settings=["pH.instrument=PH1"])
    bench.log(on("2026-03-05"), BULK_A, ["pH=5.50/5.52"])
    return on


def elsewhere(at: Occasion, folder: Path) -> Occasion:
    """Return the same occasion with a workspace of its own."""
    return replace(at, records=str(folder / "elsewhere.db"))


def test_once_logged_a_reading_tells_that_no_calibration_holds(metered: At) -> None:
    bench.day(metered("2026-03-12"), "HDC", settings=["pH.instrument=PH1"])
    made = bench.log(metered("2026-03-12"), BULK_B, ["pH=5.50/5.52", "spread=60"])

    told = marks(judged_now(metered("2026-03-12"), made))

    assert (
        "; no valid calibration of PH1 on that day (last 2026-03-04, valid on that "
        "day only)" in (told[made[0].reference])
    )
    assert "calibration" not in told[made[1].reference]


def test_with_a_calibration_of_the_day_nothing_is_told(metered: At) -> None:
    at = metered("2026-03-12")
    instruments.calibrate(at, "PH1", slope="98.6", done="2026-03-12T08:00")
    made = bench.log(at, BULK_B, ["pH=5.5/5.5"], settings=["instrument=PH1"])

    assert "calibration" not in marks(judged_now(at, made))[made[0].reference]


def test_as_of_a_day_a_later_failure_is_not_known(metered: At) -> None:
    instruments.calibrate(metered("2026-03-09"), "PH1", slope="88")

    def doubtful(day: str) -> list[bool]:
        found = evaluate.show(metered("2026-03-20"), "HDC", as_of=day)
        return [one.is_doubtful for one in found]

    assert doubtful("2026-03-08") == [False]
    assert doubtful("2026-03-09") == [True]


def test_an_archive_carries_its_instruments_whole(metered: At, tmp_path: Path) -> None:
    instruments.add(metered("2026-03-05"), "PH2", "pH meter", "spare", suffix="7KQ4")
    instruments.calibrate(metered("2026-03-09"), "PH1", slope="88")
    at, there = metered("2026-03-20"), tmp_path / "archive"
    made = records.export(at, "HDC", there)
    other = elsewhere(at, tmp_path)

    assert [one.partition("/")[0] for one in made.anchors] == [
        "study:HDC",
        "instrument:PH1-9XR2",
    ]
    assert made.entries == len(entries_of(at, "HDC")) + 3
    taken = records.import_(other, there)
    assert (taken.outcome, taken.entries) == ("new", made.entries)
    assert taken.anchors == made.anchors
    ours = [instruments.instrument(one, "PH1").record for one in (at, other)]
    assert ours[0] == ours[1]
    assert records.verify(other, against=made.anchors).holds
    assert records.verify(other, folder=there).holds
    for source in ("HDC", str(there)):
        found = evaluate.evaluate(other, source)
        assert [one.is_doubtful for one in found.judged] == [True]
        assert str(found.instruments.uses[0].instrument.head) == made.anchors[1]


def test_an_archive_of_an_instrument_that_went_on_here_is_contained(
    metered: At, tmp_path: Path
) -> None:
    records.export(metered("2026-03-06"), "HDC", tmp_path / "archive")
    instruments.calibrate(metered("2026-03-09"), "PH1", slope="98")

    taken = records.import_(metered("2026-03-10"), tmp_path / "archive")

    assert (taken.outcome, taken.entries) == ("contained", 0)
    assert (
        len(instruments.instrument(metered("2026-03-10"), "PH1").record.calibrations)
        == 2
    )


def test_an_archive_whose_instrument_tells_another_story_is_refused(
    metered: At, tmp_path: Path
) -> None:
    at = metered("2026-03-06")
    records.export(at, "HDC", tmp_path / "archive")
    other = elsewhere(at, tmp_path)
    instruments.add(other, "PH1", "pH meter", "another", suffix="9XR2")

    with pytest.raises(DivergingRecordError, match="instrument:PH1-9XR2"):
        records.import_(other, tmp_path / "archive")

    assert len(instruments.instruments(other)) == 1


def test_a_hand_made_folder_is_evaluated_and_taken_in_with_its_instruments(
    nowhere: Occasion, tmp_path: Path
) -> None:
    at = replace(nowhere, now=NOW)
    made = folder(tmp_path / "hand-made")
    read = evaluate.evaluate(at, str(made))
    taken = records.import_(at, made)

    assert [one.code for one in (use.instrument for use in read.instruments.uses)] == [
        "BAL1-7KQ4",
        "PH1-9XR2",
    ]
    assert read.instruments.uses[1].doubtful == (2,)
    assert taken.outcome == "new"
    assert set(taken.subjects) == {
        "study:HDC", "instrument:PH1-9XR2", "instrument:BAL1-7KQ4",
    }  # fmt: skip
    assert taken.entries == 5 + 7
    again = evaluate.evaluate(at, "HDC")
    assert again.instruments == read.instruments
    assert records.import_(at, made).outcome == "contained"
    assert records.verify(at, against=taken.anchors).holds


def test_rows_added_to_instruments_of_a_folder_are_taken_in_later(
    nowhere: Occasion, tmp_path: Path
) -> None:
    at = replace(nowhere, now=NOW)
    made = folder(tmp_path / "hand-made")
    records.import_(at, made)
    with (made / "instruments.csv").open("a", encoding="utf-8") as file:
        file.write("calibrated,2026-03-10,,,PH1,,slope=97,,\n")

    taken = records.import_(at, made)

    assert (taken.outcome, taken.entries) == ("continues", 1)
    assert instruments.instrument(at, "PH1").record.calibrations[-1].passed


def test_the_report_proves_the_instruments_that_it_cites(
    metered: At, tmp_path: Path
) -> None:
    target = tmp_path / "report.pdf"
    evaluate.report(metered("2026-03-20"), "HDC", target)

    held = records.verify(metered("2026-03-20"), against=[str(target)])

    assert held.holds
    assert [str(one).partition("/")[0] for one in held.anchors_held] == [
        "study:HDC",
        "instrument:PH1-9XR2",
    ]


def test_a_study_that_names_no_instrument_looks_for_none(
    metered: At, tmp_path: Path
) -> None:
    at = elsewhere(metered("2026-03-20"), tmp_path)
    bench.start(at, write_files(tmp_path / "plain", protocol=METERED))
    made = records.export(at, "HDC", tmp_path / "archive")

    assert len(made.anchors) == 1
    assert evaluate.evaluate(at, "HDC").instruments.uses == ()


def test_a_chain_is_folded_the_same_wherever_it_is_read(
    metered: At, tmp_path: Path
) -> None:
    from stability.records.study_folder import instruments_of_folder

    at = metered("2026-03-20")
    records.export(at, "HDC", tmp_path / "archive")

    chain = instruments_of_folder(tmp_path / "archive", at.now)
    assert fold_instrument(chain) == instruments.instrument(at, "PH1").record
