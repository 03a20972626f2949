"""Lines of keys, tables and array elements in TOML texts."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stability.records.toml_lines import Path, scan

TEXT = '''\
title = "x"  # a comment with [brackets]

[conditions.ROOM]
role = "long-term"
checks = [
    "4w",  # first
    "3M",
]
settings.dilution = "10 %"

[[samples]]
batch = "A"

[[samples]]
note = """
two
lines""" # = [not a table]
steps = [
    {at = -18, for = "24h"},
    {at = 22, for = "24h"},
]

[samples.extra]
"quoted.key" = 1
'literal "key"' = { inner = [1, 2] }
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("title",), 1),
        (("conditions", "ROOM"), 3),
        (("conditions", "ROOM", "role"), 4),
        (("conditions", "ROOM", "checks"), 5),
        (("conditions", "ROOM", "checks", 0), 6),
        (("conditions", "ROOM", "checks", 1), 7),
        (("conditions", "ROOM", "settings", "dilution"), 9),
        (("samples", 0), 11),
        (("samples", 0, "batch"), 12),
        (("samples", 1), 14),
        (("samples", 1, "note"), 15),
        (("samples", 1, "steps", 1, "for"), 20),
        (("samples", 1, "extra"), 23),
        (("samples", 1, "extra", "quoted.key"), 24),
        (("samples", 1, "extra", 'literal "key"', "inner", 1), 25),
    ],
)
def test_every_key_table_and_element_has_its_line(path: Path, line: int) -> None:
    assert scan(TEXT).of(path) == line


def test_what_is_not_there_has_the_line_of_the_table_around_it() -> None:
    lines = scan(TEXT)

    assert lines.of(("conditions", "ROOM", "reason")) == 3
    assert lines.of(("samples", 1, "use")) == 14
    assert lines.of(("nothing", "at", "all")) == 1


def test_line_ends_of_windows_count_once() -> None:
    assert scan("a = 1\r\nb = '''\r\n'''\r\nc = 1\r\n").of(("c",)) == 4


@pytest.mark.parametrize(
    "value",
    [
        '"""ends in quotes\n"""""',
        "'''ends in quotes\n'''''",
        '"""escaped \\""" quotes\n"""',
        "'''\\\n'''",
        '""\n',
        '""""""\n',
        '"\\\\"\n',
        "1979-05-27 07:32:00  # day and time\n",
        "[ # open\n [1, [2]], ]",
        "{a = {b = 1}, 'c' = [1]}\n",
    ],
)
def test_the_next_key_is_found_behind_any_value(value: str) -> None:
    text = f"first = {value}\n\nnext = 1"
    tomllib.loads(text)

    assert scan(text).of(("next",)) == text.count("\n") + 1


class Writer:
    """Writes a TOML text and remembers on which line each path was written."""

    def __init__(self, draw: Any) -> None:
        self.draw = draw
        self.text = ""
        self.lines: dict[Path, int] = {}
        self.count = 0

    def line(self) -> int:
        return self.text.count("\n") + 1

    def key(self) -> tuple[str, str]:
        """Return a new key and one way of writing it."""
        self.count += 1
        forms = [
            (f"k{self.count}", f"k{self.count}"),
            (f"a.b {self.count}", f'"a.b {self.count}"'),
            (f'#["{self.count}', f"'#[\"{self.count}'"),
            (f"é\n{self.count}", f'"é\\n{self.count}"'),
        ]
        return self.draw(st.sampled_from(forms))  # type: ignore[no-any-return]

    def gap(self) -> None:
        gaps = ["", "\n", "# [x] = '''\n", '  \n\t# "\n']
        self.text += self.draw(st.sampled_from(gaps))

    def table(self, depth: int) -> None:
        _, path = self.header()
        for _ in range(self.draw(st.integers(0, 3))):
            self.pair(path, depth)
            self.text += self.draw(st.sampled_from(["\n", "  # = ]\n", "\n\n"]))
            self.gap()

    def header(self) -> tuple[str, Path]:
        self.gap()
        key, written = self.key()
        kind = self.draw(st.sampled_from(["table", "array"]))
        for index in range(1 if kind == "table" else self.draw(st.integers(1, 2))):
            path: Path = (key,) if kind == "table" else (key, index)
            self.lines[path] = self.line()
            self.lines.setdefault((key,), self.line())
            self.text += f"[{written}]\n" if kind == "table" else f"[[ {written} ]]\n"
        return key, path

    def pair(self, table: Path, depth: int) -> None:
        line = self.line()
        path = table
        keys = [self.key() for _ in range(self.draw(st.integers(1, 2)))]
        for key, _ in keys:
            path = (*path, key)
            self.lines[path] = line
        self.text += " . ".join(written for _, written in keys) + " = "
        self.value(path, depth)

    def value(self, path: Path, depth: int) -> None:
        kind = self.draw(st.sampled_from(["scalar", "scalar", "array", "inline"]))
        if kind == "scalar" or depth == 0:
            scalars = [
                "1", "-2.50", "true", '"a # ] } , \\" b"', "'it = [x]'", '""',
                '"""\n[x]\n\\""" ""\n"""', "'''\n]\n''", "2026-03-02 09:15:00",
            ]  # fmt: skip
            one = self.draw(st.sampled_from(scalars))
            self.text += "'''\n]\n'''" if one.startswith("'''") else one
        elif kind == "inline":
            self.inline(path, depth)
        else:
            self.array(path, depth)

    def inline(self, path: Path, depth: int) -> None:
        self.text += "{ "
        for number in range(self.draw(st.integers(0, 2))):
            self.text += ", " if number else ""
            self.pair(path, depth - 1)
        self.text += " }"

    def array(self, path: Path, depth: int) -> None:
        self.text += "["
        for index in range(self.draw(st.integers(0, 3))):
            self.text += self.draw(st.sampled_from(["", "\n", " # ,]\n  "]))
            self.lines[(*path, index)] = self.line()
            self.value((*path, index), depth - 1)
            self.text += self.draw(st.sampled_from([",", " # ,\n,"]))
        self.text += "]"


@st.composite
def documents(draw: Any) -> Writer:
    writer = Writer(draw)
    for _ in range(draw(st.integers(0, 3))):
        writer.gap()
        writer.pair((), 2)
        writer.text += "\n"
    for _ in range(draw(st.integers(0, 3))):
        writer.table(2)
    return writer


@settings(max_examples=200, deadline=None)
@given(documents())
def test_every_path_of_any_document_has_the_line_it_was_written_on(
    writer: Writer,
) -> None:
    tomllib.loads(writer.text)

    found = scan(writer.text).by_path

    assert {path: found.get(path) for path in writer.lines} == writer.lines
    assert set(found) == set(writer.lines)
