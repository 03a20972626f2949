"""What is due, which studies there are, what happened, which protocols there are."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from stability.errors.codes import MomentError
from stability.errors.files import UnknownProtocolError
from stability.errors.samples import UnknownSampleError
from stability.errors.studies import UnknownStudyError
from stability.workflow import bench, studies
from stability.workflow.occasion import Occasion
from tests.records.small_study import BULK_A, ROOM_A, STUDY, write_files

At = Callable[[str], Occasion]


def test_due_goes_over_all_studies_and_names_the_product(
    at: At, tmp_path: Path
) -> None:
    bench.start(
        at("2026-03-02"), write_files(tmp_path / "two", STUDY.replace("HDC", "QDC"))
    )

    agenda = studies.due(at("2026-03-04"))

    assert agenda.day == date(2026, 3, 4)
    assert {one.study for one in agenda.checks} == {"HDC", "QDC"}
    assert {one.product for one in agenda.checks} == {"Heather day cream"}
    assert {one.study for one in studies.due(at("2026-03-04"), study="qdc").checks} == {
        "QDC"
    }


# Batch A is to be placed by 6 March and batch B by 13 March (read_before 96 h).
def test_placings_are_due_by_their_planned_day(at: At) -> None:
    moves = studies.due(at("2026-03-04"), within="7d").hand_overs

    assert {(one.due, one.kind, one.state) for one in moves} == {
        ("2026-03-06", "place", "coming")
    }


def test_another_day_can_be_asked_about(at: At) -> None:
    bench.place(at("2026-03-06"), [ROOM_A])

    agenda = studies.due(at("2026-03-06"), as_of="2026-03-20", within="0d")

    assert ("2w", "due") in {(one.check, one.state) for one in agenda.checks}


@pytest.mark.parametrize("within", ["7", "x", "-1d", "4 weeks"])
def test_a_length_of_time_that_is_none_is_refused(at: At, within: str) -> None:
    with pytest.raises(MomentError, match="7d or 2w"):
        studies.due(at("2026-03-04"), within=within)


@pytest.mark.parametrize("as_of", ["2026-02-30", "today", "2026-03-04T10:00"])
def test_a_day_that_is_none_is_refused(at: At, as_of: str) -> None:
    with pytest.raises(MomentError):
        studies.due(at("2026-03-04"), as_of=as_of)


def test_a_folder_is_due_without_a_workspace(nowhere: Occasion, tmp_path: Path) -> None:
    write_files(tmp_path / "made")
    late = replace(nowhere, now=nowhere.now.replace(day=4))

    agenda = studies.due(late, study=str(tmp_path / "made"))
    samples = studies.due_samples(late, study=str(tmp_path / "made"))

    assert ("T0", "due") in {(one.check, one.state) for one in agenda.checks}
    assert BULK_A in {one.sample for one in samples}
    assert not Path(nowhere.records).exists()


def test_each_study_is_listed_with_its_anchor(at: At) -> None:
    (written,) = bench.place(at("2026-03-06"), [ROOM_A])

    (line,) = studies.studies(at("2026-03-06"))

    assert (line.study, line.samples, line.state) == ("HDC", 9, "running")
    assert (line.position, line.digest) == (written.position, written.digest)
    assert line.protocol == "protocol"


def test_the_history_tells_every_entry(at: At) -> None:
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.52"])
    bench.place(at("2026-03-06"), [ROOM_A])

    lines = studies.history(at("2026-03-06"), "hdc")

    assert [one.reference for one in lines] == ["HDC/1", "HDC/2", "HDC/3"]
    assert lines[0].text == "opened with 9 samples, protocol"
    assert [one.sample for one in lines] == [None, BULK_A, ROOM_A]


def test_the_history_of_one_sample_begins_with_the_opening(at: At) -> None:
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.52"])
    bench.place(at("2026-03-06"), [ROOM_A])
    bench.miss(at("2026-03-23"), "HDC", "2w", because="away")

    lines = studies.history(at("2026-03-23"), "HDC", sample="005y")

    assert [one.kind for one in lines] == ["study-opened", "placed", "missed"]


def test_the_history_of_what_there_is_not_is_refused(at: At) -> None:
    with pytest.raises(UnknownStudyError):
        studies.history(at("2026-03-06"), "QDC")
    with pytest.raises(UnknownSampleError):
        studies.history(at("2026-03-06"), "HDC", sample="HDC-019-M")


def test_ready_made_protocols_are_listed_and_found(at: At, tmp_path: Path) -> None:
    lines = {one.name: one for one in studies.protocols(at("2026-03-06"))}
    file = write_files(tmp_path / "x").with_name("protocol.toml")

    assert "T40" in lines["emulsion-combined"].conditions
    found = studies.protocol(at("2026-03-06"), "emulsion-combined")
    assert tuple(found.attributes) == lines["emulsion-combined"].attributes
    assert studies.protocol(at("2026-03-06"), str(file)).title == "Small protocol"
    with pytest.raises(UnknownProtocolError):
        studies.protocol(at("2026-03-06"), "emulsion")
