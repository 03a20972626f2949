"""Photographs logged with readings, listed, written out, moved and printed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from stability.errors import StabilityError
from stability.errors.archives import (
    ArchiveAttachmentError,
    ArchiveExistsError,
    ViewDiffersError,
)
from stability.errors.photographs import PhotographFileError, PhotographFolderError
from stability.errors.samples import (
    EntryReferenceError,
    ReadingsError,
    ReasonNeededError,
)
from stability.model import content
from stability.workflow import bench, evaluate, photographs, records, studies
from stability.workflow.occasion import Occasion
from stability.workflow.sources import entries_of
from tests.records.pictures import jar, opened, write
from tests.records.small_study import BULK_A, ROOM_A, T40_2W

At = Callable[[str], Occasion]


@pytest.fixture
def placed(at: At) -> At:
    """Return the maker of occasions, T0 read and two samples placed."""
    bench.log(at("2026-03-05"), BULK_A, ["pH=5.50/5.52", "spread=60"])
    bench.place(at("2026-03-06"), [ROOM_A, T40_2W])
    return at


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Return a photograph of 20 March."""
    return write(tmp_path / "jar.jpg")


@pytest.fixture
def logged(placed: At, file: Path, tmp_path: Path) -> At:
    """Return the same with a photograph of each sample."""
    other = write(tmp_path / "room.jpg", jar(corner=(1, 2, 3)))
    bench.log(placed("2026-03-20"), T40_2W, ["pH=5.4/5.4"], photos=[f"odour={file}"],
              caption="beside the other")  # fmt: skip
    bench.log(placed("2026-03-20"), ROOM_A, [], photos=[str(other)])
    return placed


def test_readings_and_photographs_are_stored_together(placed: At, file: Path) -> None:
    written = bench.log(
        placed("2026-03-20"),
        T40_2W,
        ["pH=5.47/5.49"],
        photos=[str(file)],
        caption="rim",
    )

    assert [one.kind for one in written] == ["observed", "photographed"]
    assert written[1].text == (
        f"{T40_2W} Heather day cream, batch A, JAR, T40, 2w: photograph, 240 × 320 "
        "pixels, cleaned copy kept: rim"
    )
    (found,) = photographs.photographs(placed("2026-03-20"), "HDC")
    assert (found.kept.check, found.age_text) == ("2w", "14 d")


@pytest.mark.parametrize(
    ("readings", "name", "error"),
    [
        (["pH=5.47/5.49"], "words.jpg", PhotographFileError),
        (["pH=5.47/nothing"], "jar.jpg", ReadingsError),
        ([], "words.jpg", PhotographFileError),
    ],
)
def test_one_fault_keeps_both_out(
    placed: At, file: Path, readings: list[str], name: str, error: type[StabilityError]
) -> None:
    file.with_name("words.jpg").write_text("no picture", encoding="utf-8")
    before = studies.history(placed("2026-03-20"), "HDC")

    with pytest.raises(error):
        bench.log(
            placed("2026-03-20"), T40_2W, readings, photos=[str(file.with_name(name))]
        )

    assert studies.history(placed("2026-03-20"), "HDC") == before
    assert records.verify(placed("2026-03-20")).attachments == 0


@pytest.mark.parametrize(
    ("wanted", "samples"),
    [
        ({}, [T40_2W, ROOM_A]),
        ({"sample": "009Q"}, [T40_2W]),
        ({"condition": "room"}, [ROOM_A]),
        ({"check": "2w"}, [T40_2W, ROOM_A]),
        ({"check": "4w"}, []),
        ({"as_of": "2026-03-19"}, []),
    ],
)
def test_photographs_are_narrowed(
    logged: At, wanted: dict[str, str], samples: list[str]
) -> None:
    found = photographs.photographs(logged("2026-03-21"), "HDC", **wanted)

    assert [one.kept.sample for one in found] == samples


