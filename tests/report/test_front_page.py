"""The first page's sentences."""

from __future__ import annotations

from dataclasses import replace

from stability.model.age import Age
from stability.model.study import Request
from stability.report.front_page import (
    after_opening_text,
    anchor_text,
    asked_text,
    beyond_lines,
    outside_none_text,
    precision_lines,
    shown_lines,
)
from stability.report.record_counts import record_text
from tests.evaluation.builders import Bench, bulk, sample, study
from tests.report.printed import evaluated


def read_once() -> Bench:
    """Return a study of one jar read at T0 and at four weeks."""
    bench = Bench((bulk(), sample("HDC-1", "ROOM")))
    bench.read("BULK-A", "pH", "T0", "5.5", "5.5", done="2025-01-09")
    bench.place("HDC-1", "ROOM")
    bench.read("HDC-1", "pH", "4w", "5.4", "5.4", done="2025-02-07")
    return bench


def test_the_request_is_told_as_it_was_asked() -> None:
    asked = study(request=Request(24, Age(6, "M"), "below 25 °C"))
    assert asked_text(asked) == (
        "24 months unopened; 6M after opening; storage words: below 25 °C"
    )
    assert asked_text(study()) == "12 months unopened; no period after opening"
    sold = study(request=Request(12, markets=("EU", "US")))
    assert asked_text(sold).endswith("no period after opening; to be sold in EU, US")


def test_a_period_after_opening_is_never_computed() -> None:
    unread = Bench((sample("HDC-1", "ROOM"),)).evaluate("2025-01-07")
    assert after_opening_text(unread) == (
        "No opened container was read. A period after opening is judged by the "
        "assessor and never computed."
    )
    told = after_opening_text(evaluated("day_cream"))
    assert told.startswith("No container was read in use. Opened at their checks only:")
    assert "never computed" in told


def test_nothing_read_is_not_told_as_nothing_outside() -> None:
    unread = Bench((sample("HDC-1", "ROOM"),)).evaluate("2025-01-07")
    assert outside_none_text(unread) == "Nothing has been read yet."
    read = read_once().evaluate("2025-02-20")
    assert "lies outside its limit." in outside_none_text(read)


def test_what_was_shown_is_told_pack_by_pack() -> None:
    evaluation = evaluated("day_cream")
    lines = shown_lines(evaluation)
    assert [line.split(":")[0] for line in lines] == ["JAR", "PUMP"]
    assert all("12 months" in line for line in lines)


def test_what_lies_beyond_begins_with_the_outcome_of_the_request() -> None:
    assert beyond_lines(evaluated("plain_lotion"))[0] == (
        "24 months are shown by real-time data."
    )
    assert beyond_lines(evaluated("balm_tin"))[0] == (
        "18 months are not supported; 12 months are."
    )


def test_without_the_chapter_nothing_beyond_is_offered() -> None:
    bare = replace(read_once().evaluate("2025-02-20"), shelf_life=None)
    assert beyond_lines(bare)[0].startswith("Not shown: 0 of 12 months asked for")


def test_an_estimate_above_its_cap_stays_off_the_first_page() -> None:
    evaluation = evaluated("plain_lotion")
    assert evaluation.shelf_life is not None
    assert evaluation.shelf_life.supported.estimate_above_cap
    lines = [*precision_lines(evaluation)]
    assert "Shown 24 months; supported 24 months." in lines


def test_one_batch_is_told_as_one_batch() -> None:
    assert "One batch cannot show how batches differ." in precision_lines(
        evaluated("balm_tin")
    )


def test_the_record_is_counted_by_kind_and_anchored() -> None:
    evaluation = evaluated("day_cream")
    counted = record_text(evaluation)
    assert counted.count(", ") == len(evaluation.record.counts()) - 1
    assert evaluation.identity.head.digest in anchor_text(evaluation)
    assert "Nothing missed" in record_text(evaluated("balm_tin"))
