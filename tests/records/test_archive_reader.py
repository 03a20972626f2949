"""What comes in an archive is verified before anything is done with it."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stability.errors import StabilityError
from stability.errors.archives import (
    ArchiveAttachmentError,
    ArchiveChainError,
    JournalFileError,
    NewerKindError,
    NoArchiveError,
)
from stability.errors.files import NewerFormatError
from stability.model.entry import Draft, Entry, chain, link
from stability.model.plain_text import refused_character
from stability.records.archive import write_archive
from stability.records.archive_reader import (
    differing_views,
    is_archive,
    read_archive,
    read_attachment,
    read_journal,
)
from stability.records.attachment import attachment_of

Drafts = Callable[..., list[Draft]]
LOGGER = attachment_of(b"time;temperature\n", "../../logger.csv", "text/csv")
TEXTS = st.text().filter(lambda text: refused_character(text) is None)


@pytest.fixture
def entries(drafts: Drafts) -> tuple[Entry, ...]:
    return chain([*drafts(3), *drafts(2, "place:OVEN-7KQ4")])


@pytest.fixture
def folder(tmp_path: Path, entries: tuple[Entry, ...]) -> Path:
    """Return an archive of five entries, an attachment and two views."""
    views: dict[str, str | bytes] = {
        "study.toml": "format = 1\n",
        "storage/OVEN.csv": b"\xff",
    }
    write_archive(tmp_path / "HDC", entries, [LOGGER], views)
    return tmp_path / "HDC"


def lines_of(folder: Path) -> list[str]:
    return (folder / "journal.jsonl").read_text("utf-8").splitlines()


def rewrite(folder: Path, lines: list[str]) -> None:
    text = "".join(f"{line}\n" for line in lines)
    (folder / "journal.jsonl").write_text(text, "utf-8")


def test_an_archive_is_read_as_it_was_written(
    folder: Path, entries: tuple[Entry, ...]
) -> None:
    read = read_archive(folder)

    assert is_archive(folder)
    assert read.entries == entries
    assert read.files == (LOGGER.file,)
    assert read_attachment(read, LOGGER.file) == LOGGER
    assert read.views == {"study.toml": b"format = 1\n", "storage/OVEN.csv": b"\xff"}


@settings(
    max_examples=40,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(texts=st.lists(TEXTS, min_size=1, max_size=5))
def test_any_text_comes_back_line_for_line(
    tmp_path_factory: pytest.TempPathFactory, texts: list[str]
) -> None:
    entries = chain(
        Draft(
            "study:HDC", "noted/1", "Ana", "2026-03-02", "2026-03-02T09:00:00Z",
            {"text": text},
        )
        for text in texts
    )  # fmt: skip
    folder = tmp_path_factory.mktemp("any") / "HDC"
    write_archive(folder, entries, [], {})

    assert read_archive(folder).entries == entries


def test_a_view_that_differs_is_named(folder: Path) -> None:
    read = read_archive(folder)
    same: dict[str, str | bytes] = {
        "study.toml": "format = 1\n",
        "storage/OVEN.csv": b"\xff",
        "not/there.csv": "x",
    }

    assert differing_views(read, same) == ()
    assert differing_views(read, same | {"study.toml": "format = 1"}) == ("study.toml",)


def test_files_of_others_in_the_folder_are_no_views_of_ours(folder: Path) -> None:
    (folder / ".DS_Store").write_bytes(b"x")
    (folder / "remarks.txt").write_text("mine")
    (folder / "link.toml").symlink_to("/etc/passwd")

    read = read_archive(folder)

    assert set(read.views) == {"study.toml", "storage/OVEN.csv", "remarks.txt"}
    assert differing_views(read, {"study.toml": "format = 1\n"}) == ()


# What does not hold


@pytest.mark.parametrize("place", [1, 2, 3])
def test_a_removed_line_is_refused_with_its_place(folder: Path, place: int) -> None:
    lines = lines_of(folder)
    del lines[place]
    rewrite(folder, lines)

    if place == 3:
        assert len(read_journal(folder / "journal.jsonl")) == 4
        return
    with pytest.raises(ArchiveChainError, match=rf"journal\.jsonl:{place + 1}: entry"):
        read_archive(folder)


def test_a_changed_line_is_refused_with_its_place(folder: Path) -> None:
    lines = lines_of(folder)
    lines[2] = lines[2].replace("note 1", "note 9")
    rewrite(folder, lines)

    with pytest.raises(ArchiveChainError, match=r":3: entry 2 of study:HDC"):
        read_archive(folder)


def test_lines_that_change_places_are_refused(folder: Path) -> None:
    lines = lines_of(folder)
    lines[1], lines[2] = lines[2], lines[1]
    rewrite(folder, lines)

    with pytest.raises(ArchiveChainError, match=r":2: entry 1 of study:HDC"):
        read_archive(folder)


def test_a_line_for_another_place_is_refused_even_with_a_fitting_digest(
    folder: Path, entries: tuple[Entry, ...]
) -> None:
    line = entries[2].line.replace('"position":3', '"position":4')
    forged = {"digest": link(entries[1].digest, line), "line": line}
    lines = lines_of(folder)
    lines[3] = json.dumps(forged)
    rewrite(folder, lines)

    with pytest.raises(ArchiveChainError, match=r":4: entry 3 of study:HDC"):
        read_archive(folder)


@pytest.mark.parametrize(
    ("first", "fault"),
    [
        ("", NoArchiveError),
        ("format = 1", NoArchiveError),
        ("[1]", NoArchiveError),
        ('{"format":"1"}', NoArchiveError),
        ('{"format":true}', NoArchiveError),
        ('{"format":0}', NoArchiveError),
        ('{"format":1,"format":1}', NoArchiveError),
        ('{"format":1,"more":1}', NoArchiveError),
        ('{"format":2}', NewerFormatError),
        ('{"format":2,"more":1}', NewerFormatError),
    ],
)
def test_the_first_line_states_the_format(
    folder: Path, first: str, fault: type[StabilityError]
) -> None:
    rewrite(folder, [first, *lines_of(folder)[1:]])

    with pytest.raises(fault, match=r"journal\.jsonl"):
        read_archive(folder)


@pytest.mark.parametrize(
    "line",
    [
        "", "x", "[]", "{}", '{"digest":"a"}', '{"digest":1,"line":"x"}',
        '{"digest":"a","line":"x"}', '{"digest":"a","line":"{}","more":1}',
        '{"digest":"a","digest":"b","line":"x"}', '{"digest":"a","line":null}',
    ],
)  # fmt: skip
def test_a_line_that_is_no_entry_is_refused_with_its_place(
    folder: Path, line: str
) -> None:
    lines = lines_of(folder)
    lines[3] = line
    rewrite(folder, lines)

    with pytest.raises(JournalFileError, match=r"journal\.jsonl:4: "):
        read_archive(folder)


def test_what_is_no_archive_is_told(tmp_path: Path, folder: Path) -> None:
    with pytest.raises(NoArchiveError, match=r"no journal\.jsonl"):
        read_archive(tmp_path)
    rewrite(folder, ['{"format":1}'])
    with pytest.raises(NoArchiveError, match="no entry"):
        read_archive(folder)
    (folder / "journal.jsonl").write_bytes(b'{"format":1}\n\xff\n')
    with pytest.raises(NoArchiveError, match="UTF-8"):
        read_archive(folder)


def test_a_journal_that_is_a_link_is_not_followed(tmp_path: Path, folder: Path) -> None:
    (tmp_path / "other").mkdir()
    (tmp_path / "other/journal.jsonl").symlink_to(folder / "journal.jsonl")

    with pytest.raises(NoArchiveError):
        read_archive(tmp_path / "other")


def test_a_kind_that_only_a_newer_version_knows_is_refused(
    tmp_path: Path, drafts: Drafts
) -> None:
    newer = [*drafts(1), replace(drafts(1)[0], kind="noted/2")]
    write_archive(tmp_path / "HDC", chain(newer), [], {})

    assert len(read_archive(tmp_path / "HDC").entries) == 2
    with pytest.raises(NewerKindError, match=r":3: .*noted/2"):
        read_archive(tmp_path / "HDC", kinds={"noted/1"})


def test_changed_or_missing_attachments_are_refused(folder: Path) -> None:
    kept = folder / "attachments" / LOGGER.file.sha256
    read = read_archive(folder)
    kept.write_bytes(b"other")
    with pytest.raises(ArchiveAttachmentError, match="not as it was received"):
        read_attachment(read, LOGGER.file)
    kept.unlink()
    with pytest.raises(ArchiveAttachmentError, match="missing"):
        read_archive(folder)


@pytest.mark.parametrize("name", ["x", "0" * 63, "0" * 65, "A" * 64])
def test_an_attachment_of_another_name_is_refused(folder: Path, name: str) -> None:
    (folder / "attachments" / name).write_bytes(b"x")

    with pytest.raises(ArchiveAttachmentError, match="no attachment of ours"):
        read_archive(folder)


def test_an_attachment_that_is_a_link_is_refused(folder: Path) -> None:
    (folder / "attachments" / ("0" * 64)).symlink_to("/etc/passwd")

    with pytest.raises(ArchiveAttachmentError, match="no attachment of ours"):
        read_archive(folder)


@pytest.mark.parametrize(
    "changes",
    [
        {"sha256": "../../x"},
        {"sha256": 1},
        {"name": None},
        {"size": -1},
        {"size": "x"},
        {"size": True},
        {"name": "a\x00b"},
        {"more": 1},
    ],
)
def test_a_list_of_attachments_that_is_none_of_ours_is_refused(
    folder: Path, changes: dict[str, Any]
) -> None:
    path = folder / "attachments.jsonl"
    path.write_text(json.dumps(json.loads(path.read_text()) | changes))

    with pytest.raises(JournalFileError, match="names no attachment"):
        read_archive(folder)


def test_attachments_without_their_list_have_their_digest_for_a_name(
    folder: Path,
) -> None:
    (folder / "attachments.jsonl").unlink()
    (file,) = read_archive(folder).files

    assert (file.name, file.size) == (LOGGER.file.sha256, LOGGER.file.size)


@settings(
    max_examples=150,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(cut=st.data())
def test_no_change_of_bytes_brings_more_than_a_message(
    folder: Path, entries: tuple[Entry, ...], cut: st.DataObject
) -> None:
    whole = (folder / "journal.jsonl").read_bytes()
    place = cut.draw(st.integers(0, len(whole) - 1))
    other = cut.draw(st.binary(max_size=3))
    length = cut.draw(st.integers(0, 3))
    broken = folder / "broken.jsonl"
    broken.write_bytes(whole[:place] + other + whole[place + length :])

    said = "broken.jsonl"
    read: tuple[Entry, ...] = ()
    try:
        read = read_journal(broken)
    except StabilityError as error:
        said = str(error)

    assert "broken.jsonl" in said
    assert read == entries[: len(read)]
