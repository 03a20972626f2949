"""Sample codes with their check character, worked out apart from the package.

ISO/IEC 7064 MOD 37-2 over study code and number; a number whose check character
could be misread on a label is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count

SIGNS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*"
ON_LABELS = "23456789CDFGHJKMNPQRTVWXY"


def check_character(text: str) -> str:
    """Return the check character of ISO/IEC 7064 MOD 37-2."""
    total = 0
    for sign in text:
        total = (total + SIGNS.index(sign)) * 2 % 37
    return SIGNS[(38 - total) % 37]


def sample_codes(study: str) -> Iterator[str]:
    """Yield the sample codes of a study in order: `QDC-001-…`, `QDC-003-…`."""
    for number in count(1):
        digits = f"{number:03d}"
        check = check_character(study + digits)
        if check in ON_LABELS:
            yield f"{study}-{digits}-{check}"
