"""Labels as printed: every QR code is read back, and no text leaves its label.

Pages are rendered by PDFium and the codes decoded by ZXing; neither knows how they
were drawn.
"""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
from collections.abc import Sequence
from datetime import UTC, date, datetime
from pathlib import Path

import pdfplumber
import pytest
import zxingcpp
from pypdf import PdfReader
from reportlab.lib.units import mm

from stability.errors.labels import LabelStartError
from stability.errors.reports import ReportFolderMissingError
from stability.report.fonts import ReportFonts
from stability.report.label_sizes import SHEETS, LabelSheet, sheet_for
from stability.report.label_words import CAUTION, Label, LabelLine, labels_of
from stability.report.labels import LabelPrint, PrintedLabels, labels_pdf, write_labels
from stability.report.pages import PdfDescription
from tests.records.small_study import opened_book
from tests.report.conftest import KANA

DAY = date(2026, 3, 10)
MOMENT = datetime(2026, 3, 10, 12, tzinfo=UTC)
PRINTERS = ["100x50", "50x30", "57x19", "40x12", "30x60", "25x25", "100x15"]
PAGES = {**SHEETS, **{f"printer {size}": sheet_for(printer=size) for size in PRINTERS}}
#: Whole pages are printed of these, the fullest among them; a few labels of the rest.
FULL = {"63.5x38.1", "48.5x25.4", "38.1x21.2"}
LONG = "Bramble & <b>heather</b> balm for dry hands " * 5
AWKWARD = [
    LONG[:200],
    "W" * 200,
    "كريم الليل للبشرة الجافة " * 8,
    "קרם לילה",
    f"{KANA}🧴",
    "two\nlines\tand a tab",
    "",
    "x\u202ey",
]


def label(code: str, words: str, number: int) -> Label:
    """Return a label whose every line holds the same words."""
    names = ["condition", "use", "product", "batch", "dates", "next checks"]
    lines = [
        LabelLine(name, f"{words} {number}", rank, strong=rank < 4)
        for rank, name in enumerate(names, start=2)
    ]
    return Label(code, (*lines, LabelLine("caution", CAUTION, 1, whole=True)))


def printed(
    labels: Sequence[Label], how: LabelPrint, fonts: ReportFonts
) -> tuple[bytes, PrintedLabels]:
    """Return the file and what is said of it."""
    return labels_pdf(labels, how, PdfDescription("Labels", "A", "S", MOMENT), fonts)


def codes_read(content: bytes, dpi: int) -> list[str]:
    """Render the pages and return every QR code on them, row by row."""
    found = []
    with pdfplumber.open(io.BytesIO(content)) as document:
        for page in document.pages:
            image = page.to_image(resolution=dpi).original
            read = zxingcpp.read_barcodes(
                image, formats=zxingcpp.barcode_formats_from_str("QRCode")
            )
            places = [one.position.top_left for one in read]
            order = sorted(
                zip(places, read, strict=True),
                key=lambda pair: (round(pair[0].y / dpi * 2.5), pair[0].x),
            )
            found += [one.text for _, one in order]
    return found


def codes(count: int, study: str = "HDC") -> list[str]:
    """Return so many codes; only their form matters here."""
    return [f"{study}-{number:03d}-W" for number in range(1, count + 1)]


@pytest.mark.parametrize("dpi", [150, 300])
@pytest.mark.parametrize("size", PAGES)
def test_every_qr_code_of_a_page_is_read_as_its_sample(
    size: str, dpi: int, fonts: ReportFonts
) -> None:
    sheet = PAGES[size]
    wanted = codes(sheet.count if size in FULL else 3)
    labels = [label(code, "Heather day cream", 1) for code in wanted]
    content, _ = printed(labels, LabelPrint(sheet), fonts)

    assert sorted(codes_read(content, dpi)) == wanted


@pytest.mark.parametrize("dpi", [150, 300])
def test_the_longest_code_is_read_from_the_smallest_label(
    dpi: int, fonts: ReportFonts
) -> None:
    wanted = [f"HDCKX-{number}-W" for number in range(9900, 9965)]
    labels = [label(code, "Heather day cream", 1) for code in wanted]
    content, _ = printed(labels, LabelPrint(SHEETS["38.1x21.2"]), fonts)

    assert sorted(codes_read(content, dpi)) == wanted


@pytest.mark.parametrize("size", PAGES)
def test_a_qr_code_has_four_white_modules_around_it(
    size: str, fonts: ReportFonts
) -> None:
    content, _ = printed([label("HDC-001-5", LONG, 1)], LabelPrint(PAGES[size]), fonts)
    with pdfplumber.open(io.BytesIO(content)) as document:
        bars, letters = document.pages[0].rects, document.pages[0].chars
    left, right = min(one["x0"] for one in bars), max(one["x1"] for one in bars)
    top, bottom = min(one["top"] for one in bars), max(one["bottom"] for one in bars)
    quiet = 4 * (right - left) / 21 - 0.01  # 21 modules (ISO/IEC 18004, version 1)

    assert right - left == pytest.approx(bottom - top, abs=0.01)
    for one in letters:
        # A descender of the line above may reach where no ink of the code is.
        base = one["bottom"] - 0.25 * one["size"]
        beside = one["x1"] <= left - quiet or one["x0"] >= right + quiet
        assert beside or base <= top - quiet or one["top"] >= bottom + quiet


