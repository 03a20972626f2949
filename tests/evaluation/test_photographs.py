"""Photographs with their age, beside those of the comparison."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from stability.evaluation.index import index_of
from stability.evaluation.photograph_findings import PhotographSeen
from stability.evaluation.photographs import photographs_of
from stability.model.observation import Invalidation
from tests.evaluation.builders import Bench, bulk, sample, study

HOT, COLD, WINDOW, FOIL = "HDC-001-A", "HDC-002-B", "HDC-003-C", "HDC-004-D"
CYCLED, TWIN = "HDC-005-F", "HDC-006-G"
OTHER_BATCH, OTHER_PACK = "HDC-007-H", "HDC-008-J"


@pytest.fixture
def bench() -> Bench:
    """Return a study with a sample in every condition that has a comparison."""
    made = Bench(
        [
            bulk(),
            sample(HOT, "T40"),
            sample(COLD, "COLD"),
            sample(WINDOW, "WINDOW"),
            sample(FOIL, "FOIL"),
            sample(CYCLED, "FT"),
            sample(TWIN, "ROOM", twin_of="FT"),
            sample(OTHER_BATCH, "COLD", batch="B"),
            sample(OTHER_PACK, "COLD", pack="PUMP"),
        ],
        study=study(("A", "B")),
    )
    for one in made.samples:
        if one.condition is not None:
            made.place(one.code, one.condition)
    return made


def seen(bench: Bench, position: int) -> PhotographSeen:
    """Return the photograph at a position."""
    found = bench.evaluate("2025-12-31").photographs
    return next(one for one in found if one.kept.position == position)


def beside(bench: Bench, position: int) -> dict[str, int]:
    """Return kind of comparison -> position of the photograph beside one."""
    return {one.kind: one.position for one in seen(bench, position).beside}


@pytest.mark.parametrize(
    ("check", "day", "days", "text"),
    [
        ("4w", "2025-02-07", 28.0, "28 d"),
        (None, "2025-02-20", 41.0, "41 d"),
        ("T0", "2025-01-09", 0.0, "T0"),
    ],
)
def test_the_age_counts_from_placing(
    bench: Bench, check: str | None, day: str, days: float, text: str
) -> None:
    found = seen(bench, bench.photograph(HOT, check, day))

    assert (found.age_days, found.age_text) == (days, text)
    assert found.sample.condition == "T40"


def test_what_was_never_placed_has_no_age(bench: Bench) -> None:
    found = seen(bench, bench.photograph("BULK-A", None, "2025-01-20"))

    assert (found.age_days, found.age_text) == (None, "not placed")
    assert found.beside == ()


@pytest.mark.parametrize("other", [OTHER_BATCH, OTHER_PACK])
def test_heat_stands_beside_the_cold_control_of_its_own_batch_and_pack(
    bench: Bench, other: str
) -> None:
    bench.photograph(other, "4w", "2025-02-07")
    own = bench.photograph(COLD, "4w", "2025-02-07")
    hot = bench.photograph(HOT, "4w", "2025-02-07")

    assert beside(bench, hot) == {"cold control": own}
    assert beside(bench, own) == {}


def test_light_stands_beside_its_dark_twin_and_the_cold_control(bench: Bench) -> None:
    cold = bench.photograph(COLD, "4w", "2025-02-07")
    foil = bench.photograph(FOIL, "4w", "2025-02-08")
    window = bench.photograph(WINDOW, "4w", "2025-02-07")

    assert beside(bench, window) == {"light and dark twin": foil, "cold control": cold}


def test_cycles_stand_beside_their_untreated_twin(bench: Bench) -> None:
    twin = bench.photograph(TWIN, "c1", "2025-01-14")
    cycled = bench.photograph(CYCLED, "c1", "2025-01-14")

    assert beside(bench, cycled) == {"cycles and untreated twin": twin}
    assert beside(bench, twin) == {}


@pytest.mark.parametrize(("day", "near"), [("2025-02-14", True), ("2025-02-15", False)])
def test_other_checks_of_the_same_week_are_seen_together(
    bench: Bench, day: str, near: bool
) -> None:
    cold = bench.photograph(COLD, None, day)
    hot = bench.photograph(HOT, "4w", "2025-02-07")

    assert beside(bench, hot) == ({"cold control": cold} if near else {})


def test_the_same_check_goes_before_a_nearer_day(bench: Bench) -> None:
    same = bench.photograph(COLD, "4w", "2025-02-04")
    bench.photograph(COLD, None, "2025-02-07")
    hot = bench.photograph(HOT, "4w", "2025-02-07")

    assert beside(bench, hot) == {"cold control": same}


def test_the_same_attribute_goes_before_the_whole(bench: Bench) -> None:
    bench.photograph(COLD, "4w", "2025-02-07")
    nose = bench.photograph(COLD, "4w", "2025-02-07", attribute="odour")
    hot = bench.photograph(HOT, "4w", "2025-02-07", attribute="odour")

    assert beside(bench, hot) == {"cold control": nose}


def test_one_set_aside_stands_beside_nothing(bench: Bench) -> None:
    """It may show another sample than the one that it is kept of."""
    cold = bench.photograph(COLD, "4w", "2025-02-07")
    hot = bench.photograph(HOT, "4w", "2025-02-07")
    record = bench.record()
    assert beside(bench, hot) == {"cold control": cold}

    cause = Invalidation(9, "the wrong jar", "Ana", record.photographs[0].done)
    for position in (cold, hot):
        changed = tuple(
            replace(one, invalidated=cause) if one.position == position else one
            for one in record.photographs
        )
        index = index_of(replace(record, photographs=changed), date(2025, 12, 31))
        found = photographs_of(index)
        assert [one.kept.position for one in found] == [cold, hot]
        assert [one.beside for one in found] == [(), ()]
