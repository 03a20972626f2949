"""A photograph as large as print can show it, so that a report stays small."""

from __future__ import annotations

import io
from typing import Final

#: Longest edge in print [pixels]: 40 mm at 300 dots per inch, and a little room.
PRINT_EDGE: Final = 560
_QUALITY: Final = 82


def print_size(content: bytes) -> bytes:
    """Return a JPEG as printed; one that is small already stays as it is.

    Parameters
    ----------
    content
        A cleaned copy as kept.

    Notes
    -----
    The same bytes and the same version of the library give the same bytes.
    """
    from PIL import Image  # noqa: PLC0415 - only a report with photographs needs it

    with Image.open(io.BytesIO(content), formats=("JPEG",)) as image:
        if max(image.size) <= PRINT_EDGE:
            return content
        image.thumbnail((PRINT_EDGE, PRINT_EDGE), Image.Resampling.LANCZOS)
        out = io.BytesIO()
        image.save(out, format="JPEG", quality=_QUALITY, optimize=True)
        return out.getvalue()
