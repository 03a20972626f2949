"""Scores and statements of two sides beside each other."""

from __future__ import annotations

import pytest

from stability.model.study import Sample
from tests.evaluation.beside import JARS, contrasts, on, read, usual
from tests.evaluation.builders import Bench, sample


def smelled(words: dict[str, dict[str, str]], *jars: Sample) -> Bench:
    """Return a bench at which words were read, sample by sample and check by check."""
    made = read(jars or JARS, {}, start=None, protocol=usual())
    for code, series in words.items():
        for check, word in series.items():
            made.read(code, "odour", check, f"Ana:{word}", done=on(check))
    return made


NEW, SOME, BAD = "as control", "slightly changed", "changed"


@pytest.mark.parametrize(
    ("hot", "cold", "moved", "says"),
    [
        (
            {"2w": NEW, "4w": NEW},
            {"4w": NEW},
            False,
            "no change seen on either side",
        ),
        ({"4w": SOME}, {"4w": SOME}, True, "both sides show it"),
        ({"2w": BAD}, {"4w": SOME}, True, "T40 went further"),
        ({"2w": NEW}, {"4w": SOME}, True, "COLD went further"),
        ({"2w": BAD, "4w": BAD}, {"4w": BAD}, True, "T40 failed first"),
        ({"4w": BAD}, {"2w": BAD}, True, "COLD failed first"),
    ],
)
def test_words_stand_side_by_side_and_the_first_failure_counts(
    hot: dict[str, str], cold: dict[str, str], moved: bool, says: str
) -> None:
    evaluation = smelled({"HDC-1": hot, "HDC-2": cold}).evaluate("2025-06-01")
    found = contrasts(evaluation)

    (one,) = found.words
    assert found.drifts == ()
    assert (one.moved, one.text) == (moved, says)
    assert one.first_text.endswith("of 1 container outside")
    assert "words-beside" in {caution.code for caution in found.cautions}


def test_cycled_samples_stand_beside_their_untreated_twin() -> None:
    jars = (
        sample("HDC-1", "FT"),
        sample("HDC-2", "ROOM", twin_of="FT", checks=("c1", "c3")),
    )
    made = read(jars, {}, start=None)
    for code, word in (("HDC-1", BAD), ("HDC-2", NEW)):
        made.read(code, "odour", "c3", f"Ana:{word}", done="2025-01-16")

    (one,) = contrasts(made.evaluate("2025-06-01")).words
    assert one.sides.basis == "untreated twin"
    assert one.sides.second.name == "untreated twin in ROOM"
    assert one.text == "FT went further"
