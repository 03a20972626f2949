"""A photograph's file made into the cleaned copy that is kept.

Orientation is applied, colours are brought to sRGB, the longest edge is cut down, and
nothing that the camera wrote besides stays: no place, no serial number, no owner, no
small preview of what was cut away. The same file and the same version of the library
give the same bytes. A copy that was cleaned once is kept as it is.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import re
import struct
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final

from stability.errors.photographs import PhotographFileError
from stability.model.photograph import Original
from stability.model.plain_text import one_line

if TYPE_CHECKING:
    from PIL.Image import Image

#: Longest edge of the copy [pixels]: a whole page's width at 200 dots per inch.
LONGEST_EDGE: Final = 1600
#: Of the copy, after the scale of the JPEG library [-].
JPEG_QUALITY: Final = 85
#: Largest file that is read [bytes]; a telephone's photograph has a fifth of it.
MOST_BYTES: Final = 50_000_000
#: Largest picture that is unpacked [pixels]; more would fill a small machine's memory.
MOST_PIXELS: Final = 80_000_000
MEDIA_TYPE: Final = "image/jpeg"

_FORMATS: Final = ("JPEG", "PNG", "WEBP")
_HEIC: Final = {b"heic", b"heix", b"heif", b"mif1", b"msf1", b"hevc", b"hevx"}
_AS_JPEG = "export it as JPEG first"
#: Places of the camera's own words: when it was taken, and the offset of its clock.
_EXIF, _TAKEN, _OFFSET = 0x8769, 0x9003, 0x9011
_STAMP = re.compile(r"(\d{4}):(\d\d):(\d\d) (\d\d:\d\d:\d\d)", re.ASCII)
#: The one segment that a copy of ours has besides its picture, with its length: JFIF
#: 1.02, without the small preview that it may hold.
_JFIF: Final = ("APP0", 14)
_FAULTS = (OSError, ValueError, SyntaxError, struct.error, KeyError, TypeError)


@dataclass(frozen=True, slots=True)
class CleanPhotograph:
    """The copy that is kept, with what is known of the original."""

    #: Its bytes, a JPEG.
    content: bytes
    #: Width and height [pixels].
    pixels: tuple[int, int]
    #: What it was made from.
    original: Original
    #: When it was taken by the camera's own clock; None where that cannot be read.
    taken: str | None


def read_photograph(path: Path) -> CleanPhotograph:
    """Return a photograph cleaned.

    Parameters
    ----------
    path
        A JPEG, PNG or WebP file.

    Raises
    ------
    PhotographFileError
        If it is not there, too large, no picture, of another kind or damaged.
    """
    content = _bytes_of(path)
    name = one_line(path.name)
    original = Original(name, hashlib.sha256(content).hexdigest(), len(content))
    with _opened(path, content) as image:
        taken = _taken(image)
        if _is_clean(image, content):
            return CleanPhotograph(content, image.size, original, taken)
        cleaned, pixels = _cleaned(image)
    return CleanPhotograph(cleaned, pixels, original, taken)


def is_clean(path: Path) -> bool:
    """Say whether a file is a cleaned copy already, so that its bytes are kept.

    Raises
    ------
    PhotographFileError
        As `read_photograph` does.
    """
    content = _bytes_of(path)
    with _opened(path, content) as image:
        return _is_clean(image, content)


def _bytes_of(path: Path) -> bytes:
    try:
        size = path.stat().st_size
        if not path.is_file():
            raise PhotographFileError(path, "it is no file")
        if size > MOST_BYTES:
            raise PhotographFileError(path, f"it has {size / 1_000_000:.0f} MB")
        return path.read_bytes()
    except FileNotFoundError as error:
        raise PhotographFileError(path, "there is no such file") from error
    except OSError as error:
        reason = error.strerror or str(error)
        raise PhotographFileError(path, f"it cannot be read ({reason})") from error


@contextlib.contextmanager
def _opened(path: Path, content: bytes) -> Iterator[Image]:
    """Give a picture whose kind and size are known to be bearable."""
    from PIL import Image, UnidentifiedImageError  # noqa: PLC0415 - seldom needed

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # what the library warns of is judged here
        try:
            image = Image.open(io.BytesIO(content), formats=_FORMATS)
        except UnidentifiedImageError as error:
            raise PhotographFileError(path, _no_picture(content)) from error
        except Image.DecompressionBombError as error:
            raise PhotographFileError(path, _too_many(None)) from error
        except _FAULTS as error:
            raise PhotographFileError(path, "it is damaged or cut off") from error
        with image:
            if image.width * image.height > MOST_PIXELS:
                raise PhotographFileError(path, _too_many(image.size))
            try:
                yield image
            except (*_FAULTS, Image.DecompressionBombError) as error:
                raise PhotographFileError(path, "it is damaged or cut off") from error


def _no_picture(content: bytes) -> str:
    if not content:
        return "it is empty"
    if content[4:8] == b"ftyp" and content[8:12] in _HEIC:
        return f"it is in a telephone's own format (HEIC); {_AS_JPEG}"
    if content[:6] in {b"GIF87a", b"GIF89a"} or content[:4] in {b"II*\0", b"MM\0*"}:
        return f"it is a GIF or TIFF; {_AS_JPEG}"
    return "it is no picture that can be read"


def _too_many(size: tuple[int, int] | None) -> str:
    edges = f"{size[0]} × {size[1]}" if size else "too many"
    return f"it has {edges} pixels; save it smaller"


def _taken(image: Image) -> str | None:
    """Return when the camera says that it was taken; None where it says nothing."""
    try:
        told = image.getexif().get_ifd(_EXIF)
        found = _STAMP.fullmatch(str(told.get(_TAKEN, "")).strip("\0 "))
        if found is None:
            return None
        stamp = datetime.fromisoformat("{}-{}-{}T{}".format(*found.groups()))
    except _FAULTS:
        return None
    offset = str(told.get(_OFFSET, "")).strip("\0 ")
    known = re.fullmatch(r"[+-][0-1][0-9]:[0-5][0-9]", offset, re.ASCII)
    return f"{stamp.isoformat()}{offset if known else ''}"


def _is_clean(image: Image, content: bytes) -> bool:
    """Say whether a file is a JPEG that holds its picture and nothing else.

    Something may hang behind the end of a picture, such as a short film with the
    place where it was taken.
    """
    plain = image.format == "JPEG" and image.mode == "RGB"
    whole = content.find(b"\xff\xd9") == len(content) - 2
    segments = getattr(image, "applist", [])
    bare = [(name, len(held)) for name, held in segments] == [_JFIF]
    if not (plain and whole and bare and max(image.size) <= LONGEST_EDGE):
        return False
    image.load()
    return True


def _cleaned(image: Image) -> tuple[bytes, tuple[int, int]]:
    from PIL import Image, ImageOps  # noqa: PLC0415 - seldom needed

    profile = image.info.get("icc_profile")
    plain = _on_white(image)
    plain.info = dict(image.info)  # the way up, which laying it onto white forgets
    plain.thumbnail((LONGEST_EDGE, LONGEST_EDGE), Image.Resampling.LANCZOS)
    plain = _in_srgb(ImageOps.exif_transpose(plain), profile)
    # A new picture holds no word of the old one.
    bare = Image.frombytes("RGB", plain.size, plain.tobytes())
    out = io.BytesIO()
    bare.save(out, format="JPEG", quality=JPEG_QUALITY, optimize=True)
    return out.getvalue(), bare.size


def _on_white(image: Image) -> Image:
    """Lay a picture with gaps onto white, and give every other one a plain mode."""
    from PIL import Image  # noqa: PLC0415 - seldom needed

    if image.has_transparency_data:
        above = image.convert("RGBA")
        white = Image.new("RGBA", above.size, (255, 255, 255, 255))
        return Image.alpha_composite(white, above).convert("RGB")
    if image.mode.startswith("I"):
        # 16 bits of grey: the upper eight are what a screen shows.
        return image.convert("I").point(lambda value: value / 256).convert("L")
    return image if image.mode in {"RGB", "L", "CMYK"} else image.convert("RGB")


def _in_srgb(image: Image, profile: bytes | None) -> Image:
    """Return a picture in sRGB; one without a readable profile is taken to be in it."""
    from PIL import ImageCms  # noqa: PLC0415 - seldom needed

    if profile:
        try:
            theirs = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            ours = ImageCms.createProfile("sRGB")
            changed = ImageCms.profileToProfile(image, theirs, ours, outputMode="RGB")
        except (ImageCms.PyCMSError, *_FAULTS):
            return image.convert("RGB")
        if changed is not None:
            return changed
    return image.convert("RGB")
