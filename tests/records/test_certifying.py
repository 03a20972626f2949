"""Certificates checked before they are stored: all faults at once, nothing half."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from stability.errors.certificates import (
    CertificateFaultsError,
    CertificateFileError,
    CertificateKnownError,
    CertificateLacksError,
    CertificateNotCorrectedError,
)
from stability.errors.samples import EntryReferenceError
from stability.model import content
from stability.model.moment import Moment
from stability.records.certifying import CertificateWish, Certified, certify
from stability.records.continuation import Continuation
from stability.records.observing import correct, invalidate
from stability.records.typed import BenchFacts
from tests.records.certified_study import PDF, certified_book, wish
from tests.records.small_study import BULK_A, BULK_B, ROOM_A, SPARE_A, add

TODAY = date(2026, 6, 1)


@pytest.fixture
def book(tmp_path: Path) -> Continuation:
    return certified_book(tmp_path)


def certified(
    book: Continuation, asked: CertificateWish, done: str = "2026-05-20"
) -> Certified:
    return certify(book.record, asked, Moment(date.fromisoformat(done)), TODAY)


def faults(book: Continuation, asked: CertificateWish, done: str = "2026-05-20") -> str:
    with pytest.raises(CertificateFaultsError) as caught:
        certified(book, asked, done)
    return str(caught.value)


def test_a_certificate_holds_all_that_it_is_bound_to_as_typed(
    book: Continuation, tmp_path: Path
) -> None:
    (tmp_path / "report.pdf").write_bytes(PDF)

    made = certified(book, wish(file=tmp_path / "report.pdf", verdict=" Criteria A "))
    add(book, content.CERTIFIED, made.held, "2026-05-20")

    kept = book.record.certificates[0]
    assert (kept.attribute, kept.kind) == ("challenge", "challenge")
    assert (kept.batch, kept.version, kept.pack, kept.age) == ("A", "1.0", "JAR", "T0")
    assert kept.title == "Corran Laboratory, no. 26-1187"
    assert (kept.standard, kept.verdict) == ("ISO 11930:2019", "Criteria A")
    assert kept.issued == date(2026, 5, 4)
    assert kept.done == Moment(date(2026, 5, 20))
    assert str(kept.results[0]) == "2.5x10^5"
    assert kept.file is not None
    assert made.file is not None
    assert (kept.file.name, kept.file.sha256) == ("report.pdf", made.file.file.sha256)
    assert made.remarks[0] == "P. aeruginosa: 2.5x10^5 is 250000"


def test_what_is_lacking_is_told_at_once(book: Continuation) -> None:
    with pytest.raises(CertificateLacksError) as caught:
        certified(book, CertificateWish("challenge", batch=" ", version="1.0"))

    message = str(caught.value)
    for lacking in ("laboratory", "number", "batch", "age", "issued", "a result"):
        assert lacking in message
    assert "the version" not in message
    assert "Nothing was stored" in message


def test_every_fault_is_told_at_once(book: Continuation) -> None:
    told = faults(
        book,
        wish(
            results=("E. coli=1/2", "A"),
            verdict="A",
            age="3 months",
            issued="4 May 2026",
            laboratory="a\x00b",
            sample=BULK_B,
        ),
    )

    assert "2 counts" in told
    assert "'3 months' is no age" in told
    assert "'4 May 2026' is no day" in told
    assert "U+0000" in told
    assert f"{BULK_B} is of batch B, the certificate of A" in told


@pytest.mark.parametrize(
    ("changes", "done", "says"),
    [
        ({"issued": "2026-06-02"}, "2026-05-20", "has not come yet"),
        ({"issued": "2026-05-21"}, "2026-05-20", "after it was received"),
        ({"issued": "2026-03-01"}, "2026-05-20", "before batch A was made"),
        ({"sample": "HDC-999-9"}, "2026-05-20", "HDC-999-9"),
        ({"sample": ROOM_A, "pack": "GLASS"}, "2026-05-20", f"{ROOM_A} is in JAR"),
        ({"results": ("A",), "verdict": "B"}, "2026-05-20", "typed twice"),
    ],
)
def test_dates_and_samples_must_fit(
    book: Continuation, changes: dict[str, Any], done: str, says: str
) -> None:
    assert says in faults(book, wish(**changes), done)


def test_an_age_that_was_not_reached_by_then_is_refused(book: Continuation) -> None:
    place = content.placed(ROOM_A, "ROOM", "in")
    add(book, content.PLACED, place, "2026-03-05")
    asked = wish("acid", results=("9.8",), sample=ROOM_A, age="3M")

    assert "reaches the age 3M on 2026-06-05" in faults(book, asked)
    near = certified(book, wish("acid", results=("9.8",), sample=ROOM_A, age="2M"))
    assert near.held["age"] == "2M"


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"version": "0.9"}, "version 0.9, this study is of version 1.0"),
        ({"batch": "Z"}, "batch Z, this study has A, B"),
        ({"pack": "TUBE"}, "pack TUBE, this study has JAR, GLASS"),
    ],
)
def test_a_mismatch_is_kept_and_told(
    book: Continuation, changes: dict[str, Any], says: str
) -> None:
    made = certified(book, wish(**changes))

    assert says in made.remarks[-1]
    assert "no evidence" in made.remarks[-1]


def test_what_cannot_be_told_from_it_is_remarked(book: Continuation) -> None:
    alone = certified(book, wish("acid", results=("9.8",), pack=None))
    unplaced = certified(book, wish("acid", results=("9.8",), sample=SPARE_A, age="3M"))

    assert any("no sample is named" in one for one in alone.remarks)
    assert any("names no pack" in one or "not named" in one for one in alone.remarks)
    assert any("was not placed" in one for one in unplaced.remarks)


def test_a_sample_tells_its_pack(book: Continuation) -> None:
    made = certified(book, wish("count", pack=None, sample=ROOM_A))

    assert made.held["pack"] == "JAR"


def test_what_is_read_at_the_bench_is_no_certificate(book: Continuation) -> None:
    told = faults(book, wish("pH", results=("5.4",)))

    assert "pH is read at the bench" in told
    assert "challenge, count, acid, organisms" in told


def test_the_same_result_is_recorded_once_until_it_is_set_aside(
    book: Continuation,
) -> None:
    position = add(book, content.CERTIFIED, certified(book, wish()).held, "2026-05-20")

    with pytest.raises(CertificateKnownError, match=f"HDC/{position}"):
        certified(book, wish())
    certified(book, wish(batch="B"))
    certified(book, wish("count"))

    held = invalidate(book, position, "typed from another paper")
    add(book, content.INVALIDATED, held, "2026-05-21")
    assert book.record.certificates[0].invalidated is not None
    certified(book, wish())
    with pytest.raises(EntryReferenceError, match="it was set aside by HDC/3"):
        invalidate(book, position, "again")


def test_a_certificate_is_not_corrected_value_by_value(book: Continuation) -> None:
    held = certified(book, wish("acid", results=("9.8",), sample=BULK_A, pack=None))
    position = add(book, content.CERTIFIED, held.held, "2026-05-20")

    with pytest.raises(CertificateNotCorrectedError, match="invalidate HDC/2"):
        correct(book, position, ["9.9"], BenchFacts(), because="typo")


def test_a_file_that_cannot_be_kept_stops_the_certificate(
    book: Continuation, tmp_path: Path
) -> None:
    with pytest.raises(CertificateFileError):
        certified(book, wish(file=tmp_path / "nowhere.pdf"))
