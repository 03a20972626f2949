"""Names of attributes and settings in words.

In a protocol, on a command line and in tables for programs a name is a code without
spaces, such as ``weight_loss``; what is printed for people has words.
"""

from __future__ import annotations

from collections.abc import Iterable


def in_words(name: str) -> str:
    """Return the name of an attribute or a setting as people read it.

    Examples
    --------
    >>> in_words("weight_loss"), in_words("pH")
    ('weight loss', 'pH')
    """
    return name.replace("_", " ")


def all_in_words(names: Iterable[str]) -> list[str]:
    """Return several names as people read them."""
    return [in_words(one) for one in names]
