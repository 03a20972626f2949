"""Whole names of instruments and storage places."""

from __future__ import annotations

import pytest

from stability.errors import StabilityError
from stability.errors.storage import PlaceKnownError, PlaceNameError, UnknownPlaceError
from stability.records.whole_names import WholeNames

NAMES = WholeNames("place:", PlaceNameError, UnknownPlaceError, PlaceKnownError)
OVENS = ("place:OVEN-7KQ4", "place:OVEN-9XR2", "place:FRIDGE-22CD")


def test_a_name_gets_capitals_and_its_suffix() -> None:
    assert NAMES.subject(" oven ", "7kq4") == "place:OVEN-7KQ4"


# No vowel and nothing that is read as another sign; four of them.
@pytest.mark.parametrize("suffix", ["7KQ", "7KQ44", "7KQO", "AKQ4", "7K-4", ""])
def test_a_suffix_of_other_signs_is_refused(suffix: str) -> None:
    with pytest.raises(PlaceNameError, match="4 signs of 23456789CDFGHJKMNPQRTVWXY"):
        NAMES.subject("OVEN", suffix)


@pytest.mark.parametrize("name", ["", "7OVEN", "OV EN", "OVEN-1", "OVENOVENOVENO"])
def test_a_name_of_other_signs_is_refused(name: str) -> None:
    with pytest.raises(PlaceNameError, match="holds something else, or is too long"):
        NAMES.subject(name, "7KQ4")


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("oven", OVENS[:2]),
        ("OVEN-9XR2", OVENS[1:2]),
        ("place:OVEN-9XR2", OVENS[1:2]),
        ("fridge", OVENS[2:]),
        ("OVE", ()),
        ("", ()),
    ],
)
def test_short_and_whole_names_and_subjects_mean(
    typed: str, meant: tuple[str, ...]
) -> None:
    assert NAMES.meant(OVENS, typed) == meant


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("OVEN", "OVEN-7KQ4 and OVEN-9XR2 bear this name; type the whole of it"),
        ("FRIGE", "did you mean FRIDGE"),
        ("CELLAR", "none is known"),
    ],
)
def test_a_name_that_means_none_or_several_is_refused(typed: str, why: str) -> None:
    with pytest.raises(StabilityError, match=why):
        NAMES.only(OVENS, typed)


def test_a_short_name_in_use_is_refused_and_a_new_one_not() -> None:
    NAMES.refuse_known(OVENS, "CELLAR")
    with pytest.raises(PlaceKnownError, match="OVEN-7KQ4"):
        NAMES.refuse_known(OVENS, "oven")
