"""The chapter of photographs: strips with age and code, beside the comparison."""

from __future__ import annotations

import hashlib
import io
import json
from pathlib import Path

import pdfplumber
import pytest

from stability.records.photograph_file import read_photograph
from stability.report.print_size import PRINT_EDGE
from stability.report.study_json import study_json
from stability.report.study_report import write_report
from tests.evaluation.builders import Bench, bulk, sample
from tests.records.pictures import jar, write

HOT, COLD = "HDC-001-A", "HDC-002-B"


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """Return a cleaned copy of full size."""
    path = tmp_path_factory.mktemp("jar") / "jar.jpg"
    return read_photograph(write(path, jar((3000, 4000)))).content


def bench(sha256: str) -> Bench:
    """Return a study with the warm jar at T0, 4w and 8w, the cold one at 4w."""
    made = Bench([bulk(), sample(HOT, "T40"), sample(COLD, "COLD")])
    made.place(HOT, "T40")
    made.place(COLD, "COLD")
    for code, check, day in (
        (HOT, "T0", "2025-01-09"),
        (COLD, "4w", "2025-02-07"),
        (HOT, "4w", "2025-02-07"),
        (HOT, "8w", "2025-03-07"),
    ):
        made.photograph(
            code, check, day, sha256=sha256, pixels=(1200, 1600), caption=f"seen {day}"
        )
    return made


def chapter(file: Path) -> list[tuple[str, int]]:
    """Return text and number of pictures of each page, read by another program."""
    with pdfplumber.open(file) as document:
        return [(page.extract_text(), len(page.images)) for page in document.pages]


def test_a_strip_shows_age_and_code_under_each_and_the_comparison_beside(
    copy: bytes, tmp_path: Path
) -> None:
    digest = hashlib.sha256(copy).hexdigest()
    evaluation = bench(digest).evaluate("2025-03-10")
    write_report(evaluation, tmp_path / "r.pdf", photographs={digest: copy})

    pages = chapter(tmp_path / "r.pdf")
    text = " ".join(" ".join(text for text, _ in pages).split())
    # Three of the warm jar, the cold one beside one of them, and the cold one's own.
    assert sum(pictures for _, pictures in pages) == 5
    assert "T40, batch A, JAR" in text
    assert "COLD, batch A, JAR" in text
    for words in ("28 d (4w) ·", "56 d (8w) ·", "T0 ·", "cold control: 28 d (4w)"):
        assert words in text, words
    assert text.count("seen 2025-02-07") == 3


def test_a_report_with_photographs_stays_small_and_the_same(
    copy: bytes, tmp_path: Path
) -> None:
    digest = hashlib.sha256(copy).hexdigest()
    made = bench(digest).evaluate("2025-03-10")
    for name in ("one.pdf", "two.pdf"):
        write_report(made, tmp_path / name, photographs={digest: copy})

    whole = (tmp_path / "one.pdf").read_bytes()
    assert whole == (tmp_path / "two.pdf").read_bytes()
    with pdfplumber.open(io.BytesIO(whole)) as document:
        sizes = {
            tuple(one["srcsize"]) for page in document.pages for one in page.images
        }
    assert sizes == {(PRINT_EDGE * 3 // 4, PRINT_EDGE)}


def test_a_copy_that_is_not_at_hand_is_said(tmp_path: Path) -> None:
    evaluation = bench("a" * 64).evaluate("2025-03-10")
    write_report(evaluation, tmp_path / "r.pdf")

    text = " ".join(text for text, _ in chapter(tmp_path / "r.pdf"))
    assert text.count("The photograph is not") == 5


def test_without_photographs_there_is_no_chapter(tmp_path: Path) -> None:
    write_report(Bench([bulk()]).evaluate("2025-03-10"), tmp_path / "r.pdf")

    assert "Photographs" not in " ".join(
        text for text, _ in chapter(tmp_path / "r.pdf")
    )


def test_json_lists_them_without_their_bytes() -> None:
    held = json.loads(study_json(bench("a" * 64).evaluate("2025-03-10")))

    found = held["photographs"]
    assert [one["sample"] for one in found] == [HOT, COLD, HOT, HOT]
    assert found[2]["beside"] == [
        {"kind": "cold control", "position": found[1]["position"]}
    ]
    assert (found[2]["check"], found[2]["age_days"]) == ("4w", 28.0)
    assert found[2]["original"]["name"] == "jar.jpg"
