"""Which readings a report prints one by one, and which it leaves to the files in it.

What lies outside its limit, is out of trend, doubtful, deviates, is left out, could
not be judged or was not measured is always printed. Only of very many that are out of
trend, alarms alone count.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, Literal

from stability.evaluation.findings import Evaluation
from stability.evaluation.readings import JudgedObservation
from stability.report.series_in_print import only_alarms, trend_in_print

#: What is asked for: print all, leave what may be left, or leave it in large studies.
PrintWish = Literal["print", "attach", "auto"]
#: Above so many readings ``auto`` leaves those to the files that may be left: about 60
#: pages of them. Our choice.
MOST_PRINTED: Final = 3_000
#: Marks of readings about which nothing more is to be said.
_PLAIN_MARKS: Final = frozenset({"inside", "changed, inside", "recorded only"})


def left_to_files(evaluation: Evaluation, wish: PrintWish) -> frozenset[int]:
    """Return positions of the entries whose readings are not printed one by one.

    Readings that share a row are printed together.

    Parameters
    ----------
    evaluation
        What is printed.
    wish
        What is asked for.
    """
    judged = evaluation.judged
    if wish == "print" or (wish == "auto" and len(judged) <= MOST_PRINTED):
        return frozenset()
    alerts = set(_out_of_trend(evaluation))
    kinds = evaluation.identity.protocol.attributes
    worded = {name for name, one in kinds.items() if one.kind != "measured"}
    kept = {_row(one, worded) for one in judged if not _may_be_left(one, alerts)}
    return frozenset(one.position for one in judged if _row(one, worded) not in kept)


def _may_be_left(seen: JudgedObservation, alerts: set[int]) -> bool:
    return (
        seen.takes_part
        and seen.mark in _PLAIN_MARKS
        and seen.position not in alerts
        and not seen.deviations
        and not seen.is_doubtful
    )


def _row(seen: JudgedObservation, worded: set[str]) -> tuple[object, ...]:
    """Return what readings of one row of a table have in common."""
    table = "" if seen.attribute in worded else seen.attribute
    return table, seen.sample.code, seen.check, seen.observation.done.day


def _out_of_trend(evaluation: Evaluation) -> Iterator[int]:
    """Yield positions of readings behind the points that are out of trend."""
    alarms = only_alarms(evaluation)
    for series in evaluation.measured:
        tests = trend_in_print(series, alarms=alarms)
        days = {(one.check, one.day) for one in tests}
        for point in series.points if days else ():
            if (point.check, point.day) in days:
                yield from point.positions
