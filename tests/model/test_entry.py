"""Entries: one canonical line, linked to the one before it."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stability.errors.archives import AnchorFormError, LineFormError
from stability.model.entry import (
    Draft,
    Head,
    WorkspaceHead,
    canonical_line,
    chain,
    decode_line,
    decode_object,
    entry_from_line,
    link,
    parse_anchor,
)
from stability.model.plain_text import refused_character

NOTE = Draft(
    subject="study:HDC",
    kind="noted/1",
    person="Ana",
    done="2026-03-02",
    entered="2026-03-02T09:15:00Z",
    content={"text": "smells fine"},
)

TEXTS = st.text().filter(lambda text: refused_character(text) is None)
CONTENTS = st.dictionaries(
    TEXTS,
    st.recursive(
        st.none() | st.booleans() | st.integers() | TEXTS,
        lambda inner: (
            st.lists(inner, max_size=3) | st.dictionaries(TEXTS, inner, max_size=3)
        ),
        max_leaves=8,
    ),
    max_size=4,
)


@given(CONTENTS)
def test_content_comes_back_from_its_line_as_it_went_in(
    content: dict[str, Any],
) -> None:
    made = chain([replace(NOTE, content=content)])[0]

    assert decode_line(made.line, made.digest) == made
    assert entry_from_line(made.line, made.digest).content == content


@given(CONTENTS)
def test_a_line_does_not_depend_on_the_order_of_keys(content: dict[str, Any]) -> None:
    turned = dict(reversed(content.items()))

    assert canonical_line(replace(NOTE, content=turned), 1) == canonical_line(
        replace(NOTE, content=content), 1
    )


def test_a_line_is_written_in_one_way_only() -> None:
    draft = replace(NOTE, content={"b": 1, "a": "Crème\n", "c": [None, True]})

    assert canonical_line(draft, 3) == (
        '{"content":{"a":"Crème\\n","b":1,"c":[null,true]},"done":"2026-03-02",'
        '"entered":"2026-03-02T09:15:00Z","kind":"noted/1","person":"Ana",'
        '"position":3,"subject":"study:HDC"}'
    )


@pytest.mark.parametrize(
    "value",
    [5.5, float("nan"), (1, 2), {1: "a"}, {None: 1}, b"x", {"a": {"b": 1.0}}, [[0.1]]],
)
def test_content_that_json_would_change_is_refused(value: object) -> None:
    with pytest.raises(ValueError, match="content"):
        canonical_line(replace(NOTE, content={"value": value}), 1)


@pytest.mark.parametrize(
    "text", ["a\x00", "\x1b", "\ud800", "\x85", "\b", "\r", "\x7f"]
)
@pytest.mark.parametrize("place", ["value", "key", "person"])
def test_no_entry_holds_a_refused_character(text: str, place: str) -> None:
    drafts = {
        "value": replace(NOTE, content={"text": [f"x{text}"]}),
        "key": replace(NOTE, content={f"x{text}": "a"}),
        "person": replace(NOTE, person=f"x{text}"),
    }
    with pytest.raises(ValueError, match="refused character"):
        canonical_line(drafts[place], 1)


def test_a_backslash_that_was_typed_is_no_refused_character() -> None:
    made = chain([replace(NOTE, content={"text": r"\u0000 and \\u0000"})])[0]

    assert decode_line(made.line, made.digest).content["text"] == r"\u0000 and \\u0000"


@pytest.mark.parametrize(
    "fields",
    [
        {"subject": "HDC"},
        {"subject": "study:"},
        {"subject": 'study:"x"'},
        {"subject": "study:a/1"},
        {"kind": "noted"},
        {"kind": "noted/0"},
        {"kind": "Noted/1"},
        {"entered": "2026-03-02T09:15:00+00:00"},
        {"entered": "2026-03-02"},
        {"person": " "},
        {"done": ""},
    ],
)
def test_an_entry_needs_its_fields_in_their_form(fields: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match=r"."):
        canonical_line(replace(NOTE, **fields), 1)


def test_digests_chain_by_sha256_over_the_previous_digest_and_the_line() -> None:
    first, second = chain([NOTE, replace(NOTE, content={"text": "again"})])

    alone = hashlib.sha256(("\n" + first.line).encode()).hexdigest()
    assert first.digest == alone
    joined = hashlib.sha256((alone + "\n" + second.line).encode()).hexdigest()
    assert second.digest == joined
    assert [first.position, second.position] == [1, 2]


def test_each_subject_has_a_chain_of_its_own() -> None:
    other = replace(NOTE, subject="place:OVEN-7KQ4")
    mixed = chain([NOTE, other, NOTE, other])
    alone = chain([NOTE, NOTE])

    assert [one.position for one in mixed] == [1, 1, 2, 2]
    assert [one for one in mixed if one.subject == NOTE.subject] == list(alone)


def test_a_chain_goes_on_from_the_last_entry() -> None:
    whole = chain([NOTE, NOTE, NOTE])
    last = Head(whole[1].subject, whole[1].position, whole[1].digest)

    assert chain([NOTE], {NOTE.subject: last}) == whole[2:]


@given(CONTENTS, CONTENTS)
def test_another_content_gives_another_digest(
    one: dict[str, Any], other: dict[str, Any]
) -> None:
    lines = {canonical_line(replace(NOTE, content=held), 1) for held in (one, other)}

    assert len({link("", line) for line in lines}) == len(lines)


def line_with(**changes: Any) -> str:
    """Return a canonical line with some fields set otherwise."""
    fields = json.loads(canonical_line(NOTE, 1)) | changes
    return json.dumps(fields, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("", "no JSON"),
        ("[]", "keys of an entry"),
        ("{}", "keys of an entry"),
        ("nonsense", "no JSON"),
        (line_with(extra=1), "keys of an entry"),
        (line_with(position="1"), "position"),
        (line_with(position=0), "position"),
        (line_with(position=True), "position"),
        (line_with(position=1.0), "whole numbers"),
        (line_with(content={"x": 1.5}), "whole numbers"),
        (line_with(content=[]), "content is no table"),
        (line_with(person=None), "text"),
        (line_with(subject="HDC"), "no subject"),
        (line_with(kind="x"), "no kind"),
        (line_with(entered="now"), "no time"),
        (line_with(content={"x": "\x07"}), "never kept"),
        (line_with().replace('":', '": '), "canonical"),
        (line_with(content={"x": 1}).replace('"x":1', '"x":1,"x":1'), "twice"),
        (line_with(content={"x": 1}).replace('"x":1', '"x":NaN'), "whole numbers"),
        (line_with(content={"x": "é"}).replace("é", "\\u00e9"), "canonical"),
        ('{"content":' + "[" * 100_000, "nested too deeply"),
        (line_with(content={"x": 7}).replace("7", "7" * 5000), "no JSON"),
    ],
)
def test_a_line_of_unknown_origin_must_be_canonical(line: str, words: str) -> None:
    with pytest.raises(LineFormError, match=words):
        decode_line(line, "")


@given(st.text())
def test_any_text_is_an_entry_or_refused(text: str) -> None:
    with pytest.raises(LineFormError):
        decode_line(text, "")


def test_a_key_twice_is_refused_in_any_object() -> None:
    with pytest.raises(LineFormError, match="twice"):
        decode_object('{"format":1,"format":1}')
    with pytest.raises(LineFormError, match="object"):
        decode_object("[1]")


@pytest.mark.parametrize(
    "anchor",
    [
        Head("study:HDC", 12, "0" * 64),
        Head("HDC", 12, "0123456789abcdef"),
        Head("place:OVEN-7KQ4", 1, "f" * 17),
        WorkspaceHead(4711, "a" * 64),
    ],
)
def test_an_anchor_is_read_as_it_is_printed(anchor: Head | WorkspaceHead) -> None:
    assert parse_anchor(f" {anchor} ") == anchor


@pytest.mark.parametrize(
    "text",
    [
        "", "HDC", "HDC/12", "HDC/0:0123456789abcdef", "HDC/12:0123456789abcde",
        "HDC/12:0123456789ABCDEF", "0:0123456789abcdef", "12:xyz", "HDC/12:" + "0" * 65,
    ],
)  # fmt: skip
def test_what_is_no_anchor_is_refused_with_its_form(text: str) -> None:
    with pytest.raises(AnchorFormError, match="SUBJECT/POSITION:DIGEST"):
        parse_anchor(text)
