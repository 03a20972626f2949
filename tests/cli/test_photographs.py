"""Photographs at the command line: log --photo, and the listing."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from stability.cli import readings
from stability.errors.photographs import PhotographAloneError
from tests.cli.test_readings import lines
from tests.records.pictures import SECRETS, write

if TYPE_CHECKING:
    from tests.cli.conftest import Workspace


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Return a photograph that the camera dates 20 March."""
    return write(tmp_path / "jar.jpg")


def test_a_photograph_is_logged_alone_and_with_readings(
    logged: Workspace, file: Path
) -> None:
    hot, room = logged.codes["T40"], logged.codes["ROOM"]
    alone = logged.run("log", hot, "--photo", str(file), "--on", "2026-03-20")
    both = logged.run(
        "log", room, "pH=5.40/5.41", "--photo", f"odour={file}", "--caption", "rim",
        "--on", "2026-04-02",
    )  # fmt: skip

    assert (alone.code, both.code) == (0, 0), alone.err + both.err
    assert "photograph, 240 × 320 pixels, cleaned copy kept" in alone.err
    assert "pH 5.40 / 5.41" in both.err
    assert "photograph of odour" in both.err
    whole = (logged.folder / "stability.db").read_bytes()
    assert not any(secret in whole for secret in SECRETS)


def test_photographs_are_listed_in_every_form(logged: Workspace, file: Path) -> None:
    hot = logged.codes["T40"]
    logged.run("log", hot, "--photo", str(file), "--on", "2026-03-20")

    table = logged.run("photographs", "TRK")
    read = json.loads(logged.run("photographs", "TRK", "--format", "json").out)
    rows = list(
        csv.DictReader(
            io.StringIO(logged.run("photographs", "TRK", "--format", "csv").out)
        )
    )

    assert "kept: 1" in table.out
    assert f"{hot}_2w_2026-03-20_1.jpg" in table.out
    (row,) = read["photographs"]
    assert (row["sample"], row["check"], row["age_days"]) == (hot, "2w", 15.0)
    assert (row["original_name"], row["camera_time"]) == (
        "jar.jpg", "2026-03-20T09:15:00+00:00",
    )  # fmt: skip
    assert rows[0]["sha256"] == row["sha256"]
    assert logged.run("photographs", "TRK", "--check", "4w").code == 0


def test_photographs_are_written_out(logged: Workspace, file: Path) -> None:
    hot = logged.codes["T40"]
    logged.run("log", hot, "--photo", str(file), "--on", "2026-03-20")

    ran = logged.run("photographs", "TRK", "--out", "pictures")
    again = logged.run("photographs", "TRK", "--out", "pictures")
    none = logged.run("photographs", "TRK", "--check", "4w", "--out", "other")

    assert ran.code == 0
    assert "pictures: photographs written, 1 files" in ran.err
    (copy,) = (logged.folder / "pictures").iterdir()
    assert copy.name == f"{hot}_2w_2026-03-20_1.jpg"
    assert (again.code, none.code) == (2, 2)
    assert not (logged.folder / "other").exists()


@pytest.mark.parametrize(
    ("arguments", "reason"),
    [
        (("--photo", "jar.jpg"), "without its sample"),
        (("--from", "rows.csv", "--photo", "jar.jpg"), "without its sample"),
        (("CODE", "pH=5.4", "--caption", "rim"), "without a photograph"),
        (("CODE", "--photo", "missing.jpg"), "there is no such file"),
        (("CODE", "--photo", "small.toml"), "no picture"),
        (("CODE", "--photo", "shine=jar.jpg"), "shine"),
    ],
)
def test_what_cannot_be_taken_is_one_message_and_stores_nothing(
    logged: Workspace, file: Path, arguments: tuple[str, ...], reason: str
) -> None:
    before = lines(logged.folder)
    assert file.name == "jar.jpg"
    named = [one.replace("CODE", logged.codes["T40"]) for one in arguments]

    ran = logged.run("log", *named)

    assert ran.code == 2
    assert reason in ran.err
    assert len(ran.err.splitlines()) == 1
    assert lines(logged.folder) == before


@pytest.mark.parametrize(
    ("sample", "file", "photos", "caption"),
    [
        (None, None, ["jar.jpg"], None),
        (None, Path("rows.csv"), ["jar.jpg"], None),
        ("014W", None, None, "rim"),
    ],
)
def test_a_photograph_belongs_to_one_sample_and_a_caption_to_a_photograph(
    sample: str | None, file: Path | None, photos: list[str] | None, caption: str | None
) -> None:
    with pytest.raises(PhotographAloneError):
        readings._given(sample, ["pH=5.4"], file, photos, caption)
    assert readings._given("014W", None, None, ["jar.jpg"], "rim") == ("014W", [])
