"""A study that grows: the same as if it were folded anew after every entry."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stability.errors.codes import TextFormError
from stability.model import content
from stability.model.fold import fold
from stability.model.observation import Reading
from stability.model.schedule import planned_checks
from stability.records.continuation import Continuation
from stability.records.opening import read_opening
from tests.records.small_study import ROOM_A, ROOM_B, add, opened_book, opening_entry

Step = tuple[str, str, str]
CODES = (ROOM_A, ROOM_B)
STEPS = st.lists(
    st.tuples(
        st.sampled_from(["place", "read", "retire"]),
        st.sampled_from(CODES),
        st.sampled_from(["2026-03-12", "2026-03-20", "2026-04-02"]),
    ),
    max_size=12,
)


def do(book: Continuation, step: Step, number: int) -> None:
    """Do one step, whether it makes sense or not."""
    what, code, day = step
    if what == "place":
        add(book, content.PLACED, content.placed(code, "ROOM", "in"), day)
    elif what == "retire":
        add(book, content.RETIRED, content.retired(code, "lost", "gone"), day)
    else:
        readings = [Reading(f"5.{number:02d}")]
        held = content.observed(code, "pH", "2w", readings, unit="pH")
        add(book, content.OBSERVED, held, day)


@given(STEPS)
@settings(
    max_examples=30,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_growing_is_folding_anew(tmp_path: Path, steps: list[Step]) -> None:
    book = opened_book(tmp_path)
    opening = book.record.opening
    for number, step in enumerate(steps):
        do(book, step, number)
        book.standing(ROOM_A, "2w", "pH", None)  # an index in between must not go stale

    entries = (opening_entry(tmp_path), *book.added)
    whole = fold(entries, *read_opening(entries[0]))
    readings = [one for one in whole.standing() if one.sample == ROOM_A]

    assert book.record == whole
    assert opening == whole.opening
    assert book.standing(ROOM_A, "2w", "pH", None) == next(iter(readings), None)
    latest = max(readings, key=lambda one: (one.done.day, one.position), default=None)
    assert book.latest(ROOM_A, "pH", None) == latest
    sample = whole.samples[ROOM_A]
    assert book.planned(sample) == planned_checks(whole, sample)


@pytest.mark.parametrize(
    "held",
    [
        content.placed(ROOM_A, "ROOM", "in", because="a\x00b"),
        content.observed(
            ROOM_A, "pH", "2w", [Reading("5.5")], settings={"electrode": "a\x1b[2J"}
        ),
        content.observed(ROOM_A, "pH", "2w", [Reading("5.5")], extra={"a\x07": "1"}),
        content.observed(ROOM_A, "pH", "2w", [Reading("5.5", observer="half\ud800")]),
    ],
)
def test_a_text_that_cannot_be_kept_is_refused_in_words_wherever_it_stands(
    tmp_path: Path, held: dict[str, object]
) -> None:
    book = opened_book(tmp_path)

    with pytest.raises(TextFormError, match="which cannot be kept or printed"):
        add(book, content.NOTED, held, "2026-03-05")
    assert book.added == []
