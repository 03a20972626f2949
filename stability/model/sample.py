"""The samples of a study: its rows, expanded in file order, each with a code.

The same file always gives the same codes, so that labels, sheets and examples agree.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from typing import Final

from stability.model.age import T0, add_calendar_months, check_order, cycle_of
from stability.model.code import allot_codes
from stability.model.condition import Condition
from stability.model.protocol import Protocol
from stability.model.study import Batch, Sample, SampleRow, Study, Use

#: Uses whose containers are opened at every check, the first time at T0 if need be.
OPENED_AGAIN: Final[tuple[Use, ...]] = ("reopened", "in use")
#: Uses whose containers enter a condition.
PLACED: Final[tuple[Use, ...]] = (
    "fresh per check",
    "reopened",
    "untouched",
    "in use",
)
#: How long a retained sample is kept beyond the shelf life asked for where the file
#: does not say (common practice: somebody may complain after the last jar is sold).
MONTHS_KEPT_BEYOND: Final = 12


def assign_samples(study: Study, protocol: Protocol) -> tuple[Sample, ...]:
    """Return every sample of a study with its code, in the order of the file.

    - *Fresh per check*: the row's count for each check of its condition, or for each
      check that the row names.
    - *Reopened*, *in use*: each serves every check of the condition, or those named.
    - *Untouched*: opened once, at `open_at`.
    - In a cycled condition the checks are c1, c3 …; *untreated twins* go with them,
      kept in the condition that the protocol names, and are read after the same cycles.
    - *T0*, and bulk: read at T0 only. A batch without either is read at T0 in its
      reopened and in-use containers.
    - *Tubes*: read when the attributes of tubes are read, usually at T0.
    - *Retained*: not read; kept for `keep_for`, else for the shelf life asked for and
      one year (common practice), from filling.
    - *Spare*, *sent out*: not read.

    Parameters
    ----------
    study
        A checked study that has its code.
    protocol
        Its protocol.

    Raises
    ------
    TooManySamplesError
        If there are more samples than numbers.
    """
    drafts = [
        draft
        for row in study.samples
        for batch in row.batch
        for draft in _drafts(row, study.batches[batch], study, protocol)
    ]
    served = {draft.batch for draft in drafts if serves_t0(draft)}
    codes = allot_codes(study.code, len(drafts))
    return tuple(
        replace(_with_t0(draft, served), code=code)
        for draft, code in zip(drafts, codes, strict=True)
    )


def serves_t0(sample: Sample) -> bool:
    """Say whether the initial values of a batch are read on a sample."""
    return sample.kind != "tube" and T0 in sample.checks


def checks_of_row(row: SampleRow, protocol: Protocol) -> tuple[str, ...]:
    """Return the checks that a row serves, in order."""
    if row.kind == "tube":
        return row.checks or checks_of_tubes(protocol)
    if row.use == "T0":
        return (T0,)
    if row.use not in PLACED or row.condition is None:
        return ()
    if row.use == "untouched":
        return () if row.open_at is None else (row.open_at,)
    checks = row.checks or protocol.conditions[row.condition].all_checks
    return tuple(sorted(checks, key=check_order))


def checks_of_tubes(protocol: Protocol) -> tuple[str, ...]:
    """Return the checks at which tubes are read; T0 where none is named."""
    named = {
        check
        for attribute in protocol.attributes.values()
        if attribute.on == "tube"
        for check in attribute.when
    }
    return tuple(sorted(named, key=check_order)) or (T0,)


def _drafts(
    row: SampleRow, batch: Batch, study: Study, protocol: Protocol
) -> Iterator[Sample]:
    """Yield the samples of one row and batch, still without codes."""
    draft = Sample(
        code="",
        batch=batch.name,
        pack=row.pack,
        condition=row.condition,
        kind=row.kind,
        use=row.use,
        checks=checks_of_row(row, protocol),
        open_at=row.open_at,
        keep_until=_keep_until(row, batch, study),
    )
    yield from _counted(draft, row.count)
    condition = protocol.conditions.get(row.condition or "")
    if condition is not None and row.untreated_twins:
        yield from _counted(_twin(draft, condition), row.untreated_twins)


def _counted(draft: Sample, count: int) -> Iterator[Sample]:
    if draft.use != "fresh per check":
        yield from [draft] * count
        return
    for check in draft.checks:
        yield from [replace(draft, checks=(check,))] * count


def _twin(draft: Sample, condition: Condition) -> Sample:
    return replace(
        draft,
        condition=condition.untreated_twin,
        checks=tuple(one for one in draft.checks if cycle_of(one) is not None),
        twin_of=condition.name,
    )


def _with_t0(draft: Sample, served: set[str]) -> Sample:
    if draft.batch in served or draft.use not in OPENED_AGAIN:
        return draft
    return replace(draft, checks=(T0, *draft.checks))


def _keep_until(row: SampleRow, batch: Batch, study: Study) -> date | None:
    if row.use != "retained":
        return None
    start = batch.filled or batch.made
    if row.keep_for is not None:
        return row.keep_for.after(start)
    return add_calendar_months(start, study.request.months + MONTHS_KEPT_BEYOND)
