"""A plan lodged with a witness, and amended."""

from __future__ import annotations

from pathlib import Path

import pytest

from stability.errors.studies import AmendmentChangesPastError, UnknownStudyError
from stability.workflow import bench, plans
from stability.workflow.evaluate import evaluate
from stability.workflow.studies import history
from tests.records.small_study import BULK_A, PROTOCOL, STUDY
from tests.workflow.conftest import At


def changed(folder: Path, before: str, after: str) -> Path:
    file = folder / "new.toml"
    assert before in PROTOCOL
    file.write_text(PROTOCOL.replace(before, after, 1), encoding="utf-8")
    return file


def test_a_lodging_is_written_and_its_witness_named(at: At) -> None:
    written = plans.lodge(at("2026-03-02"), "HDC", "Dr Orla Keane", note="by mail")
    bench.log(at("2026-03-04"), BULK_A, ["pH=5.5/5.5", "pH.dilution=10 %"])

    said = evaluate(at("2026-03-05"), "HDC").identity.limits_recorded
    assert written[0].text == "plan record lodged with Dr Orla Keane"
    assert written[0].remarks == ()
    assert "lodged with Dr Orla Keane on 2026-03-02" in said
    assert "Dr Orla Keane: by mail" in history(at("2026-03-05"), "HDC")[1].text


def test_a_lodging_after_the_first_reading_says_that_it_is_late(at: At) -> None:
    bench.log(at("2026-03-04"), BULK_A, ["pH=5.5/5.5", "pH.dilution=10 %"])

    written = plans.lodge(at("2026-03-05"), "HDC", "Dr Orla Keane")

    assert "cannot witness" in written[0].remarks[0]


def test_an_amendment_before_any_reading_is_written(at: At, tmp_path: Path) -> None:
    file = changed(tmp_path, "lowest = 5.0", "lowest = 5.2")

    written = plans.amend(
        at("2026-03-03"), "HDC", because="asked for", protocol_file=file
    )

    assert written[0].text == ("amended: pH, limit, lowest: 5.0 → 5.2")


def test_a_sample_added_by_an_amendment_is_to_be_labelled(
    at: At, tmp_path: Path
) -> None:
    row = '[[samples]]\nbatch = "A"\npack = "JAR"\nuse = "retained"\n'
    file = tmp_path / "wider.toml"
    file.write_text(f"{STUDY}\n{row}", encoding="utf-8")

    (written,) = plans.amend(
        at("2026-03-03"), "hdc", because="kept one", study_file=file
    )

    label, witness = written.remarks
    assert label.startswith("label what is new: stability labels HDC --sample HDC-0")
    assert "stability report HDC --kind plan --out FILE" in witness
    assert witness.endswith("stability lodge HDC --with WHOM")


def test_an_amendment_that_would_judge_readings_otherwise_needs_a_yes(
    at: At, tmp_path: Path
) -> None:
    bench.log(at("2026-03-04"), BULK_A, ["pH=5.1/5.1", "pH.dilution=10 %"])
    file = changed(tmp_path, "lowest = 5.0", "lowest = 5.2")

    with pytest.raises(AmendmentChangesPastError, match=r"1 earlier reading .*pH 5.1"):
        plans.amend(at("2026-03-05"), "HDC", because="asked", protocol_file=file)
    assert len(history(at("2026-03-05"), "HDC")) == 2

    plans.amend(
        at("2026-03-05"), "HDC", because="asked", protocol_file=file, knowing=True
    )
    found = evaluate(at("2026-03-06"), "HDC").amendments[0].otherwise
    assert [(one.mark, one.mark_otherwise) for one in found] == [("inside", "outside")]


def test_a_reading_after_an_amendment_is_judged_by_the_new_limit(
    at: At, tmp_path: Path
) -> None:
    file = changed(tmp_path, "lowest = 5.0", "lowest = 5.2")
    plans.amend(at("2026-03-03"), "HDC", because="asked for", protocol_file=file)

    bench.log(at("2026-03-04"), BULK_A, ["pH=5.1/5.1", "pH.dilution=10 %"])

    found = evaluate(at("2026-03-06"), "HDC")
    assert [(one.mark, one.limit_text) for one in found.judged] == [
        ("outside", "5.2 to 5.9")
    ]
    assert found.amendments[0].otherwise == ()


def test_an_unknown_study_is_named(at: At) -> None:
    with pytest.raises(UnknownStudyError):
        plans.lodge(at("2026-03-02"), "XYZ", "Dr Orla Keane")
