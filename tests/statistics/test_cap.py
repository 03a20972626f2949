"""How far beyond the months shown a life may be claimed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.model.shelf_life import Evidence, SignificantChange, StorageClass
from stability.statistics.cap import extrapolation_cap, worded_cap

storages = st.sampled_from(["room", "refrigerated", "freezer"])
changes = st.sampled_from(
    [
        "none",
        "intermediate passed",
        "intermediate failed",
        "within 3 months",
        "between 3 and 6 months",
    ]
)
evidences = st.sampled_from(["little change", "analysed", "not analysed"])


@given(st.integers(0, 60), storages, changes, evidences)
def test_a_cap_never_cuts_what_was_shown_nor_exceeds_twelve_months_more(
    shown: int,
    storage: StorageClass,
    change: SignificantChange,
    evidence: Evidence,
) -> None:
    cap = extrapolation_cap(
        shown, storage=storage, significant_change=change, evidence=evidence
    )

    assert shown <= cap.months <= shown + 12
    assert cap.shown == shown


@pytest.mark.parametrize(
    "options", [{"accelerated_finished": False}, {"blocked": True}]
)
def test_without_a_finished_accelerated_arm_or_with_a_bar_the_cap_is_what_was_shown(
    options: dict[str, bool],
) -> None:
    cap = extrapolation_cap(12, **options)  # type: ignore[arg-type]  # from the table

    assert (cap.months, cap.rule) == (12, "none")


def test_the_protocol_may_allow_less() -> None:
    cap = extrapolation_cap(24, longest=3)

    assert cap.months == 27
    assert "the protocol allows 3 months" in cap.text
    assert extrapolation_cap(3, longest=6).months == 6


def test_where_the_rule_comes_from_is_said() -> None:
    assert "written for medicines" in extrapolation_cap(12).text
    assert (
        "written for medicines"
        in worded_cap(12, declared_before_t0=True, moved=False).text
    )


@pytest.mark.parametrize(
    ("declared", "moved", "months"),
    [(True, False, 18), (True, True, 12), (False, False, 12), (False, True, 12)],
)
def test_scores_are_extrapolated_only_if_declared_and_nothing_moved(
    *, declared: bool, moved: bool, months: float
) -> None:
    cap = worded_cap(12, declared_before_t0=declared, moved=moved)

    assert cap.months == months
