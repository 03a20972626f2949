"""Certificates recorded and listed, exported with their files and taken in again."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from stability.errors.archives import ArchiveAttachmentError
from stability.errors.certificates import (
    CertificateFaultsError,
    CertificateFileError,
    CertificateLacksError,
)
from stability.records.attachment import fetch, kept_files
from stability.records.database import open_database
from stability.records.study_folder import read_hand_made
from stability.workflow import bench, readings
from stability.workflow.certificates import OfWhat, certificate, certificates
from stability.workflow.evaluate import evaluate
from stability.workflow.occasion import Occasion
from stability.workflow.records import export, import_, verify
from stability.workflow.studies import history
from stability.workflow.written import Written
from tests.records.certified_study import ALL_A, PDF, write_certified
from tests.records.small_study import NOW

OF = OfWhat(
    "Corran", "7", "ISO 11930:2019", "A", "1.0", "JAR", None, "T0", "2026-05-04"
)


@pytest.fixture
def at(tmp_path: Path) -> Occasion:
    """Return an occasion in June in a workspace with the study opened in March."""
    march = Occasion(
        str(tmp_path / "stability.db"),
        datetime(2026, 3, 1, 9, tzinfo=UTC),
        "ana",
        zone="Europe/Dublin",
    )
    bench.start(march, write_certified(tmp_path / "files"))
    (tmp_path / "7.pdf").write_bytes(PDF)
    return replace(march, now=datetime(2026, 6, 1, 9, tzinfo=UTC))


def record(at: Occasion, of: OfWhat = OF, **changes: Any) -> tuple[Written, ...]:
    wish: dict[str, Any] = {"results": ALL_A, **changes}
    return certificate(at, "HDC", "challenge", of, **wish)


def test_a_certificate_is_written_with_its_file(at: Occasion, tmp_path: Path) -> None:
    (told,) = record(at, file=tmp_path / "7.pdf", verdict="criteria A")

    assert told.reference == "HDC/2"
    assert "batch A, JAR, age T0" in told.text
    assert "laboratory's verdict: criteria A" in told.text
    assert "P. aeruginosa: 2.5x10^5 is 250000" in told.remarks
    found = certificates(at, "HDC").certificates.findings[0]
    assert found.mark == "inside"
    assert found.certificate.file is not None
    with open_database(at.records).reading() as connection:
        assert fetch(connection, found.certificate.file.sha256).content == PDF


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        ({"of": replace(OF, batch=None)}, CertificateLacksError),
        ({"results": ("E. coli=1/2",)}, CertificateFaultsError),
        ({"file": Path("nowhere.pdf")}, CertificateFileError),
    ],
)
def test_what_cannot_be_taken_leaves_nothing_behind(
    at: Occasion, tmp_path: Path, changes: dict[str, Any], fault: type[Exception]
) -> None:
    with pytest.raises(fault):
        record(at, **{"file": tmp_path / "7.pdf", **changes})

    assert len(history(at, "HDC")) == 1
    with open_database(at.records).reading() as connection:
        assert kept_files(connection) == ()


def test_it_counts_from_the_day_on_which_it_was_stored(at: Occasion) -> None:
    record(at)

    assert certificates(at, "HDC", as_of="2026-05-31").certificates.findings == ()
    assert len(certificates(at, "HDC", as_of="2026-06-01").certificates.findings) == 1


def test_it_is_set_aside_like_an_observation(at: Occasion) -> None:
    record(at)

    readings.invalidate(at, "HDC/2", because="of another product")

    lines = history(at, "HDC")
    assert lines[1].state == "set aside by HDC/3"
    assert lines[1].kind == "certified"
    assert certificates(at, "HDC").certificates.evidence == ()


def test_an_archive_carries_the_file_and_is_refused_without_it(
    at: Occasion, tmp_path: Path
) -> None:
    record(at, file=tmp_path / "7.pdf")
    archive = tmp_path / "archive"
    written = export(at, "HDC", archive)
    (kept,) = (archive / "attachments").iterdir()
    assert kept.read_bytes() == PDF
    assert kept.name in written.files

    elsewhere = replace(at, records=str(tmp_path / "other.db"))
    import_(elsewhere, archive)
    assert verify(elsewhere).holds
    export(elsewhere, str(archive), tmp_path / "again")
    assert (tmp_path / "again" / "attachments" / kept.name).read_bytes() == PDF
    with open_database(elsewhere.records).reading() as connection:
        assert fetch(connection, kept.name).file.name == "7.pdf"

    kept.unlink()
    (archive / "attachments.jsonl").unlink()
    with pytest.raises(ArchiveAttachmentError, match="is missing"):
        evaluate(at, str(archive))


def test_a_hand_made_folder_brings_its_certificate_in(
    at: Occasion, tmp_path: Path
) -> None:
    folder = tmp_path / "files"
    (folder / "7.pdf").write_bytes(PDF)
    row = (
        "certified,2026-05-20,T0,challenge,A,laboratory=Corran; number=7; batch=A; "
        "version=1.0; pack=JAR; issued=2026-05-04; file=7.pdf"
    )
    text = f"kind,done,check,attribute,reading,settings\n{row}\n"
    (folder / "events.csv").write_text(text, encoding="utf-8")
    new = replace(at, records=str(tmp_path / "new.db"))

    import_(new, folder)

    assert read_hand_made(folder, NOW).files[0].content == PDF
    with open_database(new.records).reading() as connection:
        (kept,) = kept_files(connection)
        assert fetch(connection, kept.sha256).content == PDF
    assert certificates(new, "HDC").certificates.findings[0].mark == "inside"
