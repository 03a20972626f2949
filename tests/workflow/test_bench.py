"""Opening a study, and what is done with its samples."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from stability.errors import StabilityError
from stability.errors.database import MissingDatabaseError
from stability.errors.files import FaultyFileError
from stability.errors.samples import NothingToPlaceError, PlacingError
from stability.errors.studies import (
    StudyExistsError,
    StudyNeededError,
    UnknownStudyError,
)
from stability.workflow import bench, studies
from stability.workflow.occasion import Occasion
from tests.records.small_study import (
    FT_A,
    ROOM_A,
    ROOM_B,
    SPARE_A,
    STUDY,
    T40_2W,
    T40_4W,
    TWIN_A,
    write_files,
)

At = Callable[[str], Occasion]


def texts(at: Occasion) -> list[str]:
    """Return what every entry of the study says."""
    return [f"{one.kind}: {one.text}" for one in studies.history(at, "HDC")]


def test_starting_opens_a_study_and_makes_the_workspace(
    nowhere: Occasion, tmp_path: Path
) -> None:
    started = bench.start(nowhere, write_files(tmp_path / "files"))

    assert Path(nowhere.records).exists()
    assert (started.study, started.product) == ("HDC", "Heather day cream")
    assert started.fingerprint == started.entries[0].digest
    assert started.entries[0].reference == "HDC/1"
    assert started.entries[0].anchor == f"study:HDC/1:{started.fingerprint}"
    assert started.entries[0].text == "Heather day cream 1.0: 9 samples"
    assert started.samples[2].code == ROOM_A
    assert (started.time_zone, started.zone_assumed) == ("Europe/Dublin", False)


def test_a_study_is_opened_once(at: At, tmp_path: Path) -> None:
    with pytest.raises(StudyExistsError, match="Study HDC is open already"):
        bench.start(at("2026-03-02"), tmp_path / "files" / "study.toml")


def test_a_code_is_allotted_beside_those_in_use(at: At, tmp_path: Path) -> None:
    text = STUDY.replace('code = "HDC"\n', "")

    started = bench.start(at("2026-03-02"), write_files(tmp_path / "other", text))

    assert started.code_allotted
    assert started.study != "HDC"
    assert [one.study for one in studies.studies(at("2026-03-02"))] == sorted(
        ["HDC", started.study]
    )


def test_a_faulty_file_makes_no_workspace(nowhere: Occasion, tmp_path: Path) -> None:
    file = write_files(tmp_path / "files", STUDY.replace("months = 12", "months = -1"))

    with pytest.raises(FaultyFileError):
        bench.start(nowhere, file)
    assert not Path(nowhere.records).exists()


def test_other_verbs_make_no_workspace(nowhere: Occasion) -> None:
    with pytest.raises(MissingDatabaseError):
        bench.place(nowhere, [ROOM_A])
    assert not Path(nowhere.records).exists()


def test_placing_says_what_sample_it_is(at: At) -> None:
    (written,) = bench.place(at("2026-03-06"), ["009q"], study="hdc")

    assert written.kind == "placed"
    assert written.text == (
        f"{T40_2W} Heather day cream, batch A, JAR, T40: placed in T40 at OVEN-7KQ4"
    )


def test_all_samples_of_a_condition_are_placed_at_once(at: At) -> None:
    written = bench.place(at("2026-03-06"), [], study="HDC", to="T40")

    assert [one.text.split()[0] for one in written] == [T40_2W, T40_4W]


def test_samples_of_one_batch_alone_can_be_meant(at: At) -> None:
    written = bench.place(at("2026-03-12"), [], study="HDC", to="ROOM", batch="B")

    assert [one.text.split()[0] for one in written] == [ROOM_B]


def test_without_samples_a_study_and_a_condition_are_needed(at: At) -> None:
    with pytest.raises(StudyNeededError):
        bench.place(at("2026-03-06"), [], to="T40")


def test_one_bad_sample_keeps_all_from_being_placed(at: At) -> None:
    before = texts(at("2026-03-06"))

    with pytest.raises(PlacingError):
        bench.place(at("2026-03-06"), [T40_2W, T40_4W, T40_2W])

    assert texts(at("2026-03-06")) == before


def test_a_cycle_goes_on_for_all_that_are_in_it(at: At) -> None:
    bench.place(at("2026-03-06"), [FT_A])
    (written,) = bench.place(at("2026-03-07"), [], study="HDC", to="FT", step="next")

    assert written.text.endswith("FT: FT, cycle 1, step 2")


def test_a_swap_writes_two_entries(at: At) -> None:
    bench.place(at("2026-03-06"), [ROOM_A, T40_2W])

    written = bench.place(
        at("2026-03-08"), [ROOM_A], swap_with=T40_2W, because="mixed up"
    )

    assert [one.position for one in written] == [4, 5]
    assert "swapped with" in written[0].text


def test_a_broken_sample_is_replaced_by_a_spare(at: At) -> None:
    bench.place(at("2026-03-06"), [T40_4W])
    bench.retire(at("2026-03-09"), T40_4W, "broken", because="fell")
    (written,) = bench.place(at("2026-03-10"), [SPARE_A], replaces=T40_4W)

    assert written.text.startswith(f"{SPARE_A} Heather day cream, batch A, JAR: placed")
    found = studies.due_samples(at("2026-04-07"), within="0d")
    assert (SPARE_A, "4w") in {(one.sample, one.check) for one in found}


def test_what_is_missed_is_no_longer_due(at: At) -> None:
    bench.place(at("2026-03-06"), [ROOM_A, T40_2W])
    (written,) = bench.miss(at("2026-03-23"), "HDC", "2w", because="away")

    assert written.text == f"2w missed on 3 samples: {ROOM_A}, {ROOM_B}, {T40_2W}"
    assert "2w" not in {one.check for one in studies.due(at("2026-03-23")).checks}


def test_a_stop_ends_its_checks(at: At) -> None:
    bench.place(at("2026-03-06"), [ROOM_A])
    (written,) = bench.stop(at("2026-03-10"), "HDC", because="new formula")

    assert written.text == "the whole study stopped"
    assert studies.studies(at("2026-03-10"))[0].state == "stopped"
    checks = studies.due(at("2026-03-23")).checks
    assert {one.check for one in checks} <= {"T0"}


def test_a_day_names_the_person_for_what_follows(at: At) -> None:
    occasion = replace(at("2026-03-06"), person="Ana Reyes")
    (written,) = bench.day(occasion, "HDC", observers=["Ana", "Ben"])

    bench.place(at("2026-03-06"), [ROOM_A])

    assert written.text == "2026-03-06: Ana, Ben"
    assert studies.history(at("2026-03-06"), "HDC")[-1].person == "Ana Reyes"


def test_the_days_study_makes_short_codes_enough(at: At, tmp_path: Path) -> None:
    bench.start(
        at("2026-03-02"), write_files(tmp_path / "other", STUDY.replace("HDC", "QDC"))
    )
    with pytest.raises(StudyNeededError, match="005Y does not tell its study"):
        bench.place(at("2026-03-06"), ["005Y"])

    bench.day(at("2026-03-06"), "HDC")

    assert bench.place(at("2026-03-06"), ["005Y"])[0].reference == "HDC/3"


def test_an_unknown_study_is_offered_the_nearest(at: At) -> None:
    with pytest.raises(UnknownStudyError, match="Did you mean HDC"):
        bench.miss(at("2026-03-06"), "HDD", "2w", because="x")


BAD: list[Callable[[Occasion], Any]] = [
    lambda at: bench.place(at, [ROOM_A], done="2026-03-30"),
    lambda at: bench.place(at, [ROOM_A], done="2026-02-29"),
    lambda at: bench.place(at, [ROOM_A], done="2026-03-01"),
    lambda at: bench.place(at, ["HDC-005-W"]),
    lambda at: bench.place(at, [TWIN_A], to="OVEN"),
    lambda at: bench.retire(at, ROOM_A, "melted", because="x"),
    lambda at: bench.retire(at, ROOM_A, "lost", because=None),
    lambda at: bench.miss(at, "HDC", "5w", because="x"),
    lambda at: bench.miss(at, "HDC", "2w", because=None),
    lambda at: bench.stop(at, "HDC", batch="Z", because="x"),
    lambda at: bench.stop(at, "HDC", because=None),
    lambda at: bench.day(at, "HDC", settings=["pH.load=1"]),
    lambda at: bench.day(at, "HDC", control=["HDC-005-W"]),
    lambda at: bench.day(at, "HDC", on="2026-03-30"),
]


@pytest.mark.parametrize("number", range(len(BAD)))
def test_what_cannot_be_leaves_nothing_behind(at: At, number: int) -> None:
    before = studies.history(at("2026-03-20"), "HDC")

    with pytest.raises(StabilityError):
        BAD[number](at("2026-03-20"))

    assert studies.history(at("2026-03-20"), "HDC") == before


def test_a_sample_that_goes_in_unread_is_told_while_it_can_still_be_weighed(
    at: At,
) -> None:
    """Heat and cold are at it from then on: its own first weight is lost."""
    bench.log(at("2026-03-05"), ROOM_A, ["w=78.42"])

    weighed = bench.place(at("2026-03-05"), [ROOM_A])
    unread = bench.place(at("2026-03-05"), [T40_2W, T40_4W])
    moved = bench.place(at("2026-03-06"), [T40_2W], to="ROOM", because="oven broke")

    assert [one.remarks for one in weighed] == [()]
    assert unread[0].remarks == ()
    (remark,) = unread[1].remarks
    assert remark.startswith(f"T0 is not logged of {T40_2W}, {T40_4W}: weigh")
    assert [one.remarks for one in moved] == [()]


def test_a_taken_over_study_says_that_readings_came_before(
    nowhere: Occasion, tmp_path: Path
) -> None:
    file = write_files(tmp_path / "files")

    with pytest.raises(StabilityError, match="add --taken-over REASON"):
        bench.start(nowhere, file, taken_over=" ")
    assert not bench.start(nowhere, file).is_taken_over
    other = replace(nowhere, records=str(tmp_path / "other.db"))
    assert bench.start(other, file, taken_over="notebook").is_taken_over


@pytest.mark.parametrize("study", ["HDC", None])
def test_a_placing_that_names_nothing_is_no_silent_success(
    at: At, study: str | None
) -> None:
    with pytest.raises(NothingToPlaceError, match="--to CONDITION"):
        bench.place(at("2026-03-05"), [], study=study)
