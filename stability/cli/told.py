"""Telling what was stored: held against limits first, then against its history.

When all is told, what the entries leave open is worked out for `due`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import cache, partial

from stability.cli.output import tell_written
from stability.workflow.awaited import catch_up
from stability.workflow.follow_ups import open_lines
from stability.workflow.marks import (
    JudgedNow,
    judged_now,
    marks,
    out_of_trend_remarks,
    unweighed_lines,
)
from stability.workflow.occasion import Occasion
from stability.workflow.written import Written


def tell_judged(at: Occasion, written: Sequence[Written]) -> None:
    """Tell what is stored, study by study, with its marks.

    Parameters
    ----------
    at
        The occasion.
    written
        Entries that were stored, those of one study together.
    """
    studies = dict.fromkeys(one.subject for one in written)
    for subject in studies:
        _tell_study(at, [one for one in written if one.subject == subject])
    catch_up(at, studies)


def tell_stored(at: Occasion, written: Sequence[Written]) -> None:
    """Tell entries that no limit judges, then work out what they leave open.

    Parameters
    ----------
    at
        The occasion.
    written
        Entries that were stored.
    """
    tell_written(written)
    catch_up(at, [one.subject for one in written])


def _tell_study(at: Occasion, written: Sequence[Written]) -> None:
    now = cache(partial(judged_now, at, written))
    tell_written(written, lambda: marks(now()), lambda: _remarks(now))


def _remarks(now: Callable[[], JudgedNow | None]) -> Iterator[str]:
    """Yield what to do first, before the libraries load that know trends."""
    yield from open_lines(now())
    yield from unweighed_lines(now())
    yield from out_of_trend_remarks(now())
