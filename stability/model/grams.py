"""What the rows of a study take of their batches: containers and grams."""

from __future__ import annotations

from decimal import Decimal

from stability.model.age import cycle_of
from stability.model.protocol import Protocol
from stability.model.sample import checks_of_row
from stability.model.study import SampleRow, Study


def grams_of_row(row: SampleRow, study: Study, protocol: Protocol) -> Decimal:
    """Return what a row takes of each of its batches [g].

    0 where the mass of its samples is not stated.
    """
    return samples_of_row(row, protocol) * grams_each(row, study)


def grams_each(row: SampleRow, study: Study) -> Decimal:
    """Return the mass of one sample of a row [g]; 0 where it is not stated."""
    pack = study.packs.get(row.pack or "")
    fill = pack.fill_g if pack is not None else None
    return row.grams or fill or Decimal(0)


def samples_of_row(row: SampleRow, protocol: Protocol) -> int:
    """Return how many samples a row takes of each of its batches, twins with it [-]."""
    condition = protocol.conditions.get(row.condition or "")
    if row.use != "fresh per check" or condition is None:
        return row.count + row.untreated_twins
    checks = checks_of_row(row, protocol)
    cycles = [check for check in checks if cycle_of(check) is not None]
    return row.count * len(checks) + row.untreated_twins * len(cycles)


def needed_of_batch(study: Study, protocol: Protocol, batch: str) -> Decimal:
    """Return what all samples of a batch take of it [g]."""
    rows = (row for row in study.samples if batch in row.batch)
    return sum((grams_of_row(row, study, protocol) for row in rows), Decimal(0))