@pytest.mark.parametrize("size", ["105x57", "70x37", "52.5x29.7"])
def test_nothing_stands_where_printers_do_not_print(
    size: str, fonts: ReportFonts
) -> None:
    sheet = SHEETS[size]
    labels = [label(code, LONG, 1) for code in codes(sheet.count)]
    content, _ = printed(labels, LabelPrint(sheet), fonts)
    edge = 4.2 * mm  # common practice; letters reach less far than their boxes
    with pdfplumber.open(io.BytesIO(content)) as document:
        (page,) = document.pages
        assert min(one["x0"] for one in page.chars) >= edge
        assert max(one["x1"] for one in page.rects) <= page.width - edge
        assert max(one["bottom"] for one in page.rects) <= page.height - edge


def outside(content: bytes, sheet: LabelSheet, start: int, count: int) -> list[str]:
    """Return the characters and bars that lie on no label, or across two."""
    found = []
    with pdfplumber.open(io.BytesIO(content)) as document:
        for at, page in enumerate(document.pages):
            places = range(
                max(start - 1 - at * sheet.count, 0),
                min(start - 1 + count - at * sheet.count, sheet.count),
            )
            boxes = [sheet.corner(place) for place in places]
            found += [
                thing.get("text", "bar")
                for thing in (*page.chars, *page.rects)
                if not any(_inside(thing, box, sheet) for box in boxes)
            ]
    return found


def _inside(
    thing: dict[str, float], box: tuple[float, float], sheet: LabelSheet
) -> bool:
    left, top = (edge * mm for edge in box)
    right, bottom = left + sheet.label[0] * mm, top + sheet.label[1] * mm
    return (
        thing["x0"] >= left
        and thing["x1"] <= right
        and thing["top"] >= top
        and thing["bottom"] <= bottom
    )


