"""How each batch was made, beside the pH that drifts from there."""

from __future__ import annotations

from reportlab.platypus import Flowable

from stability.evaluation.findings import Evaluation
from stability.model.attribute import Attribute
from stability.model.study import Batch, Study
from stability.report.column_widths import Fitted, fitted_columns, shared
from stability.report.styles import ReportStyles, paragraph
from stability.report.tables import TableRow, record_table

_NONE = "–"


def formula_text(study: Study) -> str:
    """Return the formula as stated, in shares; "" where none is."""
    return "; ".join(f"{name} {share} %" for name, share in study.formula.items())


def process_text(batch: Batch) -> str:
    """Return what is recorded of the making; "" where nothing is."""
    return "; ".join(
        f"{name.replace('_', ' ')}: {fact}" for name, fact in batch.process.items()
    )


def reads_ph(evaluation: Evaluation) -> bool:
    """Say whether a pH was read, beside which formula and making are printed."""
    attributes = evaluation.identity.protocol.attributes
    return any(attributes[one.attribute].unit == "pH" for one in evaluation.judged)


def making_beside(
    evaluation: Evaluation, attribute: Attribute, styles: ReportStyles
) -> list[Flowable]:
    """Return formula and making where a pH is read; nothing where none is recorded.

    Parameters
    ----------
    evaluation
        The study.
    attribute
        The attribute whose readings follow.
    styles
        The report's styles.
    """
    study = evaluation.identity.study
    batches = study.batches.values()
    recorded = any(one.process or one.pH_at_make is not None for one in batches)
    if attribute.unit != "pH" or not (recorded or study.formula):
        return []
    story: list[Flowable] = []
    if recorded:
        initials = _initials(evaluation, attribute)
        rows: list[TableRow] = [
            [
                one.name,
                one.made.isoformat(),
                _NONE if one.pH_at_make is None else str(one.pH_at_make),
                initials.get(one.name, _NONE),
                process_text(one) or _NONE,
            ]
            for one in batches
        ]
        columns = (
            Fitted("Batch", 30, strong=True),
            Fitted("Made"),
            Fitted("pH at make", align="right"),
            Fitted("T0", 30, align="right"),
            shared("Process, additions"),
        )
        story.append(record_table(fitted_columns(columns, rows, styles), rows, styles))
    if study.formula:
        words = f"Formula: {formula_text(study)}"
        story.append(paragraph(words, styles.small, styles))
    return story


def _initials(evaluation: Evaluation, attribute: Attribute) -> dict[str, str]:
    """Return batch -> its T0 values that stand, as printed."""
    found: dict[str, list[str]] = {}
    for one in evaluation.judged:
        here = one.attribute == attribute.name and one.purpose == "T0"
        if here and one.takes_part and one.value_text:
            found.setdefault(one.sample.batch, []).append(one.value_text)
    return {batch: ", ".join(dict.fromkeys(ones)) for batch, ones in found.items()}
