"""What stands on a label, for each use of a sample and each state of the record."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from stability.model import content
from stability.records.continuation import Continuation
from stability.report.label_words import CAUTION, Label, labels_of
from tests.records import small_study
from tests.records.small_study import (
    BULK_A,
    FT_A,
    PROTOCOL,
    ROOM_A,
    SPARE_A,
    STUDY,
    T40_2W,
    T40_4W,
    TWIN_A,
    add,
    opened_book,
)

DAY = date(2026, 3, 10)


@pytest.fixture
def book(tmp_path: Path) -> Continuation:
    """Return the small study just opened."""
    return opened_book(tmp_path)


def label(book: Continuation, code: str, day: date = DAY) -> Label:
    """Return the label of one sample."""
    record = book.record
    (found,) = labels_of(record, [record.samples[code]], day)
    return found


def line(book: Continuation, code: str, name: str, day: date = DAY) -> str:
    """Return the words of one line as they are seen."""
    lines = {one.name: one.text for one in label(book, code, day).lines}
    return lines[name].replace("\u00a0", " ")


def place(book: Continuation, code: str, day: str) -> None:
    """Put a sample into its condition."""
    held = content.placed(code, book.record.samples[code].condition, "in")
    add(book, content.PLACED, held, day)


def test_every_label_has_code_product_batch_and_caution(book: Continuation) -> None:
    record = book.record

    for one in labels_of(record, record.samples.values(), DAY):
        texts = [each.text for each in one.lines]
        sample = record.samples[one.code]
        pack = f" · {sample.pack}" if sample.pack else ""
        assert "Heather day cream" in texts
        assert f"batch {sample.batch}{pack} · v1.0" in texts
        assert CAUTION in texts


def test_a_condition_stands_with_its_temperature(book: Continuation) -> None:
    assert line(book, T40_2W, "condition") == "T40 · 40 ± 2 °C"
    assert line(book, ROOM_A, "condition") == "ROOM · 15 to 27 °C, not controlled"


def test_a_cycled_sample_and_its_untreated_twin_are_named(book: Continuation) -> None:
    assert line(book, FT_A, "condition").startswith("FT · 2 cycles of 24h at -18 °C")
    assert line(book, TWIN_A, "condition").startswith("ROOM")
    assert line(book, TWIN_A, "use").startswith("untreated twin of FT")


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (ROOM_A, "reopened at each check"),
        (T40_2W, "fresh for 2w: open only then"),
        (T40_4W, "fresh for 4w: open only then"),
        (SPARE_A, "spare: keep closed"),
        (BULK_A, "bulk, for T0"),
    ],
)
def test_the_use_is_told(book: Continuation, code: str, words: str) -> None:
    assert line(book, code, "use") == words


def test_untouched_retained_and_sent_out_samples_are_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rows = """
[[samples]]
batch = "A"
pack = "JAR"
condition = "ROOM"
use = "untouched"
open_at = "3M"
[[samples]]
batch = "A"
pack = "JAR"
use = "retained"
[[samples]]
batch = "A"
kind = "bulk"
grams = 120
use = "sent out"
"""
    study = STUDY.replace("[places]", f"{rows}[places]")
    monkeypatch.setattr(small_study, "STUDY", study)
    monkeypatch.setattr(small_study.write_files, "__defaults__", (study, PROTOCOL))
    book = opened_book(tmp_path)
    codes = {one.use: one.code for one in book.record.samples.values()}
    untouched = codes["untouched"]
    before = line(book, untouched, "next checks")
    place(book, untouched, "2026-03-06")
    after = line(book, untouched, "next checks")

    assert line(book, untouched, "use") == "untouched until 3M"
    assert before == "open at 3M after placing"
    assert after == "next open at 3M 2026-06-06"
    # Twelve months asked for and one year more, from 2026-03-02 (common practice).
    assert line(book, codes["retained"], "use") == ("keep until 2028-03-02, retained")
    assert line(book, codes["sent out"], "use") == "bulk, to be sent out"


def test_before_placing_checks_stand_as_ages_and_the_day_is_left_to_write(
    book: Continuation,
) -> None:
    assert line(book, ROOM_A, "dates") == (
        "placed ____-__-__ · planned 2026-03-06 · made 2026-03-02"
    )
    assert line(book, ROOM_A, "next checks", date(2026, 3, 3)) == (
        "next weigh T0 2026-03-03; 2w, 4w, 3M after placing"
    )


def test_after_placing_checks_have_their_days(book: Continuation) -> None:
    place(book, ROOM_A, "2026-03-07")

    assert line(book, ROOM_A, "dates") == "placed 2026-03-07 · made 2026-03-02"
    # Two weeks, four weeks and three calendar months after 7 March.
    assert line(book, ROOM_A, "next checks") == (
        "next 2w 2026-03-21 · 4w 2026-04-04 · 3M 2026-06-07"
    )


def test_a_check_whose_window_is_over_is_no_longer_next(book: Continuation) -> None:
    place(book, ROOM_A, "2026-03-07")

    assert line(book, ROOM_A, "next checks", date(2026, 5, 1)) == "next 3M 2026-06-07"


def test_a_sample_that_left_or_was_stopped_has_no_next_check(
    book: Continuation,
) -> None:
    for code in (ROOM_A, T40_2W):
        place(book, code, "2026-03-07")
    left = content.retired(ROOM_A, "broken", "dropped")
    stopped = content.stopped({"condition": "T40"}, "oven sold")
    add(book, content.RETIRED, left, "2026-03-09")
    add(book, content.STOPPED, stopped, "2026-03-09")

    assert line(book, ROOM_A, "next checks") == "left the study 2026-03-09: broken"
    assert line(book, T40_2W, "next checks") == "stopped 2026-03-09"


def test_a_replacement_names_what_it_replaces(book: Continuation) -> None:
    place(book, T40_2W, "2026-03-07")
    held = content.placed(SPARE_A, "T40", "in")
    add(book, content.PLACED, {**held, "replaces": T40_2W}, "2026-03-10")

    assert line(book, SPARE_A, "use").endswith(f"replaces {T40_2W}")
    assert line(book, SPARE_A, "next checks").endswith("2w 2026-03-24")


def test_a_day_and_its_name_are_never_parted(book: Continuation) -> None:
    place(book, ROOM_A, "2026-03-07")
    lines = {one.name: one.text for one in label(book, ROOM_A).lines}

    assert "placed\u00a02026-03-07" in lines["dates"]
    assert "3M\u00a02026-06-07" in lines["next checks"]
