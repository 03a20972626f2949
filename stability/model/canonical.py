"""Canonical JSON: the one text in which a content is written, so that it can be hashed.

Keys are sorted, nothing stands between the signs, letters of every script stand as they
are. Where many contents differ in a few values only, the rest is written once.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from json import encoder as _json
from typing import Any, Final

from stability.model.plain_text import refused_character

#: Types that JSON gives back as they were.
_PLAIN: Final = frozenset({str, int, bool, type(None)})
_ENCODER: Final = json.JSONEncoder(
    ensure_ascii=False, allow_nan=False, sort_keys=True, separators=(",", ":")
)


def _made_once() -> Callable[[Any], str]:
    """Return the encoder's work without what it sets up anew for every text."""
    make = getattr(_json, "c_make_encoder", None)
    if make is None:
        return _ENCODER.encode
    default, strings = _ENCODER.default, _json.encode_basestring
    inner = make(None, default, strings, None, ":", ",", True, False, False)  # noqa: FBT003
    return lambda value: "".join(inner(value, 0))


#: Writes a value that is plain already.
encoded: Final = _made_once()


def check_plain(held: Mapping[str, Any] | list[Any]) -> None:
    """Refuse what JSON does not give back as it was, such as 5.0 or (1, 2).

    Raises
    ------
    ValueError
        If it holds such a thing, however deep.
    """
    waiting: list[Any] = [held]
    for value in waiting:  # it grows on the way
        kind = type(value)
        if kind is dict:
            for key in value:
                if type(key) is not str:
                    raise ValueError(f"a key of the content is no text: {key!r}")
            inner: Iterable[Any] = value.values()
        elif kind is list:
            inner = value
        else:
            raise ValueError(f"content holds {value!r}, which is no plain JSON")
        for one in inner:
            if type(one) not in _PLAIN:
                waiting.append(one)  # noqa: PERF401 - a list of its own takes longer


def holds_refused(line: str) -> bool:
    """Say whether a line holds a refused character, as such or escaped."""
    # JSON escapes all that is refused in ASCII but the last sign.
    if "\x7f" in line if line.isascii() else refused_character(line):
        return True
    return "\\" in line and any(
        type(text) is str and refused_character(text)
        for text in _walk(json.loads(line))
    )


def _walk(value: Any) -> Iterator[Any]:
    stack = [value]
    while stack:
        value = stack.pop()
        if type(value) is dict:
            stack.extend(value)
            stack.extend(value.values())
        elif type(value) is list:
            stack.extend(value)
        else:
            yield value


#: A value with its text.
Written = tuple[Any, str]


def written(value: dict[str, Any] | list[Any]) -> Written:
    """Return a plain value with its text.

    Raises
    ------
    ValueError
        If it is not plain.
    """
    check_plain(value)
    return value, encoded(value)


@lru_cache(maxsize=4096)  # codes and checks come again and again
def written_text(text: str | None) -> Written:
    """Return a text, or that there is none, with how it is written."""
    return text, encoded(text)


@lru_cache(maxsize=256)  # a day has the same observers all along
def written_texts(texts: tuple[str, ...]) -> Written:
    """Return several texts with how they are written."""
    return written(list(texts))


@dataclass(frozen=True, slots=True)
class Template:
    """A content in which some values are open; the others are written already.

    Examples
    --------
    >>> unit = template({"check": "", "unit": "pH"}, ["check"])
    >>> unit.filled({"check": written_text("4w")})
    ({'check': '4w', 'unit': 'pH'}, '{"check":"4w","unit":"pH"}')
    """

    #: Such a content, with anything under the open keys.
    held: Mapping[str, Any]
    #: Keys whose values are open, in the order in which they are written.
    open_keys: tuple[str, ...]
    #: The text, with `%s` for each open value.
    text: str

    def filled(self, values: Mapping[str, Written]) -> tuple[dict[str, Any], str]:
        """Return the content, and how it is written, with a value for each open key."""
        held, told = dict(self.held), []
        for key in self.open_keys:
            held[key], text = values[key]
            told.append(text)
        return held, self.text % tuple(told)


def template(held: Mapping[str, Any], open_keys: Iterable[str]) -> Template:
    """Return a content as a template.

    Parameters
    ----------
    held
        Such a content, with anything under the open keys.
    open_keys
        Keys whose values differ from content to content.

    Raises
    ------
    ValueError
        If the content is not plain.
    """
    check_plain(held)
    left = tuple(sorted(held.keys() & set(open_keys)))
    pairs = (
        _literal(f"{encoded(key)}:") + ("%s" if key in left else _literal(encoded(one)))
        for key, one in sorted(held.items())
    )
    return Template(held, left, f"{{{','.join(pairs)}}}")


def _literal(text: str) -> str:
    """Return a text as it stands in a template, in which `%` has a meaning."""
    return text.replace("%", "%%")
