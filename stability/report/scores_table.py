"""Scores and statements reading by reading: one row per sample and check."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from typing import Final

from reportlab.platypus import Flowable

from stability.evaluation.readings import JudgedObservation
from stability.model.age import check_text
from stability.model.names import all_in_words, in_words
from stability.report.column_widths import Fitted, fitted_columns, shared
from stability.report.readings_table import own_remarks, place_text
from stability.report.styles import ReportStyles
from stability.report.tables import Cell, Column, Group, Mark, TableRow, record_table
from stability.report.wording import mark

#: Attributes that stand beside each other in one table at most.
MOST_BESIDE: Final = 4
#: Width of a column of words at most; a row has two lines in any case [mm].
WORDS_MM: Final = 21.0
#: The same where observers differ and are named with their words, and beside it.
NAMED_WORDS_MM: Final = 27.0
BESIDE_NAMED_MM: Final = 20.0
#: What the signs in the cells mean.
SIGNS_TEXT: Final = (
    "One row holds what was seen of one sample at one check: code over entries, check "
    "over age, date due over date read. A word without a sign is inside its limit. "
    "■ outside its limit; △ changed, inside; ? no initial value, or undecided; ○ left "
    "out, with its reason; – not measured. Where several observed, one word stands for "
    "all who chose it."
)
_Row = dict[str, JudgedObservation]


def scores_table(
    observations: Sequence[JudgedObservation],
    attributes: Sequence[str],
    styles: ReportStyles,
) -> Flowable:
    """Return a table of worded observations with their attributes side by side.

    Parameters
    ----------
    observations
        In the order in which they are printed; every one of them is printed.
    attributes
        Names of the attributes, from left to right.
    styles
        The report's styles.
    """
    places: dict[str, list[JudgedObservation]] = {}
    for seen in observations:
        places.setdefault(place_text(seen), []).append(seen)
    everyone = _everyone(observations)
    mostly = _usual_limits(observations, attributes)
    controls = _only_controls(observations, attributes)
    named = {one.attribute for one in observations if _differ(one)}
    rows: list[TableRow] = [Group(f"Unless said: {_said(mostly, controls)}")]
    for place, here in places.items():
        beside = _common_controls(here)
        own = _own_words(here, attributes, mostly, beside, controls)
        rows.append(Group(". ".join([place, *own])))
        rows += [_row(one, attributes, beside, everyone) for one in _by_check(here)]
    columns: list[Column | Fitted] = [
        Fitted("Sample, entries"),
        Fitted("Check, age", 22),
        Fitted("Due, read"),
        *(Fitted(in_words(name), _words_mm(name, named)) for name in attributes),
        shared("Remarks"),
    ]
    return record_table(fitted_columns(columns, rows, styles), rows, styles)


def _words_mm(name: str, named: Collection[str]) -> float:
    """Return the width for the words of an attribute [mm]."""
    if name in named:
        return NAMED_WORDS_MM
    return BESIDE_NAMED_MM if named else WORDS_MM


def beside_each_other(attributes: Sequence[str]) -> list[tuple[str, ...]]:
    """Part attributes into as few tables as hold them, of about one width.

    Examples
    --------
    >>> beside_each_other(["a", "b", "c", "d", "e"])
    [('a', 'b', 'c'), ('d', 'e')]
    """
    tables = -(-len(attributes) // MOST_BESIDE)
    size = -(-len(attributes) // tables) if tables else 1
    return [
        tuple(attributes[start : start + size])
        for start in range(0, len(attributes), size)
    ]


def _by_check(observations: Sequence[JudgedObservation]) -> list[_Row]:
    """Put observations of one sample, check and day into rows.

    A second observation of an attribute, such as a repeat, goes to a row of its own.
    """
    rows: dict[tuple[object, ...], _Row] = {}
    for seen in observations:
        number = 0
        while True:
            day = seen.observation.done.day
            key = (seen.sample.code, seen.check, day, number)
            row = rows.setdefault(key, {})
            if seen.attribute not in row:
                row[seen.attribute] = seen
                break
            number += 1
    return list(rows.values())


def observers_text(
    observations: Sequence[JudgedObservation], attributes: Sequence[str]
) -> str:
    """Return who observed each attribute for which several did, in a sentence."""
    parts = []
    for name in attributes:
        here = [one.observation for one in observations if one.attribute == name]
        names = dict.fromkeys(
            reading.observer
            for one in here
            for reading in one.readings
            if reading.observer
        )
        if len(names) > 1:
            blind = sum(one.blind for one in here if one.readings)
            how = (
                f"blind in {blind} of {len(here)} observations"
                if blind
                else ("not blind")
            )
            parts.append(f"{name}: observers {', '.join(names)}, {how}")
    return "; ".join(parts)


def _everyone(observations: Sequence[JudgedObservation]) -> dict[str, set[str]]:
    """Return attribute -> all who ever observed it."""
    found: dict[str, set[str]] = {}
    for seen in observations:
        names = {one.observer for one in seen.observation.readings if one.observer}
        found.setdefault(seen.attribute, set()).update(names)
    return found


def _common_controls(observations: Sequence[JudgedObservation]) -> dict[str, str]:
    """Return attribute -> code of the sample that all its words were held against."""
    found: dict[str, set[str | None]] = {}
    for seen in observations:
        if seen.observation.not_measured is None:
            controls = found.setdefault(seen.attribute, set())
            controls.add(seen.observation.control)
    return {
        name: one
        for name, controls in found.items()
        if len(controls) == 1 and (one := next(iter(controls)))
    }


def _only_controls(
    observations: Sequence[JudgedObservation], attributes: Sequence[str]
) -> dict[str, str]:
    """Return attribute -> code of the one sample that any words were held against."""
    found: dict[str, set[str]] = {name: set() for name in attributes}
    for seen in observations:
        if seen.observation.control:
            found.setdefault(seen.attribute, set()).add(seen.observation.control)
    return {name: next(iter(one)) for name, one in found.items() if len(one) == 1}


def _limits(
    observations: Sequence[JudgedObservation], attributes: Sequence[str]
) -> dict[str, list[str]]:
    """Return attribute -> its limits in words, each once."""
    found: dict[str, list[str]] = {}
    for name in attributes:
        texts = [one.limit_text for one in observations if one.attribute == name]
        found[name] = list(dict.fromkeys(texts))
    return found


def _usual_limits(
    observations: Sequence[JudgedObservation], attributes: Sequence[str]
) -> dict[str, list[str]]:
    """Return attribute -> the limit under which most of its observations stand."""
    found: dict[str, list[str]] = {}
    for name in attributes:
        texts = [one.limit_text for one in observations if one.attribute == name]
        counts = Counter(texts).most_common(1)
        found[name] = [text for text, _ in counts]
    return found


def _own_words(
    observations: Sequence[JudgedObservation],
    attributes: Sequence[str],
    mostly: Mapping[str, list[str]],
    beside: Mapping[str, str],
    controls: Mapping[str, str],
) -> list[str]:
    """Return what a place says otherwise than the row above all of them."""
    limits = _limits(observations, attributes)
    here = {
        name: texts for name, texts in limits.items() if texts not in ([], mostly[name])
    }
    own = {name: code for name, code in beside.items() if controls.get(name) != code}
    told = [f"Here {words}"] if (words := _said(here, own)) else []
    left = [name for name in controls if limits[name] and name not in beside]
    named = {one.attribute for one in observations if one.observation.control}
    alone = [name for name in left if name not in named]
    mixed = [name for name in left if name in named]
    told += [f"{', '.join(all_in_words(alone))} without a comparison"] if alone else []
    told += (
        [f"{', '.join(all_in_words(mixed))} beside what the remarks name"]
        if mixed
        else []
    )
    return told


def _said(limits: Mapping[str, list[str]], beside: Mapping[str, str]) -> str:
    """Return limits and controls in words, those that are alike said once."""
    by_text: dict[str, list[str]] = {}
    for name, texts in limits.items():
        for text in texts:
            by_text.setdefault(text, []).append(name)
    words = [
        f"{', '.join(all_in_words(names))} {text}" for text, names in by_text.items()
    ]
    by_code: dict[str, list[str]] = {}
    for name, code in beside.items():
        by_code.setdefault(code, []).append(name)
    words += [
        f"{', '.join(all_in_words(names))} beside {code}"
        for code, names in by_code.items()
    ]
    return "; ".join(words)


def _row(
    row: _Row,
    attributes: Sequence[str],
    beside: Mapping[str, str],
    everyone: Mapping[str, set[str]],
) -> list[Cell]:
    first = next(iter(row.values()))
    entries = entries_text([one.position for one in row.values()])
    due = first.planned.due.isoformat() if first.planned else "–"
    return [
        f"{first.sample.code}\n{entries}",
        f"{check_text(first.check or 'extra')}\n{first.age_text}",
        f"{due}\n{first.observation.done.day.isoformat()}",
        *(
            word_cell(row[name], everyone[name]) if name in row else ""
            for name in attributes
        ),
        _remarks(row, attributes, beside),
    ]


def word_cell(seen: JudgedObservation, everyone: set[str]) -> Cell:
    """Return the words of an observation with the sign of its mark.

    Names stand with it where observers differ, or where not all who observe the
    attribute elsewhere observed it here.
    """
    if seen.observation.not_measured is not None:
        return mark("not measured")
    words = _words(seen, everyone)
    if not seen.takes_part:
        return Mark(words, "○")
    shape = mark(seen.mark).shape
    if seen.mark == "outside":
        return Mark(f"{words}: outside", shape, strong=True)
    return Mark(words, shape)


def _words(seen: JudgedObservation, everyone: set[str]) -> str:
    readings = seen.observation.readings
    if _differ(seen):
        return f"{seen.value_text} ({seen.readings_text})".lstrip()
    names = [one.observer for one in readings if one.observer]
    who = f" ({', '.join(names)})" if set(names) != everyone else ""
    return f"{readings[0]}{who}"


def _differ(seen: JudgedObservation) -> bool:
    """Say whether observers chose different words."""
    return len({str(one) for one in seen.observation.readings}) > 1


def _remarks(row: _Row, attributes: Sequence[str], beside: Mapping[str, str]) -> str:
    """Return the remarks of all readings of a row; those of all are said once."""
    by_text: dict[str, list[str]] = {}
    for name in attributes:
        if name not in row:
            continue
        seen = row[name]
        texts = own_remarks(seen)
        control = seen.observation.control
        if control and beside.get(name) != control:
            texts.append(f"beside {control}")
        for text in texts:
            by_text.setdefault(text, []).append(name)
    return "; ".join(
        text if len(names) == len(row) else f"{', '.join(all_in_words(names))}: {text}"
        for text, names in by_text.items()
    )


def entries_text(positions: Sequence[int]) -> str:
    """Return positions of entries shortly.

    Examples
    --------
    >>> entries_text([347, 349, 348]), entries_text([12, 15])
    ('347–349', '12, 15')
    """
    ordered = sorted(positions)
    if len(ordered) > 2 and ordered[-1] - ordered[0] == len(ordered) - 1:
        return f"{ordered[0]}–{ordered[-1]}"
    return ", ".join(map(str, ordered))
