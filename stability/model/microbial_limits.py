"""Plate counts held against the limits of ISO 17516.

Category 1 is for the eye area, mucous membranes and children under 3; category 2 for
everything else. The limit is on bacteria, yeast and mould together, and four organisms
must be absent in 1 g or 1 ml. Because counts vary, the standard treats only what lies
above twice the limit as out of it; that is from memory, told and never applied.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, Literal

from stability.model.certificate import ResultRow
from stability.model.number import Number
from stability.model.plate_count import count_words

#: What counts are against the limit.
CountMark = Literal["inside", "outside", "undecided"]

#: Category -> highest count, inclusive [CFU per g or ml].
LIMITS: Final[Mapping[int, Decimal]] = {1: Decimal(100), 2: Decimal(1000)}
#: Category -> up to where a count may be taken as varying only, from memory
#: [CFU per g or ml].
VARYING: Final[Mapping[int, Decimal]] = {1: Decimal(200), 2: Decimal(2000)}
#: Organisms that must be absent in 1 g or 1 ml.
SPECIFIED: Final = ("E. coli", "P. aeruginosa", "S. aureus", "C. albicans")
#: What a certificate may state of an organism.
ABSENT, PRESENT = "absent", "present"
#: Kinds of counts: all together, or the two parts of it.
TOTAL, BACTERIA, YEAST_AND_MOULD = "total", "bacteria", "yeast and mould"
COUNTS: Final = (TOTAL, BACTERIA, YEAST_AND_MOULD)
#: Category -> for what it is.
CATEGORY_TEXTS: Final[Mapping[int, str]] = {
    1: "category 1 (eye area, mucous membranes, children under 3)",
    2: "category 2 (all but eye area, mucous membranes, children under 3)",
}

_TOTAL_UNCLEAR: Final = (
    "whether the total holds yeast and mould is not stated; together {together}, limit "
    "{limit} CFU: ask the laboratory"
)


@dataclass(frozen=True, slots=True)
class CountFinding:
    """The counts of a certificate held against the limit of a category."""

    #: The category.
    category: int
    #: Highest count, inclusive [CFU per g or ml].
    limit: Decimal
    #: Bacteria, yeast and mould together; None where it cannot be told.
    total: Number | None
    #: Organism -> "absent" or "present", as stated.
    organisms: Mapping[str, str]
    #: What all of it amounts to.
    mark: CountMark
    #: Why it is outside or undecided, and whatever else a reader must know.
    reasons: tuple[str, ...]


def judge_counts(rows: Iterable[ResultRow], category: int) -> CountFinding:
    """Hold counts and organisms against the limits of a category.

    Parameters
    ----------
    rows
        Counts by their kind, and organisms as absent or present.
    category
        Category of the product.
    """
    given = list(rows)
    counts = {one.name: one.number for one in given if one.measure == "count"}
    organisms = {one.name: one.value for one in given if one.measure == "word"}
    limit = LIMITS[category]
    total = total_of(counts)
    marks: list[CountMark] = []
    reasons: list[str] = []
    for mark, told in (
        *_of_counts(counts, total, category),
        *_of_organisms(organisms),
    ):
        marks.append(mark)
        reasons += [told] if told else []
    order: Sequence[CountMark] = ("outside", "undecided", "inside")
    worst = next(one for one in order if one in marks)
    return CountFinding(category, limit, total, organisms, worst, tuple(reasons))


def total_of(counts: Mapping[str, Number]) -> Number | None:
    """Return bacteria, yeast and mould together; None where it cannot be told.

    Parts below what the method finds add up to a bound: `<10` and `<10` are `<20`.
    """
    if TOTAL in counts:
        return counts[TOTAL]
    parts = [counts[name] for name in (BACTERIA, YEAST_AND_MOULD) if name in counts]
    return _sum(parts) if len(parts) == 2 else None


def _sum(parts: Sequence[Number]) -> Number:
    above = [one for one in parts if one.qualifier == ">"]
    if above:
        # A part below its bound may be nothing, so that it adds nothing that is sure.
        parts = [one for one in parts if one.qualifier != "<"]
    sign = ">" if above else "<" if any(one.qualifier for one in parts) else ""
    value = sum((one.value for one in parts), Decimal(0))
    return Number(f"{value:f}", sign, value)


def against(count: Number, limit: Decimal) -> CountMark:
    """Say on which side of an inclusive limit a count lies.

    Parameters
    ----------
    count
        The count, perhaps `<10` or `>300` [CFU per g or ml].
    limit
        The limit [CFU per g or ml].
    """
    if count.qualifier == "<":
        return "inside" if count.value <= limit else "undecided"
    if count.qualifier == ">":
        return "outside" if count.value >= limit else "undecided"
    return "inside" if count.value <= limit else "outside"


def _of_counts(
    counts: Mapping[str, Number], total: Number | None, category: int
) -> Iterable[tuple[CountMark, str]]:
    limit = LIMITS[category]
    if not counts:
        yield "undecided", "no count is given"
        return
    for name, count in counts.items():
        if against(count, limit) == "outside":
            yield "outside", _over(name, count, category)
    if total is None:
        lacking = YEAST_AND_MOULD if BACTERIA in counts else BACTERIA
        why = f"{lacking} is not given: the limit is on both together"
        yield "undecided", why
        return
    mark = against(total, limit)
    if TOTAL not in counts and mark == "outside":
        yield "outside", _over("bacteria with yeast and mould", total, category)
    elif mark == "undecided":
        yield "undecided", f"{total} may lie on either side of {limit} CFU"
    else:
        yield mark, ""
    together = _apart(counts)
    if together is not None and against(together, limit) != "inside":
        yield (
            "undecided",
            _TOTAL_UNCLEAR.format(together=together, limit=limit),
        )


def _apart(counts: Mapping[str, Number]) -> Number | None:
    """Return total and yeast and mould added, for a total that perhaps lacks them."""
    if BACTERIA in counts or not {TOTAL, YEAST_AND_MOULD} <= counts.keys():
        return None
    return _sum([counts[TOTAL], counts[YEAST_AND_MOULD]])


def _over(name: str, count: Number, category: int) -> str:
    limit, varying = LIMITS[category], VARYING[category]
    told = f"{name} {count_words(count)} CFU, limit {limit}"
    if count.qualifier or count.value > varying:
        return told
    return (
        f"{told}; that up to {varying} counts as varying only is from memory and not "
        "applied: read ISO 17516"
    )


def _of_organisms(organisms: Mapping[str, str]) -> Iterable[tuple[CountMark, str]]:
    for name, word in organisms.items():
        if word == PRESENT:
            yield "outside", f"{name} is present in 1 g or 1 ml"
    lacking = [name for name in SPECIFIED if name not in organisms]
    if lacking:
        yield "undecided", f"not stated whether absent: {', '.join(lacking)}"
