"""What differs between two records, told as people write it."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from stability.model.attribute import Attribute
from stability.model.differences import Difference, differences
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

    assert told(replace(PH, limit=tight)) == ["pH, limit, lowest: 5.0 → 5.20"]


def test_what_comes_and_goes_is_told_as_such() -> None:
    assert told(replace(PH, short="p", far=None)) == [
        "pH, short: p, new",
        "pH, asks again from a difference of: 0.5, taken away",
    ]


def test_a_number_written_otherwise_differs() -> None:
    (found,) = differences(PH, replace(PH, far=Decimal("0.50")), ("attributes", "pH"))
    assert (found.before, found.after) == ("0.5", "0.50")
    assert found.place == "attributes.pH.far"


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


@pytest.mark.parametrize(
    ("place", "words"),
    [
        ("title", "title"),
        ("request.after_opening", "asked for, after opening"),
        ("as_sold.scale", "as sold, scale"),
        ("omit.count", "count left out because"),
        ("batches.A.pH_at_make", "batch A, pH at make"),
        ("batches.A.process.fill_temperature", "batch A, making, fill_temperature"),
        ("conditions.T40.reason", "condition T40, reason"),
        ("attributes.pH.limit.change.highest",
         "pH, limit, change from initial, highest"),
        ("attributes.odour.limit_at.T45.highest", "odour, limit at T45, highest"),
        ("places.T40", "storage place of T40"),
        # A maker's own name stays as it was written, whatever it is called.
        ("attributes.far.far", "far, asks again from a difference of"),
        ("attributes.weight_loss.minutes", "weight_loss, minutes"),
    ],
)  # fmt: skip
def test_a_place_is_told_in_words_and_names_stay_as_written(
    place: str, words: str
) -> None:
    path = tuple(place.split("."))

    assert Difference(path, "1", "2").words == words
    assert str(Difference(path, "1", "2")) == f"{words}: 1 → 2"