def test_copies_are_written_out_as_kept(logged: At, tmp_path: Path) -> None:
    at = logged("2026-03-21")
    found = photographs.photographs(at, "HDC")

    written = photographs.write_out(at, "HDC", found, tmp_path / "out")

    assert written.names == tuple(one.kept.name for one in found)
    for one in found:
        content = (tmp_path / "out" / one.kept.name).read_bytes()
        assert len(content) == one.kept.size
        assert opened(content).size == one.kept.pixels


def test_nothing_is_written_over_and_nothing_of_nothing(
    logged: At, tmp_path: Path
) -> None:
    at = logged("2026-03-21")
    (tmp_path / "out").mkdir()

    with pytest.raises(ArchiveExistsError):
        photographs.write_out(
            at, "HDC", photographs.photographs(at, "HDC"), tmp_path / "out"
        )
    with pytest.raises(PhotographFolderError):
        photographs.write_out(at, "HDC", (), tmp_path / "new")
    assert not (tmp_path / "new").exists()


def test_an_archive_carries_photographs_and_gives_them_back(
    logged: At, tmp_path: Path
) -> None:
    at = logged("2026-03-21")
    other = replace(at, records=str(tmp_path / "other.db"))
    records.export(at, "HDC", tmp_path / "archive")

    records.import_(other, tmp_path / "archive")
    records.export(other, "HDC", tmp_path / "again")

    for name in ("journal.jsonl", "attachments.jsonl"):
        first = (tmp_path / "archive" / name).read_bytes()
        assert (tmp_path / "again" / name).read_bytes() == first
    names = sorted(one.name for one in (tmp_path / "archive" / "photographs").iterdir())
    assert names == [f"{ROOM_A}_2w_2026-03-20_1.jpg", f"{T40_2W}_2w_2026-03-20_1.jpg"]
    kept = [one.kept.sha256 for one in photographs.photographs(at, "HDC")]
    for name in (str(tmp_path / "archive"), "HDC"):
        occasion = at if name != "HDC" else other
        assert photographs.copies_of(occasion, name, kept) == photographs.copies_of(
            at, "HDC", kept
        )
    assert records.verify(other).holds


def test_an_altered_view_and_a_missing_copy_are_refused(
    logged: At, tmp_path: Path
) -> None:
    at = logged("2026-03-21")
    other = replace(at, records=str(tmp_path / "other.db"))
    folder = tmp_path / "archive"
    records.export(at, "HDC", folder)
    view = folder / "photographs" / f"{ROOM_A}_2w_2026-03-20_1.jpg"
    whole = view.read_bytes()

    view.write_bytes(write(tmp_path / "x.jpg", jar((50, 50))).read_bytes())
    with pytest.raises(ViewDiffersError, match="photographs/"):
        records.import_(other, folder)
    view.write_bytes(whole)
    (folder / "attachments.jsonl").unlink()
    next((folder / "attachments").iterdir()).unlink()
    with pytest.raises(ArchiveAttachmentError, match="is missing"):
        records.import_(other, folder)
    assert not Path(other.records).exists()


def test_a_report_holds_the_photographs(logged: At, tmp_path: Path) -> None:
    at = logged("2026-03-21")
    evaluate.report(at, "HDC", tmp_path / "with.pdf")
    evaluate.report(at, "HDC", tmp_path / "again.pdf")
    evaluate.report(at, "HDC", tmp_path / "before.pdf", as_of="2026-03-19")

    whole = (tmp_path / "with.pdf").read_bytes()
    assert whole == (tmp_path / "again.pdf").read_bytes()
    assert whole.count(b"/DCTDecode") == 2
    assert b"/DCTDecode" not in (tmp_path / "before.pdf").read_bytes()


@pytest.fixture
def misfiled(logged: At) -> At:
    """Return the same, the photograph of the warm jar set aside as the wrong one's."""
    (wrong,) = photographs.photographs(logged("2026-03-21"), "HDC", sample=T40_2W)
    reference = f"HDC/{wrong.kept.position}"
    (written,) = bench.invalidate(
        logged("2026-03-21"), reference, because="it shows the jar at room"
    )
    assert written.text == f"{reference} set aside"
    return logged


