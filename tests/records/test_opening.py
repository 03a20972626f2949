"""A study about to be opened: files frozen, samples assigned, code and zone found."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from stability.errors.codes import TimeZoneError
from stability.errors.files import UnreadableFileError
from stability.errors.studies import StudyExistsError
from stability.model.entry import chain
from stability.model.moment import moment_at
from stability.records.opening import (
    checked_zone,
    new_study,
    opening_draft,
    read_opening,
    read_text,
)
from tests.records.small_study import PROTOCOL, STUDY, ZONE, write_files


def test_both_files_are_kept_whole(tmp_path: Path) -> None:
    new = new_study(write_files(tmp_path), (), None)

    assert new.held["study_text"] == STUDY
    assert new.held["protocol_text"] == PROTOCOL
    assert [one["code"] for one in new.held["samples"]] == [
        one.code for one in new.samples
    ]
    assert (new.code_allotted, new.zone_assumed) == (False, False)


def test_an_opening_reads_back_as_the_study_that_was_opened(tmp_path: Path) -> None:
    new = new_study(write_files(tmp_path), (), None)
    now = datetime(2026, 3, 1, 9, tzinfo=UTC)
    draft = opening_draft(new, "Ana", moment_at(now, ZONE), now)

    study, protocol = read_opening(chain([draft])[0])

    assert (study, protocol) == (new.study, new.protocol)


def test_a_code_that_the_file_leaves_out_is_allotted_and_read_back(
    tmp_path: Path,
) -> None:
    study = STUDY.replace('code = "HDC"\n', "")
    new = new_study(write_files(tmp_path, study), ("HDC",), None)
    now = datetime(2026, 3, 1, 9, tzinfo=UTC)
    draft = opening_draft(new, "Ana", moment_at(now, ZONE), now)

    assert new.code_allotted
    assert new.study.code not in {"", "HDC"}
    assert read_opening(chain([draft])[0])[0].code == new.study.code


def test_a_code_in_use_is_refused(tmp_path: Path) -> None:
    with pytest.raises(StudyExistsError, match="Study HDC is open already"):
        new_study(write_files(tmp_path), ("HDC",), None)


def test_a_zone_that_the_file_leaves_out_is_the_machines(tmp_path: Path) -> None:
    study = STUDY.replace('time_zone = "Europe/Dublin"\n', "")
    file = write_files(tmp_path, study)

    assert new_study(file, (), "Europe/Paris").time_zone == "Europe/Paris"
    assert new_study(file, (), "Europe/Paris").zone_assumed
    with pytest.raises(TimeZoneError):
        new_study(file, (), None)


@pytest.mark.parametrize("name", ["Europe/Atlantis", "", "../../etc/passwd", "/etc"])
def test_a_zone_that_there_is_not_is_refused(name: str) -> None:
    with pytest.raises(TimeZoneError, match="time_zone"):
        checked_zone(name)


def test_line_ends_are_read_as_newlines(tmp_path: Path) -> None:
    file = tmp_path / "study.toml"
    file.write_bytes(b"\xef\xbb\xbfa = 1\r\nb = 2\r")

    assert read_text(file) == "a = 1\nb = 2\n"


@pytest.mark.parametrize("content", [None, b"\xff\xfe"])
def test_what_cannot_be_read_is_named(tmp_path: Path, content: bytes | None) -> None:
    file = tmp_path / "study.toml"
    if content is not None:
        file.write_bytes(content)

    with pytest.raises(UnreadableFileError, match=r"study\.toml"):
        read_text(file)
