"""Which known word somebody probably meant."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

#: More known words than this are not listed: nobody reads them.
_MOST_LISTED: Final = 12


def nearest(word: str, known: Iterable[str], most: int = 3) -> tuple[str, ...]:
    """Return the known words that resemble a word, best first.

    Capitals do not count, so that `ph` finds `pH`.

    Parameters
    ----------
    word
        As typed.
    known
        Words that would have been right.
    most
        How many to return at most [-].

    Examples
    --------
    >>> nearest("viscocity", ["pH", "viscosity", "odour"])
    ('viscosity',)
    """
    # Only a fault needs it, and loading it costs more than reading a whole file.
    from difflib import get_close_matches  # noqa: PLC0415

    folded = {one.casefold(): one for one in known}
    found = get_close_matches(word.casefold(), folded, n=most)
    return tuple(folded[one] for one in found)


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """Return the hint that offers the nearest word, or else names them all.

    Examples
    --------
    >>> did_you_mean("ROM", ["ROOM", "T40"])
    'did you mean “ROOM”?'
    >>> did_you_mean("oven", ["ROOM", "T40"])
    'known: ROOM, T40'
    """
    words = tuple(known)
    found = nearest(word, words, most=1)
    if found:
        return f"did you mean “{found[0]}”?"
    listed = (*words[:_MOST_LISTED], "…") if len(words) > _MOST_LISTED else words
    return f"known: {', '.join(listed)}" if words else ""
