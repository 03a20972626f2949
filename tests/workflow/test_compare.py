"""Conditions, batches, packs and versions beside each other, as asked for."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from stability.errors.samples import UnknownNameError
from stability.errors.studies import (
    BatchOfVersionsError,
    ComparedWithItselfError,
    SecondStudyNeededError,
    VersionsOnlyError,
)
from stability.evaluation.contrast_findings import Between
from stability.model.contrast import Contrast
from stability.workflow.compare import Asked, Compared, compare
from stability.workflow.occasion import Occasion
from tests.records.second_version import EXAMPLES, PLAIN_LOTION, second_version

DAY_CREAM = str(EXAMPLES / "day_cream")
LOTION = str(PLAIN_LOTION)
AS_OF = "2026-09-30"


@pytest.fixture
def later(nowhere: Occasion) -> Occasion:
    """Return an occasion after all that the examples hold."""
    return replace(nowhere, now=datetime(2026, 12, 1, 9, 0, tzinfo=UTC))


@pytest.fixture
def cream(later: Occasion) -> Compared:
    """Return all that is compared in the study of the day cream."""
    return compare(later, DAY_CREAM, as_of=AS_OF)


def test_all_that_stands_beside_each_other_is_compared(cream: Compared) -> None:
    kinds = {one.sides.between for one in cream.contrasts.drifts}

    assert kinds == {"conditions", "batches", "packs"}
    assert cream.differs
    assert cream.contrasts == cream.evaluations[0].contrasts


@pytest.mark.parametrize(
    "asked",
    [
        Asked(attribute="ph"),
        Asked(condition="t40"),
        Asked(batch="C"),
        Asked(between="packs"),
        Asked(attribute="spread", condition="ROOM", batch="B", between="batches"),
    ],
)
def test_what_is_compared_can_be_narrowed_and_chance_counts_all(
    later: Occasion, cream: Compared, asked: Asked
) -> None:
    found = compare(later, DAY_CREAM, asked=asked, as_of=AS_OF).contrasts
    sides = [one.sides for one in found.drifts] + [one.sides for one in found.words]

    assert 0 < len(found.drifts) < len(cream.contrasts.drifts)
    assert found.count == cream.contrasts.count
    for one in sides:
        both = one.first, one.second
        assert asked.between in {None, one.between}
        assert (asked.attribute or one.attribute).casefold() == one.attribute.casefold()
        assert asked.condition is None or asked.condition.upper() in {
            side.condition for side in both
        }
        assert asked.batch is None or any(asked.batch in side.batches for side in both)


def test_what_is_left_out_of_another_attribute_is_not_told(later: Occasion) -> None:
    asked = Asked(attribute="pH")
    found = compare(later, DAY_CREAM, asked=asked, as_of=AS_OF).contrasts

    assert [name for name, _ in found.left_out] == ["FT"]


def test_two_versions_are_compared_over_their_batches(
    later: Occasion, tmp_path: Path
) -> None:
    other = second_version(tmp_path, fall=0.02)
    found = compare(
        later, LOTION, str(other), Asked(attribute="pH"), as_of=AS_OF
    ).contrasts
    by_condition = {one.sides.first.condition: one for one in found.drifts}

    room = by_condition["ROOM"]
    assert isinstance(room.result, Contrast)
    assert room.result.method == "slopes of batches"
    assert room.difference == pytest.approx(0.02, rel=0.05)
    assert room.text.startswith("The versions differ: ")
    assert (room.sides.first.name, room.sides.second.name) == ("MFN 3", "MFP 4")


def test_alike_versions_are_not_told_apart(later: Occasion, tmp_path: Path) -> None:
    found = compare(later, LOTION, str(second_version(tmp_path)), as_of=AS_OF)

    assert not found.differs
    assert {one.difference for one in found.contrasts.drifts} == {0.0}


def test_a_study_is_not_compared_with_itself(later: Occasion) -> None:
    with pytest.raises(ComparedWithItselfError, match="QDC"):
        compare(later, DAY_CREAM, DAY_CREAM, as_of=AS_OF)


@pytest.mark.parametrize("between", ["conditions", "batches", "packs"])
def test_between_two_studies_only_versions_are_compared(
    later: Occasion, between: Between
) -> None:
    with pytest.raises(VersionsOnlyError, match=between):
        compare(later, DAY_CREAM, LOTION, Asked(between=between), as_of=AS_OF)


def test_versions_need_a_second_study(later: Occasion) -> None:
    with pytest.raises(SecondStudyNeededError, match="day_cream"):
        compare(later, DAY_CREAM, asked=Asked(between="versions"), as_of=AS_OF)


def test_one_batch_says_nothing_of_versions(later: Occasion) -> None:
    with pytest.raises(BatchOfVersionsError, match="Batch A alone"):
        compare(later, DAY_CREAM, LOTION, Asked(batch="A"), as_of=AS_OF)


@pytest.mark.parametrize(
    "asked", [Asked(attribute="hP"), Asked(condition="T41"), Asked(batch="Z")]
)
def test_names_that_are_not_known_are_refused(later: Occasion, asked: Asked) -> None:
    with pytest.raises(UnknownNameError):
        compare(later, DAY_CREAM, asked=asked, as_of=AS_OF)


def test_a_name_that_one_of_two_studies_has_is_known(later: Occasion) -> None:
    asked = Asked(attribute="viscosity")
    found = compare(later, DAY_CREAM, LOTION, asked, as_of=AS_OF).contrasts

    assert found.drifts == ()
    assert ("viscosity", "The attribute was read in MFN only.") in found.left_out
