"""Every kind of entry in one line."""

from __future__ import annotations

from typing import Any

import pytest

from stability.model import content
from stability.model.entry import Draft, Entry, chain
from stability.model.observation import Reading
from stability.model.photograph import Original
from stability.workflow.entry_words import entry_words, facts_words, sample_in

CODE = "HDC-005-Y"
PH = content.observed(CODE, "pH", "4w", [Reading("5.50"), Reading("5.52")], unit="pH")
NOSE = content.observed(
    CODE,
    "odour",
    None,
    [Reading("changed", observer="Ana"), Reading("as control", observer="Ben")],
    repeats=4,
    because="doubted",
)
SEEN = content.photographed(
    CODE,
    "4w",
    "colour",
    "at the rim",
    name="a.jpg",
    sha256="0" * 64,
    size=9,
    pixels=(3, 4),
    original=Original("b.jpg", "1" * 64, 99),
    taken=None,
)
A_WHOLE_DAY = (
    f"2026-03-02: Ana, Ben; pH.dilution 10 %; against {CODE}; odour against HDC-006-W; "
    "blind"
)


def entry(kind: str, held: dict[str, Any]) -> Entry:
    """Return an entry of a kind."""
    draft = Draft("study:HDC", kind, "Ana", "2026-03-02", "2026-03-02T09:00:00Z", held)
    return chain([draft])[0]


@pytest.mark.parametrize(
    ("kind", "held", "words"),
    [
        (content.OBSERVED, PH, "4w: pH 5.50 / 5.52"),
        (
            content.OBSERVED,
            NOSE,
            "extra: odour Ana: changed / Ben: as control, repeats 4: doubted",
        ),
        (
            content.OBSERVED,
            content.observed(
                CODE, "weight_loss", "T0", [Reading("80.1")], unit="g", part="before"
            ),
            "T0: weight_loss before opening 80.1 g",
        ),
        (
            content.OBSERVED,
            content.observed(CODE, "count", "T0", [Reading("10", "<")], unit="CFU/g"),
            "T0: count <10 CFU/g",
        ),
        (
            content.OBSERVED,
            content.observed(CODE, "pH", "4w", [], not_measured="meter dead"),
            "4w: pH not measured: meter dead",
        ),
        (
            content.CORRECTED,
            content.corrected(2, PH, "typo"),
            "corrects 2, 4w: pH 5.50 / 5.52: typo",
        ),
        (content.INVALIDATED, content.invalidated(2, "spilt"), "2 set aside: spilt"),
        (
            content.PLACED,
            content.placed(CODE, "FT", "in", place="FREEZER", cycle=1, step=1),
            "placed in FT, cycle 1, step 1 at FREEZER",
        ),
        (
            content.PLACED,
            content.placed(CODE, "T40", "in", replaces="HDC-006-W"),
            "placed in T40, replaces HDC-006-W",
        ),
        (
            content.PLACED,
            content.placed(CODE, "T40", "moved", because="mistake"),
            "moved to T40: mistake",
        ),
        (
            content.PLACED,
            content.placed(CODE, "T40", "swapped", swapped_with="HDC-006-W"),
            "swapped with HDC-006-W, now in T40",
        ),
        (
            content.PLACED,
            content.placed(CODE, None, "out"),
            "taken out of its condition",
        ),
        (content.RETIRED, content.retired(CODE, "lost", "gone"), "left, lost: gone"),
        (
            content.MISSED,
            content.missed("4w", [CODE], "away"),
            f"4w missed on {CODE}: away",
        ),
        (
            content.STOPPED,
            content.stopped({"batch": "A"}, "split"),
            "batch A stopped: split",
        ),
        (content.STOPPED, content.stopped({}, "over"), "the whole study stopped: over"),
        (content.NOTED, content.noted("lid loose", 3), "about 3: lid loose"),
        (content.DAY, content.day("2026-03-02", "ana"), "2026-03-02: person only"),
        (
            content.DAY,
            content.day(
                "2026-03-02",
                "ana",
                observers=["Ana", "Ben"],
                settings={"pH": {"dilution": "10 %"}},
                control={"": CODE, "odour": "HDC-006-W"},
                blind=True,
            ),
            A_WHOLE_DAY,
        ),
        (
            content.RECEIVED,
            content.received("day_cream", 12, "0" * 64),
            "received from day_cream: 12 rows",
        ),
        (
            content.LODGED,
            content.lodged("Dr Orla Keane", "ab" * 32, "by post"),
            f"plan record {'ab' * 8} lodged with Dr Orla Keane: by post",
        ),
        (
            content.TAKEN_OVER,
            content.taken_over("green notebook"),
            "taken over from older notes: green notebook",
        ),
        (
            content.AMENDED,
            content.amended("asked for", ["a: 1 → 2", "b: 3, new"]),
            "plan amended: a: 1 → 2; b: 3, new; because asked for",
        ),
        (
            content.ANSWERED,
            content.answered(
                12, "outside its limit", {"weight": "no"}, "confirmed", "dried out"
            ),
            "follow-up of 12, outside its limit: confirmed, because dried out",
        ),
        (content.PHOTOGRAPHED, SEEN, "4w: photograph of colour: at the rim"),
        ("foreseen/1", {"with": "notary"}, "foreseen/1"),
    ],
)
def test_every_kind_is_told_in_words(
    kind: str, held: dict[str, Any], words: str
) -> None:
    assert entry_words(entry(kind, held)) == words


def test_the_sample_is_found_in_observations_and_corrections() -> None:
    assert sample_in(entry(content.OBSERVED, PH)) == CODE
    assert sample_in(entry(content.CORRECTED, content.corrected(2, PH, "x"))) == CODE
    assert sample_in(entry(content.STOPPED, content.stopped({}, "x"))) is None


@pytest.mark.parametrize(
    ("kind", "held", "words"),
    [
        (
            content.OBSERVED,
            content.observed(
                CODE, "odour", "4w", [Reading("0", observer="Ana"), Reading("1")],
                settings={"instrument": "PH1-9XR2"}, observers=["Ana", "Ben"],
                control="HDC-5", extra={"layer_mm": "1"},
            ),
            "; layer_mm 1; instrument PH1-9XR2; compared with HDC-5; observed by Ben",
        ),
        (content.CORRECTED, content.corrected(3, PH, "misread"), ""),
        (
            content.ANSWERED,
            content.answered(
                12, "outside its limit", {"weight": "no"}, "confirmed", "dried out"
            ),
            "; weight: no",
        ),
        (content.NOTED, content.noted("warm"), ""),
    ],
)  # fmt: skip
def test_what_stands_beside_an_entry_is_told_as_well(
    kind: str, held: dict[str, Any], words: str
) -> None:
    assert facts_words(entry(kind, held)) == words


def test_a_photograph_names_the_file_that_is_kept() -> None:
    told = facts_words(entry(content.PHOTOGRAPHED, SEEN))

    assert told == (
        f"; file {SEEN['file']['name']}, SHA-256 {SEEN['file']['sha256'][:16]}"
    )


def test_that_nobody_knew_which_sample_it_was_is_told() -> None:
    held = content.observed(CODE, "odour", "4w", [Reading("0")], blind=True)

    assert facts_words(entry(content.OBSERVED, held)) == "; blind"
