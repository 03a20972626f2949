"""What a typed line asks to be stored, and the acts that store it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from stability.errors.samples import FarReadingError
from stability.model import content
from stability.workflow.entry_words import day_words
from stability.workflow.occasion import facts_of_day
from stability.workflow.writing import Act

if TYPE_CHECKING:
    from stability.model.attribute import Attribute
    from stability.model.moment import Moment
    from stability.model.observation import DayFacts
    from stability.records.continuation import Continuation
    from stability.records.photographing import Shown


@dataclass(frozen=True, slots=True)
class Readings:
    """Readings of the sample in hand."""

    #: Sample code.
    sample: str
    #: Its check.
    check: str
    #: `NAME=READING` each.
    typed: tuple[str, ...]
    #: Why something was not measured; None where nothing was said.
    because: str | None = None
    #: Whether the person was asked again and stands by it.
    sure: bool = False


@dataclass(frozen=True, slots=True)
class Correction:
    """What an observation should have been."""

    #: Its position.
    position: int
    #: Readings, with or without the attribute's name.
    typed: tuple[str, ...]
    #: Why it is corrected.
    because: str
    #: Whether the person was asked again and stands by it.
    sure: bool = False


@dataclass(frozen=True, slots=True)
class NotMade:
    """The check of the sample in hand was not made."""

    #: Sample code.
    sample: str
    #: Its check.
    check: str
    #: Why.
    because: str


@dataclass(frozen=True, slots=True)
class Left:
    """The sample in hand leaves the study."""

    #: Sample code.
    sample: str
    #: Its check.
    check: str
    #: One of the known reasons.
    reason: str
    #: In the person's words.
    because: str
    #: What stays unread because it is kept closed, as log takes names.
    unread: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Explained:
    """An explanation of the sample in hand, or of the study."""

    #: Sample code; None for the study.
    sample: str | None
    #: The text.
    text: str


@dataclass(frozen=True, slots=True)
class Pictured:
    """A photograph of a sample."""

    #: Sample code.
    sample: str
    #: Its check; None: the one to which the day belongs, if any.
    check: str | None
    #: Path of the file, perhaps with `ATTRIBUTE=` before it.
    typed: str
    #: What is said of it; None for nothing.
    caption: str | None = None
    #: The photograph once it is read; None before.
    shown: Shown | None = None


@dataclass(frozen=True, slots=True)
class SetForDay:
    """Settings, observers and comparisons that hold for the rest of the day."""

    #: `ATTRIBUTE.SETTING=VALUE` each.
    settings: tuple[str, ...] = ()
    #: Names in their order; empty leaves them as they are.
    observers: tuple[str, ...] = ()
    #: `ATTRIBUTE=SAMPLE` each.
    control: tuple[str, ...] = ()
    #: Whether the person was asked again and stands by it.
    sure: bool = False


Wish = Readings | Correction | NotMade | Left | Explained | Pictured | SetForDay


def prepared(wish: Wish | None) -> Wish | None:
    """Return a wish with its file read, before the records are held for writing.

    Raises
    ------
    PhotographFileError
        If the file cannot be kept as a photograph.
    """
    if not isinstance(wish, Pictured):
        return wish
    from stability.records.photographing import read_shown

    return replace(wish, shown=read_shown(wish.typed, wish.caption))


def acts_of(
    wish: Wish, book: Continuation, when: Moment, account: str
) -> Iterator[Act]:
    """Yield the acts that store a wish, checked against the study as it stands.

    Parameters
    ----------
    wish
        What is to be stored.
    book
        The study.
    when
        When it was done.
    account
        Under which it is typed.

    Raises
    ------
    FarReadingError
        If a reading is to be asked again first: far from the last, or incomplete.
    StabilityError
        If it cannot be taken.
    """
    if isinstance(wish, Readings):
        yield from _readings(wish, book, when, account)
    elif isinstance(wish, Correction):
        yield from _correction(wish, book)
    elif isinstance(wish, Left):
        yield from _left(wish, book, when, account)
    elif isinstance(wish, Pictured):
        yield from _pictured(wish, book, when)
    elif isinstance(wish, SetForDay):
        yield _set_for_day(wish, book, when, account)
    else:
        yield _said(wish, book, when)


def _readings(
    wish: Readings, book: Continuation, when: Moment, account: str
) -> Iterator[Act]:
    from stability.records import observing

    facts = observing.bench_facts(
        facts_of_day(book.plan.days, when, account), because=wish.because
    )
    logged = observing.observe(
        book, book.plan.samples[wish.sample], wish.check, wish.typed, facts,
        done=when, accept_far=wish.sure,
    )  # fmt: skip
    doubts = [one for each in logged for one in _lacking(book, each.held)]
    if doubts and not wish.sure:
        raise FarReadingError(doubts)
    for one in logged:
        yield Act(content.OBSERVED, one.held, when, one.text, one.remarks)


def _lacking(book: Continuation, held: Mapping[str, Any]) -> Iterator[str]:
    """Yield what the protocol asks for besides and was not typed."""
    attribute: Attribute = book.plan.protocol.attributes[held["attribute"]]
    readings = held["readings"]
    if held["part"] == "after":
        yield from _heavier(book, held)
    if not readings or held["part"] is not None:
        return
    if attribute.kind == "measured" and len(readings) < attribute.readings:
        yield (
            f"{attribute.name}: {len(readings)} of {attribute.readings} readings; type "
            "them on one line, parted by a slash"
        )
    silent = [one for one in attribute.told_with_reading if one not in held["settings"]]
    if silent:
        more = " ".join(f"{name}=…" for name in silent)
        yield f"{attribute.name}: type behind it on the same line {more}"
    why = attribute.not_comparable(held["settings"])
    if why:
        yield f"{attribute.name}: {why}, so it shows no pass"
    best = attribute.scale[:1]
    if best and any(one["value"] != best[0] for one in readings):
        asked = [extra.partition(":")[0].strip() for extra in attribute.extra]
        missing = [name for name in asked if name not in held["extra"]]
        if missing:
            more = " ".join(f"{name}=…" for name in missing)
            yield f"{attribute.name}: type behind it on the same line {more}"


def _heavier(book: Continuation, held: Mapping[str, Any]) -> Iterator[str]:
    """Yield that a container weighs more closed again than before it was opened."""
    before = book.standing(held["sample"], held["check"], held["attribute"], "before")
    if before is None or not before.readings or not held["readings"]:
        return
    was, now = before.readings[0].number, Decimal(held["readings"][0]["value"])
    if now > was:
        yield f"weight after closing {now} g: more than before opening, {was} g"


def _correction(wish: Correction, book: Continuation) -> Iterator[Act]:
    from stability.records import observing

    old = book.observation(wish.position)
    if old is None:
        raise ValueError("only what was stored is looked at again")
    one = observing.correct(
        book, wish.position, wish.typed, observing.bench_facts(None),
        because=wish.because, accept_far=wish.sure,
    )  # fmt: skip
    text = f"{one.text}, corrects {book.plan.study.code}/{wish.position}"
    yield Act(content.CORRECTED, one.held, old.done, text, one.remarks)


def _left(wish: Left, book: Continuation, when: Moment, account: str) -> Iterator[Act]:
    from stability.records import acts

    sample = book.plan.samples[wish.sample]
    held = acts.retire(book.plan, sample, wish.reason, wish.because, when)
    if wish.unread:
        because = f"kept closed, {held['reason']}: {wish.because}"
        typed = tuple(f"{name}=not-measured" for name in wish.unread)
        unread = Readings(wish.sample, wish.check, typed, because, sure=True)
        yield from _readings(unread, book, when, account)
    text = f"{wish.sample}: {held['reason']}: {wish.because}"
    yield Act(content.RETIRED, held, when, text)


def _pictured(wish: Pictured, book: Continuation, when: Moment) -> Iterator[Act]:
    from stability.records.photographing import check_shown
    from stability.workflow.photographs import photograph_acts

    if wish.shown is None:
        raise ValueError("a photograph is read before it is stored")
    sample = book.plan.samples[wish.sample]
    check = check_shown(book, sample, wish.check, when)
    yield from photograph_acts(book, sample, check, [wish.shown], when)


def _said(wish: NotMade | Explained, book: Continuation, when: Moment) -> Act:
    from stability.records import acts

    if isinstance(wish, NotMade):
        scope = acts.Scope(samples=(wish.sample,))
        held = acts.miss(book.record, wish.check, scope, wish.because)
        text = f"{wish.check} of {wish.sample} missed: {wish.because}"
        return Act(content.MISSED, held, when, text)
    held = acts.note(book.record, wish.text, None, wish.sample)
    about = wish.sample or book.plan.study.code
    return Act(content.NOTED, held, when, f"{about}: {wish.text}")


def _set_for_day(
    wish: SetForDay, book: Continuation, when: Moment, account: str
) -> Act:
    """Return what was set for the day with what is set now: an entry holds it whole."""
    from stability.records import acts
    from stability.records.typed import setting_remarks

    before = facts_of_day(book.plan.days, when, account)
    held = acts.day(
        book.plan, when, account,
        observers=wish.observers or (before.observers if before else ()),
        settings=(*_settings_of(before), *wish.settings),
        control=(*_control_of(before), *wish.control),
        blind=before.blind if before else False,
    )  # fmt: skip
    new = acts.read_settings(book.plan, wish.settings)
    remarks = tuple(
        remark
        for name, values in new.items()
        for remark in setting_remarks(book.plan.protocol.attributes[name], values)
    )
    if remarks and not wish.sure:
        raise FarReadingError(remarks)
    said = {
        "observers": list(wish.observers),
        "settings": new,
        "control": acts.read_control(book.plan, wish.control),
        "blind": False,
    }
    return Act(content.DAY, held, when, f"for {when.day}: {day_words(said)}", remarks)


def _settings_of(facts: DayFacts | None) -> Iterator[str]:
    for name, values in facts.settings.items() if facts else ():
        yield from (f"{name}.{key}={value}" for key, value in values.items())


def _control_of(facts: DayFacts | None) -> Iterator[str]:
    for name, code in facts.control.items() if facts else ():
        yield f"{name}={code}" if name else code
