"""Listing of what stands beside each other: differences of drifts, and words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stability.cli.output import Cell, Listing, Row
from stability.cli.table import Column

if TYPE_CHECKING:
    from stability.workflow.compare import (
        Beside,
        Compared,
        DriftContrast,
        WordContrast,
    )

COMPARED = (
    Column("attribute", "attribute", above=True),
    Column("between", "between", above=True),
    Column("place", "where"),
    Column("first", "first"),
    Column("second", "second"),
    Column("basis", ""),
    Column("first_batches", ""),
    Column("second_batches", ""),
    Column("first_samples", ""),
    Column("second_samples", ""),
    Column("settings", ""),
    Column("method", ""),
    Column("checks", ""),
    Column("difference_per_month", ""),
    Column("lowest_per_month", ""),
    Column("highest_per_month", ""),
    Column("unit", ""),
    Column("scale", ""),
    Column("confidence", ""),
    Column("df", ""),
    Column("p", ""),
    Column("difference", "difference a month", right=True),
    Column("excludes_0", "excludes 0"),
    Column("first_words", ""),
    Column("second_words", ""),
    Column("says", "says", below=True),
    Column("explains", "beside", below=True),
    Column("cautions", "cautions", below=True),
)


def compared_listing(compared: Compared, *, whole: bool) -> Listing:
    """Return one row for each two that stand beside each other, cautions below.

    Parameters
    ----------
    compared
        What was compared.
    whole
        Whether all is told of words that did not move and of differences not shown.
    """
    contrasts = compared.contrasts
    words = [one for one in contrasts.words if whole or one.moved]
    rows = [
        *((one.sides, _drift_row(one, whole=whole)) for one in contrasts.drifts),
        *((one.sides, _word_row(one)) for one in words),
    ]
    return Listing(
        "compared",
        COMPARED,
        [row for _, row in _in_order(rows)],
        _empty(compared),
        facts=_facts(compared),
        notes=_notes(compared, len(contrasts.words) - len(words)),
    )


def _in_order(rows: Sequence[tuple[Beside, Row]]) -> list[tuple[Beside, Row]]:
    """Return what is held beside what together, attribute by attribute."""
    between = list(dict.fromkeys(sides.between for sides, _ in rows))
    attributes = list(dict.fromkeys(sides.attribute for sides, _ in rows))
    return sorted(
        rows,
        key=lambda row: (
            between.index(row[0].between),
            attributes.index(row[0].attribute),
        ),
    )


def _sides(sides: Beside) -> dict[str, Cell]:
    first, second = sides.first, sides.second
    return {
        "attribute": sides.attribute,
        "between": sides.between,
        "basis": sides.basis,
        "place": sides.place,
        "first": first.name,
        "second": second.name,
        "first_batches": " ".join(first.batches),
        "second_batches": " ".join(second.batches),
        "first_samples": " ".join(first.samples),
        "second_samples": " ".join(second.samples),
    }


def _drift_row(one: DriftContrast, *, whole: bool) -> Row:
    # For people, "no" says what is not shown; what may explain it has no more to say.
    told = whole or one.contrast is None or one.excludes_no_difference
    row: dict[str, Cell] = {
        **_sides(one.sides),
        "settings": ", ".join(f"{name} {value}" for name, value in one.settings),
        "checks": " ".join(one.checks),
        "unit": one.unit,
        "scale": one.scale,
        "difference": one.numbers,
        "says": one.verdict if told else None,
        "explains": "; ".join(one.explains) if told else None,
        "cautions": " ".join(caution.text for caution in one.cautions),
    }
    contrast = one.contrast
    if contrast is None or one.interval is None:
        return row
    low, high = one.interval
    return {
        **row,
        "method": contrast.method,
        "difference_per_month": _rounded(one.difference),
        "lowest_per_month": _rounded(low),
        "highest_per_month": _rounded(high),
        "confidence": contrast.confidence,
        "df": _rounded(contrast.df),
        "p": _rounded(contrast.p),
        "excludes_0": contrast.excludes_no_difference,
    }


def _word_row(one: WordContrast) -> Row:
    first, second = one.sides.first.name, one.sides.second.name
    said = f"{first}: {one.first_text}; {second}: {one.second_text}; {one.text}"
    return {
        **_sides(one.sides),
        "first_words": one.first_text,
        "second_words": one.second_text,
        "says": said,
    }


def _facts(compared: Compared) -> dict[str, Cell]:
    identities = [one.identity for one in compared.evaluations]
    return {
        "study": " and ".join(one.study.code for one in identities),
        "product": " and ".join(
            dict.fromkeys(
                f"{one.study.product} {one.study.version}" for one in identities
            )
        ),
        "as_of": identities[0].as_of.isoformat(),
        "differ": sum(one.excludes_no_difference for one in compared.contrasts.drifts),
    }


def _empty(compared: Compared) -> str:
    if compared.contrasts.left_out:
        return "Nothing stands beside each other; below is what is left out, and why."
    if len(compared.evaluations) > 1:
        return "No attribute was read in both studies in one condition and pack."
    return (
        "Nothing stands beside each other: no attribute was read both in a condition "
        "and in its control, nor in two batches or packs of one condition."
    )


def _notes(compared: Compared, still: int) -> tuple[str, ...]:
    contrasts = compared.contrasts
    found = [
        f"{', '.join(names)} {'is' if len(names) == 1 else 'are'} left out: {why}"
        for why, names in _left_out(contrasts.left_out).items()
    ]
    if still:
        found.append(
            f"Not listed: {still} of scores and statements in which nothing moved on "
            "either side; --format json lists them."
        )
    if contrasts.count is not None:
        level = f"{100 * (1 - contrasts.count.level):g} %"
        found.append(f"In all that was compared: {contrasts.count.text}")
        found.append(f"First less second, with two-sided {level} intervals.")
    found += [
        caution.text
        for caution in contrasts.cautions
        if contrasts.words or caution.code != "words-beside"
    ]
    return (*found, compared.evaluations[0].note)


def _left_out(found: Sequence[tuple[str, str]]) -> dict[str, list[str]]:
    """Return reason -> what is left out for it."""
    by_reason: dict[str, list[str]] = {}
    for name, why in found:
        by_reason.setdefault(why, []).append(name)
    return by_reason


def _rounded(value: float | None) -> float | None:
    """Round to four significant digits, which is more than any reading holds."""
    return None if value is None else float(f"{value:.4g}")
