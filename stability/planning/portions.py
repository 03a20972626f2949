"""The portions of work that a plan shares out between batches, and why each is there.

Most important first; a portion that every batch must carry, one that some batch must
carry, and one that is left out first where the grams do not reach.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from math import ceil
from typing import Final, Literal

from stability.model.age import T0, check_order, parse_age
from stability.model.attribute import Attribute
from stability.model.condition import Condition
from stability.model.protocol import Protocol
from stability.model.study import Pack, Sample, SampleRow, Study
from stability.planning.fill_levels import attributes_at, feeds, taken
from stability.planning.grams import packs_as_sold
from stability.planning.prices import price_of

#: T0 bulk where the protocol states no grams (common practice: two for pH, two for
#: nose and eye, 16 for a viscometer, of which most goes back) [g].
USUAL_T0: Final = Decimal(20)
#: How often T0 can be read from its bulk, because it stands in every series and cannot
#: be read again later (common practice) [-].
T0_TIMES: Final = 3
#: Tubes for the centrifuge: two, which balance each other, of 10 g (common practice).
TUBES, TUBE_G = 2, Decimal(10)
#: Cycled containers beside one untreated twin (common practice) [-].
CYCLED: Final = 3
#: Challenge test: five strains of 20 g (from memory), and two plate counts of 10 g
#: (common practice); ask the laboratory [g].
USUAL_SENT_OUT: Final = Decimal(120)
#: Real time below which a protocol only screens: a challenge test is paid for when the
#: formula has stood that long (common practice) [months].
SCREENS_BELOW: Final = 2
#: Roles whose conditions every batch must carry: the request rests on each batch.
IN_EVERY_BATCH: Final = ("long-term", "intermediate", "accelerated")

Carried = Literal["every batch", "one batch", "where it fits"]


@dataclass(frozen=True, slots=True)
class Portion:
    """Rows that go to one batch together."""

    #: Short name, unique in a plan.
    name: str
    #: Who must carry it.
    carried: Carried
    #: Rows, still without a batch.
    rows: tuple[SampleRow, ...]
    #: What is not seen without it.
    costs: str
    #: Portion whose batch it should share; None where that does not matter.
    beside: str | None = None
    #: Portion whose batch it must not share; None where that does not matter.
    apart_from: str | None = None


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the maker may change of how a study is shared out."""

    #: Mass sent out for challenge test and counts [g]; 0 where nothing is, None for
    #: what is usual for the product and protocol.
    sent_out_g: Decimal | None = None
    #: True for a fresh container at each check in what every batch carries.
    fresh: bool = False


def portions(study: Study, protocol: Protocol, wishes: Wishes) -> tuple[Portion, ...]:
    """Return every portion of work, most important first.

    Parameters
    ----------
    study
        Batches, packs, request and omissions; its rows are not looked at.
    protocol
        Its protocol.
    wishes
        What the maker changed.
    """
    first, *others = packs_as_sold(study)
    found = [*_every_batch(study, protocol, first, wishes)]
    found += _once(study, protocol, first, wishes)
    for pack in others:
        found += _other_pack(study, protocol, pack)
    found += _where_it_fits(study, protocol, first, wishes)
    return tuple(found)


def _every_batch(
    study: Study, protocol: Protocol, pack: Pack, wishes: Wishes
) -> Iterator[Portion]:
    first = SampleRow((), "T0", kind="bulk", grams=t0_bulk(study, protocol))
    if any(one.takes_surfaces for one in read(study, protocol)):
        first = SampleRow((), "T0", 1, pack.name)  # a needle needs a set surface
    yield Portion("T0", "every batch", (first,), "no initial value: nothing is judged")
    for condition in standing(study, protocol):
        if condition.role not in IN_EVERY_BATCH:
            continue
        row = _row(study, protocol, pack, condition)
        if wishes.fresh:
            row = SampleRow((), "fresh per check", 1, pack.name, condition.name)
        costs = f"{condition.role} of a batch: what it is asked for rests on each batch"
        yield Portion(f"in {condition.name}", "every batch", (row,), costs)
    yield Portion(
        "retained",
        "every batch",
        (SampleRow((), "retained", 1, pack.name),),
        "no sample of the batch is left when somebody complains",
    )


