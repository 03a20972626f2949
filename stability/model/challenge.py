"""A preservation challenge held against the table of ISO 11930:2019.

The table says by how much the count of each organism must have fallen after 7, 14 and
28 days, in log10 from the count at the start; NI asks for no increase from the contact
time before. The values are those that laboratories print of the standard. That an
increase is read with a tolerance of 0.5 log, and that these five organisms are the
ones to be tested, is from memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Context, Decimal
from typing import Final, Literal

from stability.model.certificate import ResultRow
from stability.model.number import Number

#: What a challenge, or one organism of it, amounts to.
Criterion = Literal["criteria A", "criteria B", "not met", "undecided"]
OrganismKind = Literal["bacteria", "yeast", "mould"]

#: Days of contact at which counts are taken [d].
DAYS: Final = (7, 14, 28)
#: Organism -> its row in the table.
ORGANISMS: Final[Mapping[str, OrganismKind]] = {
    "P. aeruginosa": "bacteria",
    "S. aureus": "bacteria",
    "E. coli": "bacteria",
    "C. albicans": "yeast",
    "A. brasiliensis": "mould",
}
#: By how much a count may rise and still count as no increase [log10], from memory.
TOLERANCE: Final = Decimal("0.5")
#: What a user is to know about the tolerance wherever it decides.
TOLERANCE_TEXT: Final = (
    "an increase of up to 0.5 log counts as none, which is from memory: read ISO 11930"
)

_CONTEXT: Final = Context(prec=28)


@dataclass(frozen=True, slots=True)
class Demand:
    """What the table asks at one contact time."""

    #: Day of contact [d].
    day: int
    #: Least reduction [log10].
    least: Decimal
    #: Whether the count must not rise from the contact time before.
    no_increase: bool = False


def _demands(*asked: tuple[int, int, bool]) -> tuple[Demand, ...]:
    return tuple(Demand(day, Decimal(least), ni) for day, least, ni in asked)


#: (row, criterion) -> what is asked; a day that is not there is not required.
TABLE: Final[Mapping[tuple[OrganismKind, str], tuple[Demand, ...]]] = {
    ("bacteria", "A"): _demands((7, 3, False), (14, 3, True), (28, 3, True)),
    ("bacteria", "B"): _demands((14, 3, False), (28, 3, True)),
    ("yeast", "A"): _demands((7, 1, False), (14, 1, True), (28, 1, True)),
    ("yeast", "B"): _demands((14, 1, False), (28, 1, True)),
    ("mould", "A"): _demands((14, 0, False), (28, 1, True)),
    ("mould", "B"): _demands((14, 0, False), (28, 0, True)),
}


@dataclass(frozen=True, slots=True)
class LogReduction:
    """By how much a count has fallen since the start."""

    #: Day of contact [d].
    day: int
    #: The reduction, or its bound [log10].
    value: Decimal
    #: ">" where it is more, "<" where it is less, "" where it is the value itself.
    qualifier: str = ""
    #: The count behind it, as typed; "" where the laboratory states the reduction.
    count: str = ""

    def __str__(self) -> str:
        if not self.count:
            return f"{self.qualifier}{self.value}"
        shown = self.value.quantize(Decimal("0.001"))
        if shown > self.value and shown == shown.to_integral_value():
            # What lies below a bound of the table must not print as the bound.
            shown = self.value.quantize(Decimal("0.001"), "ROUND_FLOOR")
        return f"{self.qualifier}{shown}"


@dataclass(frozen=True, slots=True)
class OrganismFinding:
    """One organism held against its row of the table."""

    #: The organism.
    organism: str
    #: Its row of the table; None for an organism that the table does not have.
    row: OrganismKind | None
    #: Count at the start, as typed; "" where it was not given.
    initial: str
    #: Reductions by day.
    reductions: tuple[LogReduction, ...]
    #: What it amounts to.
    criterion: Criterion
    #: Whether the laboratory states it and gives neither counts nor reductions.
    stated_only: bool
    #: What the laboratory states of this organism; None where it states nothing.
    stated: Criterion | None
    #: Why it is no better, and what decided it.
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ChallengeFinding:
    """A whole challenge held against the table."""

    #: Each organism, in the order of the table.
    organisms: tuple[OrganismFinding, ...]
    #: What all of them amount to by the table.
    criterion: Criterion
    #: The worse of that and of what the laboratory states, of the whole or of one
    #: organism: who tested may know more than the numbers say.
    governing: Criterion
    #: Why it is undecided, and whatever else a reader must know.
    reasons: tuple[str, ...]
    #: Whether it rests on what the laboratory states alone.
    stated_only: bool


def log_reduction(day: int, initial: Number, count: Number) -> LogReduction | None:
    """Return the log10 reduction between two counts.

    Parameters
    ----------
    day
        Day of contact [d].
    initial
        Count at the start [CFU per g or ml].
    count
        Count on that day [CFU per g or ml]; `<10` gives "more than".

    Returns
    -------
    LogReduction or None
        None where the qualifiers of both leave everything open.

    Examples
    --------
    >>> from stability.model.plate_count import parse_count
    >>> found = log_reduction(7, parse_count("2.5x10^5"), parse_count("2.0x10^2"))
    >>> str(found)
    '3.097'
    """
    opposite = {"<": ">", ">": "<", "": ""}[count.qualifier]
    signs = {initial.qualifier, opposite} - {""}
    if len(signs) > 1:
        return None
    ratio = _CONTEXT.divide(initial.value, count.value)
    sign = next(iter(signs), "")
    return LogReduction(day, _CONTEXT.log10(ratio), sign, str(count))


def judge_challenge(
    rows: Iterable[ResultRow], verdict: Criterion | None
) -> ChallengeFinding:
    """Hold the results of a challenge against the table.

    Parameters
    ----------
    rows
        Counts at the start and by day, log reductions, or what the laboratory states,
        organism by organism.
    verdict
        What the laboratory states of the whole; None where it states nothing that the
        table knows.
    """
    by_organism: dict[str, list[ResultRow]] = {}
    for row in rows:
        by_organism.setdefault(row.name, []).append(row)
    if not by_organism:
        why = "the certificate gives neither counts nor reductions: nothing is computed"
        stated = verdict or "undecided"
        return ChallengeFinding((), stated, stated, (why,), stated_only=True)
    order = {name: place for place, name in enumerate(ORGANISMS)}
    names = sorted(by_organism, key=lambda one: order.get(one, len(order)))
    found = tuple(judge_organism(name, by_organism[name]) for name in names)
    return _whole(found, verdict)


def judge_organism(organism: str, rows: Sequence[ResultRow]) -> OrganismFinding:
    """Hold one organism against its row of the table."""
    row = ORGANISMS.get(organism)
    initial, reductions = _reductions(rows)
    stated = next(
        (verdict_of(one.value) for one in rows if one.measure == "word"), None
    )
    reasons: tuple[str, ...]
    criterion: Criterion
    if row is None:
        criterion, reasons = "undecided", ("the table has no row for it: not judged",)
    elif not reductions:
        criterion = stated or "undecided"
        reasons = ("as the laboratory states; nothing is computed",)
    else:
        criterion, reasons = _criterion(row, {one.day: one for one in reductions})
    return OrganismFinding(
        organism=organism,
        row=row,
        initial=initial,
        reductions=reductions,
        criterion=criterion,
        stated_only=not reductions,
        stated=stated,
        reasons=reasons,
    )


def _reductions(rows: Sequence[ResultRow]) -> tuple[str, tuple[LogReduction, ...]]:
    """Return the count at the start as typed, and the reductions by day."""
    counts = {
        one.day: one.number
        for one in rows
        if one.measure == "count" and one.day is not None
    }
    found = [
        LogReduction(one.day, one.number.value, one.qualifier)
        for one in rows
        if one.measure == "log reduction" and one.day is not None
    ]
    initial = counts.pop(0, None)
    if initial is not None:
        made = (log_reduction(day, initial, one) for day, one in counts.items())
        found += [one for one in made if one is not None]
    ordered = tuple(sorted(found, key=lambda one: one.day))
    return "" if initial is None else str(initial), ordered


def _criterion(
    row: OrganismKind, by_day: Mapping[int, LogReduction]
) -> tuple[Criterion, tuple[str, ...]]:
    is_a, why_not_a = _meets(TABLE[row, "A"], by_day)
    if is_a:
        return "criteria A", why_not_a
    is_b, why_not_b = _meets(TABLE[row, "B"], by_day)
    if is_b:
        faults = (one for one in why_not_a if one not in why_not_b)
        return "criteria B", (
            *(f"criteria A not shown: {one}" for one in faults),
            *why_not_b,
        )
    if is_b is False:
        return "not met", why_not_b
    return "undecided", why_not_b


def _meets(
    demands: Sequence[Demand], by_day: Mapping[int, LogReduction]
) -> tuple[bool | None, tuple[str, ...]]:
    """Say whether all demands are met, None where it cannot be told; and why."""
    answers: list[bool | None] = []
    reasons: list[str] = []
    for demand in demands:
        now = by_day.get(demand.day)
        if now is None:
            answers.append(None)
            reasons.append(f"day {demand.day} is missing")
            continue
        answers.append(_reaches(now, demand.least))
        reasons += _told(now, demand, answers[-1])
        if demand.no_increase:
            answer, told = _not_increased(by_day, demand.day)
            answers.append(answer)
            reasons += told
    if False in answers:
        return False, tuple(reasons)
    return None if None in answers else True, tuple(reasons)


def _told(now: LogReduction, demand: Demand, answer: bool | None) -> list[str]:
    if answer:
        return []
    lead = f"day {now.day}: {now} log, {demand.least} asked for"
    if answer is None:
        return [f"{lead}, which may or may not be reached"]
    near = now.value + TOLERANCE >= demand.least and not demand.least
    note = "; whether a tolerance of 0.5 log holds here is for the laboratory to say"
    return [f"{lead}{note if near else ''}"]


def _reaches(now: LogReduction, least: Decimal) -> bool | None:
    if now.qualifier == ">":
        return True if now.value >= least else None
    if now.qualifier == "<":
        return False if now.value <= least else None
    return now.value >= least


def _not_increased(
    by_day: Mapping[int, LogReduction], day: int
) -> tuple[bool | None, list[str]]:
    """Say whether a count did not rise since the contact time before.

    A count below what the method finds stands at that bound, so that a count at the
    bound after it is no increase.
    """
    before = by_day.get(DAYS[DAYS.index(day) - 1])
    now = by_day[day]
    if before is None:
        return None, []
    floor = before.value - TOLERANCE
    lead = f"day {day}: {now} log after {before} on day {before.day}"
    if now.qualifier == "<":
        rises = now.value <= floor and before.qualifier != "<"
        return (False if rises else None), [f"{lead}, an increase or perhaps one"]
    if now.value >= floor:
        within = now.value < before.value and not now.qualifier
        return True, [f"{lead}; {TOLERANCE_TEXT}"] if within else []
    if now.qualifier == ">" or before.qualifier == "<":
        return None, [f"{lead}, perhaps an increase"]
    return False, [f"{lead}, an increase of more than {TOLERANCE} log"]


def verdict_of(text: str) -> Criterion | None:
    """Return what a laboratory's words say in terms of the table; None where nothing.

    Examples
    --------
    >>> verdict_of("Criterion A"), verdict_of("complies")
    ('criteria A', None)
    """
    plain = " ".join(text.casefold().replace("criterion", "criteria").split())
    short = plain.removeprefix("meets ").removeprefix("criteria ")
    if short in {"a", "b"}:
        return "criteria A" if short == "a" else "criteria B"
    negative = {"not met", "does not meet", "fail", "fails", "failed", "not conform"}
    return "not met" if plain in negative else None


def worst(criteria: Iterable[Criterion]) -> Criterion:
    """Return the worst of some criteria; what is undecided is worse than B."""
    order: Sequence[Criterion] = ("not met", "undecided", "criteria B", "criteria A")
    return min(criteria, key=order.index)


def _whole(
    found: tuple[OrganismFinding, ...], verdict: Criterion | None
) -> ChallengeFinding:
    known = [one for one in found if one.row is not None]
    lacking = [
        name for name in ORGANISMS if name not in {one.organism for one in found}
    ]
    reasons = [f"no result for {', '.join(lacking)}"] if lacking else []
    open_ones = [one.organism for one in known if one.criterion == "undecided"]
    if open_ones:
        reasons.append(f"undecided for {', '.join(open_ones)}")
    stated = [one.organism for one in known if one.stated_only]
    if stated:
        reasons.append(f"nothing is computed for {', '.join(stated)}")
    criteria = {one.criterion for one in known}
    criterion: Criterion
    if "not met" in criteria:
        criterion = "not met"
    elif lacking or open_ones:
        criterion = "undecided"
    else:
        criterion = "criteria B" if "criteria B" in criteria else "criteria A"
    alone = bool(known) and len(stated) == len(known)
    said = [verdict, *(one.stated for one in found)]
    governing = worst([criterion, *(one for one in said if one is not None)])
    if governing != criterion:
        reasons.append(f"the laboratory states {governing}, which governs")
    return ChallengeFinding(
        found, criterion, governing, tuple(reasons), stated_only=alone
    )
