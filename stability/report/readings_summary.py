"""What readings amount to whose every single one stands in the files of the report."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from reportlab.platypus import Flowable

from stability.evaluation.readings import JudgedObservation
from stability.model.age import check_order
from stability.report.column_widths import Fitted, fitted_columns, shared
from stability.report.readings_table import titled
from stability.report.styles import ReportStyles, paragraph
from stability.report.tables import TableRow, record_table
from stability.report.wording import count

#: Names of the files inside the report that hold every reading.
JUDGED_FILE, OBSERVED_FILE = "readings.csv", "observations.csv"
#: Name of the file that holds every difference of drifts.
DIFFERENCES_FILE = "differences.csv"
_Place = tuple[str, str, str]


def readings_summary(
    observations: Sequence[JudgedObservation],
    left: frozenset[int],
    styles: ReportStyles,
    value_unit: str = "",
) -> list[Flowable]:
    """Return what was left to the files, and all readings in one row for each place.

    Parameters
    ----------
    observations
        Of one attribute, or of worded ones that share a table, in order of printing.
    left
        Positions of the entries that are not printed; nothing is returned where none
        of the observations is among them.
    styles
        The report's styles.
    value_unit
        Unit of the values judged; "" for words.
    """
    away = sum(one.position in left for one in observations)
    if not away:
        return []
    places: dict[_Place, list[JudgedObservation]] = {}
    for seen in observations:
        places.setdefault(_place(seen), []).append(seen)
    rows: list[TableRow] = [
        [*place, *_amount(here, left)] for place, here in places.items()
    ]
    columns = (
        Fitted("Attribute", 34),
        Fitted("Condition", 24),
        Fitted("Pack", 30),
        Fitted("Batches", align="right"),
        Fitted("Readings", align="right"),
        Fitted("Checks", 26),
        Fitted(titled("Lowest", value_unit), 24, align="right"),
        Fitted(titled("Highest", value_unit), 24, align="right"),
        shared("Marks"),
        Fitted("Printed", align="right"),
    )
    return [
        paragraph(left_text(away, len(observations)), styles.body, styles),
        record_table(fitted_columns(columns, rows, styles), rows, styles),
    ]


def left_text(away: int, of: int) -> str:
    """Return in words what is not printed, and where it stands.

    Parameters
    ----------
    away, of
        Readings that are not printed one by one, and all of them. [-]
    """
    return (
        f"{away} of {count(of, 'reading')} lie inside their limit with nothing to "
        f"say of them: they are not printed one by one and stand in {JUDGED_FILE} and "
        f"{OBSERVED_FILE} inside this document. Printed is every reading that lies "
        "outside its limit, is out of trend, doubtful, deviating, left out, undecided "
        "or not measured."
    )


def _place(seen: JudgedObservation) -> _Place:
    twin = ", untreated twin" if seen.sample.twin_of else ""
    pack = f"{seen.sample.pack or seen.sample.kind}{twin}"
    return seen.attribute, seen.condition or "T0", pack


def _amount(
    observations: Sequence[JudgedObservation], left: frozenset[int]
) -> list[str]:
    judged = [one for one in observations if one.value is not None and one.takes_part]
    ends = sorted(judged, key=lambda one: one.value or 0)
    marks = Counter(one.mark if one.takes_part else "left out" for one in observations)
    printed = sum(one.position not in left for one in observations)
    return [
        str(len({one.sample.batch for one in observations})),
        str(len(observations)),
        _checks(one.check for one in observations),
        ends[0].value_text if ends else "",
        ends[-1].value_text if ends else "",
        ", ".join(f"{number} {name}" for name, number in sorted(marks.items())),
        str(printed),
    ]


def _checks(checks: Iterable[str | None]) -> str:
    """Return the first and the last of some checks: `4w to 48w`."""
    known = sorted({one for one in checks if one}, key=check_order)
    if not known:
        return "extra"
    return known[0] if len(known) == 1 else f"{known[0]} to {known[-1]}"
