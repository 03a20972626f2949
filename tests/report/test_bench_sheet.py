"""Bench sheets, printed and read back by an independent reader."""

from __future__ import annotations

import io
import re
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import pdfplumber
import pypdf
import pytest
import zxingcpp

from stability.model.observation import DayFacts
from stability.model.sheet_day import SheetDay
from stability.report.bench_sheet import bench_sheet_bytes, write_bench_sheet
from stability.report.bench_words import day_cells, order_text, sample_cells
from stability.report.fonts import load_fonts
from tests.report.bench_days import BUSY, morning_of, with_samples

#: One millimetre [points].
MM = 72 / 25.4
FONTS = load_fonts()


@pytest.fixture(scope="module")
def days(tmp_path_factory: pytest.TempPathFactory) -> dict[str, SheetDay]:
    """Return a busy morning of each example study."""
    folder = tmp_path_factory.mktemp("mornings")
    return {name: morning_of(name, day, folder) for name, day in BUSY.items()}


@pytest.fixture(scope="module")
def cream(days: dict[str, SheetDay]) -> SheetDay:
    """Return the morning on which seven samples of a day cream are read at 4w."""
    return days["day_cream"]


def pages_of(*days: SheetDay) -> list[Any]:
    """Return the pages of the sheet of some days."""
    with pdfplumber.open(io.BytesIO(bench_sheet_bytes(days, FONTS))) as document:
        return list(document.pages)


@pytest.fixture(scope="module")
def printed(days: dict[str, SheetDay]) -> dict[str, list[Any]]:
    """Return the pages of the sheet of each example study."""
    return {name: pages_of(day) for name, day in days.items()}


def text_of(pages: list[Any]) -> str:
    """Return the text of pages with single spaces."""
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def boxes_of(page: Any) -> list[dict[str, Any]]:
    """Return the empty boxes of a page: white and framed."""
    return [one for one in page.rects if one["fill"] and one["stroke"]]


def crossings(page: Any) -> list[str]:
    """Return characters that lie on an edge of a cell, a box or beyond the page."""
    upright, level = [], []
    for one in [*page.lines, *page.rects]:
        upright += [(x, one["top"], one["bottom"]) for x in (one["x0"], one["x1"])]
        level += [(y, one["x0"], one["x1"]) for y in (one["top"], one["bottom"])]
    found = []
    for one in page.chars:
        middle = (one["top"] + one["bottom"]) / 2
        size = one["bottom"] - one["top"]
        beyond = one["x0"] < 12 * MM or one["x1"] > page.width - 12 * MM
        # Small letters reach from the base line to the middle of the line.
        cut = any(
            one["x0"] + 0.2 < x < one["x1"] - 0.2 and top < middle < bottom
            for x, top, bottom in upright
        ) or any(
            middle - size * 0.2 < y < middle + size * 0.25 and left < one["x0"] < right
            for y, left, right in level
        )
        if one["text"].strip() and (beyond or cut):
            found.append(f"{one['text']} at {one['x0']:.0f}, {one['top']:.0f}")
    return found


def overlaps(page: Any) -> list[str]:
    """Return pairs of words that are printed over each other."""
    words = page.extract_words(use_text_flow=False, keep_blank_chars=True)
    found = []
    for number, one in enumerate(words):
        for other in words[number + 1 :]:
            wide = min(one["x1"], other["x1"]) - max(one["x0"], other["x0"])
            high = min(one["bottom"], other["bottom"]) - max(one["top"], other["top"])
            if wide > 0.5 and high > 0.45 * (one["bottom"] - one["top"]):
                found.append(f"{one['text']} / {other['text']}")
    return found


@pytest.mark.parametrize("name", BUSY)
def test_no_text_leaves_its_cell_or_the_page(
    printed: dict[str, list[Any]], name: str
) -> None:
    for page in printed[name]:
        assert crossings(page) == []
        assert overlaps(page) == []


@pytest.mark.parametrize("count", [1, 40])
def test_one_sample_and_forty_are_each_printed_once_and_whole(
    cream: SheetDay, count: int
) -> None:
    day = with_samples(cream, count)
    pages = pages_of(day)
    text = text_of(pages)

    # Codes stand also where a sample is compared with, or where it was read last.
    alone = re.sub(r"compare with QDC-020-F|\(\w+, QDC-[\w-]+\)", "", text)
    assert [alone.count(one.sample.code) for one in day.samples] == [1] * count
    assert "(continued)" not in text
    assert len(pages) <= 1 + count / 2
    assert f"page {len(pages)} of {len(pages)}" in text
    for page in pages:
        assert crossings(page) == []
        assert overlaps(page) == []


