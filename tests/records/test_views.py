"""Views of a study beside its journal: whole, in order, and spelt as recorded."""

from __future__ import annotations

import csv
import io
import json
import re
import subprocess
from pathlib import Path

import pytest

from stability.model import content
from stability.model.inert_cell import as_recorded
from stability.model.observation import Reading
from stability.records.archive import write_archive
from stability.records.archive_reader import differing_views, read_archive
from stability.records.continuation import Continuation
from stability.records.views import OBSERVATIONS, observations_csv, readme, views_of
from tests.records.small_study import (
    BULK_A,
    PROTOCOL,
    STUDY,
    add,
    opened_book,
    opening_entry,
)


@pytest.fixture
def book(tmp_path: Path) -> Continuation:
    """Return a study with one observation that holds everything one may hold."""
    opened = opened_book(tmp_path)
    held = content.observed(
        BULK_A,
        "odour",
        "T0",
        [Reading("as control", observer="Ana"), Reading("changed", observer="Ben, B.")],
        settings={"b": "2", "a": "1"},
        observers=["Ana", "Ben, B."],
        control="HDC-005-Y",
        extra={"layer_mm": "2"},
        because='said "no"',
    )
    add(opened, content.OBSERVED, held, "2026-03-05")
    return opened


def test_the_files_of_the_opening_come_back_whole(tmp_path: Path) -> None:
    first = opening_entry(tmp_path)

    views = views_of(opened_book(tmp_path).record, [first])

    assert views["study.toml"] == STUDY
    assert views["protocol.toml"] == PROTOCOL


def test_every_field_of_an_observation_has_its_column(book: Continuation) -> None:
    header, row = csv.reader(io.StringIO(observations_csv(book.record)))

    assert header == list(OBSERVATIONS)
    told = dict(zip(header, row, strict=True))
    assert told["entry"] == "HDC/2"
    assert told["readings"] == "as control / changed"
    assert told["observers"] == "Ana; Ben, B."
    assert told["settings"] == "a=1; b=2"
    assert told["extra"] == "layer_mm=2"
    assert (told["control"], told["because"]) == ("HDC-005-Y", 'said "no"')
    assert (told["state"], told["batch"], told["pack"]) == ("stands", "A", "")


def test_the_readme_names_the_study_and_where_its_record_stands(
    book: Continuation,
) -> None:
    text = readme(book.record)

    assert text.startswith("Heather day cream, version 1.0: study HDC\n====")
    assert "entry 2 with the digest" in text
    assert book.record.head.digest in text
    assert "does not replace, assessment by a qualified safety assessor" in text


def test_the_readme_explains_every_column(book: Continuation) -> None:
    lines = readme(book.record).splitlines()

    for name, text in OBSERVATIONS.items():
        assert f"{name:<13} {text}" in lines
    assert max(map(len, lines)) <= 90


FORMULA = '=HYPERLINK("http://example.org","see")'


@pytest.fixture
def risky(tmp_path: Path) -> Continuation:
    """Return a study with texts that a spreadsheet would run."""
    opened = opened_book(tmp_path)
    held = content.observed(
        BULK_A, "pH", "T0", [Reading("-0.5"), Reading("-0.4")], unit="pH",
        settings={"electrode": "@SUM(A1)"}, extra={"x": "1"}, because=FORMULA,
    )  # fmt: skip
    add(opened, content.OBSERVED, held, "2026-03-05")
    held = content.observed(
        BULK_A, "spread", "T0", [Reading("-0.5")], because="lid;+1+1"
    )
    add(opened, content.OBSERVED, held, "2026-03-05")
    return opened


def test_no_cell_is_run_by_a_spreadsheet_and_every_one_comes_back(
    risky: Continuation,
) -> None:
    rows = list(csv.DictReader(io.StringIO(observations_csv(risky.record))))

    assert rows[0]["because"] == f"'{FORMULA}"
    assert rows[0]["readings"] == "'-0.5 / -0.4"
    assert rows[1]["because"] == "lid;'+1+1"
    assert as_recorded(rows[0]["because"]) == FORMULA
    assert rows[1]["readings"] == "-0.5", "a number stays one"


def archive_of(book: Continuation, folder: Path) -> Path:
    """Return the archive of a study."""
    entries = [opening_entry(folder / "again"), *book.added]
    write_archive(folder / "HDC", entries, (), views_of(book.record, entries))
    return folder / "HDC"


def rewritten(path: Path, old: str, new: str) -> None:
    """Change a text in a file."""
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new), "utf-8")


@pytest.mark.parametrize(
    ("old", "new", "differs"),
    [
        (f"'{FORMULA}".replace('"', '""'), FORMULA.replace('"', '""'), False),
        ("'-0.5 / -0.4", "-0.5 / -0.4", False),
        (",because\n", ",because\r\n", False),
        ("'-0.5 / -0.4", "'-0.5 / -0.3", True),
        ("-0.5,", "-0.50,", True),
        ("because\n", "reason\n", True),
        ("lid;'+1+1\n", "lid;'+1+1,x\n", True),
        ("lid;'+1+1\n", 'lid;"', True),
    ],
)
def test_a_table_is_held_against_the_record_cell_by_cell(
    risky: Continuation, tmp_path: Path, old: str, new: str, *, differs: bool
) -> None:
    folder = archive_of(risky, tmp_path)
    rewritten(folder / "observations.csv", old, new)
    expected = views_of(risky.record, [opening_entry(tmp_path / "again")])
    del expected["README.md"]

    found = differing_views(read_archive(folder), expected)

    assert found == (("observations.csv",) if differs else ())


def test_a_table_may_lack_columns_but_no_row(
    risky: Continuation, tmp_path: Path
) -> None:
    folder = archive_of(risky, tmp_path)
    expected = views_of(risky.record, [opening_entry(tmp_path / "again")])
    del expected["README.md"]
    path = folder / "observations.csv"
    rows = list(csv.reader(io.StringIO(path.read_text("utf-8"))))

    for kept, found in ((rows, ()), (rows[:-1], ("observations.csv",)), ([], None)):
        out = io.StringIO()
        csv.writer(out, lineterminator="\n").writerows(row[:-1] for row in kept)
        path.write_text(out.getvalue(), "utf-8")
        wanted = ("observations.csv",) if found is None else found
        assert differing_views(read_archive(folder), expected) == wanted


def test_the_lines_of_the_readme_prove_the_archive_without_this_program(
    risky: Continuation, tmp_path: Path
) -> None:
    folder = archive_of(risky, tmp_path)
    (script,) = re.findall(r"```sh\n(.*?)```", readme(risky.record), re.DOTALL)

    def check() -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            ["bash", "-c", script],
            cwd=folder,
            capture_output=True,
            text=True,
            check=False,
        )

    held = check()
    assert held.stdout.strip() == str({"study:HDC": risky.record.head.digest})
    rewritten(folder / "journal.jsonl", json.dumps(FORMULA)[1:-1][:12], "=HYPERTEXT(")
    changed = check()
    assert changed.returncode != 0
    assert changed.stdout == ""
