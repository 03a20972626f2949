"""What the samples of a plan take of each batch, and each test of the samples."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from stability.model.age import cycle_of
from stability.model.grams import grams_each, needed_of_batch
from stability.model.plan import AttributeUse, BatchGrams, FullCross, GramsLine
from stability.model.protocol import Protocol
from stability.model.sample import checks_of_row
from stability.model.schedule import checks_of, expected
from stability.model.study import Pack, Sample, SampleRow, Study

#: Containers of a full cross that go through cycles, with one untreated twin; and one
#: that is retained (common practice).
CYCLED, RETAINED = 3, 1


def usable_of(grams: Decimal | None, usable: Decimal) -> Decimal | None:
    """Return what of a batch can be filled into samples [g]; None where not stated."""
    return None if grams is None else grams * usable


def batch_grams(
    study: Study, protocol: Protocol, usable: Decimal
) -> tuple[BatchGrams, ...]:
    """Return what each batch gives and what its samples need.

    Parameters
    ----------
    study
        The study with its rows.
    protocol
        Its protocol.
    usable
        Share of each batch that can be filled into samples [-].
    """
    return tuple(
        BatchGrams(
            batch=batch.name,
            made_g=batch.grams,
            usable_g=usable_of(batch.grams, usable),
            needed_g=needed_of_batch(study, protocol, batch.name),
        )
        for batch in study.batches.values()
    )


def grams_lines(
    study: Study, protocol: Protocol, samples: Iterable[Sample]
) -> tuple[GramsLine, ...]:
    """Return what the samples are for, one line a purpose, batches side by side.

    Parameters
    ----------
    study
        The study with its rows.
    protocol
        Its protocol.
    samples
        The samples that the rows amount to, for the days until which they are kept.
    """
    keep = _keep_until(samples)
    counts: dict[_Purpose, Counter[str]] = {}
    for row in study.samples:
        for purpose, count in _purposes(row, study, protocol, keep):
            found = counts.setdefault(purpose, Counter())
            found.update(dict.fromkeys(row.batch, count))
    return tuple(
        GramsLine(
            purpose=one.text,
            pack=one.pack,
            each_g=one.each_g,
            samples=dict(found),
            checks=one.checks,
            keep_until=one.keep_until,
        )
        for one, found in counts.items()
    )


@dataclass(frozen=True, slots=True)
class _Purpose:
    """What samples of several rows have in common, to be told in one line."""

    #: In words.
    text: str
    #: Pack; None for bulk and tubes.
    pack: str | None
    #: Mass of one sample [g].
    each_g: Decimal
    #: Checks that they serve.
    checks: tuple[str, ...]
    #: Last day on which they are kept; None where they are not retained.
    keep_until: date | None = None


def _purposes(
    row: SampleRow, study: Study, protocol: Protocol, keep: Mapping[str, date]
) -> Iterator[tuple[_Purpose, int]]:
    """Yield what a row is for, and its untreated twins, with their counts."""
    checks = checks_of_row(row, protocol)
    fresh = row.use == "fresh per check"
    each = grams_each(row, study)
    last = max((keep[name] for name in row.batch if name in keep), default=None)
    kept = last if row.use == "retained" else None
    own = _Purpose(purpose_of(row), row.pack, each, checks, kept)
    yield own, row.count * (len(checks) if fresh else 1)
    condition = protocol.conditions.get(row.condition or "")
    if condition is not None and row.untreated_twins:
        read = tuple(check for check in checks if cycle_of(check) is not None)
        text = f"{condition.untreated_twin}, untreated twin of {condition.name}"
        twin = _Purpose(text, row.pack, each, read)
        yield twin, row.untreated_twins * (len(read) if fresh else 1)


def _keep_until(samples: Iterable[Sample]) -> dict[str, date]:
    kept: dict[str, date] = {}
    for sample in samples:
        if sample.keep_until is not None:
            before = kept.get(sample.batch, sample.keep_until)
            kept[sample.batch] = max(before, sample.keep_until)
    return kept


def purpose_of(row: SampleRow) -> str:
    """Return what the samples of a row are for, in words."""
    if row.kind == "tube":
        return "tubes for the centrifuge"
    if row.use == "T0":
        return "T0 readings, bulk" if row.kind == "bulk" else "T0 readings"
    if row.condition is None:
        return row.use
    if row.use == "untouched":
        return f"{row.condition}, untouched until {row.open_at}"
    return f"{row.condition}, {row.use}"


def attribute_uses(
    study: Study, protocol: Protocol, samples: Iterable[Sample]
) -> tuple[AttributeUse, ...]:
    """Return what each attribute uses up over the whole study.

    Parameters
    ----------
    study, protocol
        The study and its protocol.
    samples
        Its samples.
    """
    counts: Counter[str] = Counter()
    for sample in samples:
        for check in checks_of(study, protocol, sample):
            wanted = expected(study, protocol, sample, check)
            counts.update(dict.fromkeys((name for name, _ in wanted), 1))
    return tuple(
        AttributeUse(
            attribute=one.name,
            takes_g=one.takes_g,
            needs_g=one.needs_g,
            takes_surfaces=one.takes_surfaces,
            observations=counts[one.name],
        )
        for one in protocol.attributes.values()
        if counts[one.name]
    )


def full_cross(study: Study, protocol: Protocol) -> FullCross:
    """Return what it would take to read every pack everywhere in fresh containers.

    Every pack as sold stands under every condition, a fresh container for each check;
    three go through the cycles beside one untreated twin, and one is retained. What
    T0 takes and what is sent out come on top.

    Parameters
    ----------
    study
        The study; conditions that it omits are left out.
    protocol
        Its protocol.
    """
    containers = RETAINED
    for condition in protocol.conditions.values():
        if condition.name in study.omit:
            continue
        containers += len(condition.checks)
        if condition.cycles:
            containers += CYCLED + (condition.untreated_twin is not None)
    packs = packs_as_sold(study)
    grams = sum((pack.fill_g or Decimal(0) for pack in packs), Decimal(0))
    return FullCross(containers * len(packs), containers * grams)


def packs_as_sold(study: Study) -> tuple[Pack, ...]:
    """Return the packs that are no inert comparison; all where every pack is inert."""
    packs = tuple(study.packs.values())
    return tuple(pack for pack in packs if not pack.inert) or packs
