"""Rows of a file that hold readings, put them right, or set facts of a day."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from stability.errors.samples import ReadingsError
from stability.model import content
from stability.model.attribute import Attribute
from stability.model.canonical import template
from stability.model.content import Content
from stability.model.moment import Moment
from stability.model.observation import DayFacts, Observation
from stability.model.plain_text import checked_name
from stability.model.study import Sample
from stability.records import acts, observing
from stability.records.already import already
from stability.records.continuation import Continuation
from stability.records.guards import resolve_sample
from stability.records.intake import (
    Prepared,
    checked_unit,
    find_attribute,
    prepare,
)
from stability.records.logged import Logged
from stability.records.rows import Row
from stability.records.typed import BenchFacts, Typed

if TYPE_CHECKING:
    from stability.records.event_rows import RowRules


#: What differs between rows that say the same beside their reading.
_OF_A_ROW: Final = ("sample", "check", "readings", "observers")


def position_in(book: Continuation, row: Row) -> int:
    """Return the position of the entry that a row refers to."""
    typed = row.needed("refers_to")
    return observing.position_of(typed, book.plan.study.code)


def _facts(
    book: Continuation, row: Row, rules: RowRules, day: DayFacts | None
) -> tuple[BenchFacts, list[str]]:
    """Return what holds for a row, and what else its settings column holds."""
    named, rest = row.settings(("control", "blind"))
    control = named.get("control")
    facts = observing.bench_facts(
        day,
        observers=_observers(row),
        control=acts.read_control(book.plan, [control] if control else []),
        blind=_yes(named.get("blind", "no")),
        because=row.maybe("because"),
        decimal_comma=rules.decimal_comma,
    )
    return facts, rest


def _owned(typed: str, attribute: Attribute) -> str:
    """Give a setting the name of its attribute, which the row has told already."""
    name = typed.partition("=")[0].strip()
    return f"{attribute.name}.{typed}" if name in attribute.all_settings else typed


def _observers(row: Row) -> list[str]:
    typed = row.several("observers")
    return [checked_name(one, "an observer's name") for one in typed]


def _yes(word: str) -> bool:
    if word.casefold() not in {"yes", "no"}:
        raise ReadingsError([f"column settings: blind={word} is neither yes nor no"])
    return word.casefold() == "yes"


@dataclass(frozen=True, slots=True)
class _Place:
    """Where the readings of a row belong."""

    #: Whose readings.
    sample: Sample
    #: For which check; None for none, or where what is still open tells it.
    check: str | None
    #: How far the day lies from the due date; None where the check is not stated.
    late: tuple[str, ...] | None


def _place(book: Continuation, row: Row, done: Moment) -> _Place:
    typed, stated = row.needed("sample"), row.maybe("check")
    sample = book.recall(("sample", typed), resolve_sample, book.plan, typed)
    if stated is None:
        return _Place(sample, None, None)
    check = observing.resolve_check(book, sample, stated, done)
    late = observing.late_remarks(book, sample, check, done)
    return _Place(sample, check, late)


def _observed(
    book: Continuation, row: Row, rules: RowRules, done: Moment
) -> Logged | Observation:
    cell = row.cells.get
    place = book.recall(
        ("place", cell("sample"), cell("check"), cell("done")),
        _place, book, row, done,
    )  # fmt: skip
    prepared = book.recall(
        ("beside", cell("attribute"), cell("settings"), cell("observers"),
         cell("because"), cell("unit"), cell("done")),
        _prepared, book, row, rules, done,
    )  # fmt: skip
    one = prepared.read(cell("reading") or row.needed("reading"))
    sample, check, late = place.sample, place.check, place.late
    if rules.skips_stored:
        seen = already(book, sample, check, one, done)
        if seen is not None:
            return _once(seen, book, one)
    if late is None:
        check = observing.resolve_check(book, sample, None, done)
        late = observing.late_remarks(book, sample, check, done)
    return observing.take_one(
        book, sample, check, one, done=done, late=late, accept_far=rules.accept_far,
        repeat=row.cell("because") if cell("refers_to") else None,
    )  # fmt: skip


def _prepared(book: Continuation, row: Row, rules: RowRules, done: Moment) -> Prepared:
    """Return what holds for every row that says the same beside its reading."""
    plan = book.plan
    name = row.needed("attribute")
    attribute, part = find_attribute(name, plan.protocol.attributes, plan.study.omit)
    if row.maybe("unit") is not None:
        own = attribute.unit if attribute.kind == "measured" else ""
        checked_unit(row.cell("unit"), "g" if part else own)
    facts, rest = _facts(book, row, rules, observing.day_facts(plan, done, None))
    attributes = plan.protocol.attributes
    beside = [_owned(one, attribute) for one in rest]
    prepared = prepare(name, beside, attributes, facts, plan.study.omit)
    # An instrument is stored by its whole name, whatever was typed.
    held = book.names.completed(
        content.OBSERVED, prepared.beside.content("", None), attributes
    )
    return replace(
        prepared,
        template=template(held, _OF_A_ROW),
        pieces=book.recall(("pieces", attribute.name, part, facts.observers), dict),
    )


def _once(seen: Observation, book: Continuation, one: Typed) -> Observation:
    """Return what says the same already, if it is not of the same file.

    Raises
    ------
    ReadingsError
        If an earlier row of the file says it.
    """
    if seen.position > book.stored:
        fault = (
            f"{one.text()} of {seen.sample}: an earlier row of this file says the "
            "same; delete one of them, or mend its sample"
        )
        raise ReadingsError([fault])
    return seen


def _corrected(book: Continuation, row: Row, rules: RowRules, done: Moment) -> Logged:
    del done
    position = position_in(book, row)
    old = book.observation(position)
    facts, rest = _facts(book, row, rules, None)
    if old is not None:
        attribute = book.plan.protocol.attributes[old.attribute]
        rest = [_owned(one, attribute) for one in rest]
    return observing.correct(
        book,
        position,
        [row.needed("reading"), *rest],
        facts,
        because=row.maybe("because"),
        check=row.maybe("check"),
        accept_far=rules.accept_far,
    )


def _invalidated(
    book: Continuation, row: Row, rules: RowRules, done: Moment
) -> Content:
    del rules, done
    return observing.invalidate(book, position_in(book, row), row.maybe("because"))


def _noted(
    book: Continuation, row: Row, rules: RowRules, done: Moment
) -> Content | None:
    refers_to = position_in(book, row) if row.maybe("refers_to") else None
    held = acts.note(book.record, row.cell("because"), refers_to, row.maybe("sample"))
    same = rules.skips_stored and any(
        (one.text, one.refers_to, one.sample, one.done.day)
        == (held["text"], held["refers_to"], held["sample"], done.day)
        for one in book.record.notes
    )
    return None if same else held


def _day(book: Continuation, row: Row, rules: RowRules, done: Moment) -> Content:
    named, rest = row.settings(("control", "blind"))
    control = [named["control"]] if "control" in named else []
    settings = []
    for one in rest:
        name, _, value = one.partition("=")
        owner, dot, own = name.strip().partition(".")
        if dot and own.strip() == "control":
            control.append(f"{owner}={value.strip()}")
        else:
            settings.append(one)
    return acts.day(
        book.plan,
        done,
        rules.account,
        observers=_observers(row),
        settings=settings,
        control=control,
        blind=_yes(named.get("blind", "no")),
    )


_Make = Callable[
    [Continuation, Row, "RowRules", Moment], Content | Logged | Observation | None
]

READING_ROWS: Final[Mapping[str, _Make]] = {
    "observed": _observed,
    "corrected": _corrected,
    "invalidated": _invalidated,
    "day": _day,
    "noted": _noted,
}
