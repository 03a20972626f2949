"""What happened in the record."""

from __future__ import annotations

from tests.evaluation.builders import Bench, bulk, sample


def bench(*codes: str) -> Bench:
    """Return a bench with jars at 40 °C, placed."""
    names = codes or ("HDC-001-A",)
    made = Bench([bulk(), *(sample(code, "T40") for code in names)])
    for code in names:
        made.place(code, "T40")
    return made


def read(made: Bench, check: str, done: str, code: str = "HDC-001-A") -> None:
    """Log two attributes of one check."""
    made.read(code, "pH", check, "5.4", "5.4", done=done)
    made.read(code, "odour", check, "Ana:as control", "Ben:as control", done=done)


def test_a_late_check_is_told_once_for_all_its_attributes() -> None:
    made = bench()
    read(made, "4w", "2025-02-08")

    (late,) = made.evaluate("2025-02-08").record.of("late")

    assert (late.sample, late.check, late.attribute) == ("HDC-001-A", "4w", None)
    assert (late.weight, late.text) == ("remark", "late (1 day)")


def test_missed_and_not_recorded_are_told_apart() -> None:
    made = bench("HDC-001-A", "HDC-002-B")
    made.miss("2w", "HDC-001-A", because="closed", done="2025-01-24")
    record = made.evaluate("2025-01-31").record

    (missed,) = record.of("missed")
    assert (missed.sample, missed.text) == ("HDC-001-A", "missed: closed")
    unrecorded = [one.sample for one in record.of("not recorded") if one.check == "2w"]
    assert unrecorded == ["HDC-002-B"]
    assert "2025-01-26" in record.of("not recorded")[-1].text


def test_corrections_and_readings_set_aside_keep_their_old_value() -> None:
    made = bench()
    wrong = made.read("HDC-001-A", "pH", "4w", "54.0", done="2025-02-07")
    made.correct(wrong, "5.40", done="2025-02-07")
    other = made.read("HDC-001-A", "odour", "4w", "Ana:changed", done="2025-02-07")
    made.invalidate(other, "wrong jar", "2025-02-08")
    record = made.evaluate("2025-02-08").record

    (corrected,) = record.of("corrected")
    (aside,) = record.of("set aside")
    assert (corrected.position, corrected.text) == (
        wrong,
        f"pH 54.0 superseded by entry {wrong + 1}",
    )
    assert aside.text == "odour Ana: changed set aside by Mara: wrong jar"


def test_a_broken_sample_its_replacement_and_its_clock_are_listed() -> None:
    spare = sample("HDC-009-X", None, use="spare", checks=())
    made = Bench([bulk(), sample("HDC-001-A", "T40"), spare])
    made.place("HDC-001-A", "T40")
    made.retire("HDC-001-A", "broken", "2025-02-20", because="dropped")
    made.place("HDC-009-X", "T40", "2025-02-21", replaces="HDC-001-A")
    record = made.evaluate("2025-02-22").record

    (lost,) = record.of("lost")
    (replaced,) = record.of("replaced")
    assert lost.text == "broken: dropped; replaced by HDC-009-X"
    assert replaced.sample == "HDC-009-X"


def test_what_was_used_up_is_neither_lost_nor_failed() -> None:
    made = bench()
    made.retire("HDC-001-A", "used up", "2025-02-20")

    assert made.evaluate("2025-02-22").record.of("lost", "failed") == ()


def test_swaps_deviations_repeats_extras_and_stops_are_listed() -> None:
    made = bench()
    first = made.read(
        "HDC-001-A", "pH", "2w", "5.4", "5.4", done="2025-01-24",
        settings={"dilution": "neat"},
    )  # fmt: skip
    made.read(
        "HDC-001-A", "pH", "2w", "5.4", "5.4", done="2025-01-24",
        repeats=first, because="neat by mistake",
    )  # fmt: skip
    made.read("HDC-001-A", "pH", None, "5.4", "5.4", done="2025-01-27")
    made.place("HDC-001-A", "ROOM", "2025-01-28", how="swapped")
    made.stop("2025-01-30", "off sale", condition="T40")
    record = made.evaluate("2025-01-30").record

    (deviation,) = record.of("deviation")
    assert deviation.text.startswith("dilution neat instead of 10 %")
    assert record.of("repeated")[0].text.endswith("neat by mistake")
    assert len(record.of("extra")) == 1
    assert record.of("swapped")[0].text == (
        "2 days in ROOM instead of T40, from 2025-01-28 so far"
    )
    assert record.of("stopped")[0].text == "condition T40 stopped: off sale"
    assert {one.kind for one in record.deviations} >= {"deviation", "swapped"}


def test_counts_hold_the_kinds_that_occur() -> None:
    made = bench()
    read(made, "2w", "2025-01-25")
    made.read("HDC-001-A", "pH", "4w", done="2025-02-07", not_measured="meter dead")

    counts = made.evaluate("2025-02-07").record.counts()

    assert counts["late"] == 1
    assert counts["not measured"] == 1
    assert "missed" not in counts
