"""A question to a person before something doubtful is stored."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from stability.errors.samples import FarReadingError, NotConfirmedError

#: Asks a person; True for yes.
Confirm = Callable[[str], bool]
Stored = TypeVar("Stored")


def confirmed(
    attempt: Callable[[bool], Stored], *, accept_far: bool, confirm: Confirm | None
) -> Stored:
    """Try; where readings are far from the last ones, ask and try again.

    Nothing is held open while a person thinks.

    Parameters
    ----------
    attempt
        Stores; takes whether far readings are confirmed.
    accept_far
        Whether they are before anybody is asked.
    confirm
        Asks; None where nobody can be asked.

    Raises
    ------
    FarReadingError
        If readings are far and nobody can be asked.
    NotConfirmedError
        If the person said no.
    """
    try:
        return attempt(accept_far)
    except FarReadingError as fault:
        if confirm is None:
            raise
        if not all(confirm(question) for question in fault.questions):
            raise NotConfirmedError from fault
    sure = True
    return attempt(sure)
