"""What differs between two records, told as people write it."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from stability.model.attribute import Attribute
from stability.model.differences import differences
from stability.model.limit import Band, Limit

PH = Attribute(
    "pH",
    "measured",
    far=Decimal("0.5"),
    limit=Limit(absolute=Band(Decimal("5.0"), Decimal("5.9"))),
)


def told(after: Attribute) -> list[str]:
    return [str(one) for one in differences(PH, after, ("attributes", "pH"))]


def test_equal_records_do_not_differ() -> None:
    assert told(replace(PH)) == []


def test_a_changed_limit_is_told_with_its_place_and_both_values() -> None:
    tight = Limit(absolute=Band(Decimal("5.20"), Decimal("5.9")))

    assert told(replace(PH, limit=tight)) == [
        "attributes.pH.limit.absolute.lowest: 5.0 → 5.20"
    ]


def test_what_comes_and_goes_is_told_as_such() -> None:
    assert told(replace(PH, short="p", far=None)) == [
        "attributes.pH.short: p, new",
        "attributes.pH.far: 0.5, taken away",
    ]


def test_a_number_written_otherwise_differs() -> None:
    assert told(replace(PH, far=Decimal("0.50"))) == ["attributes.pH.far: 0.5 → 0.50"]


def test_a_new_record_is_told_whole() -> None:
    found = list(differences({}, {"odour": Attribute("odour", "scored")}))

    assert [one.place for one in found] == ["odour"]
    assert found[0].before is None
    assert "kind scored" in (found[0].after or "")


def test_lists_and_truths_are_told_in_words() -> None:
    before, after = {"looks": ("6M",), "kinetic": False}, {"looks": ("6M", "12M")}

    assert [str(one) for one in differences(before, after)] == [
        "looks: 6M → 6M, 12M",
        "kinetic: no, taken away",
    ]
