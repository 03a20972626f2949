"""Storage places travel with the study that names them, and are evaluated with it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from stability.workflow import storage, storing
from stability.workflow.evaluate import evaluate
from stability.workflow.occasion import Occasion
from stability.workflow.records import export, import_, verify

At = Callable[[str], Occasion]
DAY_CREAM = Path(__file__).parents[2] / "example_studies" / "day_cream"
AS_OF = "2026-09-30"


def workspace(folder: Path, name: str) -> Occasion:
    """Return an occasion on a workspace that is not made yet."""
    now = datetime(2026, 11, 1, tzinfo=UTC)
    return Occasion(str(folder / name), now, "bench", zone="Europe/Dublin")


def test_places_travel_by_archive_with_every_line_and_file(tmp_path: Path) -> None:
    first, second = workspace(tmp_path, "a.db"), workspace(tmp_path, "b.db")
    import_(first, DAY_CREAM)
    made = export(first, "QDC", tmp_path / "archive")
    taken = import_(second, tmp_path / "archive")

    assert {one.partition("/")[0] for one in made.anchors} == {
        "study:QDC", "place:OVEN-7KQ4", "place:SHELF-3FHN",
    }  # fmt: skip
    assert set(taken.anchors) == set(made.anchors)
    assert verify(second).attachments == 1
    theirs = evaluate(second, "QDC", as_of=AS_OF).storage
    assert theirs == evaluate(first, "QDC", as_of=AS_OF).storage
    read = evaluate(first, str(tmp_path / "archive"), as_of=AS_OF).storage
    assert read == theirs
    assert len(read.excursions) == 1


def test_a_folder_made_by_hand_is_exported_with_its_places(tmp_path: Path) -> None:
    at = workspace(tmp_path, "none.db")
    export(at, str(DAY_CREAM), tmp_path / "archive")
    found = evaluate(at, str(tmp_path / "archive"), as_of=AS_OF)

    assert found.storage == evaluate(at, str(DAY_CREAM), as_of=AS_OF).storage
    assert verify(at, tmp_path / "archive").holds


def test_a_folder_taken_in_twice_adds_nothing(tmp_path: Path) -> None:
    at = workspace(tmp_path, "a.db")
    import_(at, DAY_CREAM)

    assert import_(at, DAY_CREAM).outcome == "contained"


def test_a_place_is_taken_as_of_the_day(tmp_path: Path) -> None:
    at = workspace(tmp_path, "a.db")
    import_(at, DAY_CREAM)

    # The logger was read out, and its excursion answered, on 25 July 2025.
    before = evaluate(at, "QDC", as_of="2025-07-01").storage.of("T40")
    after = evaluate(at, "QDC", as_of="2025-07-30").storage.of("T40")
    assert before is not None
    assert after is not None
    assert [one.known_from for one in before.excursions] == ["stated event"]
    assert before.open_excursions
    assert [one.known_from for one in after.excursions] == ["logger"]
    assert not after.open_excursions


def test_a_later_answer_is_written_beside_the_study(tmp_path: Path) -> None:
    at = workspace(tmp_path, "a.db")
    import_(at, DAY_CREAM)
    later = replace(at, now=datetime(2026, 11, 2, tzinfo=UTC))
    storing.answer(
        later, "OVEN", start="2025-04-10", end=None,
        outcome="restarted", because="on second thoughts", study="qdc",
    )  # fmt: skip

    (one,) = evaluate(later, "QDC").storage.excursions
    assert one.answer is not None
    assert one.answer.outcome == "restarted"
    assert len(storage.places(later)) == 2
