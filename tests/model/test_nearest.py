"""Which known word somebody probably meant."""

from __future__ import annotations

from stability.model.nearest import did_you_mean, nearest


def test_the_best_comes_first_and_no_more_than_asked_for() -> None:
    known = ["ROOM", "ROM", "T40", "ROOMY"]

    assert nearest("ROOM", known)[0] == "ROOM"
    assert len(nearest("ROOM", known, most=2)) == 2


def test_capitals_do_not_count() -> None:
    assert nearest("PH", ["pH", "odour"]) == ("pH",)


def test_what_resembles_nothing_is_answered_with_all_that_is_known() -> None:
    assert nearest("xyz", ["ROOM", "T40"]) == ()
    assert did_you_mean("xyz", ["ROOM", "T40"]) == "known: ROOM, T40"
    assert did_you_mean("xyz", []) == ""


def test_a_long_list_is_cut() -> None:
    words = [f"word{number}" for number in range(13)]

    assert did_you_mean("xyz", words[:12]).endswith("word11")
    assert did_you_mean("xyz", words).endswith("word11, …")