@pytest.mark.parametrize("name", BUSY)
def test_every_box_takes_a_pen(printed: dict[str, list[Any]], name: str) -> None:
    boxes = [box for page in printed[name] for box in boxes_of(page)]

    assert len(boxes) > 50
    # A hand writes figures 4 to 5 mm high; 8 mm leave room for them (common practice).
    assert min(box["height"] for box in boxes) >= 8 * MM
    assert min(box["width"] for box in boxes) >= 13 * MM


def test_boxes_do_not_meet(printed: dict[str, list[Any]]) -> None:
    for page in printed["day_cream"]:
        boxes = boxes_of(page)
        for number, one in enumerate(boxes):
            for other in boxes[number + 1 :]:
                apart = (
                    one["x1"] <= other["x0"]
                    or other["x1"] <= one["x0"]
                    or one["bottom"] <= other["top"]
                    or other["bottom"] <= one["top"]
                )
                assert apart


def test_a_jar_is_asked_in_the_order_of_handling(cream: SheetDay) -> None:
    jar = next(one for one in cream.samples if one.sample.code == "QDC-005-D")
    cells = sample_cells(cream, jar)

    assert [cell.title for cell in cells] == [
        "weight before opening [g]",
        "separation",
        "odour",
        "colour",
        "appearance",
        "pH",
        "spread [mm]",
        "weight after closing [g]",
        "Not measured: what, and because · other notes",
        "Stays closed: circle why",
    ]
    assert [cell.lead for cell in cells][:2] == [
        "weigh before opening",
        "look and smell",
    ]


def test_two_readings_have_two_boxes_and_words_have_numbers(cream: SheetDay) -> None:
    jar = next(one for one in cream.samples if one.sample.code == "QDC-005-D")
    cells = {cell.title: cell for cell in sample_cells(cream, jar)}

    assert cells["pH"].boxes == ("1", "2")
    assert cells["weight before opening [g]"].boxes == ("g",)
    assert cells["separation"].choices == ("0", "1", "2", "3")
    assert cells["separation"].boxes == ("layer mm",)
    assert cells["separation"].notes[0] == (
        "0 none · 1 droplets on the surface · 2 layer · 3 broken"
    )
    # Two noses smelt it at T0, so two lines wait for them.
    assert cells["odour"].lines == ("observer 1", "observer 2")


def test_last_value_and_limit_stand_beside_the_box(
    printed: dict[str, list[Any]],
) -> None:
    text = text_of(printed["day_cream"])

    # By hand from the T0 readings of batch A: 5.54 and 5.55; 61 and 62 mm.
    assert "last: 5.54 / 5.55 (T0, QDC-002-J)" in text
    assert "limit: 5.045 to 6.045" in text
    assert "limit: 49.2 to 73.8 mm" in text


def test_names_that_are_known_are_printed(cream: SheetDay) -> None:
    facts = DayFacts(9, cream.day, "ines", "Ines", ("Ines", "Tomas"))
    text = text_of(pages_of(replace(cream, facts=facts)))

    assert "set for today: Ines" in text
    assert "observer 1" not in text
    assert "compare with QDC-020-F" in text


def test_room_for_instruments_settings_and_cautions(
    printed: dict[str, list[Any]],
) -> None:
    text = text_of(printed["day_cream"])

    for words in (
        "pH meter: which, calibrated or checked", "balance: which", "pH: dilution",
        "meant: 10 %; tick or write", "18 to 26", "Lamp, background", "photo no.",
        "Not measured: what, and because", "Do not smell it.",
        "Supports, and does not replace, assessment by a qualified safety assessor.",
    ):  # fmt: skip
        assert words in text


def test_product_for_the_laboratory_is_taken_before_nose_and_eye(
    cream: SheetDay,
) -> None:
    jar = next(one for one in cream.samples if one.sample.code == "QDC-005-D")
    count = replace(
        cream.protocol.attributes["pH"], name="count", provided_by="certificate"
    )
    titles = [
        (cell.title, cell.lead)
        for cell in sample_cells(cream, replace(jar, laboratory=(count,)))
    ]

    place = titles.index(("For the laboratory", "before anything else touches it"))
    assert titles[place - 1][0] == "weight before opening [g]"
    assert titles[place + 1][1] == "look and smell"


