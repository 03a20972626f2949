"""Rows of a file, each of which becomes one entry.

The columns are those of `events.csv`; a file for `log --from` may leave out columns
that it does not need. One row is one entry, in the order of the file; an empty `kind`
means `observed`, an empty `entered` means `done`, an empty `person` the one who imports
or logs. What a kind needs beyond its columns stands in `settings` as `name=value`,
several separated by `;`.

============ ==================================================================
kind         what its columns hold
============ ==================================================================
observed     sample, check (empty: worked out; `extra`: none), attribute (name,
             short name, `w`, `w2`), reading as typed at the bench (`5.47/5.49`,
             `not-measured`), unit (only to check it), settings (`dilution=10 %`,
             further readings such as `layer_mm=2`, `control=HDC-007-K`,
             `blind=yes`), observers (`Ana; Ben`), because (for not-measured).
             With refers_to it repeats that observation, because says why
corrected    refers_to, reading, because; settings and observers where they
             change, check where it changes
invalidated  refers_to, because
placed       sample; reading: condition (empty: the sample's own; `out`: taken
             out); settings: `step=2/1`, `at=OVEN`, `replaces=HDC-009-C`,
             `swap_with=HDC-010-D`; because. A swap is one row for each of the two,
             with the condition into which it goes
retired      sample; reading: reason for leaving; because
missed       check; sample (several separated by `;`, empty: all that wait),
             settings: `batch=C`, `condition=T40`, `pack=JAR`; because
day          done: the day; observers; settings: `pH.dilution=10 %`,
             `control=HDC-007-K`, `odour.control=HDC-007-K`, `blind=yes`
stopped      sample or settings: `batch=C`, `condition=T40`, `pack=JAR` (none: the
             whole study); because
noted        because: the text; sample and refers_to where it speaks of one
lodged       reading: who received the plan record; because: a note
taken-over   because: where the study was kept before, and why it goes on here
certified    attribute: `challenge`, `count` or an attribute; check: the age of what was
             tested; reading: results separated by `;`; sample where one is named;
             settings: `laboratory=…; number=…; batch=A; version=1.0; pack=JAR;
             issued=2026-04-20`, `standard=…`, `verdict=…`, `file=NAME` beside this file
photographed sample; reading: a cleaned copy beside this file; attribute, check;
             because: the caption
answered     refers_to; settings: `right sample=yes; weight=no`; reading: the outcome;
             because
============ ==================================================================

`refers_to` is the position of the entry in the study's record. The opening is entry 1,
so in a folder's `events.csv` it is the line of the row: the first row, below the
header, is line 2 and becomes entry 2.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final

from stability.errors import (
    FarReadingError,
    ReadingsError,
    RowsError,
    StabilityError,
)
from stability.model import content
from stability.model.attribute import Attribute
from stability.model.content import Content
from stability.model.moment import Moment, moment_at
from stability.model.nearest import did_you_mean
from stability.model.observation import DayFacts
from stability.model.plain_text import checked_name
from stability.records import acts, observing
from stability.records.acts import Scope
from stability.records.beside_rows import BESIDE_ROWS
from stability.records.continuation import Continuation
from stability.records.guards import checked_moment, resolve_sample
from stability.records.intake import checked_unit, find_attribute
from stability.records.placing import PlacingWish, place, swap_one
from stability.records.plan_rows import PLAN_ROWS
from stability.records.rows import Row
from stability.records.typed import BenchFacts


@dataclass(frozen=True, slots=True)
class RowRules:
    """What holds for all rows of a file."""

    #: The file's name, for messages.
    file: str
    #: Who did what neither a row nor a day's facts say who did.
    person: str
    #: Account under which days are set.
    account: str
    #: Now.
    now: datetime
    #: True where a row without `entered` was stored when it was done, as in a folder.
    entered_is_done: bool
    #: Person stated for the whole file, before a day's facts; None where none is.
    stated_person: str | None = None
    #: Whether numbers are written with a decimal comma.
    decimal_comma: bool = False
    #: True once a person has confirmed readings far from the last ones.
    accept_far: bool = False
    #: Folder in which files lie that rows name; None where none can be named.
    folder: Path | None = None


def add_rows(book: Continuation, rows: Iterable[Row], rules: RowRules) -> None:
    """Add every row to a study as an entry.

    Parameters
    ----------
    book
        The study.
    rows
        In the file's order.
    rules
        What holds for all of them.

    Raises
    ------
    RowsError
        With every fault of every row, each with its line.
    FarReadingError
        If nothing else is wrong, but readings far from the last ones wait for a
        person's word.
    """
    faults: list[str] = []
    questions: list[str] = []
    bad: set[int] = set()
    for row in rows:
        try:
            _add_row(book, row, rules)
        except FarReadingError as error:
            questions += [f"line {row.line}: {one}" for one in error.questions]
            _hold_place(book, rules, bad)
        except ReadingsError as error:
            faults += [f"line {row.line}: {one}" for one in error.faults]
            _hold_place(book, rules, bad)
        except StabilityError as error:
            # What refers to a row that could not be read is no fault of its own.
            if row.refers_to not in bad:
                faults.append(f"line {row.line}: {error}")
            _hold_place(book, rules, bad)
    if faults:
        raise RowsError(rules.file, faults)
    if questions:
        raise FarReadingError(questions)


def _hold_place(book: Continuation, rules: RowRules, bad: set[int]) -> None:
    """Keep the positions of later rows right; nothing of this is ever stored."""
    moment = moment_at(rules.now, book.plan.zone)
    entry = book.add(
        content.NOTED,
        content.noted("a row that could not be read"),
        person=rules.person,
        done=moment,
        entered=rules.now,
    )
    bad.add(entry.position)


def _add_row(book: Continuation, row: Row, rules: RowRules) -> None:
    kind = row.cell("kind") or "observed"
    make = _KINDS.get(kind)
    if make is None:
        hint = did_you_mean(kind, _KINDS)
        raise ReadingsError([f"column kind: there is no kind {kind!r}; {hint}"])
    done = _done(book, row, rules, kind)
    held = make(book, row, rules, done)
    book.add(
        f"{kind}/1",
        held,
        person=_person(book, row, rules, done),
        done=done,
        entered=_entered(book, row, rules, done),
    )


def _done(book: Continuation, row: Row, rules: RowRules, kind: str) -> Moment:
    typed = row.maybe("done")
    if typed is None and kind == "corrected":
        position = _position(book, row)
        reference = f"{book.plan.study.code}/{position}"
        return acts.referred(reference, position, book.observation(position)).done
    if typed is None and rules.entered_is_done:
        raise ReadingsError(["column done: say when it was done"])
    return checked_moment(typed, book.plan.zone, rules.now)


def _entered(book: Continuation, row: Row, rules: RowRules, done: Moment) -> datetime:
    typed = row.maybe("entered")
    if typed is not None:
        entered = checked_moment(typed, book.plan.zone, rules.now)
    elif rules.entered_is_done:
        entered = done
    else:
        return rules.now
    if entered.time is not None:
        return entered.time
    zone = book.plan.zone
    return datetime(
        entered.day.year, entered.day.month, entered.day.day, 12, tzinfo=zone
    )


def _person(book: Continuation, row: Row, rules: RowRules, done: Moment) -> str:
    typed = row.maybe("person")
    if typed is not None:
        return checked_name(typed, "column person")
    if rules.stated_person is not None:
        return rules.stated_person
    facts = observing.day_facts(book.plan, done, rules.account)
    return facts.person if facts is not None else rules.person


def _position(book: Continuation, row: Row) -> int:
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


def _observed(book: Continuation, row: Row, rules: RowRules, done: Moment) -> Content:
    plan = book.plan
    sample = resolve_sample(plan, row.needed("sample"))
    name = row.needed("attribute")
    reading = row.needed("reading")
    attribute, part = find_attribute(name, plan.protocol.attributes)
    if row.maybe("unit") is not None:
        own = attribute.unit if attribute.kind == "measured" else ""
        checked_unit(row.cell("unit"), "g" if part else own)
    check = observing.resolve_check(book, sample, row.maybe("check"), done)
    facts, rest = _facts(book, row, rules, observing.day_facts(plan, done, None))
    logged = observing.observe(
        book,
        sample,
        check,
        [f"{name}={reading}", *(_owned(one, attribute) for one in rest)],
        facts,
        done=done,
        repeat=row.cell("because") if row.maybe("refers_to") else None,
        accept_far=rules.accept_far,
    )
    return logged[0].held


def _corrected(book: Continuation, row: Row, rules: RowRules, done: Moment) -> Content:
    del done
    position = _position(book, row)
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
    ).held


def _invalidated(
    book: Continuation, row: Row, rules: RowRules, done: Moment
) -> Content:
    del rules, done
    return observing.invalidate(book, _position(book, row), row.maybe("because"))


def _placed(book: Continuation, row: Row, rules: RowRules, done: Moment) -> Content:
    del rules
    named = row.only_settings(("step", "at", "replaces", "swap_with"))
    to = row.maybe("reading")
    sample = row.needed("sample")
    wish = PlacingWish(
        to=None if to == "out" else to,
        place=named.get("at"),
        step=named.get("step"),
        swap_with=named.get("swap_with"),
        replaces=named.get("replaces"),
        out=to == "out",
        because=row.maybe("because"),
    )
    if wish.swap_with is not None:
        return swap_one(book.plan, sample, wish, done)
    return place(book.plan, sample, wish, done)[0]


def _retired(book: Continuation, row: Row, rules: RowRules, done: Moment) -> Content:
    del rules
    sample = resolve_sample(book.plan, row.needed("sample"))
    because = row.maybe("because")
    return acts.retire(book.plan, sample, row.needed("reading"), because, done)


def _missed(book: Continuation, row: Row, rules: RowRules, done: Moment) -> Content:
    del rules, done
    check = row.needed("check")
    return acts.miss(book.record, check, _scope(row), row.maybe("because"))


def _stopped(book: Continuation, row: Row, rules: RowRules, done: Moment) -> Content:
    del rules, done
    return acts.stop(book.plan, _scope(row), row.maybe("because"))


def _noted(book: Continuation, row: Row, rules: RowRules, done: Moment) -> Content:
    del rules, done
    refers_to = _position(book, row) if row.maybe("refers_to") else None
    return acts.note(book.record, row.cell("because"), refers_to, row.maybe("sample"))


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


def _scope(row: Row) -> Scope:
    named = row.only_settings(("batch", "pack", "condition"))
    samples = tuple(row.several("sample"))
    return Scope(named.get("batch"), named.get("pack"), named.get("condition"), samples)


_Make = Callable[[Continuation, Row, RowRules, Moment], Content]

_KINDS: Final[Mapping[str, _Make]] = {
    "observed": _observed,
    "corrected": _corrected,
    "invalidated": _invalidated,
    "placed": _placed,
    "retired": _retired,
    "missed": _missed,
    "day": _day,
    "stopped": _stopped,
    "noted": _noted,
    **PLAN_ROWS,
    **BESIDE_ROWS,
}
