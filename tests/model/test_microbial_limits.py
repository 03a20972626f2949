"""Counts held against ISO 17516:2014.

Limits, the inclusive bound and the organisms as the Austrian agency AGES and a German
contract laboratory report the standard; that 200 and 2000 may count as varying only is
from memory.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from stability.model.microbial_limits import (
    CountFinding,
    against,
    judge_counts,
    total_of,
)
from stability.model.plate_count import parse_count
from stability.records.certificate_results import read_results

ABSENT = (
    "E. coli=absent", "P. aeruginosa=absent", "S. aureus=absent", "C. albicans=absent",
)  # fmt: skip


def judged(*typed: str, category: int = 2) -> CountFinding:
    return judge_counts(read_results(typed, "count", None)[0], category)


@pytest.mark.parametrize(
    ("category", "count", "mark"),
    [
        (1, "100", "inside"),
        (1, "101", "outside"),
        (2, "1000", "inside"),
        (2, "1001", "outside"),
        (2, "1.0x10^3", "inside"),
        (1, "<10", "inside"),
        (1, "<100", "inside"),
        (1, "<101", "undecided"),
        (1, ">100", "outside"),
        (1, ">99", "undecided"),
    ],
)
def test_the_limit_of_a_category_is_inclusive(
    category: int, count: str, mark: str
) -> None:
    assert judged(f"total={count}", *ABSENT, category=category).mark == mark


@pytest.mark.parametrize("organism", [one.partition("=")[0] for one in ABSENT])
def test_a_named_organism_that_is_present_is_outside(organism: str) -> None:
    others = [one for one in ABSENT if not one.startswith(organism)]

    found = judged("total=<10", f"{organism}=present", *others)

    assert found.mark == "outside"
    assert f"{organism} is present" in found.reasons[0]


def test_an_organism_that_is_not_stated_leaves_it_undecided() -> None:
    found = judged("total=<10", *ABSENT[:3])

    assert found.mark == "undecided"
    assert "C. albicans" in found.reasons[0]


def test_the_tolerance_is_told_as_recalled_and_never_applied() -> None:
    within = judged("total=2000", *ABSENT)
    beyond = judged("total=2001", *ABSENT)

    assert within.mark == beyond.mark == "outside"
    assert "up to 2000 counts as varying only is from memory" in within.reasons[0]
    assert "memory" not in " ".join(beyond.reasons)


@pytest.mark.parametrize(
    ("parts", "total"),
    [
        (("600", "300"), "900"),
        (("<10", "<10"), "<20"),
        (("5", "<10"), "<15"),
        ((">300", "<10"), ">300"),
        ((">300", "20"), ">320"),
    ],
)
def test_bacteria_and_yeast_add_up(parts: tuple[str, str], total: str) -> None:
    counts = dict(zip(("bacteria", "yeast and mould"), map(parse_count, parts)))  # noqa: B905

    found = total_of(counts)

    assert found is not None
    assert str(found) == total


def test_the_limit_is_on_bacteria_yeast_and_mould_together() -> None:
    together = judged("bacteria=600", "yeast and mould=600", *ABSENT)
    alone = judged("bacteria=600", *ABSENT)
    too_many = judged("bacteria=1001", *ABSENT)

    assert together.mark == "outside"
    assert alone.mark == "undecided"
    assert "yeast and mould is not given" in " ".join(alone.reasons)
    assert too_many.mark == "outside"


def test_a_total_that_may_lack_the_yeast_is_asked_about() -> None:
    unclear = judged("total=950", "yeast and mould=100", *ABSENT)
    clear = judged("total=500", "yeast and mould=100", *ABSENT)

    assert unclear.mark == "undecided"
    assert "together 1050" in " ".join(unclear.reasons)
    assert clear.mark == "inside"


def test_no_count_at_all_is_not_inside() -> None:
    assert judged(*ABSENT).mark == "undecided"
    assert against(parse_count("<10"), Decimal(9)) == "undecided"
