"""Readings with their marks, the evaluation and the report of a study."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from stability.errors.codes import MomentError
from stability.errors.reports import (
    ReportExistsError,
    ReportFolderMissingError,
    ReportPlaceTakenError,
)
from stability.errors.samples import UnknownNameError
from stability.errors.studies import AsOfTooEarlyError
from stability.workflow import bench, evaluate
from stability.workflow.occasion import Occasion
from tests.records.small_study import BULK_A, ROOM_A, T40_2W

At = Callable[[str], Occasion]


@pytest.fixture
def read(at: At) -> At:
    """Return the same maker of occasions; T0 and 2w were read."""
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.52", "spread=60"])
    bench.place(at("2026-03-06"), [ROOM_A, T40_2W])
    bench.log(at("2026-03-20"), ROOM_A, ["pH=5.48/5.50", "spread=61"])
    bench.log(at("2026-03-21"), T40_2W, ["pH=4.98/4.98"], accept_far=True)
    return at


def test_readings_are_shown_with_their_marks(read: At) -> None:
    found = evaluate.show(read("2026-03-21"), "HDC")

    marks = {(one.sample.code, one.attribute): one.mark for one in found}
    assert marks[ROOM_A, "pH"] == "inside"
    assert marks[T40_2W, "pH"] == "outside"


@pytest.mark.parametrize(
    ("wanted", "count"),
    [
        ({"sample": "005y"}, 2),
        ({"attribute": "ph"}, 3),
        ({"condition": "t40"}, 1),
        ({"check": "T0"}, 2),
        ({"check": "2w", "attribute": "spread"}, 1),
    ],
)
def test_what_is_shown_can_be_narrowed(
    read: At, wanted: dict[str, str], count: int
) -> None:
    assert len(evaluate.show(read("2026-03-21"), "HDC", **wanted)) == count


@pytest.mark.parametrize(
    "wanted", [{"attribute": "viscosity"}, {"condition": "T50"}, {"check": "5w"}]
)
def test_names_that_are_not_known_are_refused(read: At, wanted: dict[str, str]) -> None:
    with pytest.raises(UnknownNameError):
        evaluate.show(read("2026-03-21"), "HDC", **wanted)


def test_what_was_stored_later_takes_no_part(read: At) -> None:
    evaluation = evaluate.evaluate(read("2026-03-21"), "HDC", as_of="2026-03-20")

    assert len(evaluation.judged) == 4
    assert evaluation.identity.as_of == date(2026, 3, 20)


def test_before_it_was_opened_there_is_nothing(read: At) -> None:
    with pytest.raises(AsOfTooEarlyError, match="stored on 2026-03-01"):
        evaluate.evaluate(read("2026-03-21"), "HDC", as_of="2026-02-28")


@pytest.mark.parametrize("command", [evaluate.show, evaluate.evaluate])
def test_a_day_at_the_end_of_the_calendar_is_refused(
    read: At, command: Callable[..., object]
) -> None:
    with pytest.raises(MomentError, match="9999-12-31"):
        command(read("2026-03-21"), "HDC", as_of="9999-12-31")


def test_the_report_is_written_once_and_carries_its_anchor(
    read: At, tmp_path: Path
) -> None:
    target = tmp_path / "report.json"

    written = evaluate.report(read("2026-03-21"), "HDC", target, kind="json")

    assert json.loads(target.read_text(encoding="utf-8"))
    assert written.anchor.startswith("study:HDC/8:")
    assert (written.study, written.as_of) == ("HDC", date(2026, 3, 21))
    with pytest.raises(ReportExistsError):
        evaluate.report(read("2026-03-21"), "HDC", target, kind="json")
    assert evaluate.report(
        read("2026-03-21"), "HDC", target, kind="text", overwrite=True
    )


def test_a_report_goes_into_a_folder_that_there_is(read: At, tmp_path: Path) -> None:
    with pytest.raises(ReportFolderMissingError):
        evaluate.report(
            read("2026-03-21"), "HDC", tmp_path / "no" / "x.txt", kind="text"
        )
    with pytest.raises(ReportPlaceTakenError):
        evaluate.report(
            read("2026-03-21"), "HDC", tmp_path, kind="text", overwrite=True
        )
