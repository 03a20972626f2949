"""Which program and version wrote what one reads."""

from __future__ import annotations

from functools import cache
from typing import Final

#: Name under which the program is installed.
DISTRIBUTION: Final = "stability-study"


@cache
def program_version() -> str:
    """Return the version of the installed program, as its metadata has it."""
    from importlib.metadata import PackageNotFoundError, version  # noqa: PLC0415 -- takes a while to load, and most commands never ask

    try:
        return version(DISTRIBUTION)
    except PackageNotFoundError:
        return "not installed"


def program_name() -> str:
    """Return the program with its version, as documents name what wrote them."""
    return f"stability {program_version()}"
