"""Reports of odd studies and of the examples: whole, valid, and nothing out of place.

The files are judged by readers that had no part in writing them.
"""

from __future__ import annotations

import io
import re
import shutil
import subprocess
from collections.abc import Iterator
from functools import cache
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pypdf
import pytest

from stability.model.names import in_words
from stability.report.pages import PageSetup
from tests.report.odd_studies import NAMES, ODD
from tests.report.printed import EXAMPLES, Printed, printed, read_back

#: Size of text in cells of tables [points]; figures and headings have others.
CELL_SIZE = 7.4
#: Height that a heading of one line takes from where links lead to [points].
HEADING = 36.0
#: Bytes that a report without photographs may take.
MOST_BYTES = 3_000_000


@cache
def report_of(name: str) -> Printed:
    """Return the report of an example or of an odd study, made once."""
    if name in EXAMPLES:
        return printed(name)
    with TemporaryDirectory() as folder:
        return read_back(ODD[name](), Path(folder) / "odd.pdf")


@pytest.fixture(params=[*EXAMPLES, *ODD])
def report(request: pytest.FixtureRequest) -> Printed:
    """Return each report in turn."""
    return report_of(request.param)


def test_the_file_is_valid(report: Printed, tmp_path: Path) -> None:
    target = tmp_path / "report.pdf"
    target.write_bytes(report.content)
    checker = shutil.which("qpdf")
    if checker is not None:
        done = subprocess.run(
            [checker, "--check", str(target)],
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        assert "No syntax or stream encoding errors found" in done.stdout
    strict = pypdf.PdfReader(io.BytesIO(report.content), strict=True)
    assert all(page.get_contents() is not None for page in strict.pages)
    assert len(report.content) < MOST_BYTES


def test_no_word_leaves_the_page_or_its_margins(report: Printed) -> None:
    page = PageSetup()
    left, _, right, _ = (margin * 72 / 25.4 for margin in page.margins_mm)
    width, height = page.size
    for words in report.words:
        for word in words:
            assert word["x0"] >= left - 1, word["text"]
            assert word["x1"] <= width - right + 1, word["text"]
            assert 0 < word["top"] < word["bottom"] < height, word["text"]


def lines_of_cells(report: Printed) -> Iterator[list[dict[str, Any]]]:
    """Yield the words of each line that stands in cells, from left to right."""
    for words in report.words:
        lines: dict[float, list[dict[str, Any]]] = {}
        for word in words:
            if abs(word["height"] - CELL_SIZE) < 0.05:
                lines.setdefault(round(word["bottom"], 1), []).append(word)
        for line in lines.values():
            yield sorted(line, key=lambda word: float(word["x0"]))


def test_no_text_leaves_its_cell_for_the_next(report: Printed) -> None:
    lines = list(lines_of_cells(report))
    assert len(lines) > 20
    for line in lines:
        for one, beside in pairwise(line):
            assert one["x1"] <= beside["x0"] + 0.6, (one["text"], beside["text"])


def entries_in(text: str) -> set[int]:
    """Return every number of a text, those inside ranges of entries among them."""
    found = {int(one) for one in re.findall(r"\d+", text)}
    for first, last in re.findall(r"(\d+)–(\d+)", text):
        found.update(range(int(first), min(int(last), int(first) + 50) + 1))
    return found


def test_every_reading_outside_its_limit_is_printed(report: Printed) -> None:
    chapter = report.chapter("Outside limits")
    entries = entries_in(chapter)
    outside = [one for one in report.evaluation.judged if one.is_outside]
    for seen in outside:
        assert seen.sample.code in "".join(chapter.split())
        assert seen.position in entries
    assert not outside or "■ outside" in chapter


def destinations(report: Printed, pages: slice) -> Iterator[tuple[int, float]]:
    """Yield page and height to which each link of some pages leads."""
    reader = report.reader
    numbers = {page.indirect_reference: at for at, page in enumerate(reader.pages)}
    for page in reader.pages[pages]:
        for one in page.get("/Annots", ()):
            link = one.get_object()
            assert link["/Subtype"] == "/Link"
            where, _, _, height, _ = link["/Dest"]
            yield numbers[getattr(where, "indirect_reference", where)], float(height)


def test_every_link_leads_to_a_place_on_a_page(report: Printed) -> None:
    led = list(destinations(report, slice(None)))
    assert len(led) > 5
    for _, height in led:
        assert 0 < height <= PageSetup().size[1]


def test_a_finding_on_page_one_leads_to_its_readings(report: Printed) -> None:
    headings = set()
    for page, height in destinations(report, slice(0, 4)):
        top = PageSetup().size[1] - height
        words = [one for one in report.words[page] if -4 < one["top"] - top < 30]
        headings.add("".join(str(one["text"]) for one in words))
    for group in report.evaluation.outside:
        for finding in group.findings[:4]:
            code = finding.retired[0].sample.code if finding.retired else ""
            what = f"sample {code}" if code else in_words(finding.attribute)
            where = f"{what} at {finding.condition}, batch"
            title = "".join(where.split())
            assert any(title in one for one in headings), title


def test_every_bookmark_leads_to_a_page_in_reading_order(report: Printed) -> None:
    reader = report.reader

    def pages(outline: list[Any]) -> Iterator[int]:
        for one in outline:
            if isinstance(one, list):
                yield from pages(one)
            else:
                at = reader.get_destination_page_number(one)
                assert at is not None
                yield at

    found = list(pages(reader.outline))
    assert len(found) > 8
    assert found == sorted(found)


def bookmarks(outline: list[Any]) -> Iterator[Any]:
    """Yield every bookmark, those of sections among them."""
    for one in outline:
        if isinstance(one, list):
            yield from bookmarks(one)
        else:
            yield one


@pytest.mark.parametrize("name", [*EXAMPLES, *ODD])
def test_no_heading_is_parted_from_what_it_names(name: str) -> None:
    report = report_of(name)
    reader = report.reader
    height = PageSetup().size[1]
    foot = height - PageSetup().margins_mm[3] * 72 / 25.4
    for one in bookmarks(reader.outline):
        page = reader.get_destination_page_number(one)
        assert page is not None
        top = height - float(one["/Top"])
        below = [
            word
            for word in report.words[page]
            if top + HEADING < word["bottom"] and word["bottom"] < foot + 1
        ]
        assert below, one["/Title"]


def test_language_and_title_are_set(report: Printed) -> None:
    root: Any = report.reader.trailer["/Root"]
    assert root["/Lang"] == "en-GB"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    described = report.reader.metadata
    assert described is not None
    assert described.title is not None
    assert described.title.startswith("Stability study ")


def test_every_font_is_embedded(report: Printed) -> None:
    pages: list[Any] = list(report.reader.pages)
    fonts = [
        font.get_object()
        for page in pages
        for font in page["/Resources"]["/Font"].values()
    ]
    assert fonts
    for font in fonts:
        assert "/FontFile2" in font["/FontDescriptor"]


def test_a_table_that_goes_on_repeats_its_head() -> None:
    report = report_of("day_cream")
    columns = "Sample Check Due Read Age"
    continued = [page for page in report.pages if "(continued)" in page]
    heads = [page for page in report.pages if columns in page]
    assert len(heads) >= 2
    assert continued


@pytest.mark.parametrize("name", NAMES)
def test_a_name_is_printed_in_the_tables_where_its_letters_can_be(name: str) -> None:
    report = report_of(name)
    whole = "".join(report.text.split())
    if NAMES[name].isascii():
        assert "".join(NAMES[name][:200].split()) in whole
    assert "HDC-1" in whole


@pytest.mark.parametrize("name", NAMES)
def test_a_title_leaves_the_first_page_to_what_is_asked(name: str) -> None:
    # A name whose letters no font has prints as code points, eight letters each.
    lines = report_of(name).pages[0].splitlines()
    asked = next(at for at, line in enumerate(lines) if line.startswith("What it is"))
    assert asked < 10


def test_of_many_readings_the_plain_ones_are_summed_up_in_print() -> None:
    report = report_of("12 × 6 × 8")
    judged = report.evaluation.judged
    assert len(judged) == 12 + 12 * 6 * 8 * 6
    assert "lie inside their limit with nothing to say of them" in report.flowing
    entries = entries_in(report.chapter("Readings"))
    outside = [one for one in judged if one.is_outside]
    assert outside
    assert all(one.position in entries for one in outside)


def test_of_many_comparisons_those_of_chance_are_left_and_counted() -> None:
    report = report_of("12 × 6 × 8")
    every = report.evaluation.contrasts.drifts
    made = [one for one in every if one.contrast is not None]
    shown = [one for one in made if one.excludes_no_difference]
    numbers = sum(one.difference is not None for one in report.evaluation.comparisons)
    assert 0 < len(shown) < len(made)
    left = f"the other {len(made) - len(shown)} of {len(made)} stand in differences.csv"
    assert left in report.flowing
    assert f"{numbers} comparisons of numbers are not printed" in report.flowing
    inside = report.reader.attachments["differences.csv"][0].decode()
    assert inside.count("\n") == len(every) + 1
