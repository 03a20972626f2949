"""What a tired hand may leave behind a key of a file."""

from __future__ import annotations

from hypothesis import strategies as st

#: Values of TOML that fit next to nowhere.
ODD_VALUES = st.sampled_from(
    [
        "1", "-1", "0", "1.5", "true", '"x"', '""', '" "', "[]", '["x"]', "[1, 2]",
        "[[1]]", "[{}]", "[{at = 1}]", "{}", "{a = 1}", '{name = "x"}', "{lowest = 3}",
        "{between = [1, 2]}", '{ROOM = "x"}', "nan", "1e5", "2026-01-01", "07:00:00",
        "2026-01-01T00:00:00Z", "0001-01-01", "9999-12-31", "99999999999999999999",
        '"T0"', '"4w"', '["4w", "3M"]', '["c1"]', '["T0"]', '"0d"', '"99999y"',
        '["99999y"]', '"A"', '["A", "A"]', '"ROOM"', '"FT"', '"FOIL"', '"measured"',
        '"fresh per check"', '"reopened"', '"untouched"', '"retained"', '"bulk"',
        '"a\\u0000b"', '"\\U0001F600"', "not toml",
    ]
)  # fmt: skip


@st.composite
def changed(draw: st.DrawFn, text: str) -> str:
    """Return a text in which some values are replaced or some lines lost."""
    lines = text.split("\n")
    for _ in range(draw(st.integers(1, 3))):
        place = draw(st.integers(0, len(lines) - 1))
        key, equals, _ = lines[place].partition("=")
        lost = not equals or draw(st.integers(0, 9)) == 0
        lines[place] = "" if lost else f"{key}= {draw(ODD_VALUES)}"
    return "\n".join(lines)
