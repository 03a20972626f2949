"""How a table's rows are parted over pages and drawn."""

from __future__ import annotations

from typing import Any

from reportlab.platypus import Flowable

from stability.report.table_drawing import draw_rows
from stability.report.table_grid import BOTTOM, SIDE, TOP, Grid, LaidOutRow

# A row taller than a page is only cut where so much of it can be shown [points].
_LEAST_CUT = 60.0
# So many rows stand under a table's head and heading.
_FIRST_ROWS = 2


class RecordTable(Flowable):
    """Some rows of a grid: prepared ones first, then those of a range."""

    def __init__(
        self, grid: Grid, lead: tuple[LaidOutRow, ...], first: int, last: int
    ) -> None:
        super().__init__()
        self._grid = grid
        self._lead = lead
        self._first = first
        self._last = last
        self.spaceBefore = 2
        self.spaceAfter = 8

    def _count(self) -> int:
        return len(self._lead) + self._last - self._first

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803 -- the library's names
        """Return the size, or, of a table too tall, a height that forces a split."""
        self._grid.fit(aW)
        height = self._head_height()
        for at in range(self._count()):
            height += self._row(at).height
            if height > aH:
                break
        self.width, self.height = aW, height
        return aW, height

    def least_height(self, width: float) -> float:
        """Return the height of head and first rows, which no page may part [points].

        Parameters
        ----------
        width
            Of the page's text [points].
        """
        self._grid.fit(width)
        height, rows = self._head_height(), 0
        for at in range(self._count()):
            row = self._row(at)
            height += row.height
            rows += row.group is None
            if rows == _FIRST_ROWS:
                break
        return height

    def split(self, aW: float, aH: float) -> list[Flowable]:  # noqa: N803 -- the library's names
        """Part the table where a page ends."""
        self._grid.fit(aW)
        room = aH - self._head_height()
        fitting = self._fitting(room)
        if fitting == self._count():
            return [self]
        if self._with_group(fitting) > self._page_room(room):
            parts = self._cut(fitting, room)
            if parts:
                return parts
        fitting = self._without_orphans(fitting)
        return self._parted(fitting) if fitting else []

    def draw(self) -> None:
        """Draw all rows."""
        rows = [self._row(at) for at in range(self._count())]
        draw_rows(self.canv, self._grid, rows)
        self._grid.forget(self._last)

    def _row(self, at: int) -> LaidOutRow:
        if at < len(self._lead):
            return self._lead[at]
        return self._grid.row(self._first + at - len(self._lead))

    def _head_height(self) -> float:
        return self._grid.head.height if self._grid.head else 0.0

    def _fitting(self, room: float) -> int:
        for at in range(self._count()):
            room -= self._row(at).height
            if room < 0:
                return at
        return self._count()

    def _with_group(self, at: int) -> float:
        """Return the height of a row with the groups named right before it."""
        height = self._row(at).height
        while at and self._row(at - 1).group is not None:
            at -= 1
            height += self._row(at).height
        return height

    def _without_orphans(self, fitting: int) -> int:
        """Leave no group's name at the foot and no lone row at the head of a page."""
        if self._count() - fitting == 1 and fitting > 2:
            fitting -= 1
        while fitting and self._row(fitting - 1).group is not None:
            fitting -= 1
        if fitting == 1 and self._count() > 2 and not self._at_top():
            return 0
        return fitting

    def _at_top(self) -> bool:
        frame = getattr(self, "_frame", None)
        return frame is None or bool(getattr(frame, "_atTop", True))

    def _parted(self, fitting: int) -> list[Flowable]:
        upper = self._piece(0, fitting)
        lower = self._piece(fitting, self._count(), self._carried(fitting))
        return [upper, lower]

    def _piece(
        self, start: int, end: int, before: tuple[LaidOutRow, ...] = ()
    ) -> RecordTable:
        leads = len(self._lead)
        first = self._first + max(0, start - leads)
        last = self._first + max(0, end - leads)
        return RecordTable(
            self._grid, before + self._lead[min(start, leads) : end], first, last
        )

    def _carried(self, at: int) -> tuple[LaidOutRow, ...]:
        """Return the name of the group that a page begins in the middle of."""
        if at < self._count() and self._row(at).group is not None:
            return ()
        for before in range(at - 1, -1, -1):
            group = self._row(before).group
            if group is not None:
                return (self._grid.group_row(group, continued=True),)
        return ()

    def _cut(self, at: int, room: float) -> list[Flowable]:
        """Part within a row that is taller than a page."""
        room -= sum(self._row(before).height for before in range(at))
        if room < _LEAST_CUT:
            return []
        halves = self._halves(self._row(at), room - TOP - BOTTOM)
        if not halves:
            return []
        upper, lower = halves
        before = tuple(self._row(above) for above in range(at))
        first = self._first + max(0, at - len(self._lead))
        whole = RecordTable(self._grid, (*before, upper), first, first)
        rest = self._piece(at + 1, self._count(), (*self._carried(at), lower))
        return [whole, rest]

    def _page_room(self, room: float) -> float:
        """Return the height that an empty page gives to rows."""
        frame: Any = getattr(self, "_frame", None)
        if frame is None:
            return room
        page = frame._height - frame._topPadding - frame._bottomPadding  # noqa: SLF001 -- no public name
        return float(page) - self._head_height()

    def _halves(
        self, row: LaidOutRow, room: float
    ) -> tuple[LaidOutRow, LaidOutRow] | None:
        upper: list[Any] = []
        lower: list[Any] = []
        for cell, width in zip(row.cells, self._grid.widths, strict=True):
            above, below = _divided_cell(cell, width - 2 * SIDE, room)
            upper.append(above)
            lower.append(below)
        if not any(lower):
            return None
        return (
            self._grid.measured(upper, row.strong),
            self._grid.measured(lower, row.strong),
        )


def _divided_cell(cell: Any, width: float, room: float) -> tuple[Any, Any]:
    """Part a cell at a height into what stays and what goes to the next page."""
    if isinstance(cell, str):
        return cell, ""
    blocks = list(cell) if isinstance(cell, list) else [cell]
    above: list[Any] = []
    while blocks:
        height = float(blocks[0].wrap(width, 1e6)[1])
        if height > room:
            parts = blocks[0].split(width, room)
            if len(parts) > 1:
                above.append(parts[0])
                blocks[:1] = parts[1:]
            break
        room -= height
        above.append(blocks.pop(0))
    return above or "", blocks or ""
