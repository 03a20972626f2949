"""How far one may extrapolate, after ICH Q1E.

ICH Q1E, Evaluation of Stability Data, Step 4, 2003, sections 2.4 and 2.5 and appendix
A, as quoted second-hand and from memory; the guideline text itself was not opened.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from stability.model.shelf_life import Evidence, SignificantChange, StorageClass
from stability.statistics.cap import extrapolation_cap

Rows = Callable[[str], list[dict[str, str]]]

STORAGE: dict[str, StorageClass] = {
    "room": "room",
    "refrigerated": "refrigerated",
    "freezer": "freezer",
}
CHANGE: dict[str, SignificantChange] = {
    "none": "none",
    "any": "none",
    "accelerated only (intermediate passes)": "intermediate passed",
    "accelerated and intermediate": "intermediate failed",
    "within first 3 months at accelerated": "within 3 months",
    "between 3 and 6 months at accelerated": "between 3 and 6 months",
}
EVIDENCE: dict[str, Evidence] = {
    "yes": "analysed",
    "no (not needed)": "little change",
    "no": "not analysed",
    "any": "analysed",
}


def test_every_row_of_the_table(rows: Rows) -> None:
    table = rows("q1e_extrapolation_vectors.csv")
    assert len(table) == 84

    for row in table:
        cap = extrapolation_cap(
            float(row["X_months"]),
            storage=STORAGE[row["storage"]],
            significant_change=CHANGE[row["significant_change"]],
            evidence=EVIDENCE[row["statistical_analysis"]],
        )
        assert cap.months == float(row["max_Y_months"]), row
        assert cap.rule.replace(" ", "") == row["rule"].replace(" ", ""), row


@pytest.mark.parametrize("change", dict.fromkeys(CHANGE.values()))
@pytest.mark.parametrize("evidence", dict.fromkeys(EVIDENCE.values()))
def test_nothing_kept_in_a_freezer_is_extrapolated(
    change: SignificantChange, evidence: Evidence
) -> None:
    cap = extrapolation_cap(
        12, storage="freezer", significant_change=change, evidence=evidence
    )

    assert cap.months == 12
