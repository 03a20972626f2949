"""Invented photographs of a jar, as a telephone writes them."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

from PIL import Image, ImageCms, ImageDraw

#: Tag numbers of Exif 2.3 (CIPA DC-008-2012): orientation, maker, the two tables
#: below, the time of taking with its offset, and the reference of the latitude.
ORIENTATION, MAKER, EXIF, GPS = 0x0112, 0x010F, 0x8769, 0x8825
TAKEN, OFFSET, LATITUDE_REF, LATITUDE = 0x9003, 0x9011, 1, 2
#: What must not stay: the place and the name that the camera wrote.
SECRETS = (b"Quillmarsh Optics", b"Exif", b"ICC_PROFILE", b"http://ns.adobe.com")


def jar(
    size: tuple[int, int] = (240, 320), corner: tuple[int, int, int] = (200, 30, 30)
) -> Image.Image:
    """Return a picture whose upper left corner has a colour of its own."""
    picture = Image.new("RGB", size, (225, 222, 210))
    draw = ImageDraw.Draw(picture)
    width, height = size
    draw.rectangle((0, 0, width // 4, height // 4), fill=corner)
    draw.ellipse((width // 3, height // 3, width - 10, height - 10), fill=(90, 60, 40))
    return picture


def camera_words(
    orientation: int = 1, taken: str = "2026:03:20 09:15:00"
) -> Image.Exif:
    """Return what a camera writes beside a picture: place, maker, time, way up."""
    words = Image.Exif()
    words[ORIENTATION] = orientation
    words[MAKER] = "Quillmarsh Optics"
    words.get_ifd(EXIF)[TAKEN] = taken
    words.get_ifd(EXIF)[OFFSET] = "+00:00"
    words.get_ifd(GPS)[LATITUDE_REF] = "N"
    words.get_ifd(GPS)[LATITUDE] = (53.0, 20.0, 59.0)
    return words


def write(path: Path, picture: Image.Image | None = None, **options: Any) -> Path:
    """Write a picture as its name says, with all that a camera writes beside it."""
    options.setdefault("exif", camera_words())
    options.setdefault(
        "icc_profile",
        ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes(),
    )
    if path.suffix == ".jpg":
        options.setdefault("quality", 92)
    (picture or jar()).save(path, **options)
    return path


def opened(content: bytes) -> Image.Image:
    """Return a picture from its bytes, unpacked."""
    picture = Image.open(io.BytesIO(content))
    picture.load()
    return picture