def test_a_photograph_of_the_wrong_jar_is_set_aside_and_told(misfiled: At) -> None:
    at = misfiled("2026-03-21")

    aside, other = photographs.photographs(at, "HDC")

    cause = aside.kept.invalidated
    assert cause is not None
    assert cause.because == "it shows the jar at room"
    assert (other.kept.invalidated, other.beside) == (None, ())
    lines = {one.position: one for one in studies.history(at, "HDC")}
    assert lines[aside.kept.position].state == f"set aside by HDC/{cause.position}"
    assert lines[cause.position].kind == "invalidated"
    assert lines[cause.position].text.startswith(
        f"photograph {aside.kept.position} set aside: it shows the jar at room"
    )


def test_it_is_set_aside_once_and_only_with_a_cause(misfiled: At) -> None:
    at = misfiled("2026-03-22")
    aside, other = photographs.photographs(at, "HDC")

    with pytest.raises(EntryReferenceError, match="was set aside by HDC/"):
        bench.invalidate(at, f"HDC/{aside.kept.position}", because="again")
    with pytest.raises(ReasonNeededError):
        bench.invalidate(at, f"HDC/{other.kept.position}", because=None)


def test_the_same_file_can_then_be_kept_of_the_right_jar_or_of_the_same(
    misfiled: At, file: Path
) -> None:
    for sample in (ROOM_A, T40_2W):
        (written,) = bench.log(
            misfiled("2026-03-22"), sample, [], photos=[str(file)], check="2w"
        )
        assert written.kind == "photographed"
    found = photographs.photographs(misfiled("2026-03-22"), "HDC")

    assert len({one.kept.name for one in found}) == 4


def test_the_report_leaves_it_out_of_the_strip_and_lists_it(
    misfiled: At, tmp_path: Path
) -> None:
    at = misfiled("2026-03-21")
    evaluate.report(at, "HDC", tmp_path / "r.pdf")
    evaluation = evaluate.evaluate(at, "HDC")

    assert (tmp_path / "r.pdf").read_bytes().count(b"/DCTDecode") == 1
    (remark,) = [one for one in evaluation.record.remarks if one.kind == "set aside"]
    assert remark.sample == T40_2W
    assert remark.text.startswith(f"photograph {T40_2W}_2w_2026-03-20_1.jpg set aside")
    assert remark.text.endswith(": it shows the jar at room")
    names = photographs.write_out(
        at, "HDC", photographs.photographs(at, "HDC"), tmp_path / "out"
    ).names
    assert names == (f"{ROOM_A}_2w_2026-03-20_1.jpg",)


def test_nothing_of_it_is_lost_on_the_way_through_an_archive(
    misfiled: At, tmp_path: Path
) -> None:
    at = misfiled("2026-03-21")
    other = replace(at, records=str(tmp_path / "other.db"))
    records.export(at, "HDC", tmp_path / "archive")
    records.import_(other, tmp_path / "archive")

    folder = tmp_path / "archive" / "photographs"
    aside = folder / "set_aside" / f"{T40_2W}_2w_2026-03-20_1.jpg"
    assert [one.name for one in folder.glob("*.jpg")] == [
        f"{ROOM_A}_2w_2026-03-20_1.jpg"
    ]
    (kept, _) = photographs.photographs(other, "HDC")
    assert kept.kept.invalidated is not None
    copies = photographs.copies_of(other, "HDC", [kept.kept.sha256])
    assert copies[kept.kept.sha256] == aside.read_bytes()
    assert records.verify(other, rebuild=True).holds
    aside.write_bytes(b"another")
    with pytest.raises(ViewDiffersError, match="set_aside"):
        records.import_(replace(at, records=str(tmp_path / "x.db")), aside.parents[2])


def test_a_version_before_would_refuse_the_entry_and_not_misread_it(
    misfiled: At,
) -> None:
    kinds = [
        one.kind
        for one in entries_of(misfiled("2026-03-21"), "HDC")
        if one.kind.startswith("invalidated")
    ]

    assert kinds == [content.INVALIDATED_PHOTOGRAPH] == ["invalidated/2"]
