"""Results of a certificate as somebody copies them from the paper.

A challenge: `P. aeruginosa=2.5x10^5/2.0x10^2/<10/<10` are counts at the start and after
7, 14 and 28 days, `-` where one is missing; `C. albicans=log 1.2/2.4/>3.5` are log10
reductions after 7, 14 and 28 days; `E. coli=A` is what the laboratory states. A count:
`total=<10`, `yeast and mould=<10`, `E. coli=absent`. Everything else is the value
alone, such as `97.3`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final

from stability.errors import StabilityError
from stability.errors.samples import ReadingsError
from stability.model.attribute import Attribute
from stability.model.certificate import CertificateKind, ResultRow
from stability.model.challenge import DAYS, ORGANISMS, verdict_of
from stability.model.microbial_limits import (
    ABSENT,
    BACTERIA,
    COUNTS,
    PRESENT,
    SPECIFIED,
    TOTAL,
    YEAST_AND_MOULD,
)
from stability.model.nearest import did_you_mean
from stability.model.number import parse_number
from stability.model.plain_text import checked_name
from stability.model.plate_count import parse_count
from stability.records.names import matching
from stability.records.typed import BenchFacts, read_attribute

#: Where a result was not given.
MISSING: Final = "-"
#: Before an organism that the standard does not name.
OTHER: Final = "other "
_LOG: Final = "log"
#: Organism or count -> other names under which a paper may give it.
_ALSO: Final[Mapping[str, str]] = {
    "Pseudomonas aeruginosa": "P. aeruginosa",
    "Staphylococcus aureus": "S. aureus",
    "Escherichia coli": "E. coli",
    "Candida albicans": "C. albicans",
    "Aspergillus brasiliensis": "A. brasiliensis",
    "TAMC": TOTAL,
    "total aerobic mesophilic count": TOTAL,
    "aerobic mesophilic bacteria": BACTERIA,
    "TYMC": YEAST_AND_MOULD,
    "yeasts and moulds": YEAST_AND_MOULD,
    "yeast and mold": YEAST_AND_MOULD,
}


def read_results(
    typed: Iterable[str], kind: CertificateKind, attribute: Attribute | None
) -> tuple[tuple[ResultRow, ...], str]:
    """Read results as typed.

    Parameters
    ----------
    typed
        One `NAME=VALUES` each; a challenge's verdict and a plain value stand alone.
    kind
        How the certificate is judged.
    attribute
        The attribute of the protocol; None where it has none of that name.

    Returns
    -------
    tuple of ResultRow, and str
        The values, and a challenge's verdict typed among them; "" without one.

    Raises
    ------
    ReadingsError
        With every fault.
    """
    rows: list[ResultRow] = []
    verdicts: list[str] = []
    faults: list[str] = []
    for one in typed:
        try:
            name, equals, values = one.rpartition("=")
            if kind == "challenge" and not equals:
                verdicts.append(_verdict(one))
            else:
                made = _rows(name.strip(), values.strip(), kind, attribute)
                _refuse_twice(rows, made)
                rows += made
        except ReadingsError as error:
            faults += error.faults
        except StabilityError as error:
            faults.append(f"{one!r}: {error}".rstrip("."))
    if len(verdicts) > 1:
        faults.append("more than one verdict is typed")
    if faults:
        raise ReadingsError(faults)
    return tuple(rows), "".join(verdicts)


def _rows(
    name: str, values: str, kind: CertificateKind, attribute: Attribute | None
) -> list[ResultRow]:
    if kind == "challenge":
        return list(_challenge(_organism(name), values))
    if kind == "count":
        return [_count(name, values)]
    if attribute is None:
        raise ValueError("a number or a word is of an attribute")
    return _of_attribute(name, values, attribute)


def _verdict(typed: str) -> str:
    if verdict_of(typed) is None:
        raise ReadingsError(
            [f"{typed!r}: write ORGANISM=VALUES, or A, B or 'not met' for the whole"]
        )
    return checked_name(typed, "the verdict")


def _challenge(organism: str, values: str) -> Iterator[ResultRow]:
    stated = verdict_of(values)
    if stated is not None:
        yield ResultRow(organism, None, "word", stated)
        return
    logs = values.casefold().startswith(f"{_LOG} ")
    parts = [one.strip() for one in values[len(_LOG) * logs :].split("/")]
    days = DAYS if logs else (0, *DAYS)
    if len(parts) != len(days):
        wanted = "/".join(map(str, days))
        what = "log reductions" if logs else "counts"
        fault = f"{organism}: {len(parts)} {what} for the days {wanted}; write "
        raise ReadingsError([f"{fault}'{MISSING}' where one is missing"])
    if not logs and parts[0] == MISSING:
        fault = f"{organism}: without the count at the start nothing can be computed"
        raise ReadingsError([f"{fault}; give the log reductions, 'log 3.1/…'"])
    for day, part in zip(days, parts, strict=True):
        if part == MISSING:
            continue
        number = parse_number(part) if logs else parse_count(part)
        measure = "log reduction" if logs else "count"
        text = number.text.strip()
        yield ResultRow(organism, day, measure, text, number.qualifier)  # type: ignore[arg-type]


def _count(name: str, values: str) -> ResultRow:
    known = (*COUNTS, *SPECIFIED)
    wanted = _named(name, known)
    if wanted in COUNTS:
        number = parse_count(values)
        return ResultRow(wanted, None, "count", number.text, number.qualifier)
    word = values.casefold()
    if word not in {ABSENT, PRESENT}:
        fault = f"{wanted}={values}: write {ABSENT} or {PRESENT}, in 1 g or 1 ml"
        raise ReadingsError([fault])
    return ResultRow(wanted, None, "word", word)


def _of_attribute(name: str, values: str, attribute: Attribute) -> list[ResultRow]:
    if name and name not in matching(name, [attribute.name, attribute.short or ""]):
        raise ReadingsError([f"{name}: the certificate is of {attribute.name} alone"])
    read = read_attribute(attribute, None, values, BenchFacts())
    if not read.readings:
        raise ReadingsError([f"{attribute.name}: a certificate states a value"])
    measured = attribute.kind == "measured"
    return [
        ResultRow(
            attribute.name,
            None,
            "number" if measured else "word",
            one.value,
            one.qualifier,
        )
        for one in read.readings
    ]


def _organism(name: str) -> str:
    return _named(name, tuple(ORGANISMS))


def _named(name: str, known: Sequence[str]) -> str:
    """Return the name as the standard writes it; another organism as it is typed."""
    if name.casefold().startswith(OTHER):
        return checked_name(name[len(OTHER) :], "the organism")
    also = {other: own for other, own in _ALSO.items() if own in known}
    meant = {also.get(one, one) for one in matching(name, [*known, *also])}
    if len(meant) == 1:
        return meant.pop()
    if not name:
        raise ReadingsError([f"say what the value is of: {', '.join(known)}"])
    hint = did_you_mean(name, known)
    raise ReadingsError(
        [f"{name!r} is no result of this kind, {hint} Write another one as 'other …'"]
    )


def _refuse_twice(rows: Sequence[ResultRow], made: Sequence[ResultRow]) -> None:
    seen = {(one.name, one.day, one.measure) for one in rows}
    for one in made:
        if (one.name, one.day, one.measure) in seen and one.measure != "number":
            raise ReadingsError([f"{one.name} is given twice"])
