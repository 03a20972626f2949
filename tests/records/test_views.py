"""Views of a study beside its journal: whole, in order, and spelt as recorded."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from stability.model import content
from stability.model.observation import Reading
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

    assert tuple(header) == OBSERVATIONS
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
