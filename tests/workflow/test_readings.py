"""Logging from one line and from a file, correcting, setting aside, explaining."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from stability.errors import StabilityError
from stability.errors.files import RowsError
from stability.errors.samples import (
    EntryReferenceError,
    FarReadingError,
    NotConfirmedError,
)
from stability.errors.studies import StudyNeededError
from stability.workflow import bench, studies
from stability.workflow.file_forms import FileForms
from stability.workflow.occasion import Occasion
from tests.records.small_study import BULK_A, ROOM_A, T40_2W

At = Callable[[str], Occasion]


@pytest.fixture
def running(at: At) -> At:
    """Return the same maker of occasions, T0 read and two samples placed."""
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.52", "spread=60"])
    bench.place(at("2026-03-06"), [ROOM_A, T40_2W])
    return at


def test_a_whole_jar_is_logged_at_once(running: At) -> None:
    at = replace(running("2026-03-20"), person="Ana Reyes")
    bench.day(
        at,
        "HDC",
        observers=["Ana", "Ben"],
        settings=["pH.dilution=10 %"],
        control=[ROOM_A],
    )

    written = bench.log(
        running("2026-03-20"),
        "009Q",
        ["w=78.42", "pH=5.47/5.49", "spr=61", "sep=0", "odour=0/1", "swollen=no"],
    )

    assert [one.position for one in written] == list(range(7, 13))
    assert written[1].text == (
        f"{T40_2W} Heather day cream, batch A, JAR, T40, 2w: pH 5.47 / 5.49"
    )
    assert written[4].text.endswith("odour Ana: as control / Ben: slightly changed")
    lines = studies.history(running("2026-03-20"), "HDC", sample=T40_2W)
    assert {one.person for one in lines[2:]} == {"Ana Reyes"}


def test_one_bad_reading_keeps_the_line_out(running: At) -> None:
    before = studies.history(running("2026-03-20"), "HDC")

    with pytest.raises(StabilityError):
        bench.log(running("2026-03-20"), ROOM_A, ["pH=5.5/5.5", "sep=9"])

    assert studies.history(running("2026-03-20"), "HDC") == before


def test_a_far_reading_needs_a_word(running: At) -> None:
    at = running("2026-03-20")
    asked: list[str] = []

    def refuse(question: str) -> bool:
        asked.append(question)
        return False

    with pytest.raises(FarReadingError):
        bench.log(at, ROOM_A, ["pH=6.5/6.5"])
    with pytest.raises(NotConfirmedError):
        bench.log(at, ROOM_A, ["pH=6.5/6.5"], confirm=refuse)
    (question,) = asked
    assert question.startswith("HDC-005-Y pH 6.5 / 6.5: far from the last reading, ")
    assert question.endswith("5.50 / 5.52 on 2026-03-05 12:00")
    assert len(studies.history(at, "HDC")) == 5


@pytest.mark.parametrize("way", [{"accept_far": True}, {"confirm": lambda _: True}])
def test_a_far_reading_that_is_right_is_taken(running: At, way: dict[str, Any]) -> None:
    assert bench.log(running("2026-03-20"), ROOM_A, ["pH=6.5/6.5"], **way)


def test_a_jar_that_was_never_placed_is_told_before_its_reading_passes_for_t0(
    at: At,
) -> None:
    (unplaced,) = bench.log(at("2026-04-03"), ROOM_A, ["pH=5.5/5.5"])
    (bulk,) = bench.log(at("2026-04-03"), BULK_A, ["pH=5.5/5.5"])

    told = unplaced.remarks[1]
    assert unplaced.remarks[0].endswith("beyond the window")
    assert told.startswith(f"it counts as T0 because {ROOM_A} was never placed")
    assert f"stability place {ROOM_A} --on DAY" in told
    assert bulk.remarks[0].endswith("beyond the window")
    assert not any("never placed" in one for one in bulk.remarks)


def test_a_late_t0_of_a_placed_jar_needs_no_such_word(running: At) -> None:
    (late,) = bench.log(running("2026-03-12"), T40_2W, ["w=78.4"], check="T0")

    assert late.remarks[0].endswith("beyond the window")
    assert not any("never placed" in one for one in late.remarks)


def test_what_was_not_measured_is_logged_with_its_reason(running: At) -> None:
    (written,) = bench.log(
        running("2026-03-20"), ROOM_A, ["pH=not-measured"], because="electrode dead"
    )

    assert written.text.endswith("2w: pH not measured")
    found = studies.due_samples(running("2026-03-20"), within="0d")
    one = next(one for one in found if (one.sample, one.check) == (ROOM_A, "2w"))
    assert "pH" not in one.remaining


def test_what_is_read_is_no_longer_due(running: At) -> None:
    at = running("2026-03-20")

    def waiting() -> list[tuple[str, int]]:
        checks = studies.due(at).checks
        here = [one for one in checks if (one.condition, one.check) == ("T40", "2w")]
        return [(one.state, one.samples) for one in here]

    assert waiting() == [("due", 1)]

    bench.log(
        at,
        T40_2W,
        ["w=78.4", "pH=5.5/5.5", "spread=60", "sep=0", "odour=Ana:0", "swollen=no"],
    )

    assert waiting() == []


FILE = """\
sample,attribute,reading,done,because
005-Y,pH,5.48/5.49,2026-03-20,
009-Q,pH,not-measured,2026-03-20,electrode dead
009-Q,w,78.42,2026-03-20,
"""


def test_a_file_is_logged_whole(running: At, tmp_path: Path) -> None:
    file = tmp_path / "log.csv"
    file.write_text(FILE, encoding="utf-8")

    written = bench.log_file(running("2026-03-21"), file).rows

    assert [one.position for one in written] == [6, 7, 8]
    assert written[0].text == f"{ROOM_A}: 2w: pH 5.48 / 5.49"
    assert studies.history(running("2026-03-21"), "HDC")[-1].entered == (
        "2026-03-21T12:00:00Z"
    )


def test_one_bad_row_keeps_the_file_out(running: At, tmp_path: Path) -> None:
    file = tmp_path / "log.csv"
    file.write_text(FILE.replace("78.42", "78,42").replace("5.48", "x"), "utf-8")
    before = studies.history(running("2026-03-21"), "HDC")

    with pytest.raises(RowsError) as caught:
        bench.log_file(running("2026-03-21"), file, FileForms(study="HDC"))

    assert len(caught.value.faults) == 2
    assert studies.history(running("2026-03-21"), "HDC") == before


def test_a_file_of_nobody_needs_its_study(running: At, tmp_path: Path) -> None:
    file = tmp_path / "log.csv"
    file.write_text("kind,because\nnoted,quiet week\n", encoding="utf-8")

    with pytest.raises(StudyNeededError):
        bench.log_file(running("2026-03-21"), file)
    assert bench.log_file(running("2026-03-21"), file, FileForms(study="HDC")).rows


def test_a_file_far_from_the_last_readings_is_asked_about_row_by_row(
    running: At, tmp_path: Path
) -> None:
    file = tmp_path / "log.csv"
    file.write_text(FILE.replace("5.48/5.49", "6.48/6.49"), encoding="utf-8")
    asked: list[str] = []

    def agree(question: str) -> bool:
        asked.append(question)
        return True

    assert len(bench.log_file(running("2026-03-21"), file, confirm=agree).rows) == 3
    assert [one.split(":")[0] for one in asked] == ["line 2"]


def test_a_decimal_comma_is_read_where_it_is_declared(
    running: At, tmp_path: Path
) -> None:
    file = tmp_path / "log.csv"
    file.write_text(
        "sample;attribute;reading;done\n005-Y;pH;5,48/5,49;2026-03-20\n", "utf-8"
    )

    forms = FileForms(decimal_comma=True)
    (written,) = bench.log_file(running("2026-03-21"), file, forms).rows

    assert written.text.endswith("pH 5.48 / 5.49")


def test_a_correction_supersedes_and_is_told_in_the_history(running: At) -> None:
    at = running("2026-03-20")

    (written,) = bench.correct(at, "HDC/2", ["5.40/5.42"], because="mistyped")

    assert written.text == (
        f"{BULK_A} Heather day cream, batch A, T0: pH 5.40 / 5.42, corrects HDC/2"
    )
    lines = studies.history(at, "HDC")
    assert lines[1].state == "corrected by HDC/6"
    assert (lines[5].done, lines[5].text) == (
        lines[1].done,
        "corrects 2, T0: pH 5.40 / 5.42: mistyped",
    )


def test_what_is_set_aside_is_told_in_the_history(running: At) -> None:
    at = running("2026-03-20")

    bench.invalidate(at, "HDC/2", because="spilt")

    assert studies.history(at, "HDC")[1].state == "set aside by HDC/6"


@pytest.mark.parametrize(
    ("about", "told"),
    [
        ("HDC", "HDC: quiet week"),
        ("HDC/2", "HDC/2: quiet week"),
        (ROOM_A, f"{ROOM_A}: quiet week"),
        ("005y", f"{ROOM_A}: quiet week"),
    ],
)
def test_a_note_is_about_a_study_an_entry_or_a_sample(
    running: At, about: str, told: str
) -> None:
    assert bench.note(running("2026-03-20"), about, "quiet week")[0].text == told


BAD: list[Callable[[Occasion], Any]] = [
    lambda at: bench.log(at, ROOM_A, ["pH=5.5/5.5"], done="2026-03-05", check="2w"),
    lambda at: bench.log(at, ROOM_A, ["pH=5.5/5.5"], done="2026-04-01"),
    lambda at: bench.log(at, ROOM_A, ["viscosity=5"]),
    lambda at: bench.log(at, ROOM_A, []),
    lambda at: bench.log(at, ROOM_A, ["pH=5.5/5.5"], check="12w"),
    lambda at: bench.log(at, ROOM_A, ["pH=5.5/5.5"], control="HDC-099-A"),
    lambda at: bench.log(at, ROOM_A, ["pH=not-measured"]),
    lambda at: bench.log(at, BULK_A, ["pH=5.5/5.5"]),
    lambda at: bench.correct(at, "HDC/99", ["5.5"], because="x"),
    lambda at: bench.correct(at, "12", ["5.5"], because="x"),
    lambda at: bench.correct(at, "HDC/2", ["5.5", "spread=3"], because="x"),
    lambda at: bench.invalidate(at, "HDC/1", because="x"),
    lambda at: bench.invalidate(at, "HDC/2", because=None),
    lambda at: bench.note(at, "HDC/99", "x"),
    lambda at: bench.note(at, "HDC", " "),
]


@pytest.mark.parametrize("number", range(len(BAD)))
def test_what_cannot_be_leaves_nothing_behind(running: At, number: int) -> None:
    before = studies.history(running("2026-03-20"), "HDC")

    with pytest.raises(StabilityError):
        BAD[number](running("2026-03-20"))

    assert studies.history(running("2026-03-20"), "HDC") == before


def test_a_reference_without_its_study_is_refused(running: At) -> None:
    with pytest.raises(EntryReferenceError, match="HDC/12"):
        bench.invalidate(running("2026-03-20"), "2", because="x")
