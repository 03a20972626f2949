"""Names as people type them: any case, their beginning, or nearly right."""

from __future__ import annotations

from collections.abc import Iterable

from stability.errors.samples import UnknownNameError
from stability.model.nearest import nearest


def find_name(typed: str, known: Iterable[str], what: str) -> str:
    """Return the known name that was meant.

    Parameters
    ----------
    typed
        As typed; case, and blanks for underscores, do not matter, and a beginning
        suffices where only one name begins so.
    known
        The names there are.
    what
        What they name, for the message.

    Raises
    ------
    UnknownNameError
        If none or more than one is meant; the message offers the nearest.

    Examples
    --------
    >>> find_name("room", ["ROOM", "T40", "T45"], "condition")
    'ROOM'
    """
    names = list(dict.fromkeys(known))
    meant = matching(typed, names)
    if len(meant) == 1:
        return meant[0]
    if meant:
        raise UnknownNameError(what, typed, f"it may be {_either(meant)}: type more")
    raise UnknownNameError(what, typed, _hint(typed, names))


def matching(typed: str, names: Iterable[str]) -> list[str]:
    """Return the names that are meant: the one written so, else those beginning so."""
    known = list(names)
    if typed in known:
        return [typed]
    plain = _plain(typed)
    same = [name for name in known if _plain(name) == plain]
    if same or not plain:
        return same
    return [name for name in known if _plain(name).startswith(plain)]


def _hint(typed: str, names: list[str]) -> str:
    close = list(nearest(typed, names))
    if close:
        return f"did you mean {_either(close)}"
    if not names:
        return "none is known"
    return f"known are {', '.join(names[:12])}{' …' if len(names) > 12 else ''}"


def _either(names: list[str]) -> str:
    return " or ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def _plain(name: str) -> str:
    return name.strip().casefold().replace("_", " ").replace("-", " ")
