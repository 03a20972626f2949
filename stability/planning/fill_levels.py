"""What is left in a container at each check, when every check takes a little of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal

from stability.model.attribute import Attribute
from stability.model.plan import FillLevel
from stability.model.protocol import Protocol
from stability.model.schedule import expected
from stability.model.study import Pack, Sample, Study


def fill_levels(
    study: Study, protocol: Protocol, samples: Iterable[Sample]
) -> tuple[FillLevel, ...]:
    """Return what is left in each container that is opened, check by check.

    Containers alike in batch, pack, condition, use and checks are told once. A
    container whose pack states no fill is left out.

    Parameters
    ----------
    study
        The study.
    protocol
        Its protocol; an attribute without `takes_g` uses up nothing.
    samples
        Its samples.
    """
    found: dict[FillLevel, None] = {}
    for sample in samples:
        found |= dict.fromkeys(levels_of(study, protocol, sample))
    return tuple(found)


def levels_of(study: Study, protocol: Protocol, sample: Sample) -> Iterator[FillLevel]:
    """Yield what is left in one container after each of its checks."""
    pack = study.packs.get(sample.pack or "")
    if pack is None or pack.fill_g is None or sample.condition is None:
        return
    grams, surfaces = pack.fill_g, pack.surfaces
    for check in sample.checks:
        wanted = attributes_at(study, protocol, sample, check)
        before = grams
        unread = unreadable(wanted, before, surfaces)
        kept = [one for one in wanted if one.name not in unread]
        grams -= taken(kept)
        if surfaces is not None:
            surfaces -= sum(one.takes_surfaces for one in kept)
        yield FillLevel(
            batch=sample.batch,
            pack=pack.name,
            condition=sample.condition,
            use=sample.use,
            check=check,
            fill_g=pack.fill_g,
            before_g=before,
            left_g=grams,
            surfaces_left=surfaces,
            unread=unread,
        )


def attributes_at(
    study: Study, protocol: Protocol, sample: Sample, check: str
) -> list[Attribute]:
    """Return the attributes read in a sample at a check, weighings left out."""
    return [
        protocol.attributes[name]
        for name, part in expected(study, protocol, sample, check)
        if part is None
    ]


def taken(attributes: Iterable[Attribute]) -> Decimal:
    """Return what one check of these attributes uses up [g]."""
    return sum((one.takes_g or Decimal(0) for one in attributes), Decimal(0))


def unreadable(
    attributes: Sequence[Attribute], grams: Decimal, surfaces: int | None
) -> tuple[str, ...]:
    """Return the attributes for which too little is left.

    What goes back is read first; then each takes its share in the protocol's order.

    Parameters
    ----------
    attributes
        What is to be read.
    grams
        What is there [g].
    surfaces
        Surfaces that are there [-]; None where the pack states none.
    """
    found = []
    left, free = grams, surfaces
    for one in attributes:
        use, holes = one.takes_g or Decimal(0), one.takes_surfaces
        too_little = use > left or (one.needs_g or Decimal(0)) > grams
        if too_little or (free is not None and holes > free):
            found.append(one.name)
            continue
        left -= use
        free = None if free is None else free - holes
    return tuple(found)


def feeds(
    study: Study, protocol: Protocol, pack: Pack, condition: str, checks: Sequence[str]
) -> bool:
    """Say whether one container of a pack is enough for all these checks."""
    sample = Sample(
        code="",
        batch=next(iter(study.batches)),
        pack=pack.name,
        condition=condition,
        kind="container",
        use="reopened",
        checks=tuple(checks),
    )
    return not any(one.unread for one in levels_of(study, protocol, sample))
