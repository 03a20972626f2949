"""Every reading as it was judged, as a table in long form for the file inside a report.

It holds what the printed tables hold, so that what is not printed can be looked up;
the observations as recorded stand in the view of the record beside it.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Collection
from typing import Final

from stability.evaluation.findings import Evaluation
from stability.evaluation.readings import JudgedObservation
from stability.model.inert_cell import inert
from stability.report.readings_table import own_remarks

#: Columns of the table, in order.
COLUMNS: Final = (
    "entry",
    "sample",
    "batch",
    "pack",
    "condition",
    "check",
    "due",
    "read",
    "age",
    "attribute",
    "part",
    "readings",
    "unit",
    "value",
    "limit",
    "mark",
    "takes_part",
    "remarks",
    "printed",
)


def judged_csv(evaluation: Evaluation, left: Collection[int]) -> str:
    """Return one row for each observation with its value, limit, mark and remarks.

    Parameters
    ----------
    evaluation
        What is written; nothing is computed here.
    left
        Positions of the entries that are not printed reading by reading.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    code = evaluation.identity.study.code
    for seen in evaluation.judged:
        writer.writerow(map(inert, _cells(code, seen, seen.position in left)))
    return out.getvalue()


def _cells(code: str, seen: JudgedObservation, left: bool) -> list[str]:
    sample = seen.sample
    return [
        f"{code}/{seen.position}",
        sample.code,
        sample.batch,
        sample.pack or "",
        seen.condition or "",
        seen.check or "",
        seen.planned.due.isoformat() if seen.planned else "",
        seen.observation.done.day.isoformat(),
        seen.age_text,
        seen.attribute,
        seen.observation.part or "",
        seen.readings_text,
        seen.unit,
        seen.value_text,
        seen.limit_text,
        seen.mark,
        "yes" if seen.takes_part else "no",
        "; ".join(own_remarks(seen)),
        "no" if left else "yes",
    ]
