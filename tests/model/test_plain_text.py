"""What cannot be kept, printed or put into a table is refused where it comes in."""

from __future__ import annotations

import sqlite3
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.errors.codes import TextFormError
from stability.model.plain_text import (
    checked_name,
    checked_text,
    refused_character,
    unix_newlines,
)


@pytest.mark.parametrize(
    "text", ["a\x00b", "\x07", "\x1b[31m", "a\rb", "\x7f", "\x85", "\ud800", "x\udfff"]
)
def test_characters_that_no_record_can_keep_are_refused(text: str) -> None:
    with pytest.raises(TextFormError, match=r"U\+"):
        checked_text(text, "The note")


def test_a_refusal_names_the_character_and_its_line() -> None:
    with pytest.raises(TextFormError, match=r"The note holds .*U\+0000 in line 2"):
        checked_text("first\nsec\x00ond", "The note")


@pytest.mark.parametrize(
    "text", ["", "two\nlines", "a\ttab", "クリーム", "🧴", "<b>A & B</b>", "עברית"]
)
def test_free_text_stays_as_typed(text: str) -> None:
    assert checked_text(text, "The note") == text


@given(st.text())
def test_what_is_accepted_can_be_stored_and_read_back(text: str) -> None:
    if refused_character(text) is not None:
        with pytest.raises(TextFormError):
            checked_text(text, "The note")
        return
    with sqlite3.connect(":memory:") as connection:
        stored = connection.execute("SELECT ?", (text,)).fetchone()[0]

    assert stored == text
    connection.close()


def test_a_name_typed_in_two_ways_is_one_name() -> None:
    composed, decomposed = "Crème", "Cre\u0300me"

    assert composed != decomposed
    assert checked_name(decomposed, "The name") == composed


@given(st.text())
def test_a_checked_name_is_composed_and_checking_it_again_changes_nothing(
    text: str,
) -> None:
    try:
        name = checked_name(text, "The name")
    except TextFormError:
        return

    assert unicodedata.is_normalized("NFC", name)
    assert checked_name(name, "The name") == name


@pytest.mark.parametrize("text", ["", "  ", "a\nb", "a\tb"])
def test_a_name_is_one_line_and_not_empty(text: str) -> None:
    with pytest.raises(TextFormError):
        checked_name(text, "The name of the batch")


@given(st.text())
def test_line_ends_become_newlines(text: str) -> None:
    assert "\r" not in unix_newlines(text)
