"""The one sample that batch, pack, condition and check name together."""

from __future__ import annotations

from pathlib import Path

import pytest

from stability.errors.samples import ReadingsError, UnknownNameError
from stability.records.sample_choice import SampleChoice
from tests.records.small_study import BULK_A, ROOM_B, T40_2W, TWIN_A, opened_book


@pytest.fixture
def choice(tmp_path: Path) -> SampleChoice:
    """Return the choice among the samples of a study just opened."""
    return SampleChoice(opened_book(tmp_path).plan)


def test_names_are_taken_as_at_the_bench(choice: SampleChoice) -> None:
    assert choice.choose("b", "jar", "room", None, None) == ROOM_B
    assert choice.choose("A", "JAR", "T40", "2W", None) == T40_2W
    assert choice.choose("A", None, None, None, None) == BULK_A


def test_a_twin_in_the_same_place_is_never_chosen_for_its_double(
    choice: SampleChoice,
) -> None:
    with pytest.raises(ReadingsError) as caught:
        choice.choose("A", None, "ROOM", None, None)

    assert TWIN_A in str(caught.value)
    assert "column sample" in str(caught.value)


def test_what_is_nowhere_is_refused(choice: SampleChoice) -> None:
    with pytest.raises(ReadingsError, match="no sample of batch B, condition T40"):
        choice.choose("B", None, "T40", None, None)
    with pytest.raises(UnknownNameError, match="T45"):
        choice.choose("A", None, "T45", None, None)


def test_a_code_must_agree_with_what_is_said_beside_it(choice: SampleChoice) -> None:
    with pytest.raises(ReadingsError, match="is of batch B, not of A"):
        choice.check_named(ROOM_B, "a", None, "ROOM")
    with pytest.raises(ReadingsError, match="is of condition none, not of ROOM"):
        choice.check_named(BULK_A, None, None, "ROOM")


@pytest.mark.parametrize("beside", [("B", "JAR", "room"), (None, None, None)])
def test_a_code_that_agrees_is_taken(
    choice: SampleChoice, beside: tuple[str | None, str | None, str | None]
) -> None:
    try:
        choice.check_named(ROOM_B, *beside)
    except ReadingsError as error:
        pytest.fail(str(error))
