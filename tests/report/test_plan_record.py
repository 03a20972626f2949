"""The plan record: two pages with the fingerprint, the same bytes every time."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from pathlib import Path

import pdfplumber
import pypdf
import pytest

from stability.model.study_record import StudyRecord
from stability.records.store import record_of
from stability.records.study_folder import entries_of_folder
from stability.report.pages import ANCHORS_KEY
from stability.report.plan_record import write_plan_record
from tests.evaluation.builders import Bench, bulk, sample

EXAMPLES = Path(__file__).parents[2] / "example_studies"


def opened(name: str) -> StudyRecord:
    """Return an example as it stood when it was opened."""
    entries = entries_of_folder(EXAMPLES / name, datetime(2026, 9, 30, 20, tzinfo=UTC))
    return record_of(entries[:1]).record


def text_of(file: Path) -> list[str]:
    with pdfplumber.open(file) as document:
        return [" ".join(page.extract_text().split()) for page in document.pages]


@pytest.mark.parametrize("name", ["day_cream", "plain_lotion", "balm_tin"])
def test_it_says_what_was_fixed_on_two_pages_at_most(name: str, tmp_path: Path) -> None:
    record = opened(name)
    write_plan_record(record, tmp_path / "plan.pdf")

    pages = text_of(tmp_path / "plan.pdf")
    whole = " ".join(pages)

    assert len(pages) <= 2
    assert record.opening.fingerprint in pages[0]
    assert record.study.product in pages[0]
    assert all(code in whole for code in record.samples)
    assert all(condition in whole for condition in record.protocol.conditions)
    read = [one for one in record.protocol.attributes if one not in record.study.omit]
    assert all(name in whole for name in read)
    assert "Received by (name, function)" in pages[-1]
    assert all("does not replace, assessment" in page for page in pages)


def test_it_carries_its_anchor_and_gives_the_same_bytes(tmp_path: Path) -> None:
    record = opened("plain_lotion")
    files = [tmp_path / "one.pdf", tmp_path / "two.pdf"]
    for file in files:
        write_plan_record(record, file)

    held = pypdf.PdfReader(files[0]).metadata
    assert held is not None
    anchor = f"study:{record.study.code}/1:{record.opening.fingerprint}"
    assert str(held[f"/{ANCHORS_KEY}"]) == anchor
    assert files[0].read_bytes() == files[1].read_bytes()


def test_an_amended_plan_says_what_changed_and_carries_both_fingerprints(
    tmp_path: Path,
) -> None:
    made = Bench([bulk(), sample("HDC-ROOM", "ROOM")])
    made.amend(made.protocol, "2025-02-01", "the assessor asks for it")
    record = made.record()
    write_plan_record(record, tmp_path / "plan.pdf")

    whole = " ".join(text_of(tmp_path / "plan.pdf"))
    joined = re.sub(r"\s", "", whole)

    assert record.amendments[0].fingerprint in joined
    assert record.opening.fingerprint in joined
    assert "Because: the assessor asks for it" in whole


def test_a_study_taken_over_says_so(tmp_path: Path) -> None:
    made = Bench([bulk()])
    made.take_over("green notebook, page 12", "2025-01-06")
    write_plan_record(made.record(), tmp_path / "plan.pdf")

    assert "green notebook, page 12" in text_of(tmp_path / "plan.pdf")[0]
