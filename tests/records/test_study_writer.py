"""Study files written from a plan."""

from __future__ import annotations

import unicodedata
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stability.errors.planning import StudyFileNotWrittenError, StudyFileTakenError
from stability.model.age import Age
from stability.model.plan_options import PlanOptions
from stability.model.study import SampleRow, Study
from stability.records.plan_options import study_of_options
from stability.records.study_file import read_draft, read_study
from stability.records.study_writer import rows_text, study_text, write_study
from tests.planning.worked_examples import (
    FACE_CREAM_STUDY,
    face_cream,
    face_cream_study,
)

TYPED = PlanOptions(
    batches=("A=400", "B=400", "C=400.50"),
    packs=("JAR=50", "PUMP=30", "VIAL10=10:inert", "VIAL20=20:inert"),
    tares=("JAR=32.10",),
    months=12,
    after_opening="6M",
)


def planned(**changed: object) -> Study:
    """Return the face cream as typed, with the rows worked out by hand."""
    study = study_of_options(TYPED, face_cream(), date(2026, 3, 2))
    rows = {"samples": face_cream_study().samples}
    return replace(study, **(rows | changed))  # type: ignore[arg-type]


def test_what_is_written_is_read_back_as_it_was() -> None:
    study = planned()

    text = study_text(study, "face-cream", ["Planned. Look at it."])

    assert read_study(text, "s.toml", face_cream()) == study
    assert text.startswith("# Planned. Look at it.\n")


def test_markets_are_written_and_read_back() -> None:
    asked = replace(planned().request, markets=("EU", "US"))

    text = study_text(planned(request=asked), "face-cream")

    assert 'markets = ["EU", "US"]' in text
    assert read_study(text, "s.toml", face_cream()).request == asked


def test_what_a_plan_cannot_know_stands_as_a_comment() -> None:
    text = study_text(planned(), "face-cream")

    assert "# tare_g = 0.00" in text
    assert "tare_g = 32.10\n" in text
    assert "# true where it is what will be sold" in text


@given(
    st.text(
        st.characters(exclude_categories=("Cc", "Cs"), exclude_characters="\x7f"),
        min_size=1,
        max_size=30,
    ).filter(str.strip)
)
@settings(max_examples=80, deadline=None)
def test_any_name_and_reason_survives(text: str) -> None:
    study = planned(product=text, omit={"pH": text})

    again = read_draft(study_text(study, "face-cream"), "s.toml", face_cream())

    plain = unicodedata.normalize("NFC", text)
    assert (again.product, again.omit["pH"]) == (plain, plain)


def test_every_field_of_a_row_is_written() -> None:
    rows = (
        SampleRow(("A",), "reopened", 3, "VIAL10", "FT", untreated_twins=2),
        SampleRow(("A", "B"), "reopened", 1, "PUMP", "ROOM", checks=("3M", "6M")),
        SampleRow(("A",), "untouched", 1, "JAR", "ROOM", open_at="12M"),
        SampleRow(("A",), "retained", 1, "JAR", keep_for=Age(3, "y")),
        SampleRow(("A",), "T0", 2, kind="tube", grams=Decimal("10.50")),
        SampleRow(("A",), "T0", kind="bulk", grams=Decimal(15)),
    )
    head = FACE_CREAM_STUDY[: FACE_CREAM_STUDY.index("[[samples]]")]

    text = head + rows_text(rows)

    whole = "\n[omit]\n" + "\n".join(
        f'"{name}" = "not now"'
        for name in ("T40", "T45", "COLD", "WINDOW", "FOIL", "IN-USE")
    )
    bulk = '\n[[samples]]\nbatch = ["B", "C"]\nkind = "bulk"\ngrams = 15\n'
    found = read_draft(text + bulk + whole, "s.toml", face_cream()).samples
    assert found[:-1] == rows


def test_a_file_that_is_there_is_replaced_only_where_that_is_said(
    tmp_path: Path,
) -> None:
    file = tmp_path / "study.toml"
    write_study(file, "first", overwrite=False)

    with pytest.raises(StudyFileTakenError, match="--overwrite"):
        write_study(file, "second", overwrite=False)
    assert file.read_text(encoding="utf-8") == "first"
    write_study(file, "second", overwrite=True)
    assert file.read_text(encoding="utf-8") == "second"
    assert list(tmp_path.iterdir()) == [file]


def test_a_folder_that_is_not_there_is_told_and_nothing_is_left(tmp_path: Path) -> None:
    with pytest.raises(StudyFileNotWrittenError, match="cannot be written"):
        write_study(tmp_path / "none" / "study.toml", "text", overwrite=False)
    with pytest.raises(StudyFileTakenError):
        write_study(tmp_path, "text", overwrite=True)
    assert list(tmp_path.iterdir()) == []


def test_what_stands_in_comments_is_accepted_once_the_sign_is_taken_away() -> None:
    text = study_text(planned(), "face-cream")
    lines = [
        line.removeprefix("# ")
        if line.startswith("# ")
        and "tare_g" not in line
        and ("=" in line or "[" in line)
        else line
        for line in text.splitlines()
        if not line.startswith("# One row")
    ]

    study = read_study("\n".join(lines), "s.toml", face_cream())

    assert study.code == "HDC"
    assert study.batches["A"].filled == study.batches["A"].made
    assert study.batches["A"].pH_at_make == Decimal("5.50")
    assert study.place_on["ROOM"] > study.batches["A"].made
    assert study.request.markets == ("EU",)
