"""What is kept of a photograph's file, and what never gets in."""

from __future__ import annotations

import hashlib
import io
import struct
import subprocess
import sys
import zlib
from pathlib import Path

import pytest
from PIL import Image, ImageCms

from stability.errors.photographs import PhotographFileError
from stability.records.photograph_file import (
    LONGEST_EDGE,
    MOST_BYTES,
    is_clean,
    read_photograph,
)
from tests.records.pictures import SECRETS, camera_words, jar, opened, write

RED = (200, 30, 30)
SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def near(one: tuple[int, ...], other: tuple[int, ...], by: int = 12) -> bool:
    """Say whether two colours are alike, as far as a JPEG keeps them."""
    return all(abs(a - b) <= by for a, b in zip(one, other, strict=True))


def colour(picture: Image.Image, place: tuple[int, int]) -> tuple[int, ...]:
    """Return the colour at a place."""
    found = picture.getpixel(place)
    assert isinstance(found, tuple)
    return found


@pytest.mark.parametrize("profile", [None, SRGB])
def test_nothing_that_the_camera_wrote_stays(
    tmp_path: Path, profile: bytes | None
) -> None:
    path = write(
        tmp_path / "jar.jpg", comment=b"Quillmarsh Optics", icc_profile=profile
    )
    assert any(secret in path.read_bytes() for secret in SECRETS)

    kept = read_photograph(path)

    assert not any(secret in kept.content for secret in SECRETS)
    picture = opened(kept.content)
    assert picture.format == "JPEG"
    assert not dict(picture.getexif())
    assert set(picture.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}


def test_what_hangs_behind_the_picture_is_left_behind(tmp_path: Path) -> None:
    small = tmp_path / "small.jpg"
    small.write_bytes(read_photograph(write(tmp_path / "jar.jpg")).content)
    assert is_clean(small)
    film = tmp_path / "film.jpg"
    film.write_bytes(small.read_bytes() + b"moov 53.35 N 6.26 W")

    kept = read_photograph(film)

    assert not is_clean(film)
    assert b"53.35" not in kept.content


def test_a_preview_of_what_was_cut_away_is_no_clean_copy(tmp_path: Path) -> None:
    content = read_photograph(write(tmp_path / "jar.jpg")).content
    # JFIF 1.02: an extension of APP0 holds a small picture of the whole.
    preview = b"JFXX\x00\x13" + bytes((1, 1)) + b"\x01\x02\x03"
    segment = b"\xff\xe0" + (len(preview) + 2).to_bytes(2, "big") + preview
    path = tmp_path / "preview.jpg"
    path.write_bytes(content[:20] + segment + content[20:])
    assert opened(path.read_bytes()).size == opened(content).size

    kept = read_photograph(path)

    assert not is_clean(path)
    assert b"JFXX" not in kept.content


def test_the_original_is_told_by_digest_size_and_name(tmp_path: Path) -> None:
    path = write(tmp_path / "jar.jpg")

    kept = read_photograph(path)

    whole = path.read_bytes()
    assert kept.original.sha256 == hashlib.sha256(whole).hexdigest()
    assert (kept.original.name, kept.original.size) == ("jar.jpg", len(whole))
    assert kept.original.sha256 != hashlib.sha256(kept.content).hexdigest()


@pytest.mark.parametrize(
    ("orientation", "corner", "pixels"),
    [
        # The eight ways up of Exif 2.3, by the corner at which row 0 and column 0 lie.
        (1, (0, 0), (240, 320)),
        (2, (-1, 0), (240, 320)),
        (3, (-1, -1), (240, 320)),
        (4, (0, -1), (240, 320)),
        (5, (0, 0), (320, 240)),
        (6, (-1, 0), (320, 240)),
        (7, (-1, -1), (320, 240)),
        (8, (0, -1), (320, 240)),
    ],
)
@pytest.mark.parametrize("name", ["jar.jpg", "jar.png", "jar.webp"])
def test_the_way_up_is_applied(
    tmp_path: Path,
    name: str,
    orientation: int,
    corner: tuple[int, int],
    pixels: tuple[int, int],
) -> None:
    path = write(tmp_path / name, exif=camera_words(orientation))

    kept = read_photograph(path)

    picture = opened(kept.content)
    assert kept.pixels == picture.size == pixels
    x, y = (
        9 if end == 0 else size - 10 for end, size in zip(corner, pixels, strict=True)
    )
    assert near(colour(picture, (x, y)), RED)
    opposite = (pixels[0] - 1 - x, pixels[1] - 1 - y)
    assert not near(colour(picture, opposite), RED)


