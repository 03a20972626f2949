"""What wins grams where a batch is too small, and which comparison each way costs."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from decimal import Decimal
from math import ceil

from stability.model.grams import grams_of_row
from stability.model.plan import BatchGrams, WayOut
from stability.model.protocol import Protocol
from stability.model.study import SampleRow, Study
from stability.planning.grams import packs_as_sold, usable_of
from stability.planning.portions import IN_EVERY_BATCH
from stability.planning.prices import price_of

#: Short batch -> by how much [g].
_Short = Mapping[str, Decimal]


def ways_out(
    study: Study,
    protocol: Protocol,
    batches: Iterable[BatchGrams],
    usable: Decimal,
    further_g: Decimal | None = None,
) -> tuple[WayOut, ...]:
    """Return what wins grams in the batches that are short.

    Those that are enough by themselves come first, in the order in which a maker
    would try them; the others by what they win. Empty where no batch is short.

    Parameters
    ----------
    study
        The study with its rows.
    protocol
        Its protocol.
    batches
        What each batch gives and needs.
    usable
        Share of each batch that can be filled into samples [-].
    further_g
        How much one more batch must be, where the work was shared out [g]; infinite
        where none is enough; None adds up what is short and what every batch carries.
    """
    found = tuple(batches)
    short = {one.batch: one.short_g for one in found if one.short_g > 0}
    if not short:
        return ()
    ways = [
        *_larger_batches(study, short, usable),
        *_further_batch(study, protocol, short, usable, further_g),
        *_other_batches(study, protocol, found),
        *_reopened(study, protocol, short),
        *_without_rows(study, protocol, short),
        *_without_conditions(study, protocol, short),
        *_smaller_packs(study, protocol, short),
    ]
    return tuple(sorted(ways, key=lambda one: (not one.enough, _won(one))))


def _won(way: WayOut) -> Decimal:
    return Decimal(0) if way.enough else -way.grams


def _way(text: str, won: Mapping[str, Decimal], costs: str, short: _Short) -> WayOut:
    enough = all(won.get(name, Decimal(0)) >= need for name, need in short.items())
    total = sum((won.get(name, Decimal(0)) for name in short), Decimal(0))
    return WayOut(text, total, costs, enough)


def _larger_batches(study: Study, short: _Short, usable: Decimal) -> Iterator[WayOut]:
    for name, need in short.items():
        made = study.batches[name].grams or Decimal(0)
        wanted = ceil((made * usable + need) / usable)
        yield _way(
            f"make {wanted} g of batch {name} instead of {plain(made)} g",
            {name: need},
            "no comparison; write the new mass before it is made",
            short,
        )


def _further_batch(
    study: Study,
    protocol: Protocol,
    short: _Short,
    usable: Decimal,
    further_g: Decimal | None,
) -> Iterator[WayOut]:
    total = sum(short.values(), Decimal(0))
    own = _every_batch(study, protocol, next(iter(short)))
    grams = further_g
    if grams is None:
        grams = Decimal(ceil((total + own) / usable))
    if grams.is_finite():
        yield WayOut(
            f"share the work with one more batch, of {plain(grams)} g or more (it "
            f"carries {plain(own)} g as every batch does, and what is short)",
            total,
            "time; it also shows whether batches differ",
            enough=True,
        )


def _every_batch(study: Study, protocol: Protocol, batch: str) -> Decimal:
    """Return what of a batch serves what every batch must carry [g]."""
    first = packs_as_sold(study)[0].name
    rows = [
        row
        for row in study.samples
        if batch in row.batch
        and (row.kind == "bulk" or row.pack == first)
        and (row.use in ("T0", "retained") or _in_every_batch(row, protocol))
        and row.use != "untouched"
    ]
    return sum((grams_of_row(row, study, protocol) for row in rows), Decimal(0))


def _other_batches(
    study: Study, protocol: Protocol, batches: tuple[BatchGrams, ...]
) -> Iterator[WayOut]:
    """Yield rows that a batch with room could carry instead."""
    short = {one.batch: one.short_g for one in batches if one.short_g > 0}
    free = [one for one in batches if (one.left_g or Decimal(0)) > 0]
    for name in short:
        for row in study.samples:
            grams = grams_of_row(row, study, protocol)
            there = next((one for one in free if (one.left_g or 0) >= grams), None)
            moves = row.use != "T0" and not _in_every_batch(row, protocol)
            if row.batch == (name,) and moves and there is not None and grams > 0:
                yield _way(
                    f"take {_words(row)} from batch {there.batch}",
                    {name: grams},
                    "what is compared should stand in one batch: move both sides",
                    short,
                )


def _in_every_batch(row: SampleRow, protocol: Protocol) -> bool:
    condition = protocol.conditions.get(row.condition or "")
    return condition is not None and condition.role in IN_EVERY_BATCH


def _reopened(study: Study, protocol: Protocol, short: _Short) -> Iterator[WayOut]:
    rows = [row for row in study.samples if row.use == "fresh per check"]
    won = {
        name: sum(
            (
                grams_of_row(row, study, protocol)
                - grams_of_row(replace(row, use="reopened"), study, protocol)
                for row in rows
                if name in row.batch
            ),
            Decimal(0),
        )
        for name in short
    }
    if any(won.values()):
        costs = (
            "opening is itself a stress: every report prints that the containers were "
            "opened at each check, and the readings speak for opened ones"
        )
        yield _way("reopen one container instead of a fresh one", won, costs, short)


def _without_rows(study: Study, protocol: Protocol, short: _Short) -> Iterator[WayOut]:
    """Yield uses that a study can do without, each with its price."""
    glass = {pack.name for pack in study.packs.values() if pack.inert}
    sold = [pack.name for pack in packs_as_sold(study)]
    uses: list[tuple[str, Callable[[SampleRow], bool], str]] = [
        (
            "no spares",
            lambda row: row.use == "spare",
            "a container that breaks or leaks ends its series",
        ),
        (
            "no inert comparison",
            lambda row: row.pack in glass and _in_every_batch(row, protocol),
            "a change in the pack as sold cannot be told from one of the formula",
        ),
        (
            "no untouched container",
            lambda row: row.use == "untouched",
            "every container has been opened before: none speaks for unopened ones",
        ),
        (
            "have challenge test and counts made on another batch",
            lambda row: row.use == "sent out",
            "the report prints the certificate as one of another batch",
        ),
    ]
    uses += [
        (
            f"leave {name} out",
            lambda row, name=name: row.pack == name,  # type: ignore[misc]
            f"nothing is shown for {name}: it cannot be sold on this study",
        )
        for name in sold[1:]
    ]
    for text, chosen, costs in uses:
        won = _won_without(study, protocol, short, chosen)
        if any(won.values()):
            yield _way(text, won, costs, short)


def _won_without(
    study: Study,
    protocol: Protocol,
    short: _Short,
    chosen: Callable[[SampleRow], bool],
) -> dict[str, Decimal]:
    """Return short batch -> what the chosen rows take of it [g]."""
    return {
        name: sum(
            (
                grams_of_row(row, study, protocol)
                for row in study.samples
                if name in row.batch and chosen(row)
            ),
            Decimal(0),
        )
        for name in short
    }


def _without_conditions(
    study: Study, protocol: Protocol, short: _Short
) -> Iterator[WayOut]:
    twins = protocol.twins_of_light()
    for condition in protocol.conditions.values():
        if condition.role == "long-term" or condition.name in twins.values():
            continue
        twin = twins.get(condition.name)
        gone = {condition.name, twin or condition.name}
        won = _won_without(
            study,
            protocol,
            short,
            lambda row, gone=gone: row.condition in gone,  # type: ignore[misc]
        )
        if any(won.values()):
            names = f"{condition.name} and {twin}" if twin else condition.name
            costs = price_of(condition, protocol)
            yield _way(f"leave {names} out, with its reason", won, costs, short)


def _smaller_packs(study: Study, protocol: Protocol, short: _Short) -> Iterator[WayOut]:
    """Yield half the fill of the pack that takes most, which is then not as sold."""
    for pack in packs_as_sold(study):
        won = _won_without(
            study,
            protocol,
            short,
            lambda row, name=pack.name: row.pack == name,  # type: ignore[misc]
        )
        if pack.fill_g is None or not any(won.values()):
            continue
        half = {name: grams / 2 for name, grams in won.items()}
        costs = (
            "the pack then differs from the one sold: page 1 says so, and nothing is "
            "shown for the pack as sold; look at the fill at each check again"
        )
        text = f"a pack of {plain(pack.fill_g / 2)} g in place of {pack.name}"
        yield _way(text, half, costs, short)


def usable_share_words(study: Study, usable: Decimal) -> str:
    """Return how much of the batches is counted on, in words."""
    stated = [one for one in study.batches.values() if one.grams is not None]
    example = next(iter(stated), None)
    text = f"{plain(usable * 100)} % of each batch can be filled"
    if example is not None and usable != 1:
        grams = usable_of(example.grams, usable) or Decimal(0)
        text += f" ({plain(grams)} of {plain(example.grams or Decimal(0))} g)"
    return text


def plain(grams: Decimal) -> str:
    """Return a mass without an exponent and without idle zeros."""
    rounded = grams.quantize(Decimal("0.1"))
    return f"{rounded.normalize():f}"


def _words(row: SampleRow) -> str:
    return " ".join(part for part in (row.condition, row.pack, row.use) if part)
