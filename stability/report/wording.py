"""Words and marks of the report: one place, so that screen and print agree."""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import date
from typing import Final

from stability.evaluation.findings import Meaning
from stability.evaluation.series import SeriesState
from stability.model.forecast_words import FARTHEST_MONTHS
from stability.report.tables import Mark

#: What each mark of a reading looks like in print; a word always goes with the sign.
MARK_SHAPES: Final = {
    "inside": "",
    "changed, inside": "△",
    "outside": "■",
    "no initial": "?",
    "undecided": "?",
    "not measured": "–",
    "recorded only": "",
    "missed": "×",
    "not planned": "",
    "no reading": "–",
    "not recorded": "×",
}
#: Heading of each group of findings outside their limits.
MEANING_TITLES: Final[dict[Meaning, str]] = {
    "bearing the request": "Bearing the request (long-term storage)",
    "long-term, not bearing the request": "Long-term storage, not bearing the request",
    "intermediate and accelerated": "Intermediate and accelerated storage",
    "stress as declared": "Stress, as declared in the protocol",
    "control": "Controls",
    "T0": "Initial values (T0)",
}
#: What the chain of entries proves, and what it cannot prove.
CHAIN_TEXT: Final = (
    "Every entry holds the digest of the entry before it. A changed, inserted, "
    "reordered or removed entry inside the chain is found by ‘stability verify’. A "
    "removed tail or a record rewritten as a whole shows only against an anchor kept "
    "elsewhere, such as the position and digest printed here: ‘stability verify "
    "--against’ checks that the record still passes through them."
)
#: What reports of this format do not offer.
NOT_TAGGED: Final = "This document is not tagged for screen readers."
#: Limits of a study are not those of release.
STUDY_LIMITS: Final = (
    "Limits here are study limits, not the product's release specification."
)
#: Foot of every page.
FOOTER: Final = (
    "Supports, and does not replace, assessment by a qualified safety assessor."
)
#: Where the rules of the shelf life chapter come from; said once in the chapter.
BORROWED: Final = "The rule is borrowed from ICH Q1E, which is written for medicines"


def mark(word: str) -> Mark:
    """Return a mark as a table cell: sign, word, and bold for what is outside."""
    return Mark(word, MARK_SHAPES.get(word, ""), strong=word == "outside")


def yes_no(value: bool) -> str:
    """Return yes or no."""
    return "yes" if value else "NO"


def count(number: int, noun: str, plural: str | None = None) -> str:
    """Return a number with its noun: `1 batch`, `3 batches`."""
    return f"{number} {noun if number == 1 else plural or noun + 's'}"


def months(number: int) -> str:
    """Return a number of months in words."""
    return count(number, "month")


def day(value: date | None) -> str:
    """Return a date as printed; a dash where there is none."""
    return "–" if value is None else value.isoformat()


def sentence_case(text: str) -> str:
    """Return text that begins with a capital letter; pH stays pH.

    Examples
    --------
    >>> sentence_case("common practice"), sentence_case("pH of the slurry")
    ('Common practice', 'pH of the slurry')
    """
    return text if text.startswith("pH") else text[:1].upper() + text[1:]


def plain_sentence(text: str) -> str:
    """Return a sentence without what its page already says in its note and foot.

    Examples
    --------
    >>> plain_sentence(f"12 months are shown. {FOOTER}")
    '12 months are shown.'
    """
    kept = text.removesuffix(FOOTER).rstrip()
    return kept.replace(f". {BORROWED}", "").strip()


def whole_months(value: float | None) -> str:
    """Return an estimate rounded down to whole months; a dash where there is none.

    Examples
    --------
    >>> whole_months(29.9), whole_months(142.0), whole_months(None)
    ('29', '> 120', '–')
    """
    if value is not None and value > FARTHEST_MONTHS:
        return f"> {FARTHEST_MONTHS}"
    return "–" if value is None else str(math.floor(value))


def significant(value: float, digits: int = 4) -> str:
    """Return a computed number with so many significant digits, without exponent.

    Examples
    --------
    >>> significant(-0.0273325)
    '-0.02733'
    """
    if value == 0:
        return "0"
    text = f"{value:.{digits}g}"
    if "e" not in text:
        return text
    return text if abs(value) < 1e-6 else _written_out(text, digits)


def _written_out(text: str, digits: int) -> str:
    return f"{float(text):.{digits + 6}f}".rstrip("0").rstrip(".")


def plus_minus(interval: tuple[float, float], digits: int = 3) -> str:
    """Return an interval as printed: `-0.031 to -0.024`."""
    low, high = interval
    return f"{significant(low, digits)} to {significant(high, digits)}"


def state_mark(state: SeriesState) -> Mark:
    """Return the state of a series with its sign."""
    return Mark(state, MARK_SHAPES.get(state, ""), strong=state == "outside")


def by_pack(said: Iterable[tuple[str, str, str]]) -> list[str]:
    """Return what is said of each pack, in one line where the same is said of several.

    Parameters
    ----------
    said
        Condition, pack and text. Conditions are named where there are several.

    Examples
    --------
    >>> by_pack([("ROOM", "JAR", "good"), ("ROOM", "PUMP", "good")])
    ['JAR, PUMP: good']
    """
    alike: dict[tuple[str, str], list[str]] = {}
    for condition, pack, text in said:
        alike.setdefault((condition, text), []).append(pack or "bulk")
    several = len({condition for condition, _ in alike}) > 1
    return [
        f"{', '.join(packs)}{f' at {condition}' if several else ''}: {text}"
        for (condition, text), packs in alike.items()
    ]
