"""Tables read into records by their type hints, strictly, with every fault at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any, Literal

import pytest

from stability.errors.files import FaultyFileError
from stability.model.age import Age
from stability.records.faults import Faults, parse_toml
from stability.records.record_reader import Layout, read_record


@dataclass(frozen=True, slots=True)
class Lid:
    """A record within a record."""

    name: str
    torque: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Jar:
    """A record with a field of every kind."""

    text: str
    kind: Literal["glass", "plastic"] = "glass"
    count: int = 1
    share: float = 0.5
    mass: Decimal = Decimal(0)
    inert: bool = False
    age: Age | None = None
    made: date | None = None
    words: tuple[str, ...] = ()
    pair: tuple[Decimal, Decimal] | None = None
    shares: Mapping[str, Decimal] = field(default_factory=dict)
    lids: Mapping[str, Lid] = field(default_factory=dict)
    spare: Lid | None = None


def read(text: str, layout: Layout | None = None) -> Jar:
    """Read a jar and raise its faults."""
    table, faults = parse_toml(f"format = 1\n{text}", "jar.toml")
    del table["format"]
    jar = read_record(Jar, table, (), faults, layout or Layout())
    faults.raise_all()
    return jar


def faults_of(text: str) -> list[str]:
    """Return the faults of a jar without the file's name; the text begins on line 2."""
    with pytest.raises(FaultyFileError) as caught:
        read(text)
    return [str(fault).removeprefix("jar.toml:") for fault in caught.value.faults]


def test_every_kind_of_field_is_read() -> None:
    jar = read(
        """
        text = "50 g jar"
        kind = "plastic"
        count = 3
        share = 0.95
        mass = 5.50
        inert = true
        age = "12w"
        made = 2026-03-02
        words = ["a", "b"]
        pair = [15, 27.5]
        shares = {"Aqua" = 78.20, "Oil" = 12}
        lids.A.torque = 1.20
        lids.B = {}
        spare = {name = "C"}
        """
    )

    assert jar == Jar(
        text="50 g jar",
        kind="plastic",
        count=3,
        share=0.95,
        mass=Decimal("5.50"),
        inert=True,
        age=Age(12, "w"),
        made=date(2026, 3, 2),
        words=("a", "b"),
        pair=(Decimal(15), Decimal("27.5")),
        shares={"Aqua": Decimal("78.20"), "Oil": Decimal(12)},
        lids={"A": Lid("A", Decimal("1.20")), "B": Lid("B")},
        spare=Lid("C"),
    )


def test_numbers_keep_the_digits_that_were_written() -> None:
    assert str(read('text = "x"\nmass = 5.50').mass) == "5.50"
    assert str(read('text = "x"\nmass = 0.0000001000').mass) == "1.000E-7"


def test_a_day_may_stand_in_quotes() -> None:
    assert read('text = "x"\nmade = "2026-03-02"').made == date(2026, 3, 2)


