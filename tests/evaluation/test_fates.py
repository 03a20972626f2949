"""What happened to each sample."""

from __future__ import annotations

import pytest

from stability.evaluation.readings import CycleRun, SampleFate
from stability.report.chapters_plan import fate_text
from tests.evaluation.builders import Bench, bulk, sample


def fate(made: Bench, code: str, as_of: str) -> SampleFate:
    """Return what happened to one sample."""
    return next(one for one in made.evaluate(as_of).samples if one.sample.code == code)


def test_samples_are_counted_by_what_became_of_them() -> None:
    codes = ["HDC-001-A", "HDC-002-B", "HDC-003-C", "HDC-004-D"]
    spare = sample("HDC-009-X", None, use="spare", checks=())
    made = Bench([*(sample(code, "T40") for code in codes), spare])
    for code in codes[:3]:
        made.place(code, "T40")
    made.read("HDC-001-A", "pH", "2w", "5.4", done="2025-01-24")
    made.retire("HDC-001-A", "used up", "2025-02-01")
    made.retire("HDC-002-B", "broken", "2025-02-01")
    made.retire("HDC-003-C", "leaking", "2025-02-01")
    made.place("HDC-009-X", "T40", "2025-02-02", replaces="HDC-002-B")

    counts = made.evaluate("2025-02-03").identity.samples

    assert (counts.assigned, counts.placed, counts.read) == (5, 4, 1)
    assert (counts.lost, counts.failed, counts.used) == (1, 1, 1)
    assert (counts.remaining, counts.replacements) == (2, 1)


def test_a_stopped_sample_is_no_longer_in_the_study() -> None:
    made = Bench([sample("HDC-001-A", "T40"), sample("HDC-002-B", "ROOM")])
    made.place("HDC-001-A", "T40")
    made.place("HDC-002-B", "ROOM")
    made.stop("2025-02-01", because="oven broken", condition="T40")

    ended = fate(made, "HDC-001-A", "2025-02-03")
    counts = made.evaluate("2025-02-03").identity.samples
    assert ended.stopped is not None
    assert fate_text(ended) == "stopped 2025-02-01: oven broken"
    assert fate(made, "HDC-002-B", "2025-02-03").stopped is None
    assert fate(made, "HDC-001-A", "2025-01-31").stopped is None
    assert (counts.remaining, counts.stopped) == (1, 1)

    made.retire("HDC-001-A", "broken", "2025-02-02")
    left = made.evaluate("2025-02-03").identity.samples
    assert (left.remaining, left.stopped, left.lost) == (1, 0, 1)


def test_a_swap_is_known_with_its_days_and_both_ends() -> None:
    made = Bench([sample("HDC-001-A", "T40"), sample("HDC-002-B", "ROOM")])
    made.place("HDC-001-A", "T40")
    made.place("HDC-002-B", "ROOM")
    for code, other, where in (
        ("HDC-001-A", "HDC-002-B", "ROOM"),
        ("HDC-002-B", "HDC-001-A", "T40"),
    ):
        made.place(code, where, "2025-01-20", how="swapped", swapped_with=other)
    made.place("HDC-001-A", "T40", "2025-01-29", how="swapped")

    (closed,) = fate(made, "HDC-001-A", "2025-02-01").exposures
    (running,) = fate(made, "HDC-002-B", "2025-02-01").exposures

    assert (closed.condition, closed.days) == ("ROOM", 9)
    assert (running.condition, running.end, running.days) == ("T40", None, 12)


def test_days_from_t0_readings_to_placing_are_told() -> None:
    made = Bench([bulk(), sample("HDC-001-A", "T40")])
    made.read("BULK-A", "pH", "T0", "5.5", done="2025-01-08")
    made.place("HDC-001-A", "T40", "2025-01-16")
    evaluation = made.evaluate("2025-01-20")

    assert fate(made, "HDC-001-A", "2025-01-20").days_to_placing == 8
    (late,) = evaluation.record.of("placed late")
    assert late.text == "placed 8 days after the T0 readings, meant within 7d"


def cycled(*steps: tuple[str, int, int], out: str | None = None) -> CycleRun:
    """Return the run of one sample through steps of a cycle."""
    made = Bench([sample("HDC-001-A", "FT")])
    for done, cycle, step in steps:
        made.place("HDC-001-A", "FT", done, how="step", cycle=cycle, step=step)
    if out:
        made._add(
            "placed/1",
            {**made.drafts[-1].content, "condition": None, "how": "out",
             "cycle": None, "step": None},
            out,
        )  # fmt: skip
    (run,) = made.evaluate("2025-03-01").cycles
    return run


ON_TIME = (
    ("2025-01-10T18:00", 1, 1),
    ("2025-01-11T18:10", 1, 2),
    ("2025-01-12T17:50", 2, 1),
    ("2025-01-13T18:00", 2, 2),
    ("2025-01-14T18:00", 3, 1),
    ("2025-01-15T18:00", 3, 2),
)


def test_cycles_within_their_hours_are_said_to_be() -> None:
    run = cycled(*ON_TIME, out="2025-01-16T18:00")

    assert run.text == "3 of 3 cycles, all steps within range"
    assert run.kept
    assert [one.planned_hours for one in run.steps] == [24.0] * 6


def test_the_step_that_ran_over_is_named() -> None:
    late = ("2025-01-12T20:10", 1, 2)

    run = cycled(ON_TIME[0], late, out="2025-01-13T20:10")

    assert run.text == (
        "1 of 3 cycles; cycle 1 step 1 at -18 °C ran 50 h instead of 24 h"
    )
    assert not run.kept


@pytest.mark.parametrize(
    ("end", "within"),
    [("2025-01-11T20:24", True), ("2025-01-11T20:25", False)],
)
def test_a_step_may_leave_its_hours_by_a_tenth(end: str, within: bool) -> None:
    run = cycled(ON_TIME[0], (end, 1, 2))

    assert run.steps[0].within is within


def test_a_step_known_to_the_day_is_judged_to_the_day() -> None:
    run = cycled(("2025-01-10", 1, 1), ("2025-01-11", 1, 2), ("2025-01-13", 2, 1))

    assert [one.within for one in run.steps] == [True, True, None]


def test_a_running_step_has_no_length_yet() -> None:
    run = cycled(*ON_TIME[:3])

    assert run.steps[-1].real_hours is None
    assert run.done == 1


def read_after(*steps: tuple[str, int, int], read: str) -> CycleRun:
    """Return the run of one sample that was read after its last step."""
    made = Bench([sample("HDC-001-A", "FT")])
    for done, cycle, step in steps:
        made.place("HDC-001-A", "FT", done, how="step", cycle=cycle, step=step)
    made.read("HDC-001-A", "pH", f"c{steps[-1][1]}", "5.4", done=read)
    (run,) = made.evaluate("2025-03-01").cycles
    return run


@pytest.mark.parametrize(
    ("read", "within"),
    [
        ("2025-01-17T09:00", True),
        ("2025-01-16T15:36", True),
        ("2025-01-16T15:00", False),
    ],
)
def test_what_is_read_after_the_last_step_must_have_stood_for_its_hours(
    read: str, within: bool
) -> None:
    run = read_after(*ON_TIME, read=read)

    assert run.done == 3
    assert run.kept is within
    assert run.steps[-1].within is within
