"""Every reading as judged and every difference, as tables for files inside a report.

They hold what the printed tables hold, so that what is not printed can be looked up;
the observations as recorded stand in the view of the record beside it.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Collection
from typing import Final

from stability.evaluation.contrast_findings import DriftContrast
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
#: Columns of the table of differences, in order.
DIFFERENCES: Final = (
    "attribute",
    "between",
    "where",
    "first",
    "second",
    "checks",
    "per_month_with_interval",
    "excludes_no_difference",
    "text",
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


def differences_csv(evaluation: Evaluation) -> str:
    """Return one row for each difference of drifts, those not compared among them."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(DIFFERENCES)
    for one in evaluation.contrasts.drifts:
        writer.writerow(map(inert, _difference(one)))
    return out.getvalue()


def _difference(one: DriftContrast) -> list[str]:
    sides = one.sides
    names = [
        sides.attribute,
        sides.between,
        sides.place,
        sides.first.name,
        sides.second.name,
    ]
    if one.contrast is None:
        return [*names, "", "", "", one.text]
    differs = "yes" if one.excludes_no_difference else "no"
    return [*names, str(len(one.checks)), one.numbers, differs, one.text]


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
