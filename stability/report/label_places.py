"""Places for words in a figure, so that none lies on another.

All lengths are points.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

# Step of the search for a free place where none of those wished for is free [points].
_STEP = 4.0


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle."""

    #: left edge [points]
    left: float
    #: lower edge [points]
    bottom: float
    #: right edge [points]
    right: float
    #: upper edge [points]
    top: float

    def meets(self, other: Box) -> bool:
        """Say whether two boxes share an area."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.bottom < other.top
            and other.bottom < self.top
        )

    def holds(self, x: float, y: float) -> bool:
        """Say whether a point lies inside."""
        return self.left <= x <= self.right and self.bottom <= y <= self.top

    def nearest(self, x: float, y: float) -> tuple[float, float]:
        """Return the place of the box that is nearest to a point."""
        return (
            min(max(x, self.left), self.right),
            min(max(y, self.bottom), self.top),
        )

    def within(self, other: Box) -> bool:
        """Say whether it lies wholly inside another."""
        return (
            other.left <= self.left
            and self.right <= other.right
            and other.bottom <= self.bottom
            and self.top <= other.top
        )


def free_place(
    size: tuple[float, float],
    wished: Sequence[tuple[float, float]],
    taken: Sequence[Box],
    drawn: Sequence[tuple[float, float]],
    inside: Box,
) -> Box | None:
    """Return where words go: near a wished place, on no other words, off the lines.

    Parameters
    ----------
    size
        Width and height of the words [points].
    wished
        Lower left corners, best first [points].
    taken
        Boxes of words that stand already.
    drawn
        Places that lines and points pass through [points].
    inside
        What the words may not leave.

    Returns
    -------
    Box or None
        None where no place is left at all.
    """
    best: tuple[float, Box] | None = None
    anchor = wished[0]
    for rank, corner in enumerate([*wished, *_everywhere(size, inside, anchor)]):
        box = Box(*corner, corner[0] + size[0], corner[1] + size[1])
        if not box.within(inside) or any(box.meets(other) for other in taken):
            continue
        crossed = sum(box.holds(x, y) for x, y in drawn)
        if rank < len(wished) and crossed == 0:
            return box
        away = abs(corner[0] - anchor[0]) + abs(corner[1] - anchor[1])
        cost = 30.0 * crossed + away
        if best is None or cost < best[0]:
            best = cost, box
    return None if best is None else best[1]


def _everywhere(
    size: tuple[float, float], inside: Box, anchor: tuple[float, float]
) -> Iterable[tuple[float, float]]:
    """Return a grid of places about an anchor, wherever words of a size fit."""
    across = int((inside.right - inside.left - size[0]) // (2 * _STEP))
    up = int((inside.top - inside.bottom - size[1]) // _STEP)
    for column in range(max(across + 1, 0)):
        for row in range(max(up + 1, 0)):
            x, y = inside.left + 2 * _STEP * column, inside.bottom + _STEP * row
            if abs(x - anchor[0]) + abs(y - anchor[1]) < 260:
                yield x, y


def stacked(
    middles: Sequence[float], heights: Sequence[float], low: float, high: float
) -> list[float]:
    """Move blocks apart so that none lies on another, and all above a low edge.

    Parameters
    ----------
    middles
        Where the middle of each block is wished, ascending [points].
    heights
        Their heights [points].
    low, high
        Edges between which they stand [points]; where they have more height than
        that, they begin at the low edge.

    Returns
    -------
    list of float
        Their middles.

    Examples
    --------
    >>> stacked([50, 50, 90], [10, 10, 10], 0, 100)
    [45.0, 55.0, 90.0]
    """
    # Blocks that touch become one group about their common middle.
    groups: list[tuple[float, float, int]] = []
    for middle, height in zip(middles, heights, strict=True):
        wish, tall, count = _held(middle, height, low, high), height, 1
        while groups and wish - tall / 2 < groups[-1][0] + groups[-1][1] / 2:
            below, beneath, number = groups.pop()
            total = beneath + tall
            wish = _held(
                (below * number + wish * count) / (number + count), total, low, high
            )
            tall, count = total, count + number
        groups.append((wish, tall, count))
    found: list[float] = []
    for wish, tall, count in groups:
        edge = wish - tall / 2
        for height in heights[len(found) : len(found) + count]:
            found.append(edge + height / 2)
            edge += height
    return found


def _held(middle: float, height: float, low: float, high: float) -> float:
    return max(min(middle, high - height / 2), low + height / 2)


def lanes(
    places: Sequence[float], widths: Sequence[float], right: float
) -> list[tuple[int, float]]:
    """Put words above a figure into lanes, each to the right of its upright line.

    An upright line reaches up to its own words and cuts no others: words that pass the
    next lines stand above them. Words that would leave the figure are moved left, above
    all others.

    Parameters
    ----------
    places
        Where the upright lines stand, different from each other [points].
    widths
        Widths of the words, with the gap that they need [points].
    right
        Edge that the words do not leave [points].

    Returns
    -------
    list of (int, float)
        Lane of each, 0 the lowest, and its left edge [points].

    Examples
    --------
    >>> lanes([10, 60, 150], [60, 40, 40], 170)
    [(1, 10), (0, 60), (2, 130)]
    """
    found: dict[int, tuple[int, float]] = {}
    order = sorted(range(len(places)), key=lambda at: -places[at])
    fits = [at for at in order if places[at] + widths[at] <= right]
    for at in fits:
        end = places[at] + widths[at]
        above = [found[one][0] + 1 for one in found if places[one] < end]
        found[at] = max(above, default=0), places[at]
    for at in order:
        if at not in found:
            top = max((lane for lane, _ in found.values()), default=-1) + 1
            found[at] = top, max(right - widths[at], 0.0)
    return [found[at] for at in range(len(places))]
