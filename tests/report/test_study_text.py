"""The evaluation as plain text, for a terminal or a mail."""

from __future__ import annotations

import pytest

from stability.report.study_text import study_text
from tests.evaluation.builders import Bench, sample
from tests.report.printed import EXAMPLES, evaluated

KEYS = (
    "What it is",
    "As sold?",
    "Asked",
    "Outside limits",
    "Shown in real time",
    "Beyond what is shown",
    "Precision",
    "Microbiology",
    "After opening",
    "Limits",
    "Record",
    "Findings by attribute and condition",
    "Note.",
)


@pytest.mark.parametrize("name", EXAMPLES)
def test_it_answers_in_the_order_of_the_printed_first_page(name: str) -> None:
    lines = study_text(evaluated(name)).splitlines()
    places = [
        next(at for at, line in enumerate(lines) if line.startswith(key))
        for key in KEYS
    ]
    assert places == sorted(places)


@pytest.mark.parametrize("name", EXAMPLES)
def test_no_line_is_wider_than_a_terminal(name: str) -> None:
    assert all(len(line) <= 88 for line in study_text(evaluated(name)).splitlines())


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_finding_outside_its_limit_and_the_note_are_told(name: str) -> None:
    flowing = " ".join(study_text(evaluated(name)).split())
    for group in evaluated(name).outside:
        for finding in group.findings:
            assert finding.text in flowing
    assert evaluated(name).note in flowing
    assert evaluated(name).identity.head.digest in flowing


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_cell_of_the_findings_is_told(name: str) -> None:
    evaluation = evaluated(name)
    flowing = " ".join(study_text(evaluation).split())
    for cell in evaluation.summary:
        if cell.state != "not planned":
            assert f": {cell.text or cell.state}" in flowing
            assert cell.condition in flowing


def test_a_study_of_which_nothing_was_read_says_so() -> None:
    bench = Bench((sample("HDC-1", "ROOM"),))
    text = study_text(bench.evaluate("2025-01-07"))
    assert "Nothing has been read yet." in text
