"""Labels as a file, and what is said beside them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pdfplumber
import pytest

if TYPE_CHECKING:
    from pathlib import Path

    from tests.cli.conftest import Workspace


def texts(path: Path) -> list[str]:
    """Return the text of each page."""
    with pdfplumber.open(path) as document:
        return [page.extract_text() for page in document.pages]


def test_labels_are_written_with_their_sizes_told(workspace: Workspace) -> None:
    ran = workspace.run("labels", "TRK", "--out", "labels.pdf")
    (page,) = texts(workspace.folder / "labels.pdf")

    assert (ran.code, ran.out) == (0, "")
    assert all(code in page for code in workspace.codes.values())
    assert "labels of TRK" in ran.err
    assert "mm high" in ran.err
    assert "QR codes" in ran.err
    assert "actual size" in ran.err
    assert "record: study:TRK/1:" in ran.err


def test_labels_carry_the_anchor_of_the_record(workspace: Workspace) -> None:
    workspace.run("labels", "TRK", "--out", "labels.pdf")

    assert workspace.run("verify", "--against", "labels.pdf").code == 0


@pytest.mark.parametrize(
    ("limits", "uses"),
    [
        (("--condition", "t40"), ["T40"]),
        (("--use", "spare"), ["spare"]),
        (("--use", "reopened"), ["T40", "ROOM"]),
        (("--batch", "A", "--pack", "JAR"), ["T40", "ROOM", "spare"]),
    ],
)
def test_only_what_was_asked_for_is_printed(
    workspace: Workspace, limits: tuple[str, ...], uses: list[str]
) -> None:
    workspace.run("labels", "TRK", *limits, "--out", "labels.pdf")
    (page,) = texts(workspace.folder / "labels.pdf")

    assert {use for use, code in workspace.codes.items() if code in page} == set(uses)


def test_single_samples_are_named_as_at_the_bench(workspace: Workspace) -> None:
    wanted = [workspace.codes["T40"], workspace.codes["spare"]]
    typed = [code.removeprefix("TRK-").replace("-", "").lower() for code in wanted]
    workspace.run(
        "labels", "TRK", "--sample", typed[0], "--sample", typed[1], "--printer",
        "50x30", "--out", "labels.pdf",
    )  # fmt: skip
    pages = texts(workspace.folder / "labels.pdf")

    assert [page.splitlines()[0] for page in pages] == wanted


def test_a_sample_that_left_has_a_label_only_where_asked(workspace: Workspace) -> None:
    code = workspace.codes["T40"]
    workspace.run("retire", code, "broken", "--because", "dropped")
    workspace.run("labels", "TRK", "--out", "labels.pdf")
    alone = workspace.run("labels", "TRK", "--sample", code, "--out", "one.pdf")
    asked = workspace.run(
        "labels", "TRK", "--sample", code, "--retired", "--out", "one.pdf"
    )

    assert code not in texts(workspace.folder / "labels.pdf")[0]
    assert (alone.code, asked.code) == (2, 0)
    assert "--retired" in alone.err
    assert "left the study" in texts(workspace.folder / "one.pdf")[0]


def test_a_begun_sheet_is_used_from_its_first_free_label(workspace: Workspace) -> None:
    workspace.run("labels", "TRK", "--start-at", "20", "--out", "labels.pdf")
    first, second = texts(workspace.folder / "labels.pdf")

    assert [code in first for code in sorted(workspace.codes.values())] == [
        True, True, False,
    ]  # fmt: skip
    assert max(workspace.codes.values()) in second


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--sheet", "64x38"), "63.5x38.1"),
        (("--start-at", "22"), "there are labels 1 to 21"),
        (("--start-at", "0"), "there are labels 1 to 21"),
        (("--printer", "50x30", "--start-at", "2"), "there are labels 1 to 1"),
        (("--printer", "50x30", "--sheet", "70x37"), "Leave one of them out"),
        (("--printer", "wide"), "--printer 'wide'"),
        (("--use", "in use"), "no sample is in all that was asked for"),
        (("--condition", "T99"), "condition"),
        (("--sample", "TRK-001-X"), "check character"),
        (("--font", "none.ttf"), "none.ttf"),
    ],
)
def test_what_is_wrong_is_told_in_one_line_and_nothing_is_written(
    workspace: Workspace, arguments: tuple[str, ...], words: str
) -> None:
    ran = workspace.run("labels", "TRK", *arguments, "--out", "labels.pdf")

    assert (ran.code, ran.out) == (2, "")
    assert words in ran.err
    assert len(ran.err.splitlines()) == 1
    assert not (workspace.folder / "labels.pdf").exists()


def test_a_file_that_is_there_is_kept_unless_asked(workspace: Workspace) -> None:
    target = workspace.folder / "labels.pdf"
    target.write_bytes(b"mine")

    refused = workspace.run("labels", "TRK", "--out", "labels.pdf")
    kept = target.read_bytes()
    replaced = workspace.run("labels", "TRK", "--out", "labels.pdf", "--overwrite")

    assert (refused.code, replaced.code) == (2, 0), replaced.err
    assert kept == b"mine"
    assert target.read_bytes().startswith(b"%PDF")


def test_a_study_file_that_was_not_started_is_told_so(workspace: Workspace) -> None:
    ran = workspace.run("labels", "study.toml", "--out", "labels.pdf")

    assert ran.code == 2
    assert "stability start study.toml" in ran.err