def _once(
    study: Study, protocol: Protocol, pack: Pack, wishes: Wishes
) -> Iterator[Portion]:
    """Yield what is compared, use after opening, and what goes to a laboratory."""
    first = None
    for condition in _compared(study, protocol):
        container = _container(study, protocol, pack, condition)
        rows = [_row(study, protocol, container, condition)]
        twin = protocol.twins_of_light().get(condition.name)
        if twin is not None and twin not in study.omit:
            rows.append(_row(study, protocol, container, protocol.conditions[twin]))
        costs, name = price_of(condition, protocol), f"in {condition.name}"
        yield Portion(name, "one batch", tuple(rows), costs, first)
        first = first or name
    if any(one.on == "tube" for one in read(study, protocol)):
        tubes = SampleRow((), "T0", TUBES, kind="tube", grams=TUBE_G)
        yield Portion("tubes", "one batch", (tubes,), "no centrifuge at T0", first)
    grams = wishes.sent_out_g
    if grams is None:
        grams = usual_sent_out(study, protocol)
    if grams > 0:
        sent = SampleRow((), "sent out", kind="bulk", grams=grams)
        costs = "no preservation efficacy test and no plate counts on this product"
        yield Portion("sent out", "one batch", (sent,), costs)
    for condition in standing(study, protocol):
        if is_in_use(condition):
            row = _row(study, protocol, pack, condition)
            costs = "no evidence for the period after opening"
            yield Portion(f"in {condition.name}", "one batch", (row,), costs)


def _container(
    study: Study, protocol: Protocol, pack: Pack, condition: Condition
) -> Pack:
    """Return small inert glass for stress and light, the pack as sold for a control."""
    small = condition.role == "stress" or condition.name in dark_twins(protocol)
    return (inert_pack(study, protocol, condition) if small else None) or pack


def _compared(study: Study, protocol: Protocol) -> list[Condition]:
    """Return controls, stress, light and cycles, the cold control first."""
    dark = dark_twins(protocol)
    found = [
        one
        for one in standing(study, protocol)
        if one.role not in IN_EVERY_BATCH
        and not is_in_use(one)
        and (one.name not in dark or _light_of(one, protocol) in study.omit)
    ]
    return sorted(found, key=lambda one: one.role != "control")


def _light_of(twin: Condition, protocol: Protocol) -> str:
    """Return the condition in the light that goes with a dark twin."""
    lit = {dark: light for light, dark in protocol.twins_of_light().items()}
    return lit[twin.name]


def _other_pack(study: Study, protocol: Protocol, pack: Pack) -> Iterator[Portion]:
    """Yield what a further pack as sold is read in, by two batches if they can."""
    carrying = [
        _row(study, protocol, pack, one)
        for one in standing(study, protocol)
        if one.role in ("long-term", "accelerated")
    ]
    if not carrying:
        return
    rows = tuple(carrying)
    one = f"{pack.name} 1"
    yield Portion(one, "one batch", rows, f"nothing is shown for {pack.name}")
    if len(study.batches) > 1:
        costs = f"{pack.name} is shown by one batch only"
        yield Portion(f"{pack.name} 2", "where it fits", rows, costs, apart_from=one)
    cold = tuple(
        _row(study, protocol, pack, condition)
        for condition in standing(study, protocol)
        if condition.role == "control" and condition.name not in dark_twins(protocol)
    )
    if cold:
        costs = f"nose and eye compare {pack.name} with the control of another pack"
        yield Portion(f"{pack.name} control", "where it fits", cold, costs, one)
    for condition in standing(study, protocol):
        if is_in_use(condition):
            row = _row(study, protocol, pack, condition)
            costs = f"no evidence for {pack.name} after opening"
            own, beside = f"{pack.name} in {condition.name}", f"in {condition.name}"
            yield Portion(own, "where it fits", (row,), costs, beside)
    kept = SampleRow((), "retained", 1, pack.name)
    costs = f"no retained sample in {pack.name}"
    yield Portion(f"{pack.name} retained", "where it fits", (kept,), costs, one)


def _where_it_fits(
    study: Study, protocol: Protocol, pack: Pack, wishes: Wishes
) -> Iterator[Portion]:
    for condition in standing(study, protocol):
        check = asked_check(condition, study.request.months)
        if condition.role != "long-term" or check is None or wishes.fresh:
            continue
        row = SampleRow((), "untouched", 1, pack.name, condition.name, open_at=check)
        costs = f"at {check} every container has been opened before"
        yield Portion("untouched", "where it fits", (row,), costs)
    glass = next((one for one in study.packs.values() if one.inert), None)
    hot = [one for one in standing(study, protocol) if one.role == "accelerated"]
    if glass is not None and glass is not pack and hot:
        rows = tuple(_row(study, protocol, glass, one) for one in hot)
        costs = "a change in the pack as sold cannot be told from one of the formula"
        yield Portion("inert", "where it fits", rows, costs)
    spare = SampleRow((), "spare", 1, pack.name)
    for name in study.batches:
        costs = f"a container of batch {name} that breaks or leaks ends its series"
        yield Portion(f"spare {name}", "where it fits", (spare,), costs)


