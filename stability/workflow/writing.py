"""How every writing verb writes: lock, load, check, append, refresh, commit."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stability.model.content import Content
from stability.model.moment import Moment, parse_moment
from stability.workflow.occasion import Occasion, facts_of_day, person_of
from stability.workflow.written import Written, written

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from stability.records.continuation import Continuation


@dataclass(frozen=True, slots=True)
class Act:
    """One entry to be written."""

    #: Kind with its version.
    kind: str
    #: Its content.
    held: Content
    #: When it was done.
    done: Moment
    #: It in words.
    text: str
    #: What the person should know besides.
    remarks: tuple[str, ...] = ()


def write(
    at: Occasion,
    study: Callable[[Connection], str],
    acts: Callable[[Continuation], Iterable[Act]],
) -> tuple[Written, ...]:
    """Write entries of one study, all or none.

    Parameters
    ----------
    at
        The occasion.
    study
        Finds the study's code.
    acts
        Yields what is to be written; each is checked against the study as the ones
        before it leave it.

    Raises
    ------
    StabilityError
        As what it calls; then nothing was written.
    """
    from stability.records.database import open_database
    from stability.records.store import continue_study, keep

    with open_database(at.records).writing() as connection:
        book = continue_study(connection, study(connection))
        found = add_acts(at, book, acts(book))
        keep(connection, book)
    return found


def add_acts(
    at: Occasion, book: Continuation, acts: Iterable[Act]
) -> tuple[Written, ...]:
    """Add acts to a study, each signed by who acts on its day; nothing is stored yet.

    Parameters
    ----------
    at
        The occasion.
    book
        The study.
    acts
        What is to be added; each may depend on those before it.
    """
    found: list[Written] = []
    for act in acts:
        facts = facts_of_day(book.plan.days, act.done, at.account)
        person = person_of(at.person, facts, at.environment_person, at.account)
        entry = book.add(
            act.kind, act.held, person=person, done=act.done, entered=at.now
        )
        found.append(written(entry, act.text, act.remarks))
    return tuple(found)


def of_study(typed: str) -> Callable[[Connection], str]:
    """Find a study by its code."""

    def find(connection: Connection) -> str:
        from stability.records.store import find_study

        return find_study(connection, typed)

    return find


def of_sample(
    at: Occasion, typed: str, study: str | None, done: str | None = None
) -> Callable[[Connection], str]:
    """Find the study of a sample code as typed.

    Parameters
    ----------
    at
        The occasion.
    typed
        The sample.
    study
        Study that was named; None where none was.
    done
        When it was done, as typed; its day tells the day's study.
    """

    def find(connection: Connection) -> str:
        from stability.records.store import find_study_of

        moment = parse_moment(done.strip(), at.local_zone()) if done else None
        day = moment.day if moment is not None else at.today()
        return find_study_of(connection, typed, study, day=day, account=at.account)

    return find
