"""Tables of readings: every number of the evaluation, printed and read back."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

import pytest

from stability.evaluation.readings import JudgedObservation
from stability.model.age import check_text
from stability.report.readings_table import readings_table, readings_text, remarks_text
from stability.report.scores_table import scores_table
from stability.report.styles import ReportStyles
from stability.report.weights_table import weights_table
from tests.evaluation.builders import Bench, bulk, judged_at, sample
from tests.report.printed import EXAMPLES, evaluated, printed

Pages = Callable[..., list[str]]


def readings_of(name: str) -> list[str]:
    """Return the lines of an example's readings as printed."""
    return printed(name).chapter("Readings").splitlines()


def observations(name: str, kind: str) -> Iterator[JudgedObservation]:
    """Yield an example's observations of measured, weighed or worded attributes."""
    evaluation = evaluated(name)
    attributes = evaluation.identity.protocol.attributes
    for seen in evaluation.judged:
        attribute = attributes[seen.attribute]
        weighed = "weighed" if attribute.from_weights else "measured"
        if kind == (weighed if attribute.kind == "measured" else "worded"):
            yield seen


@pytest.mark.parametrize("name", EXAMPLES)
def test_each_number_is_printed_with_its_dates_age_value_and_entry(
    name: str,
) -> None:
    lines = readings_of(name)
    for seen in observations(name, "measured"):
        due = seen.planned.due if seen.planned else "–"
        day = seen.observation.done.day
        start = (
            f"{seen.sample.code} {check_text(seen.check or 'extra')} {due} {day} "
            f"{seen.age_text} {readings_text(seen, with_unit=False)}"
        )
        if seen.value_text:
            start = f"{start} {seen.value_text}"
        found = [
            line
            for line in lines
            if line.startswith(start) and line.endswith(f" {seen.position}")
        ]
        assert len(found) == 1, start


@pytest.mark.parametrize("name", EXAMPLES)
def test_each_weighing_is_printed_and_its_loss_beside_it(
    name: str,
) -> None:
    lines = readings_of(name)
    for seen in observations(name, "weighed"):
        day = seen.observation.done.day.isoformat()
        found = [
            line
            for line in lines
            if line.startswith(f"{seen.sample.code} ")
            and re.search(rf"[ ,]{seen.position}(,|$)", line)
        ]
        assert len(found) == 1, seen.position
        assert day in found[0]
        for reading in seen.observation.readings:
            assert f" {reading} " in found[0]
        if seen.observation.part == "before":
            assert f" {seen.value_text} " in found[0]


@pytest.mark.parametrize("name", EXAMPLES)
def test_each_score_is_printed_in_the_row_that_names_its_entry(
    name: str,
) -> None:
    rows = dict(_rows_by_entry(readings_of(name)))
    for seen in observations(name, "worded"):
        row = rows[seen.position]
        assert row.startswith(
            f"{seen.sample.code} {check_text(seen.check or 'extra')} "
        )
        assert seen.observation.done.day.isoformat() in row
        wanted = seen.value_text or "not measured"
        assert set(wanted.split()) <= set(re.split(r"[\s():]+", row)), row
        if seen.is_outside:
            assert "■" in row


def _rows_by_entry(lines: list[str]) -> Iterator[tuple[int, str]]:
    """Yield entry -> row for rows of scores: code over entries."""
    for at, line in enumerate(lines[:-1]):
        below = re.match(r"(\d+)(?:–(\d+)|((?:, \d+)*)) ", lines[at + 1])
        if not re.match(r"[A-Z]+-\d+-\w ", line) or below is None:
            continue
        end = at + 1
        while end < len(lines) and not re.match(r"[A-Z]+-\d+-\w ", lines[end]):
            end += 1
        row = "\n".join(lines[at : min(end, at + 8)])
        first, last = int(below[1]), int(below[2] or below[1])
        entries = {*range(first, last + 1)}
        entries.update(int(one) for one in (below[3] or "").split(", ") if one)
        for entry in entries:
            yield entry, row


def bench() -> Bench:
    """Return a bench with a bulk sample and one jar at room."""
    made = Bench((bulk(), sample("HDC-1", "ROOM")))
    made.place("HDC-1", "ROOM")
    return made


def test_observers_who_agree_are_named_behind_their_word() -> None:
    made = bench()
    at = made.read(
        "HDC-1", "odour", "4w", "Ana:as control", "Bo:as control", done="2025-02-07"
    )
    seen = judged_at(made.evaluate("2025-02-20"), at)
    assert readings_text(seen) == "as control (Ana, Bo)"


def test_observers_who_differ_are_printed_each_with_their_word() -> None:
    made = bench()
    at = made.read(
        "HDC-1", "odour", "4w", "Ana:as control", "Bo:changed", done="2025-02-07"
    )
    seen = judged_at(made.evaluate("2025-02-20"), at)
    assert readings_text(seen) == "Ana: as control / Bo: changed"


def test_a_reading_left_out_says_why_and_keeps_its_row(
    pages: Pages, styles: ReportStyles
) -> None:
    made = bench()
    at = made.read("HDC-1", "pH", "4w", "5.4", "5.4", done="2025-02-07")
    made.invalidate(at, "wrong jar", done="2025-02-08")
    seen = judged_at(made.evaluate("2025-02-20"), at)
    text = pages([readings_table([seen], styles)])[0]
    assert "○ left out" in text
    assert "wrong jar" in remarks_text(seen)


def test_a_reading_that_was_not_made_prints_its_reason(
    pages: Pages, styles: ReportStyles
) -> None:
    made = bench()
    at = made.read(
        "HDC-1", "pH", "4w", done="2025-02-07", not_measured="electrode dead"
    )
    seen = judged_at(made.evaluate("2025-02-20"), at)
    text = pages([readings_table([seen], styles)])[0]
    assert "– not measured" in text
    assert "electrode dead" in " ".join(text.split())


def test_a_repeat_on_the_same_day_gets_a_row_of_its_own(
    pages: Pages, styles: ReportStyles
) -> None:
    made = bench()
    first = made.read("HDC-1", "odour", "4w", "as control", done="2025-02-07")
    second = made.read(
        "HDC-1",
        "odour",
        "4w",
        "slightly changed",
        done="2025-02-07",
        repeats=first,
        because="nose blocked",
    )
    found = made.evaluate("2025-02-20")
    seen = [judged_at(found, first), judged_at(found, second)]
    text = pages([scores_table(seen, ["odour"], styles)])[0]
    assert len(re.findall(r"^HDC-1 4w", text, re.MULTILINE)) == 2
    assert re.search(rf"^{first} 28 d", text, re.MULTILINE)
    assert re.search(rf"^{second} 28 d", text, re.MULTILINE)


def test_the_weight_after_closing_is_never_printed_as_a_loss(
    pages: Pages, styles: ReportStyles
) -> None:
    made = bench()
    entries = [
        made.read("HDC-1", "weight_loss", "T0", "80.00", part="before", unit="g",
                  done="2025-01-10"),
        made.read("HDC-1", "weight_loss", "4w", "79.00", part="before", unit="g",
                  done="2025-02-07"),
        made.read("HDC-1", "weight_loss", "4w", "74.00", part="after", unit="g",
                  done="2025-02-07"),
    ]  # fmt: skip
    found = made.evaluate("2025-02-20")
    seen = [judged_at(found, at) for at in entries]
    text = pages([weights_table(seen, styles)])[0]
    # 1.00 g of 50 g net is 2 %, worked out by hand.
    assert re.search(r"HDC-1 4w .* 79\.00 74\.00 2\.000 inside", text)
