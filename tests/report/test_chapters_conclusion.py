"""The drafted conclusion in print, as text and as plain mappings."""

from __future__ import annotations

import json

import pytest

from stability.evaluation.conclusion import DRAFT, DRAFT_MEANS, conclusion_of
from stability.report.chapters_conclusion import TITLE, by_topic
from stability.report.study_json import study_json
from stability.report.study_text import study_text
from tests.report.printed import EXAMPLES, evaluated, printed


def tokens(text: str) -> str:
    """Return text without any space, so that a wrapped line is found too."""
    return "".join(text.split())


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_passage_is_printed_and_marked_as_a_draft(name: str) -> None:
    chapter = tokens(printed(name).chapter(TITLE))
    assert tokens(f"{DRAFT} {DRAFT_MEANS}") in chapter
    for one in conclusion_of(evaluated(name)):
        assert tokens(one.text) in chapter, one.code
        assert tokens(one.topic) in chapter


@pytest.mark.parametrize("name", EXAMPLES)
def test_it_stands_behind_what_failed_and_before_what_is_shown(name: str) -> None:
    titles = printed(name).titles()
    assert titles.index("Outside limits") < titles.index("What happened in the record")
    assert titles.index("What happened in the record") < titles.index(TITLE)
    assert titles.index(TITLE) < titles.index("Shelf life")


@pytest.mark.parametrize("name", EXAMPLES)
def test_text_and_json_hold_the_same_passages(name: str) -> None:
    evaluation = evaluated(name)
    text = tokens(study_text(evaluation))
    held = json.loads(study_json(evaluation))["conclusion"]
    assert held["draft"] == f"{DRAFT} {DRAFT_MEANS}"
    assert [one["text"] for one in held["passages"]] == [
        one.text for one in conclusion_of(evaluation)
    ]
    for one in conclusion_of(evaluation):
        assert tokens(one.text) in text


@pytest.mark.parametrize("name", EXAMPLES)
def test_topics_stand_in_the_order_of_the_rules(name: str) -> None:
    found = by_topic(evaluated(name))
    passages = conclusion_of(evaluated(name))
    assert list(found) == list(dict.fromkeys(one.topic for one in passages))
    assert [one for ones in found.values() for one in ones] == list(passages)


def test_the_blocks_for_people_and_the_assessor_close_the_report() -> None:
    last = printed("day_cream").chapter("Measured, reviewed, assessed")
    for words in ("Measured by", "Reviewed by", "Safety assessor", "conclusion"):
        assert words in last
    assert "Measured by Ines, Tomas" in last


def test_the_day_cream_concludes_what_its_makers_wrote_it_for() -> None:
    found = {one.code: one.text for one in conclusion_of(evaluated("day_cream"))}
    heat = found["stress-alone-outside"]
    assert "appearance and separation between 8w and 12w (GLASS, batch A)" in heat
    assert "none outside of 119 observations" in heat
    assert "It stood in GLASS there, and in JAR and PUMP in the cooler place" in heat
    assert "does not shorten the life shown on the shelf (shown to 12M" in heat
    assert "not-supported" in found
    assert "no-challenge" not in found
    assert "no-challenge" in {one.code for one in conclusion_of(evaluated("balm_tin"))}
