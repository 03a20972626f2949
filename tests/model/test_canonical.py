"""Canonical JSON: one way of writing, and templates that write the same."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.model.canonical import (
    check_plain,
    encoded,
    template,
    written,
    written_text,
)

PLAIN = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3)
    ),
    max_leaves=8,
)
CONTENTS = st.dictionaries(st.text(), PLAIN, max_size=6)


@given(PLAIN)
def test_it_is_what_the_standard_library_writes(value: object) -> None:
    # The rules of a line: sorted keys, no blanks, letters of every script as they are.
    plain = json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"))

    assert encoded(value) == plain


@given(CONTENTS, st.data())
def test_a_filled_template_is_the_content_and_its_text(
    content: dict[str, Any], drawn: st.DataObject
) -> None:
    open_keys = drawn.draw(st.sets(st.sampled_from(sorted(content) or ["none"])))
    values = {
        key: written_text(value)
        if value is None or isinstance(value, str)
        else (value, encoded(value))
        for key, value in content.items()
        if key in open_keys
    }
    other = {key: "" if key in open_keys else one for key, one in content.items()}

    held, text = template(other, open_keys).filled(values)

    assert held == content
    assert text == encoded(content)


def test_filling_leaves_the_template_as_it_was() -> None:
    unit = template({"check": "", "readings": [], "unit": "pH"}, ["check", "readings"])
    first = unit.filled({"check": written_text("4w"), "readings": written([{"a": 1}])})
    second = unit.filled({"check": written_text(None), "readings": written([])})

    assert first[0] == {"check": "4w", "readings": [{"a": 1}], "unit": "pH"}
    assert second[0] == {"check": None, "readings": [], "unit": "pH"}
    assert second[1] == '{"check":null,"readings":[],"unit":"pH"}'


def test_an_open_value_must_come() -> None:
    unit = template({"check": "", "unit": "pH"}, ["check"])

    with pytest.raises(KeyError):
        unit.filled({"unit": written_text("pH")})


@pytest.mark.parametrize("value", [[5.0], [(1, 2)], {"a": {2: "b"}}, [{"a": 1.5}]])
def test_what_json_would_change_gets_into_no_template(value: Any) -> None:
    with pytest.raises(ValueError, match="content"):
        written(value)
    with pytest.raises(ValueError, match="content"):
        template({"value": value, "check": ""}, ["check"])
    with pytest.raises(ValueError, match="content"):
        check_plain({"value": value})