@pytest.mark.parametrize("size", PAGES)
def test_no_text_leaves_its_label_whatever_it_holds(
    size: str, kana_fonts: ReportFonts
) -> None:
    sheet = PAGES[size]
    labels = [
        label(code, words, number)
        for number, (code, words) in enumerate(
            zip(codes(len(AWKWARD), "HDCKX"), AWKWARD, strict=True)
        )
    ]
    content, said = printed(labels, LabelPrint(sheet), kana_fonts)

    assert outside(content, sheet, 1, len(labels)) == []
    assert said.pages == -(-len(labels) // sheet.count)


def test_every_label_of_a_page_has_its_code_in_full(fonts: ReportFonts) -> None:
    sheet = SHEETS["38.1x21.2"]
    wanted = codes(sheet.count)
    labels = [label(code, "Heather day cream", 1) for code in wanted]
    content, _ = printed(labels, LabelPrint(sheet), fonts)
    text = PdfReader(io.BytesIO(content)).pages[0].extract_text()

    assert all(code in text for code in wanted)


def test_names_in_other_scripts_are_printed_as_in_the_report(
    kana_fonts: ReportFonts, fonts: ReportFonts
) -> None:
    labels = [label("HDC-001-5", f"{KANA}🧴", 1)]
    how = LabelPrint(SHEETS["105x57"])
    with pdfplumber.open(io.BytesIO(printed(labels, how, kana_fonts)[0])) as document:
        named = document.pages[0].extract_text()
    with pdfplumber.open(io.BytesIO(printed(labels, how, fonts)[0])) as document:
        without = document.pages[0].extract_text()

    assert f"{KANA}[U+1F9F4]" in named
    assert f"[U+{ord(KANA[0]):04X}]" in without


def test_a_begun_sheet_begins_at_its_first_free_label(fonts: ReportFonts) -> None:
    sheet = SHEETS["63.5x38.1"]
    labels = [label(code, "x", 1) for code in codes(20)]
    content, said = printed(labels, LabelPrint(sheet, start_at=5), fonts)

    assert said.pages == 2
    assert outside(content, sheet, 5, 20) == []
    with pdfplumber.open(io.BytesIO(content)) as document:
        first = document.pages[0].crop((0, 0, 210 * mm, 53 * mm)).extract_text()
    assert first == ""
    assert codes_read(content, 150) == codes(20)


def test_outlines_stand_on_the_edges_of_the_labels(fonts: ReportFonts) -> None:
    sheet = SHEETS["70x37"]
    how = LabelPrint(sheet, start_at=3, outlines=True)
    content, _ = printed([label("HDC-001-5", "x", 1)], how, fonts)
    with pdfplumber.open(io.BytesIO(content)) as document:
        (page,) = document.pages
        edges = {
            (round(one["x0"] / mm, 1), round(one["top"] / mm, 1))
            for one in page.rects
            if one["stroke"] and abs(one["width"] - 70 * mm) < 0.1
        }
        text = page.extract_text()

    assert edges == {
        (round(left, 1), round(top, 1))
        for left, top in (sheet.corner(place) for place in range(24))
    }
    free = [int(number) for number in re.findall(r"(\d+) · 70x37 mm", text)]
    assert free == [1, 2, *range(4, 25)]


def test_viewers_are_told_to_print_at_actual_size(fonts: ReportFonts) -> None:
    content, _ = printed([label("HDC-001-5", "x", 1)], LabelPrint(sheet_for()), fonts)
    root = PdfReader(io.BytesIO(content)).root_object

    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"  # type: ignore[index]


def test_a_printer_has_a_page_for_each_label(fonts: ReportFonts) -> None:
    labels = [label(code, "x", 1) for code in codes(3)]
    content, said = printed(labels, LabelPrint(sheet_for(printer="50x30")), fonts)
    with pdfplumber.open(io.BytesIO(content)) as document:
        sizes = {
            (round(page.width / mm, 1), round(page.height / mm, 1))
            for page in document.pages
        }

    assert (said.labels, said.pages) == (3, 3)
    assert sizes == {(50.0, 30.0)}


@pytest.mark.parametrize(
    ("sheet", "words"),
    [
        (SHEETS["105x57"], "7.0 mm high"),
        (SHEETS["38.1x21.2"], "below the 5 mm that are read at arm's length"),
        (sheet_for(printer="16x8"), "no room for a QR code"),
        (sheet_for(printer="40x12"), "left off for want of room: "),
    ],
)
def test_sizes_and_what_had_no_room_are_told(
    sheet: LabelSheet, words: str, fonts: ReportFonts
) -> None:
    _, said = printed([label("HDC-001-5", LONG, 1)], LabelPrint(sheet), fonts)

    assert words in "\n".join(said.remarks)


def test_the_letters_are_as_high_as_is_told(fonts: ReportFonts) -> None:
    content, said = printed(
        [label("HDC-001-5", "x", 1)], LabelPrint(SHEETS["70x37"]), fonts
    )
    with pdfplumber.open(io.BytesIO(content)) as document:
        image = document.pages[0].to_image(resolution=600).original.convert("L")
        (letter,) = [
            one for one in document.pages[0].chars
            if one["text"] == "H" and one["size"] > 15
        ]  # fmt: skip
    dot = 600 / 72
    box = (letter["x0"], letter["top"], letter["x1"], letter["bottom"])
    left, top, right, bottom = (round(edge * dot) for edge in box)
    inked = image.crop((left, top, right, bottom)).point(lambda grey: grey < 128)
    edges = inked.getbbox()

    assert edges is not None
    told = re.search(r"([\d.]+) mm high", said.remarks[0])
    assert told
    assert float(told[1]) == pytest.approx((edges[3] - edges[1]) / dot / mm, abs=0.1)


def test_the_whole_of_a_study_is_printed(tmp_path: Path) -> None:
    record = opened_book(tmp_path).record
    target = tmp_path / "labels.pdf"
    said = write_labels(
        record, list(record.samples.values()), DAY, target, LabelPrint(sheet_for())
    )

    assert said.labels == len(record.samples)
    assert sorted(codes_read(target.read_bytes(), 150)) == sorted(record.samples)
    assert len(labels_of(record, record.samples.values(), DAY)) == said.labels


@pytest.mark.parametrize("start", [0, -1, 22])
def test_a_first_label_beyond_the_sheet_is_refused(start: int, tmp_path: Path) -> None:
    record = opened_book(tmp_path).record
    samples = list(record.samples.values())
    target = tmp_path / "labels.pdf"

    with pytest.raises(LabelStartError, match="1 to 21"):
        write_labels(record, samples, DAY, target, LabelPrint(sheet_for(), start))
    assert not target.exists()


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    record = opened_book(tmp_path).record
    target = tmp_path / "none" / "labels.pdf"

    with pytest.raises(ReportFolderMissingError):
        write_labels(
            record,
            list(record.samples.values()),
            DAY,
            target,
            LabelPrint(sheet_for()),
        )


SCRIPT = """
import sys
from datetime import date
from pathlib import Path
from tests.records.small_study import opened_book
from stability.report.label_sizes import sheet_for
from stability.report.labels import LabelPrint, write_labels
folder = Path(sys.argv[1])
record = opened_book(folder).record
write_labels(record, list(record.samples.values()), date(2026, 3, 10),
             folder / "labels.pdf", LabelPrint(sheet_for(), 4, outlines=True))
"""


def test_the_same_record_gives_the_same_bytes_anywhere(tmp_path: Path) -> None:
    settings = [
        {"PYTHONHASHSEED": "1", "TZ": "UTC", "LC_ALL": "C"},
        {"PYTHONHASHSEED": "2", "TZ": "Asia/Tokyo", "SOURCE_DATE_EPOCH": "1"},
    ]
    files = []
    for number, setting in enumerate(settings):
        folder = tmp_path / str(number)
        folder.mkdir()
        subprocess.run(
            [sys.executable, "-c", SCRIPT, str(folder)],
            cwd=Path(__file__).parents[2],
            env={**os.environ, **setting},
            check=True,
        )
        files.append((folder / "labels.pdf").read_bytes())

    assert files[0] == files[1]
