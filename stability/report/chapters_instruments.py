"""The instruments of a study, and the calibrations on which its readings rest."""

from __future__ import annotations

from typing import Any

from reportlab.platypus import Flowable

from stability.evaluation.findings import Evaluation
from stability.evaluation.instrument_findings import InstrumentUse
from stability.model.calibration import Calibration
from stability.model.instrument import InstrumentRecord
from stability.model.instrument_checks import rules_words
from stability.model.instrument_rules import InstrumentRetirement, RulesChange
from stability.model.instrument_words import (
    change_words,
    read_words,
    result_words,
    retirement_words,
)
from stability.model.names import all_in_words
from stability.report.column_widths import Fitted, fitted_columns, shared
from stability.report.styles import ReportStyles, heading, paragraph
from stability.report.tables import Mark, TableRow, key_values, record_table

#: Anchor of the chapter.
INSTRUMENTS = "instruments"
_LEAD = (
    "A reading without a valid calibration is listed as such; one that a failed "
    "calibration reaches back to is doubtful. Neither is corrected, and no value, mark "
    "or line is changed by it. Known only to the day, a calibration counts as made "
    "before the readings of that day."
)


def instruments_chapter(evaluation: Evaluation, styles: ReportStyles) -> list[Flowable]:
    """Return each instrument with the calibrations used; nothing without one."""
    found = evaluation.instruments
    if not found.uses:
        return []
    story = heading("Instruments", 1, styles, anchor=INSTRUMENTS, keep_mm=60)
    story.append(paragraph(_LEAD, styles.body, styles))
    for use in found.uses:
        story += _instrument(use, styles)
    if found.caution:
        story.append(paragraph(found.caution, styles.body, styles))
    return story


def anchor_rows(evaluation: Evaluation) -> list[tuple[str, str]]:
    """Return the anchors of the instruments, for the end of the report."""
    return [
        (f"Instrument {one.instrument.code}", str(one.instrument.head))
        for one in evaluation.instruments.uses
    ]


def instruments_object(evaluation: Evaluation) -> dict[str, Any]:
    """Return the instruments and their calibrations as lists and mappings."""
    found = evaluation.instruments
    return {
        "named": [_object(one) for one in found.uses],
        "not_named": [
            {"attribute": name, "observations": without, "of": of}
            for name, without, of in found.unnamed
        ],
        "caution": found.caution or None,
    }


def _instrument(use: InstrumentUse, styles: ReportStyles) -> list[Flowable]:
    one = use.instrument
    story: list[Flowable] = [
        *heading(f"{one.code}, {one.kind}", 2, styles, keep_mm=45),
        key_values(
            [
                ("What it is", one.text or "–"),
                (
                    "Read with it",
                    f"{', '.join(all_in_words(use.attributes))}. {use.text}",
                ),
                *_rules_and_end(one),
            ],
            styles,
        ),
    ]
    if not use.calibrations:
        words = "No calibration of it is on record by the day of any reading."
        return [*story, paragraph(words, styles.body, styles)]
    rows: list[TableRow] = [_row(made) for made in use.calibrations]
    columns = fitted_columns(
        (
            Fitted("Made", 28),
            Fitted("Person", 24),
            shared("Result"),
            Fitted("Slope %", align="right"),
            Fitted("Offset mV", align="right"),
            shared("Read"),
            Fitted("Entry", align="right"),
        ),
        rows,
        styles,
    )
    return [*story, record_table(columns, rows, styles)]


def _rules_and_end(one: InstrumentRecord) -> list[tuple[str, str]]:
    """Return its rules, each change of them, and its retirement, as rows."""
    told = [("Rules", rules_words(one.rules))]
    told += [
        ("Rules changed", f"{change_words(change)} {_by(change)}")
        for change in one.changes
    ]
    told += [
        ("Retired", f"{retirement_words(left)} (entry {left.position})")
        for left in one.retirements
    ]
    return told


def _by(change: RulesChange) -> str:
    when = change.done.for_people()
    return f"({change.person}, {when}, entry {change.position})"


def _row(made: Calibration) -> list[str | Mark]:
    because = f": {made.because}" if made.because else ""
    return [
        made.done.for_people(),
        made.person,
        result_words(made)
        if made.passed
        else Mark(result_words(made), "◆", strong=True),
        made.slope_percent or "–",
        made.offset_mv or "–",
        f"{read_words(made) or 'no numbers'}{because}",
        str(made.position),
    ]


def _object(use: InstrumentUse) -> dict[str, Any]:
    one = use.instrument
    return {
        "instrument": one.code,
        "kind": one.kind,
        "text": one.text,
        "rules": rules_words(one.rules),
        "rules_changed": list(map(_changed_object, one.changes)),
        "retired": list(map(_retired_object, one.retirements)),
        "record": {
            "subject": one.head.subject,
            "position": one.head.position,
            "digest": one.head.digest,
        },
        "attributes": list(use.attributes),
        "observations": use.observations,
        "without_valid_calibration": list(use.lacking),
        "doubtful": list(use.doubtful),
        "after_retirement": list(use.retired),
        "calibrations": list(map(_calibration_object, use.calibrations)),
    }


def _calibration_object(made: Calibration) -> dict[str, Any]:
    return {
        "position": made.position,
        "done": str(made.done),
        "person": made.person,
        "result": made.result,
        "faults": list(made.faults),
        "slope_percent": made.slope_percent,
        "offset_mv": made.offset_mv,
        "read": read_words(made) or None,
        "because": made.because,
    }


def _changed_object(change: RulesChange) -> dict[str, Any]:
    return {
        "position": change.position,
        "done": str(change.done),
        "person": change.person,
        "since": change.since.isoformat(),
        "rules": rules_words(change.rules),
        "because": change.because,
    }


def _retired_object(left: InstrumentRetirement) -> dict[str, Any]:
    return {
        "position": left.position,
        "done": str(left.done),
        "person": left.person,
        "because": left.because,
        "set_aside": left.invalidated is not None,
    }
