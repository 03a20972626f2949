"""Storage places of a folder made by hand."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from stability.errors.files import RowsError
from stability.model.place import fold_place
from stability.records.place_rows import (
    COLUMNS,
    HandMadePlaces,
    PlaceRowRules,
    place_entries,
)
from stability.records.rows import read_rows
from stability.statistics.logger_file import recognise_logger

ROWS = """\
registered,2026-01-01,,,OVEN-7KQ4,,temperature=40; tolerance=2,,incubator
registered,2026-01-01,,Ana,SHELF-3FHN,,"between=15,27; gap=1d",,shelf
looked,2026-01-08T09:00,,,SHELF,18.5/22.5,,,
event,2026-01-09,,,OVEN,power cut,from=2026-01-08T22:00; to=2026-01-09T07:00; side=cold,,
logged,2026-01-10,,,OVEN,storage/oven.csv,time=Date; clock=Clock; decimal=comma; zone=+01:00,,
answered,2026-01-10,,,OVEN,continued,from=2026-01-08; to=2026-01-09,3,colder ages less
invalidated,2026-01-11,,,OVEN,,,2,told twice
"""  # noqa: E501 -- rows as they stand in a file
OVEN = "Date;Clock;T\n08.01.2026;09:00;40,5\n08.01.2026;10:00;41,0\n"


def taken(folder: Path, rows: str = ROWS) -> HandMadePlaces:
    """Read the rows of a folder."""
    (folder / "storage").mkdir(exist_ok=True)
    (folder / "storage" / "oven.csv").write_text(OVEN, encoding="utf-8")
    rules = PlaceRowRules(
        file="mini/places.csv",
        person="Ines",
        zone=ZoneInfo("Europe/Dublin"),
        now=datetime(2026, 2, 1, tzinfo=UTC),
        folder=folder,
        recognise=recognise_logger,
    )
    text = f"{','.join(COLUMNS)}\n{rows}"
    return place_entries(read_rows(text, "places.csv", COLUMNS), rules)


def test_every_kind_of_row_becomes_an_entry_of_its_place(tmp_path: Path) -> None:
    found = taken(tmp_path)
    oven = fold_place([one for one in found.entries if "OVEN" in one.subject])
    shelf = fold_place([one for one in found.entries if "SHELF" in one.subject])

    assert oven.meant_words() == "40 ± 2 °C"
    assert oven.logs()[0].form.zone == "+01:00"
    assert oven.logs()[0].first == datetime(2026, 1, 8, 8, tzinfo=UTC)
    assert (oven.person, shelf.person) == ("Ines", "Ana")
    assert oven.answers()[0].refers_to == 3
    assert oven.events() == ()
    assert shelf.looks()[0].highest.as_tuple().digits == (2, 2, 5)
    assert shelf.gap_hours == pytest.approx(24)
    assert [one.file.name for one in found.files] == ["oven.csv"]


def test_an_answer_in_a_row_may_say_its_side(tmp_path: Path) -> None:
    rows = ROWS.replace("to=2026-01-09,3", "to=2026-01-09; side=colder,3")
    oven, before = (
        fold_place(
            [one for one in taken(folder, text).entries if "OVEN" in one.subject]
        )
        for folder, text in ((tmp_path, rows), (tmp_path, ROWS))
    )

    assert rows != ROWS
    assert (oven.answers()[0].sides, before.answers()[0].sides) == (("colder",), None)


def test_digests_are_the_same_wherever_it_is_read(tmp_path: Path) -> None:
    first = taken(tmp_path).entries
    other = tmp_path / "elsewhere"
    other.mkdir()

    assert [one.digest for one in taken(other).entries] == [one.digest for one in first]


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("moved,2026-01-01,,,OVEN-7KQ4,,,,", "there is no kind 'moved'"),
        ("registered,2026-01-01,,,OVEN,,,,", "a suffix has 4 signs"),
        ("looked,2026-01-01,,,FRIDGE,1/2,,,", "names no one storage place"),
        ("looked,2026-01-09,,,SHELF,18.5,,,", "lowest and highest as 38.9/41.2"),
        ("logged,2026-01-09,,,OVEN,../oven.csv,,,", "is to lie in the folder"),
        ("logged,2026-01-09,,,OVEN,none.csv,,,", "cannot be read"),
        ("answered,2026-01-09,,,OVEN,continued,from=2026-01-08; to=2026-01-08,,x",
         "write the number of an entry"),
        ("event,2026-01-09,,,OVEN,cut,when=now,,", "'when=now' is not one of"),
    ],
)  # fmt: skip
def test_a_row_that_cannot_be_taken_is_told_with_its_line(
    tmp_path: Path, row: str, words: str
) -> None:
    with pytest.raises(RowsError, match=f"line 9: .*{words}"):
        taken(tmp_path, f"{ROWS}{row}\n")


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    rows = "moved,2026-01-01,,,A,,,,\nlooked,2026-01-01,,,B,1/2,,,\n"

    with pytest.raises(RowsError) as caught:
        taken(tmp_path, rows)
    assert len(caught.value.faults) == 2
