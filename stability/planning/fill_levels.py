"""What is left in a container at each check, when every check takes a little of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
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
    found: dict[Sample, tuple[FillLevel, ...]] = {}
    for sample in samples:
        alike = replace(sample, code="")
        if alike not in found:
            found[alike] = tuple(levels_of(study, protocol, sample))
    return tuple(level for levels in found.values() for level in levels)


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
            sample=sample.code,
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


def dry_words(protocol: Protocol, levels: Sequence[FillLevel]) -> Iterator[str]:
    """Yield what cannot be read because too little is left, and what to do.

    A test for which even a full pack is too small is told once; the others with the
    first check at which they fail.

    Parameters
    ----------
    protocol
        The protocol, which says what each test needs.
    levels
        What is left in each container, check by check.
    """
    small: dict[tuple[str, str], FillLevel] = {}
    first: dict[tuple[tuple[str, ...], str, str], FillLevel] = {}
    for level in levels:
        for name in level.unread:
            if (protocol.attributes[name].needs_g or 0) > level.fill_g:
                small.setdefault((name, level.pack), level)
        rest = tuple(one for one in level.unread if (one, level.pack) not in small)
        if rest:
            first.setdefault((rest, level.pack, level.condition), level)
    for (name, pack), level in small.items():
        yield (
            f"a full {pack} holds {level.fill_g} g, and {name} needs "
            f"{protocol.attributes[name].needs_g} g: leave {name} out with its reason, "
            "or take a larger pack"
        )
    places: dict[tuple[str, ...], list[str]] = {}
    for (names, pack, condition), level in first.items():
        places.setdefault(names, []).append(f"{pack} in {condition} at {level.check}")
    for names, where in places.items():
        yield (
            f"too little is left for {listed(names)} in {listed(where)}: read it at "
            "fewer checks, take a larger pack or a second container"
        )


def listed(names: Sequence[str]) -> str:
    """Return names as a sentence lists them.

    Examples
    --------
    >>> listed(["JAR"]), listed(["JAR", "PUMP", "GLASS"])
    ('JAR', 'JAR, PUMP and GLASS')
    """
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last
