"""Headings of the safety report beside the report's chapters, and words by market.

Headings: Commission Implementing Decision 2013/674/EU, sections 3.2.2, 3.2.3, 3.3.2 and
3.4.3, and Annex I, Part A, points 2 to 4, of Regulation (EC) No 1223/2009.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from stability.evaluation.findings import Evaluation
from stability.model.study import Request
from stability.report.study_json import study_json
from stability.report.study_text import study_text
from tests.evaluation.lived import lived
from tests.report.printed import EXAMPLES, printed, read_back

HEADINGS = (
    # As far as the first line of a cell reaches.
    "3.2.2 Characteristics of the finished",
    "3.2.3 Stability of the cosmetic",
    "3.3.2 Microbiological quality of the",
    "3.4.3 Relevant characteristics of",
    "2013/674/EU",
    "Annex I, Part A",
    "1223/2009",
)
LEADS = {
    "Findings": "Findings by attribute and condition",
    "Readings": "Readings",
    "Outside limits": "Outside limits",
    "Conclusion, drafted": "Conclusion, drafted for the assessor",
    "Shelf life": "Shelf life",
    "Protocol": "Protocol",
    "Samples with their packs": "Samples",
}


@pytest.mark.parametrize("name", EXAMPLES)
def test_page_two_holds_the_findings_and_where_to_find_the_rest(name: str) -> None:
    page = "".join(printed(name).pages[1].split())
    assert "Findingsbyattributeandcondition" in page
    for words in HEADINGS:
        assert "".join(words.split()) in page, words


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_pages_named_are_those_on_which_the_chapters_begin(name: str) -> None:
    report = printed(name)
    reader = report.reader
    begins = {
        str(one["/Title"]): (reader.get_destination_page_number(one) or 0) + 1
        for one in reader.outline
        if not isinstance(one, list)
    }
    for words, chapter in LEADS.items():
        assert f"{words}, page {begins[chapter]}" in report.pages[1], words


@pytest.mark.parametrize("name", EXAMPLES)
def test_page_one_names_the_pages_to_turn_to(name: str) -> None:
    page = printed(name).pages[0]
    assert "See shelf life with its derivation, page " in page
    assert "See the conclusion drafted from all of it, page " in page


def asked(*markets: str, months: int = 24) -> Evaluation:
    """Return a study asked for in some markets."""
    request = Request(months, markets=markets)  # type: ignore[arg-type]  # as typed
    return lived(request=request).evaluate("2026-02-01")


def test_markets_named_are_printed_with_their_rule_and_none_without(
    tmp_path: Path,
) -> None:
    title = "Durability on the label, by market"
    found = read_back(asked("EU", "UK", "US", "ASEAN"), tmp_path / "four.pdf")
    text = found.flowing
    assert title in text
    for words in ("hourglass symbol", "assimilated", "MoCRA", "ASEAN product"):
        assert words in text
    assert "to be sold in EU, UK, US, ASEAN" in found.pages[0]
    assert all(title not in printed(name).text for name in EXAMPLES)


def test_text_and_json_tell_what_print_tells_of_markets() -> None:
    evaluation = asked("EU", months=36)
    text = " ".join(study_text(evaluation).split())
    assert "On the label EU: 36 months are more than 30: a date is not" in text
    (rule,) = json.loads(study_json(evaluation))["durability_on_label"]
    assert (rule["market"], rule["date_mandatory"]) == ("EU", False)
    assert "Were the 12 months printed that this evaluation supports" in rule["text"]


def test_without_markets_nothing_of_labels_is_told() -> None:
    evaluation = asked()
    assert "On the label" not in study_text(evaluation)
    assert json.loads(study_json(evaluation))["durability_on_label"] == []
