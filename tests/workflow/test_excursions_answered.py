"""Which excursions an answer holds for, and in what words."""

from __future__ import annotations

from stability.workflow import storage
from stability.workflow.excursions_answered import answered_words, sides_asked
from stability.workflow.occasion import Occasion
from tests.workflow.test_storage import oven


def test_a_period_without_an_excursion_asks_for_no_side(nowhere: Occasion) -> None:
    place = storage.place(oven(nowhere), "OVEN").record

    assert sides_asked(place, []) == ()
    assert answered_words(place, []) == "no excursion on record of the place itself"
