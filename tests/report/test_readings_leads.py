"""Page 1, the summary sheet and the text form tell what decides nothing."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from stability.evaluation.findings import Evaluation
from stability.evaluation.undecided import undecided_text
from stability.report.front_page import shown_lines
from stability.report.study_text import study_text
from stability.report.summary_sheet import summary_rows
from tests.evaluation.test_life_cautions import bench as half_stored
from tests.evaluation.test_stays import bench
from tests.evaluation.test_undecided import elsewhere
from tests.report.printed import EXAMPLES, evaluated, read_back


def everywhere(evaluation: Evaluation, target: Path) -> dict[str, str]:
    """Return page 1, the sheet and the text form, each in one line."""
    rows = dict(summary_rows(evaluation))
    found = {
        "page 1": read_back(evaluation, target).pages[0],
        "sheet": " ".join([*rows["Outside limits"], *rows["Shown in real time"]]),
        "text": study_text(evaluation),
    }
    return {place: " ".join(text.split()) for place, text in found.items()}


def test_what_is_undecided_stands_beside_none_outside(tmp_path: Path) -> None:
    evaluation = elsewhere(bench()).evaluate("2025-07-12")

    for text in everywhere(evaluation, tmp_path / "report.pdf").values():
        none = text.index("lies outside its limit.")
        assert none < text.index(undecided_text(evaluation))


def test_what_is_undecided_is_told_where_something_is_outside(tmp_path: Path) -> None:
    made = elsewhere(bench())
    made.read("BULK-A", "pH", "T0", "9.90", "9.90", done="2025-01-10")
    evaluation = made.evaluate("2025-07-12")

    assert evaluation.outside
    for text in everywhere(evaluation, tmp_path / "report.pdf").values():
        assert undecided_text(evaluation) in text


def test_each_lead_ends_at_the_section_of_its_readings(tmp_path: Path) -> None:
    found = read_back(elsewhere(bench()).evaluate("2025-07-12"), tmp_path / "r.pdf")
    reader: Any = found.reader
    sections = {
        str(one["/Title"]): reader.get_destination_page_number(one)
        for part in reader.outline
        if isinstance(part, list)
        for one in part
    }
    goals = [
        reader.get_page_number(one.get_object()["/Dest"][0].get_object())
        for one in reader.pages[0]["/Annots"]
    ]

    assert goals[:2] == [sections["pH"], sections["odour"]]
    assert f"See the readings of pH, page {goals[0] + 1}" in found.pages[0]


def test_what_nothing_is_shown_of_is_named(tmp_path: Path) -> None:
    evaluation = half_stored("2025-02-05").evaluate("2025-12-01")

    for text in everywhere(evaluation, tmp_path / "report.pdf").values():
        for named in ("batch B", "pack PUMP"):
            assert f"No sample of {named} stands in long-term storage" in text
        assert "The initial pH of batch A was read on 2025-02-05" in text


@pytest.mark.parametrize("name", EXAMPLES)
def test_where_there_is_nothing_of_it_nothing_is_said(name: str) -> None:
    evaluation = evaluated(name)

    assert undecided_text(evaluation) == ""
    assert len(shown_lines(evaluation)) <= len(evaluation.shown)
    assert "ndecided" not in study_text(evaluation).split("Findings by attribute")[0]
