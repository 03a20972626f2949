"""Which excursions of a storage place an answer is to hold for, and in what words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from stability.errors.storage import ExcursionSideError
from stability.model.excursion_answer import DIRECTIONS, Direction
from stability.model.place import PlaceRecord
from stability.model.place_words import period_words

if TYPE_CHECKING:
    from stability.evaluation.storage_findings import StorageExcursion

#: Excursions that are named one by one [-].
_MOST_NAMED: Final = 3


def sides_asked(
    place: PlaceRecord, touched: Sequence[StorageExcursion]
) -> tuple[Direction, ...]:
    """Return the side that an answer holds for: that of what is still open.

    Parameters
    ----------
    place
        The place.
    touched
        Excursions of the days that were typed.

    Raises
    ------
    ExcursionSideError
        If some were hotter and some colder than meant: what is a ground to go on for
        one is none for the other.
    """
    asked = [one for one in touched if one.is_open] or touched
    sides = tuple(
        side for side in DIRECTIONS if any(one.direction == side for one in asked)
    )
    if len(sides) > 1:
        told = [
            _named(place, [one for one in asked if one.direction == side])
            for side in sides
        ]
        raise ExcursionSideError(place.name, told)
    return sides


def answered_words(place: PlaceRecord, touched: Sequence[StorageExcursion]) -> str:
    """Return which excursions were answered: `1 excursion answered: 9 h colder …`."""
    if not touched:
        return "no excursion on record of the place itself"
    count = "1 excursion" if len(touched) == 1 else f"{len(touched)} excursions"
    return f"{count} answered: {_named(place, touched)}"


def _named(place: PlaceRecord, ones: Sequence[StorageExcursion]) -> str:
    told = [
        f"{one.text} ({period_words(one.start, one.end, place)})"
        for one in ones[:_MOST_NAMED]
    ]
    left = len(ones) - len(told)
    return "; ".join([*told, f"and {left} more"] if left else told)