def _row(
    study: Study, protocol: Protocol, pack: Pack, condition: Condition
) -> SampleRow:
    """Return the row of a pack in a condition: one container, opened again."""
    checks = fed_checks(study, protocol, pack, condition)
    return SampleRow(
        batch=(),
        use="in use" if is_in_use(condition) else "reopened",
        count=CYCLED if condition.cycles else 1,
        pack=pack.name,
        condition=condition.name,
        checks=() if checks == condition.all_checks else checks,
        untreated_twins=1 if condition.untreated_twin else 0,
    )


def fed_checks(
    study: Study, protocol: Protocol, pack: Pack, condition: Condition
) -> tuple[str, ...]:
    """Return the checks that one container of a pack can feed.

    All of them where it can; else the least needed are left out one by one: first
    those beyond the months asked for, the latest first, then the youngest. The check
    at the months asked for and the last check of the others are kept longest. Where
    not even half of the checks that are asked for could be fed, all are kept, and the
    plan tells that the container runs dry.

    Parameters
    ----------
    study, protocol
        Request and omissions; what each test takes.
    pack
        The pack.
    condition
        The condition.
    """
    checks = list(condition.all_checks)
    asked = asked_check(condition, study.request.months)
    beyond = [
        one
        for one in checks
        if asked is not None and check_order(one) > check_order(asked)
    ]
    going = [*reversed(beyond), *(one for one in checks if one not in beyond)]
    least = ceil((len(checks) - len(beyond)) / 2)
    for one in going:
        if feeds(study, protocol, pack, condition.name, checks):
            return tuple(checks)
        if len(checks) > least and (one not in (asked, checks[-1]) or one in beyond):
            checks.remove(one)
    fed = feeds(study, protocol, pack, condition.name, checks)
    return tuple(checks) if fed else condition.all_checks


def asked_check(condition: Condition, months: int) -> str | None:
    """Return the first check at or beyond the months asked for; None without one."""
    for check in condition.checks:
        age = parse_age(check)
        if age is not None and age.whole_months >= months:
            return check
    return None


def inert_pack(study: Study, protocol: Protocol, condition: Condition) -> Pack | None:
    """Return the smallest inert pack that feeds every check of a condition.

    The largest inert pack where none does; None where the study has no inert pack.
    """
    inert = [pack for pack in study.packs.values() if pack.inert]
    by_size = sorted(inert, key=lambda pack: pack.fill_g or Decimal(0))
    for pack in by_size:
        if feeds(study, protocol, pack, condition.name, condition.all_checks):
            return pack
    return by_size[-1] if by_size else None


def t0_bulk(study: Study, protocol: Protocol) -> Decimal:
    """Return the bulk of each batch for its T0 readings [g].

    Enough to read T0 three times over, or once beside what goes back, in steps of 5 g.
    """
    batch = next(iter(study.batches))
    bulk = Sample("", batch, None, None, "bulk", "T0", (T0,))
    wanted = attributes_at(study, protocol, bulk, T0)
    once = taken(wanted)
    if once == 0:
        return USUAL_T0
    returned = max((one.needs_g or Decimal(0) for one in wanted), default=Decimal(0))
    least = max(T0_TIMES * once, once + returned)
    return Decimal(ceil(least / 5) * 5)


def usual_sent_out(study: Study, protocol: Protocol) -> Decimal:
    """Return what is sent out where nobody says otherwise [g].

    Nothing of a product without water, and nothing where real time is so short that
    the protocol only screens.
    """
    shown = [
        age.whole_months
        for condition in standing(study, protocol)
        if condition.role == "long-term"
        for check in condition.checks
        if (age := parse_age(check)) is not None
    ]
    screens = max(shown, default=0) < SCREENS_BELOW
    return Decimal(0) if screens or not study.contains_water else USUAL_SENT_OUT


def standing(study: Study, protocol: Protocol) -> Iterator[Condition]:
    """Yield the conditions that the study does not omit."""
    for condition in protocol.conditions.values():
        if condition.name not in study.omit:
            yield condition


def read(study: Study, protocol: Protocol) -> Iterator[Attribute]:
    """Yield the attributes that the study does not omit."""
    for attribute in protocol.attributes.values():
        if attribute.name not in study.omit:
            yield attribute


def is_in_use(condition: Condition) -> bool:
    """Say whether the samples of a condition are opened and used."""
    return condition.age_from == "first opening"


def dark_twins(protocol: Protocol) -> frozenset[str]:
    """Return the conditions that are the dark twin of another."""
    return frozenset(protocol.twins_of_light().values())