@pytest.mark.parametrize("size", [(4000, 3000), (1601, 20)])
def test_the_longest_edge_is_cut_down(tmp_path: Path, size: tuple[int, int]) -> None:
    kept = read_photograph(write(tmp_path / "jar.jpg", jar(size)))

    assert max(kept.pixels) == max(opened(kept.content).size) == LONGEST_EDGE
    assert kept.pixels[0] / kept.pixels[1] == pytest.approx(size[0] / size[1], rel=0.05)


def test_a_small_photograph_is_not_blown_up(tmp_path: Path) -> None:
    assert read_photograph(write(tmp_path / "jar.jpg")).pixels == (240, 320)


def test_the_same_file_gives_the_same_bytes_in_another_process(tmp_path: Path) -> None:
    path = write(tmp_path / "jar.jpg", jar((2000, 1500)))
    code = (
        "import sys, hashlib; from pathlib import Path; "
        "from stability.records.photograph_file import read_photograph; "
        "print(hashlib.sha256(read_photograph(Path(sys.argv[1])).content).hexdigest())"
    )

    ran = subprocess.run(
        [sys.executable, "-c", code, str(path)],
        capture_output=True,
        text=True,
        check=True,
    )

    ours = hashlib.sha256(read_photograph(path).content).hexdigest()
    assert ran.stdout.strip() == ours


def test_a_copy_that_was_cleaned_is_kept_as_it_is(tmp_path: Path) -> None:
    copy = tmp_path / "copy.jpg"
    copy.write_bytes(read_photograph(write(tmp_path / "jar.jpg")).content)

    again = read_photograph(copy)

    assert again.content == copy.read_bytes()
    assert again.original.sha256 == hashlib.sha256(again.content).hexdigest()


@pytest.mark.parametrize(
    ("stamp", "read"),
    [
        ("2026:03:20 09:15:00", "2026-03-20T09:15:00+00:00"),
        ("0000:00:00 00:00:00", None),
        ("2026:02:30 09:15:00", None),
        ("yesterday", None),
        ("", None),
    ],
)
def test_the_camera_s_own_time_is_told_where_it_can_be_read(
    tmp_path: Path, stamp: str, read: str | None
) -> None:
    path = write(tmp_path / "jar.jpg", exif=camera_words(taken=stamp))

    assert read_photograph(path).taken == read


def test_colours_of_a_wide_space_are_brought_to_the_common_one(tmp_path: Path) -> None:
    # A profile whose primaries are those of sRGB with red and green exchanged stands
    # for any other space: its pure first channel is green.
    swapped = _profile_with_red_and_green_exchanged()
    picture = Image.new("RGB", (64, 64), (255, 0, 0))

    kept = read_photograph(
        write(tmp_path / "jar.jpg", picture, icc_profile=swapped, quality=100)
    )

    assert near(colour(opened(kept.content), (32, 32)), (0, 255, 0), by=20)


def _profile_with_red_and_green_exchanged() -> bytes:
    """Return sRGB with the tags of its red and green primaries exchanged."""
    whole = bytearray(SRGB)
    red, green = whole.index(b"rXYZ"), whole.index(b"gXYZ")
    whole[red : red + 4], whole[green : green + 4] = b"gXYZ", b"rXYZ"
    return bytes(whole)


def test_a_spoilt_profile_hinders_nothing(tmp_path: Path) -> None:
    path = write(tmp_path / "jar.jpg", icc_profile=b"no profile at all")

    assert near(colour(opened(read_photograph(path).content), (9, 9)), RED)


