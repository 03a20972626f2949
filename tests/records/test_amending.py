"""Amendments: what may change in a running study, and what may not."""

from __future__ import annotations

from pathlib import Path

import pytest

from stability.errors.files import FaultyFileError
from stability.errors.samples import ReasonNeededError
from stability.errors.studies import AmendmentError, NothingAmendedError
from stability.model import content
from stability.model.content import Content
from stability.records.amending import amend
from stability.records.continuation import Continuation
from tests.records.small_study import PROTOCOL, STUDY, add

WHY = "the assessor asks for it"


def amended(
    book: Continuation,
    folder: Path,
    *,
    protocol: tuple[str, str] | None = None,
    study: tuple[str, str] | None = None,
    because: str | None = WHY,
) -> Content:
    """Amend with one text put in place of another."""
    files: dict[str, Path | None] = {"protocol_file": None, "study_file": None}
    for name, change, text in (
        ("protocol", protocol, PROTOCOL),
        ("study", study, STUDY),
    ):
        if change is not None:
            assert text.count(change[0]) >= 1, change[0]
            files[f"{name}_file"] = folder / f"new_{name}.toml"
            (folder / f"new_{name}.toml").write_text(
                text.replace(*change, 1), encoding="utf-8"
            )
    return amend(book.record, because, texts=book.texts, **files)


TIGHTER = ("lowest = 5.0, highest = 5.9", "lowest = 5.2, highest = 5.9")


def test_a_limit_is_amended_with_the_change_in_words(
    book: Continuation, tmp_path: Path
) -> None:
    held = amended(book, tmp_path, protocol=TIGHTER)

    assert held["changes"] == ["pH, limit, lowest: 5.0 → 5.2"]
    assert held["because"] == WHY
    assert "lowest = 5.2" in held["protocol_text"]
    assert (held["study_text"], held["samples"]) == (None, [])


def test_an_amended_study_goes_on_with_the_new_plan(
    book: Continuation, tmp_path: Path
) -> None:
    position = add(
        book, content.AMENDED, amended(book, tmp_path, protocol=TIGHTER), "2026-03-20"
    )

    limit = book.record.protocol.attributes["pH"].limit
    change = book.record.amendments[0]
    assert "5.2" in limit.words("pH")
    assert change.position == position
    assert "5.0" in change.protocol_before.attributes["pH"].limit.words("pH")
    assert "lowest = 5.2" in book.texts[1]


def test_samples_are_added_at_the_end_and_get_the_next_codes(
    book: Continuation, tmp_path: Path
) -> None:
    row = '[[samples]]\nbatch = "B"\npack = "JAR"\nuse = "spare"\n[places]'
    before = set(book.record.samples)

    held = amended(book, tmp_path, study=("[places]", row))
    add(book, content.AMENDED, held, "2026-03-20")

    new = set(book.record.samples) - before
    assert len(new) == 1
    assert {one["code"] for one in held["samples"]} == new
    assert held["changes"][-1] == f"samples: {new.copy().pop()}, new"
    assert before < set(book.record.samples)


def test_the_request_may_change(book: Continuation, tmp_path: Path) -> None:
    held = amended(book, tmp_path, study=("months = 12", "months = 9"))

    add(book, content.AMENDED, held, "2026-03-20")

    assert held["changes"] == ["asked for, months: 12 → 9"]
    assert book.record.study.request.months == 9
    assert book.record.study.code == "HDC"


@pytest.mark.parametrize(
    ("change", "place"),
    [
        (("temperature = 40", "temperature = 45"), "condition T40, temperature"),
        (('settings.dilution = "10 %"', 'settings.dilution = "5 %"'), "dilution"),
        (("resolution = 0.01", "resolution = 0.1"), "pH, resolution"),
        (('checks = ["2w", "4w"]', 'checks = ["2w", "8w"]'), "condition T40, checks"),
        (('read_after = "24h"', 'read_after = "48h"'), "T0, read after"),
        (
            ('["none", "droplets on surface", "layer"', '["none", "layer"'),
            "separation, scale",
        ),
    ],
    ids=lambda one: one if isinstance(one, str) else "",
)  # fmt: skip
def test_what_would_make_readings_incomparable_is_refused(
    book: Continuation, tmp_path: Path, change: tuple[str, str], place: str
) -> None:
    with pytest.raises(AmendmentError, match=place):
        amended(book, tmp_path, protocol=change)


@pytest.mark.parametrize(
    ("change", "place"),
    [
        (('version = "1.0"', 'version = "1.1"'), "version: 1.0 → 1.1"),
        (("made = 2026-03-02", "made = 2026-03-03"), "batch A, made"),
        (("tare_g = 32.10", "tare_g = 31.10"), r"pack JAR, tare \[g\]"),
        (('use = "spare"', 'use = "retained"'), "labels are on the jars"),
        (('code = "HDC"', 'code = "HDD"'), "code: HDC → HDD"),
    ],
    ids=lambda one: one if isinstance(one, str) else "",
)
def test_what_the_samples_are_is_not_amendable(
    book: Continuation, tmp_path: Path, change: tuple[str, str], place: str
) -> None:
    with pytest.raises(AmendmentError, match=place):
        amended(book, tmp_path, study=change)


def test_an_attribute_is_added_but_not_taken_away(
    book: Continuation, tmp_path: Path
) -> None:
    swollen = PROTOCOL[PROTOCOL.index("[attributes.swollen]") :]
    swollen = swollen[: swollen.index("[attributes.weight_loss]")]
    leak = swollen.replace("attributes.swollen", "attributes.leaking")

    held = amended(book, tmp_path, protocol=(swollen, swollen + leak))

    assert held["changes"] == [
        (
            "leaking: kind stated; scale yes, no; limit required no; reason gas; "
            "reason kind pack, new"
        )
    ]
    with pytest.raises(AmendmentError, match=r"swollen: .*taken away"):
        amended(book, tmp_path, protocol=(swollen, ""))


def test_an_amendment_needs_a_change_and_a_reason(
    book: Continuation, tmp_path: Path
) -> None:
    with pytest.raises(NothingAmendedError):
        amended(book, tmp_path, study=("2026-03-02", "2026-03-02"))
    with pytest.raises(NothingAmendedError):
        amended(book, tmp_path)
    with pytest.raises(ReasonNeededError):
        amended(book, tmp_path, protocol=TIGHTER, because=" ")


def test_a_faulty_file_is_told_with_its_name_and_line(
    book: Continuation, tmp_path: Path
) -> None:
    with pytest.raises(FaultyFileError, match=r"new_protocol.toml:\d+"):
        amended(book, tmp_path, protocol=("lowest = 5.0", 'lowest = "x"'))
