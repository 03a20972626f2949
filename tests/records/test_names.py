"""Names as people type them."""

from __future__ import annotations

import pytest

from stability.errors.samples import UnknownNameError
from stability.records.names import find_name, matching

KNOWN = ["ROOM", "T40", "T45", "weight_loss"]


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("room", "ROOM"), ("ROO", "ROOM"), ("t40", "T40"), ("weight loss", "weight_loss")],
)
def test_case_blanks_and_beginnings_do_not_matter(typed: str, meant: str) -> None:
    assert find_name(typed, KNOWN, "condition") == meant


def test_a_beginning_of_two_names_is_refused_with_both() -> None:
    with pytest.raises(UnknownNameError, match=r"T40 or T45: type more"):
        find_name("T4", KNOWN, "condition")


def test_a_misspelt_name_is_offered_the_nearest() -> None:
    with pytest.raises(UnknownNameError, match=r"no condition 'ROMM'.*ROOM"):
        find_name("ROMM", KNOWN, "condition")


def test_a_name_unlike_any_other_is_offered_those_there_are() -> None:
    with pytest.raises(UnknownNameError, match=r"known are ROOM, T40"):
        find_name("zzz", KNOWN, "condition")


def test_the_name_written_so_comes_before_longer_ones() -> None:
    assert matching("pH", ["pH", "pH_water"]) == ["pH"]


def test_nothing_typed_means_nothing() -> None:
    assert matching("", KNOWN) == []