@pytest.mark.parametrize("mode", ["RGBA", "LA", "P", "L", "1", "I;16"])
def test_every_kind_of_picture_becomes_a_plain_one(tmp_path: Path, mode: str) -> None:
    grey = jar((64, 64), corner=(128, 128, 128))
    if mode == "I;16":
        picture = Image.new("I;16", (64, 64), 128 * 256)
    elif mode == "P":
        picture = grey.convert("P", palette=Image.Palette.ADAPTIVE)
    else:
        picture = grey.convert(mode)
    path = tmp_path / "jar.png"
    picture.save(path)

    found = opened(read_photograph(path).content)

    assert found.mode == "RGB"
    if mode != "1":  # which knows black and white only
        assert near(colour(found, (5, 5)), (128, 128, 128))


def test_gaps_are_laid_onto_white(tmp_path: Path) -> None:
    path = tmp_path / "jar.png"
    Image.new("RGBA", (40, 40), (255, 0, 0, 0)).save(path)

    assert near(colour(opened(read_photograph(path).content), (20, 20)), (255,) * 3)


def test_printing_colours_become_those_of_a_screen(tmp_path: Path) -> None:
    path = tmp_path / "jar.jpg"
    Image.new("CMYK", (40, 40), (0, 0, 0, 0)).save(path)

    assert near(colour(opened(read_photograph(path).content), (20, 20)), (255,) * 3)


HEIC = b"\x00\x00\x00\x18ftypheic" + b"\x00" * 64


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        (b"", "it is empty"),
        (b"pH 5.47\n" * 50, "no picture that can be read"),
        (b"%PDF-1.7 a certificate", "no picture that can be read"),
        (HEIC, "export it as JPEG first"),
        (b"GIF89a" + b"\x00" * 64, "GIF or TIFF"),
        (b"\xff\xd8\xff\xe0" + b"\x00" * 64, "no picture that can be read"),
    ],
)
def test_what_is_no_photograph_is_refused(
    tmp_path: Path, content: bytes, reason: str
) -> None:
    path = tmp_path / "jar.jpg"
    path.write_bytes(content)

    with pytest.raises(PhotographFileError, match=reason):
        read_photograph(path)


@pytest.mark.parametrize("name", ["jar.jpg", "jar.png", "jar.webp"])
def test_a_file_that_was_cut_off_is_refused(tmp_path: Path, name: str) -> None:
    path = write(tmp_path / name, jar((600, 400)))
    path.write_bytes(path.read_bytes()[:-900])

    with pytest.raises(PhotographFileError, match="damaged or cut off"):
        read_photograph(path)


def test_a_folder_and_a_missing_file_are_refused(tmp_path: Path) -> None:
    with pytest.raises(PhotographFileError, match="it is no file"):
        read_photograph(tmp_path)
    with pytest.raises(PhotographFileError, match="there is no such file"):
        read_photograph(tmp_path / "jar.jpg")


def test_a_file_of_200_mb_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "jar.jpg"
    with path.open("wb") as file:
        file.truncate(200_000_000)  # a hole: it takes no room on the disk

    with pytest.raises(PhotographFileError, match="it has 200 MB"):
        read_photograph(path)
    assert path.stat().st_size > MOST_BYTES


@pytest.mark.parametrize(("width", "height"), [(9000, 9000), (100_000, 100_000)])
def test_a_picture_that_would_fill_the_memory_is_refused_unpacked(
    tmp_path: Path, width: int, height: int
) -> None:
    path = tmp_path / "jar.png"
    path.write_bytes(_png_of_claimed_size(width, height))
    assert len(path.read_bytes()) < 200

    with pytest.raises(PhotographFileError, match="pixels; save it smaller"):
        read_photograph(path)


def _png_of_claimed_size(width: int, height: int) -> bytes:
    """Return a PNG that claims more than it holds (W3C, PNG, 2003, section 5)."""

    def chunk(kind: bytes, held: bytes) -> bytes:
        code = struct.pack(">I", zlib.crc32(kind + held))
        return struct.pack(">I", len(held)) + kind + held + code

    out = io.BytesIO(b"\x89PNG\r\n\x1a\n")
    out.seek(0, io.SEEK_END)
    out.write(chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)))
    out.write(chunk(b"IDAT", zlib.compress(b"\x00" * 9)))
    out.write(chunk(b"IEND", b""))
    return out.getvalue()