def test_the_code_is_read_from_paper(
    cream: SheetDay, printed: dict[str, list[Any]]
) -> None:
    found: Counter[str] = Counter()
    for page in printed["day_cream"]:
        image = page.to_image(resolution=200).original
        found.update(one.text for one in zxingcpp.read_barcodes(image))

    assert found == Counter(one.sample.code for one in cream.samples)


def test_the_sheet_is_black(printed: dict[str, list[Any]]) -> None:
    for page in printed["day_cream"]:
        for box in boxes_of(page):
            assert set(box["stroking_color"]) == {0}
        body = [one for one in page.chars if 16 * MM < one["top"] < 280 * MM]
        assert {tuple(one["non_stroking_color"]) for one in body} == {(0, 0, 0)}


def test_the_same_day_gives_the_same_bytes(cream: SheetDay) -> None:
    assert bench_sheet_bytes([cream], FONTS) == bench_sheet_bytes([cream], load_fonts())


def test_the_record_is_named_in_the_foot_and_in_the_file(
    cream: SheetDay, tmp_path: Path
) -> None:
    target = tmp_path / "sheet.pdf"
    write_bench_sheet([cream], target)
    reader = pypdf.PdfReader(target)
    shown = f"record QDC/{cream.anchor.position}:{cream.anchor.digest[:16]}"

    assert reader.metadata is not None
    assert str(reader.metadata["/StabilityAnchors"]) == str(cream.anchor)
    assert all(shown in page.extract_text() for page in reader.pages)


def test_names_of_any_length_and_kind_stay_in_their_cells(cream: SheetDay) -> None:
    name = "W" * 90
    long = replace(
        cream.protocol.attributes["odour"],
        name=name,
        observers=3,
        extra=(f"{name}: yes/no", "second_extra"),
    )
    measured = replace(cream.protocol.attributes["pH"], name="pH", readings=5)
    study = replace(cream.study, product="<b>Crème & شمس</b> " + "long " * 40)
    attributes = {**cream.protocol.attributes, name: long}
    last = cream.samples[-1]
    tasks = tuple(
        replace(
            last.tasks[0],
            task=replace(last.tasks[0].task, attribute=one),
            limit="at most " + "very " * 30 + name,
        )
        for one in (long, measured)
    )
    day = replace(
        cream,
        study=study,
        protocol=replace(cream.protocol, attributes=attributes),
        samples=(replace(last, tasks=tasks),),
    )

    pages = pages_of(day)
    assert "<b>Crème" in text_of(pages)
    for page in pages:
        assert crossings(page) == []
        assert overlaps(page) == []


def test_a_block_higher_than_a_page_is_parted_between_its_rows(
    cream: SheetDay,
) -> None:
    last = cream.samples[-1]
    day = replace(cream, samples=(replace(last, tasks=last.tasks * 6),))
    pages = pages_of(day)
    text = text_of(pages)

    assert text.count(last.sample.code) >= 2
    assert "(continued)" in text
    assert text.count("spread [mm]") == 6
    for page in pages:
        assert crossings(page) == []


def test_several_studies_begin_on_pages_of_their_own(
    days: dict[str, SheetDay],
) -> None:
    pages = pages_of(*days.values())
    titles = [
        number
        for number, page in enumerate(pages)
        if "Bench sheet 20" in page.extract_text()
    ]

    assert len(titles) == 3
    assert all(day.study.code in pages[0].extract_text() for day in days.values())


def test_what_the_instrument_tells_with_a_reading_has_a_box_beside_it(
    days: dict[str, SheetDay],
) -> None:
    day = days["plain_lotion"]
    titles = [cell.title for cell in day_cells(day)]
    bottle = {cell.title: cell for cell in sample_cells(day, day.samples[0])}

    assert "viscosity: spindle" in titles
    assert "viscosity: torque" not in titles
    assert bottle["viscosity [mPa·s]"].boxes == ("mPa·s", "torque %")
    assert "torque: 10 to 100" in bottle["viscosity [mPa·s]"].notes


def test_the_laboratory_stands_in_the_order_of_the_day(cream: SheetDay) -> None:
    count = replace(
        cream.protocol.attributes["pH"], name="count", provided_by="certificate"
    )
    first, *others = cream.samples
    day = replace(cream, samples=(replace(first, laboratory=(count,)), *others))

    assert order_text(day) == (
        "weigh before opening → take for the laboratory → look and smell → measure → "
        "weigh after closing"
    )
    assert "laboratory" not in order_text(cream)
