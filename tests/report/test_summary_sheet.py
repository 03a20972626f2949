"""The summary sheet: one page, what lies outside first, the anchor never cut."""

from __future__ import annotations

from pathlib import Path

import pdfplumber
import pytest

from stability.evaluation.findings import Evaluation
from stability.model.program import program_name
from stability.model.study import Pack, Request
from stability.report.summary_sheet import (
    kept_lines,
    next_lines,
    shortened_line,
    summary_rows,
    write_summary,
)
from stability.report.wording import FOOTER
from tests.evaluation.lived import lived
from tests.report.printed import EXAMPLES, evaluated

KEYS = (
    "What it is",
    "Asked",
    "Outside limits",
    "Outcome",
    "Shown in real time",
    "Precision",
    "Microbiology",
    "Limits",
    "Next checks",
    "Record",
)


def sheet(evaluation: Evaluation, target: Path) -> list[str]:
    """Write a sheet and read its pages back."""
    write_summary(evaluation, target)
    with pdfplumber.open(target) as document:
        return [page.extract_text() for page in document.pages]


def crowded() -> Evaluation:
    """Return a study in which all of 20 batches failed, with the longest of names."""
    said = {("odour", "T45", check): "changed" for check in ("2w", "4w", "8w")}
    batches = tuple(f"{'batch ' * 10}{number:02}" for number in range(20))
    text = "very long words of a pack " * 8
    bench = lived(
        ("ROOM", "T45"),
        said,
        until="4w",
        batches=batches,
        product="N" * 200,
        packs={"JAR": Pack("JAR", text)},
        request=Request(24, markets=("EU", "UK", "US", "ASEAN"), storage=text),
    )
    return bench.evaluate("2025-05-01")


@pytest.mark.parametrize("name", EXAMPLES)
def test_an_example_fits_one_page_with_every_row_in_order(
    name: str, tmp_path: Path
) -> None:
    (page,) = sheet(evaluated(name), tmp_path / "sheet.pdf")
    lines = page.splitlines()
    places = [
        next(at for at, line in enumerate(lines) if line.startswith(key))
        for key in KEYS
    ]
    assert places == sorted(places)
    assert lines[-1] == f"{FOOTER} {program_name()} · page 1 of 1"
    flowing = " ".join(page.split())
    assert "supports and does not replace assessment by a qualified safety" in flowing
    assert evaluated(name).identity.head.digest in page
    for finding in (one for group in evaluated(name).outside for one in group.findings):
        assert finding.text in flowing


def test_a_crowded_study_still_fits_one_page_and_says_what_is_left(
    tmp_path: Path,
) -> None:
    evaluation = crowded()
    (page,) = sheet(evaluation, tmp_path / "crowded.pdf")
    assert "more lines in the report" in page
    assert evaluation.identity.head.digest in page
    assert evaluation.identity.fingerprint in "".join(page.split())
    assert "supports and does not replace" in " ".join(page.split())


def test_the_same_evaluation_gives_the_same_bytes(tmp_path: Path) -> None:
    for name in ("one", "two"):
        write_summary(evaluated("balm_tin"), tmp_path / f"{name}.pdf")
    first, second = (tmp_path / f"{name}.pdf" for name in ("one", "two"))
    assert first.read_bytes() == second.read_bytes()


def test_markets_have_a_row_where_they_are_named() -> None:
    named = lived(request=Request(12, markets=("EU",))).evaluate("2026-02-01")
    assert "On the label" in dict(summary_rows(named))
    assert "On the label" not in dict(summary_rows(evaluated("balm_tin")))


def test_the_next_checks_are_told_with_their_days() -> None:
    lines = next_lines(evaluated("day_cream"))
    assert lines[0] == (
        "18M at ROOM: due 2026-09-27, until 2026-10-11 (open); 2 samples"
    )
    assert lines[-1].startswith("and 9 later checks")
    done = next_lines(lived().evaluate("2026-02-01"))
    assert done == ["None is waiting: the study is complete as planned."]


def test_lines_are_kept_to_what_fits() -> None:
    assert kept_lines(["a", "b"], 2, 10) == ["a", "b"]
    assert kept_lines(["a", "b", "c"], 1, 10) == ["a", "and 2 more lines in the report"]
    assert shortened_line("x" * 30, 10) == "xxxxxxxx …"
