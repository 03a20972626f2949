"""Studies in which two sides were read, for tests of what stands beside each other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import timedelta
from typing import Any

from stability.evaluation.contrast_findings import Contrasts, DriftContrast
from stability.evaluation.contrast_pairs import StudySeries, study_series
from stability.evaluation.findings import Evaluation
from stability.model.attribute import Attribute
from stability.model.protocol import Protocol
from stability.model.study import Sample
from tests.evaluation.builders import (
    HOT_CHECKS,
    PLACED,
    Bench,
    bulk,
    protocol,
    sample,
)
from tests.evaluation.builders import study as study_of

#: pH that falls in heat, and one that stays in the cold.
HOT = {"2w": "5.44", "4w": "5.41", "8w": "5.30", "12w": "5.22"}
COLD = {"2w": "5.50", "4w": "5.49", "8w": "5.50", "12w": "5.48"}
JARS = (sample("HDC-1", "T40"), sample("HDC-2", "COLD"))


#: Days from placing of the checks in heat.
DAYS = {"T0": -4, "2w": 14, "4w": 28, "8w": 56, "12w": 84, "16w": 112}
T0_DAY = "2025-01-08"


def usual(**attributes: Attribute) -> Protocol:
    """Return the small protocol, its control read at every check in heat."""
    made = protocol()
    checks = (*HOT_CHECKS, "16w")
    conditions = {
        name: replace(one, checks=checks) if not one.steps else one
        for name, one in made.conditions.items()
    }
    return replace(
        made, conditions=conditions, attributes={**made.attributes, **attributes}
    )


def on(check: str) -> str:
    """Return the day of a check."""
    return str(PLACED + timedelta(days=DAYS[check]))


def read(
    samples: Sequence[Sample],
    values: Mapping[str, Mapping[str, str]],
    *,
    attribute: str = "pH",
    start: str | None = "5.50",
    **more: Any,
) -> Bench:
    """Return a bench that read each sample at some checks, T0 on the bulk."""
    batches = tuple(dict.fromkeys(one.batch for one in samples))
    made = Bench(
        (*samples, *(bulk(batch) for batch in batches)),
        protocol=more.pop("protocol", None) or usual(),
        study=more.pop("study", None) or study_of(batches),
    )
    for batch in batches if start else ():
        made.read(f"BULK-{batch}", attribute, "T0", start or "", done=T0_DAY, **more)
    for one in samples:
        made.place(one.code, one.condition or "")
    for code, series in values.items():
        for check, value in series.items():
            done = T0_DAY if check == "T0" else on(check)
            made.read(code, attribute, check, *value.split("/"), done=done, **more)
    return made


def series_of(evaluation: Evaluation) -> StudySeries:
    """Return the series of an evaluation with what they rest on."""
    identity = evaluation.identity
    return study_series(
        identity.protocol,
        identity.study,
        evaluation.judged,
        evaluation.measured,
        evaluation.worded,
    )


def contrasts(evaluation: Evaluation) -> Contrasts:
    """Return what was held beside each other."""
    return evaluation.contrasts


def only(found: Contrasts) -> DriftContrast:
    """Return the one contrast of drifts."""
    assert len(found.drifts) == 1, [one.text for one in found.drifts]
    return found.drifts[0]
