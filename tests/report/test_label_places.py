"""Words that find a place lie on nothing else."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from stability.report.label_places import Box, free_place, lanes, stacked

INSIDE = Box(0, 0, 280, 120)
points = st.tuples(st.floats(0, 280), st.floats(0, 120))
sizes = st.tuples(st.floats(10, 150), st.just(8.0))


@given(st.lists(st.tuples(sizes, points), max_size=12), st.lists(points, max_size=60))
def test_words_are_inside_and_on_no_other_words(
    wishes: list[tuple[tuple[float, float], tuple[float, float]]],
    drawn: list[tuple[float, float]],
) -> None:
    taken: list[Box] = []
    for size, corner in wishes:
        box = free_place(size, [corner], taken, drawn, INSIDE)
        if box is not None:
            assert box.within(INSIDE)
            assert not any(box.meets(other) for other in taken)
            taken.append(box)


def test_the_first_wish_that_is_free_is_taken() -> None:
    taken = [Box(10, 10, 60, 18)]

    box = free_place((40, 8), [(20, 12), (100, 50)], taken, [], INSIDE)

    assert box == Box(100, 50, 140, 58)


def test_words_keep_off_lines_where_they_can() -> None:
    line = [(float(x), 54.0) for x in range(0, 280, 5)]

    box = free_place((40, 8), [(100, 50)], [], line, INSIDE)

    assert box is not None
    assert not any(box.holds(*point) for point in line)


def test_words_that_fit_nowhere_have_no_place() -> None:
    assert free_place((300, 8), [(0, 0)], [], [], INSIDE) is None
    assert free_place((40, 8), [(0, 0)], [INSIDE], [], INSIDE) is None


@given(st.lists(st.tuples(st.floats(0, 120), st.floats(8, 30)), max_size=12))
def test_stacked_blocks_touch_at_most(blocks: list[tuple[float, float]]) -> None:
    blocks = sorted(blocks)
    heights = [height for _, height in blocks]

    middles = stacked([middle for middle, _ in blocks], heights, 0, sum(heights) + 120)

    assert len(middles) == len(blocks)
    edges = [
        (middle - height / 2, middle + height / 2)
        for middle, height in zip(middles, heights, strict=True)
    ]
    assert all(low >= -1e-6 for low, _ in edges)
    assert all(high <= sum(heights) + 120 + 1e-6 for _, high in edges)
    assert all(below[1] <= above[0] + 1e-6 for below, above in pairwise(edges))


def test_a_block_alone_stands_where_it_is_wished() -> None:
    assert stacked([40.0, 90.0], [10.0, 10.0], 0, 100) == [40.0, 90.0]


@given(st.lists(st.integers(0, 300), min_size=1, max_size=7, unique=True))
def test_no_upright_line_cuts_the_words_of_another(places: list[int]) -> None:
    widths = [90.0] * len(places)

    found = lanes([float(one) for one in places], widths, 430)

    spans = [
        (lane, left, left + width)
        for (lane, left), width in zip(found, widths, strict=True)
    ]
    for place, (lane, _, _) in zip(places, spans, strict=True):
        for other, left, right in spans:
            assert not (other < lane and left < place < right)
    for at, (lane, left, right) in enumerate(spans):
        for other, start, end in spans[at + 1 :]:
            assert not (lane == other and left < end and start < right)
            assert right <= 430
