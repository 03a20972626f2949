"""Reading TOML texts of a known format; faults collected with their lines."""

from __future__ import annotations

from decimal import Decimal

import pytest

from stability.errors.files import (
    Fault,
    FaultyFileError,
    NewerFormatError,
    TomlSyntaxError,
)
from stability.records.faults import Faults, OddNumber, parse_toml


def test_decimals_stay_exact_and_odd_notations_are_kept_apart() -> None:
    table, _ = parse_toml("format = 1\na = 5.50\nb = 1e3\nc = nan\nd = -0.0", "x.toml")

    assert str(table["a"]) == "5.50"
    assert table["b"] == OddNumber("1e3")
    assert table["c"] == OddNumber("nan")
    assert isinstance(table["d"], Decimal)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('a = 1\nb = "x\nc = 1', "x.toml:2: this is not TOML: illegal character"),
        ("a = 1\na = 2", "x.toml:2: this is not TOML: cannot overwrite a value"),
        ("a = [1,\n", "x.toml:1: this is not TOML"),
        ("a = 1\nb = 2026-02-30\n", "x.toml:2: this is not TOML: 2026-02-30 is no day"),
        ("a = 2026-13-02", "2026-13-02 is no day or time that exists"),
        ("a = 2026-03-02T09:15\n", 'needs quotes, as in "2026-03-02T09:15"'),
        (f"a = {'9' * 5000}", "x.toml:1: this is not TOML: a number has too many"),
        (f"a = {'[' * 9000}{']' * 9000}", "its values are nested too deeply"),
        ("", "x.toml:1: the file states no format; write: format = 1"),
    ],
)
def test_what_is_no_toml_is_told_with_its_line(text: str, message: str) -> None:
    with pytest.raises((TomlSyntaxError, FaultyFileError)) as caught:
        parse_toml(text, "x.toml")[1].raise_all()

    assert message in str(caught.value)


def test_a_newer_format_is_told_before_any_other_fault() -> None:
    with pytest.raises(NewerFormatError) as caught:
        parse_toml("unknown = 1\nformat = 2\n", "x.toml")

    assert "x.toml:2: made by a newer version" in str(caught.value)


@pytest.mark.parametrize("written", ["0", "-1", "true", "1.0", '"1"'])
def test_a_format_that_is_no_whole_number_is_a_fault(written: str) -> None:
    _, faults = parse_toml(f"format = {written}", "x.toml")

    with pytest.raises(FaultyFileError, match="the format is a whole number"):
        faults.raise_all()


def test_the_mark_that_some_editors_put_first_is_ignored() -> None:
    table, _ = parse_toml("\ufeffformat = 1", "x.toml")

    assert table == {"format": 1}


def test_one_letter_typed_in_two_ways_is_one_name() -> None:
    table, _ = parse_toml("format = 1\n'cre\u0300me' = 1", "x.toml")

    assert "cr\u00e8me" in table


def test_faults_are_raised_in_the_order_of_the_lines_and_once() -> None:
    faults = Faults("a = 1\nb = 2\n", "x.toml")
    faults.add(("b",), "second", "do this")
    faults.add(("a",), "first")
    faults.add(("b",), "second", "do this")

    with pytest.raises(FaultyFileError) as caught:
        faults.raise_all()

    assert caught.value.faults == (
        Fault("x.toml", 1, "first"),
        Fault("x.toml", 2, "second", "do this"),
    )
    assert str(caught.value) == "x.toml:1: first\nx.toml:2: second; do this"


def test_no_fault_raises_nothing() -> None:
    faults = Faults("a = 1", "x.toml")
    kept = True
    faults.check(kept, ("a",), "is fine")

    assert faults.trusts(("a",))
    faults.raise_all()


def test_a_rule_that_rests_on_a_faulty_value_is_not_told() -> None:
    faults = Faults("[a]\nb = 1\nc = [1]\n", "x.toml")
    broken = False
    faults.add(("a", "b"), "cannot be read")
    faults.add(("a", "c", 0), "cannot be read")
    faults.check(broken, ("a", "b"), "same key")
    faults.check(broken, ("a", "b", "below"), "within it")
    faults.check(broken, ("a", "d"), "rests on it", "", ("a", "b"))
    faults.check(broken, ("a", "d"), "rests on what it holds", "", ("a", "c"))
    faults.check(broken, ("a", "c"), "is told: an element does not make it doubtful")
    faults.check(broken, ("a",), "is told: another key")

    with pytest.raises(FaultyFileError) as caught:
        faults.raise_all()

    texts = [fault.text for fault in caught.value.faults]
    assert [text for text in texts if text != "cannot be read"] == [
        "is told: another key",
        "is told: an element does not make it doubtful",
    ]