@pytest.mark.parametrize(
    ("line", "fault"),
    [
        ("text = 1.0", '“text” is to be text in quotes, not 1.0; write "1.0"'),
        ("text = true", '“text” is to be text in quotes, not true; write "true"'),
        ("count = 1.5", "“count” is to be a whole number, not 1.5"),
        ("count = true", "“count” is to be a whole number, not true"),
        ('mass = "2"', "“mass” is to be a number, not “2”; write 2 without quotes"),
        ('mass = "5,5"', "“mass” is to be a number, not “5,5”; write 5.5 without"),
        ("mass = true", "“mass” is to be a number, not true"),
        ("mass = nan", "“mass” is to be a number, not nan; write it out in digits"),
        ("mass = -inf", "“mass” is to be a number, not -inf; write it out in digits"),
        ("mass = 1e3", "“mass” is to be a number, not 1e3; write it out in digits"),
        ("mass = 1_0.5", "“mass” is to be a number, not 1_0.5; write it out"),
        ("mass = 123456789012345678901", "no bench instrument shows that many"),
        ('share = "0.95"', "“share” is to be a number, not “0.95”; write 0.95"),
        ('inert = "yes"', "“inert” is to be true or false, not “yes”; write true or"),
        ("inert = 1", "“inert” is to be true or false, not 1"),
        ('age = "12"', "“age” is to be a length of time such as “4w”, not “12”"),
        ('age = "12 M"', "a whole number and h, d, w, M (calendar months) or y"),
        (
            'age = "101y"',
            "“age” is to be a length of time such as “4w”, not “101y”; up",
        ),
        ("made = 0001-01-01", "the day must exist, 1900 to 2199"),
        ("age = 4", "“age” is to be a length of time such as “4w”, not 4"),
        ('made = "2026-02-30"', "“made” is to be a day such as 2026-03-02, not “20"),
        ('made = "20260302"', "“made” is to be a day such as 2026-03-02"),
        ("made = 2026-03-02T09:00:00", "without a time"),
        ('kind = "plastics"', "“kind” cannot be “plastics”; did you mean “plastic”?"),
        ('kind = "wood"', "“kind” cannot be “wood”; known: glass, plastic"),
        ("kind = 1", "“kind” cannot be 1; known: glass, plastic"),
        ('words = "a"', '“words” is to be an array, not “a”; write ["a"]'),
        ('words = ["a", 1]', '“words” is to be text in quotes, not 1; write "1"'),
        ("pair = [1]", "“pair” is to hold 2 values, not 1"),
        ("pair = [1, 2, 3]", "“pair” is to hold 2 values, not 3"),
        (
            "shares = 1",
            "not 1; write [shares] on a line of its own and below it name = value",
        ),
        ('shares = {"Aqua" = "x"}', "“Aqua” is to be a number, not “x”"),
        ("lids = {A = 1}", "[lids.A] is to be a table, not 1"),
        ("spare = {}", "[spare] lacks “name”"),
        ('spare = {name = " "}', "“name” is empty"),
        ("cuont = 1", "the file has no key “cuont”; did you mean “count”?"),
        ("lids.A.tork = 1", "[lids.A] has no key “tork”; did you mean “torque”?"),
        ('lids."" = {}', "[lids] has a name that cannot be printed"),
        ('words = ["a\\u0000"]', "take out the character U+0000"),
    ],
)
def test_what_does_not_fit_is_told_with_its_line_and_the_way_out(
    line: str, fault: str
) -> None:
    text = line if line.startswith("text") else f'{line}\ntext = "x"'
    found = faults_of(f"\n{text}")

    assert len(found) == 1
    assert found[0].startswith("3: ")
    assert fault in found[0]


def test_a_missing_key_is_told_with_the_line_of_its_table() -> None:
    assert faults_of("[spare]\n[lids.A]") == [
        "1: the file lacks “text”",
        "2: [spare] lacks “name”",
    ]


def test_a_mistyped_required_key_is_one_fault_and_not_two() -> None:
    assert faults_of('txet = "x"') == [
        "2: the file has no key “txet”; did you mean “text”?"
    ]


def test_all_faults_are_told_at_once_in_the_order_of_the_lines() -> None:
    found = faults_of('count = "3"\nkind = "x"\nfoo = 1\ntext = "x"\nage = "1m"')

    assert [fault.split(":")[0] for fault in found] == ["2", "3", "4", "6"]


def test_a_key_may_be_written_otherwise_than_the_field() -> None:
    layout = Layout(keys={Jar: {"count": "for"}})

    assert read('text = "x"\nfor = 2', layout).count == 2
    with pytest.raises(FaultyFileError, match="no key “count”"):
        read('text = "x"\ncount = 2', layout)


def test_a_table_may_be_brought_into_shape_first() -> None:
    def from_text(value: Any, path: Any, faults: Faults) -> Any:
        del path, faults
        return {"name": value} if isinstance(value, str) else value

    jar = read('text = "x"\nspare = "C"', Layout(shapes={Lid: from_text}))

    assert jar.spare == Lid("C")
