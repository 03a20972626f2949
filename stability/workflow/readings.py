"""Verbs that log readings, correct them, set them aside and explain them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from stability.errors.samples import EntryReferenceError
from stability.model import content
from stability.workflow.confirming import Confirm, confirmed
from stability.workflow.occasion import Occasion, facts_of_day
from stability.workflow.photographs import photograph_acts
from stability.workflow.writing import Act, of_sample, of_study, write
from stability.workflow.written import Written, echo

if TYPE_CHECKING:
    from stability.records.continuation import Continuation


def log(
    at: Occasion,
    sample: str,
    readings: Sequence[str],
    *,
    study: str | None = None,
    check: str | None = None,
    repeat: str | None = None,
    because: str | None = None,
    done: str | None = None,
    settings: Sequence[str] = (),
    observers: Sequence[str] = (),
    control: str | None = None,
    blind: bool = False,
    photos: Sequence[str] = (),
    caption: str | None = None,
    accept_far: bool = False,
    confirm: Confirm | None = None,
) -> tuple[Written, ...]:
    """Log readings of one sample, and photographs of it.

    Parameters
    ----------
    at
        The occasion.
    sample
        Code, as typed.
    readings
        `NAME=READING` each.
    study
        Study of a short code.
    check
        Check; None: worked out; `extra`: none.
    repeat
        Why it is read a second time; None for first readings.
    because
        Why something was not measured.
    done
        When it was read, as typed; None: now.
    settings, observers, control, blind
        What holds for this line, before what was set for the day.
    photos, caption
        Files of photographs, `colour=jar.jpg` where one shows an attribute, and what
        is said of them.
    accept_far
        Whether readings far from the last ones are taken without a question.
    confirm
        Asks a person; None where nobody can be asked.

    Raises
    ------
    StabilityError
        If anything cannot be taken, or was not confirmed; nothing was written.
    """
    from stability.records import acts as checked
    from stability.records import observing, photographing
    from stability.records.guards import checked_moment, resolve_sample
    from stability.records.unstated_settings import unstated_settings

    shown = [photographing.read_shown(one, caption) for one in photos]
    check_of = photographing.check_shown if not readings else observing.resolve_check

    def acts(book: Continuation, *, sure: bool) -> Iterator[Act]:
        plan = book.plan
        when = checked_moment(done, plan.zone, at.now)
        found = resolve_sample(plan, sample)
        facts = observing.bench_facts(
            facts_of_day(plan.days, when, at.account),
            observers=observers,
            settings=_settings(book, settings, readings),
            control=checked.read_control(plan, [control] if control else []),
            blind=blind,
            because=because,
        )
        place = check_of(book, found, check, when)
        logged = () if shown and not readings else observing.observe(
            book, found, place, readings, facts,
            done=when, repeat=repeat, accept_far=sure,
        )  # fmt: skip
        for one in logged:
            text = f"{echo(plan, found.code, place or 'extra')}: {one.text}"
            position = book.head.position + 1
            unstated = unstated_settings(plan, found, one.typed, position)
            remarks = (*one.remarks, *unstated)
            yield Act(content.OBSERVED, one.held, when, text, remarks)
        yield from photograph_acts(book, found, place, shown, when)

    of = of_sample(at, sample, study, done)
    return confirmed(
        lambda sure: write(at, of, lambda book: acts(book, sure=sure)),
        accept_far=accept_far,
        confirm=confirm,
    )


def correct(
    at: Occasion,
    reference: str,
    readings: Sequence[str],
    *,
    because: str | None,
    check: str | None = None,
    settings: Sequence[str] = (),
    observers: Sequence[str] = (),
    done: str | None = None,
    accept_far: bool = False,
    confirm: Confirm | None = None,
) -> tuple[Written, ...]:
    """Supersede an observation by what it should have been; the old one stays readable.

    Parameters
    ----------
    at
        The occasion.
    reference
        Such as `HDC/12`.
    readings
        One, with or without the attribute's name, and further readings it asks for.
    because
        Why it is corrected.
    check
        Another check to which it belongs; None leaves it.
    settings, observers
        Those that change.
    done
        Another time at which it was read; None leaves it.
    accept_far, confirm
        As in `log`.

    Raises
    ------
    StabilityError
        If the reference leads nowhere or the readings cannot be taken.
    """
    from stability.records import acts as checked
    from stability.records import observing
    from stability.records.guards import checked_moment

    code = _study_in(reference)

    def acts(book: Continuation, *, sure: bool) -> Iterator[Act]:
        plan = book.plan
        position = observing.position_of(reference, plan.study.code)
        facts = observing.bench_facts(
            None,
            observers=observers,
            settings=checked.read_settings(plan, settings),
        )
        one = observing.correct(
            book, position, readings, facts,
            because=because, check=check, accept_far=sure,
        )  # fmt: skip
        old = book.observation(position)
        if old is None:
            raise ValueError("what was corrected stands in the record")
        when = checked_moment(done, plan.zone, at.now) if done else old.done
        now = one.held["observation"]
        place = now["check"] or "extra"
        text = f"{echo(plan, old.sample, place)}: {one.text}, corrects {reference}"
        yield Act(content.CORRECTED, one.held, when, text, one.remarks)

    return confirmed(
        lambda sure: write(at, of_study(code), lambda book: acts(book, sure=sure)),
        accept_far=accept_far,
        confirm=confirm,
    )


def invalidate(
    at: Occasion, reference: str, *, because: str | None, done: str | None = None
) -> tuple[Written, ...]:
    """Set an observation, certificate or photograph aside; it stays readable.

    Raises
    ------
    StabilityError
        If the reference leads nowhere or no cause is given.
    """
    from stability.records import observing
    from stability.records.guards import checked_moment

    code = _study_in(reference)

    def acts(book: Continuation) -> Iterator[Act]:
        when = checked_moment(done, book.plan.zone, at.now)
        position = observing.position_of(reference, book.plan.study.code)
        held = observing.invalidate(book, position, because)
        kind = observing.kind_setting_aside(book, position)
        yield Act(kind, held, when, f"{reference} set aside")

    return write(at, of_study(code), acts)


def note(
    at: Occasion, about: str, text: str, *, done: str | None = None
) -> tuple[Written, ...]:
    """Explain something beside the record.

    Parameters
    ----------
    at
        The occasion.
    about
        A study, an entry such as `HDC/12`, or a sample.
    text
        The explanation.
    done
        When, as typed; None: now.

    Raises
    ------
    StabilityError
        If it is about nothing known, or empty.
    """
    from stability.records import acts as checked
    from stability.records import observing
    from stability.records.guards import checked_moment

    entry = "/" in about
    whole_study = not entry and not any(char.isdigit() for char in about[-4:-1])
    of = of_study(_study_in(about) if entry else about)
    if not entry and not whole_study:
        of = of_sample(at, about, None, done)

    def acts(book: Continuation) -> Iterator[Act]:
        when = checked_moment(done, book.plan.zone, at.now)
        code = book.plan.study.code
        position = observing.position_of(about, code) if entry else None
        sample = None if entry or whole_study else about
        held = checked.note(book.record, text, position, sample)
        yield Act(content.NOTED, held, when, f"{held['sample'] or about}: {text}")

    return write(at, of, acts)


def _settings(
    book: Continuation, typed: Sequence[str], readings: Sequence[str]
) -> dict[str, dict[str, str]]:
    """Return attribute -> setting -> value, an instrument where it is read with one."""
    from stability.records.acts import read_settings

    plan = book.plan
    spread = book.names.spread(typed, plan.protocol.attributes, readings)
    return read_settings(plan, spread)


def _study_in(reference: str) -> str:
    code, slash, _ = reference.strip().rpartition("/")
    if not slash:
        raise EntryReferenceError(reference, "write study and number, such as HDC/12")
    return code
