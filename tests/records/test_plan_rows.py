"""Certificates as rows of a hand-made folder, with the files beside it."""

from __future__ import annotations

from pathlib import Path

import pytest

from stability.errors.files import RowsError
from stability.records.attachment import cited
from stability.records.store import record_of
from stability.records.study_folder import read_hand_made
from tests.records.certified_study import PDF, write_certified
from tests.records.small_study import NOW

HEADER = "kind,done,sample,check,attribute,reading,settings\n"
FACTS = "laboratory=Corran; number=7; batch=A; version=1.0; pack=JAR; issued=2026-05-04"


def folder_of(path: Path, *rows: str) -> Path:
    write_certified(path)
    text = HEADER + "".join(f"{row}\n" for row in rows)
    (path / "events.csv").write_text(text, encoding="utf-8")
    return path


def test_a_row_is_a_certificate_with_its_file(tmp_path: Path) -> None:
    row = (
        "certified,2026-05-20,,T0,count,total=<10; E. coli=absent,"
        f"{FACTS}; file=papers/7.pdf"
    )
    folder = folder_of(tmp_path, row)
    (folder / "papers").mkdir()
    (folder / "papers" / "7.pdf").write_bytes(PDF)

    made = read_hand_made(folder, NOW)

    kept = record_of(made.entries).record.certificates[0]
    assert [str(one) for one in kept.results] == ["<10", "absent"]
    assert (kept.laboratory, kept.number, kept.age) == ("Corran", "7", "T0")
    assert made.files[0].content == PDF
    assert cited(made.entries) == (made.files[0].file.sha256,)


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (f"certified,2026-05-20,,,count,total=<10,{FACTS}", "lacks the age"),
        (f"certified,2026-05-20,,T0,,total=<10,{FACTS}", "column attribute is empty"),
        (f"certified,2026-05-20,,T0,count,total=<10,{FACTS}; file=../7.pdf", "folder"),
        (f"certified,2026-05-20,,T0,count,total=<10,{FACTS}; file=/7.pdf", "folder"),
        (f"certified,2026-05-20,,T0,count,total=<10,{FACTS}; colour=red", "colour"),
    ],
)
def test_a_faulty_row_is_told_with_its_line(
    tmp_path: Path, row: str, says: str
) -> None:
    with pytest.raises(RowsError, match=says) as caught:
        read_hand_made(folder_of(tmp_path, row), NOW)

    assert "line 2" in str(caught.value)
