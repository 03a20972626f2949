"""A figure as a file: whole or not at all, the same bytes, its origin inside."""

from __future__ import annotations

import io
import os
import subprocess
import sys
import warnings
from pathlib import Path

import pdfplumber
import pypdf
import pytest
from matplotlib.font_manager import fontManager
from matplotlib.image import imread

from stability.errors.reports import (
    FigureEndingError,
    FigureNotWrittenError,
    FigureTooTallError,
)
from stability.model.program import program_name
from stability.report import figure_file
from stability.report.figure_file import ENDINGS, write_figure
from stability.report.outlook_drift import drift_panels
from stability.report.outlook_panels import OutlookPanel
from tests.evaluation.builders import measured
from tests.report.conftest import KANA, square_font
from tests.report.outlooks import long_study
from tests.report.printed import FOLDERS, evaluated

ROOT = Path(__file__).parents[2]
PH_AT_ROOM = ("pH", "ROOM", "PUMP", "batch B")


def ph_panels() -> list[OutlookPanel]:
    """Return the panels of one series of an example."""
    evaluation = evaluated("day_cream")
    return drift_panels(evaluation, [measured(evaluation, *PH_AT_ROOM)])


def write(target: Path) -> bytes:
    """Write the figure of one series and return the file."""
    write_figure(evaluated("day_cream"), "drift", ph_panels(), target)
    return target.read_bytes()


def test_a_pdf_says_whose_it_is_and_where_the_record_stands(tmp_path: Path) -> None:
    content = write(tmp_path / "drift.pdf")
    identity = evaluated("day_cream").identity

    with pdfplumber.open(io.BytesIO(content)) as document:
        text = " ".join(
            " ".join(page.extract_text() for page in document.pages).split()
        )

    for words in (
        "study QDC · drift",
        "as of 2026-09-30",
        f"record study:QDC/{identity.head.position}",
        identity.head.digest,
        "supports and does not replace assessment by a qualified safety assessor",
        "asked for: 24 months",
        "lowest: initial − 0.5",
        "thin: two-sided 95 % band of the line",
        "line meets initial − 0.5 at 41.8",
        "(36.7 to 48.6)",
    ):
        assert words in text


def test_a_pdf_carries_the_anchor_for_verify(tmp_path: Path) -> None:
    content = write(tmp_path / "drift.pdf")
    information = pypdf.PdfReader(io.BytesIO(content)).metadata

    assert information is not None
    anchors = str(information["/StabilityAnchors"])
    assert anchors == str(evaluated("day_cream").identity.head)


def test_a_png_is_an_image_with_its_note_inside(tmp_path: Path) -> None:
    target = tmp_path / "drift.PNG"
    content = write(target)

    assert content.startswith(b"\x89PNG")
    assert imread(target, format="png").shape[1] == pytest.approx(482 / 72 * 200, abs=2)
    assert evaluated("day_cream").identity.head.digest.encode() in content
    assert b"qualified safety assessor" in content
    assert b"Software\x00" + program_name().encode() in content


def test_an_svg_holds_every_word_as_outlines(tmp_path: Path) -> None:
    text = write(tmp_path / "drift.svg").decode()

    assert "<!-- asked for: 24 months -->" in text
    assert "<!-- lowest: initial − 0.5 -->" in text
    assert "qualified safety assessor" in text
    assert "<text" not in text
    assert f"<dc:title>{program_name()}</dc:title>" in text


def test_letters_without_a_font_print_as_code_points(tmp_path: Path) -> None:
    evaluation = long_study(["夜", "B"])
    panels = drift_panels(evaluation, evaluation.measured)

    write_figure(evaluation, "drift", panels, tmp_path / "drift.svg")

    assert "[U+591C]" in (tmp_path / "drift.svg").read_text(encoding="utf-8")


def drawn_in(ending: str, tmp_path: Path, font: Path | None) -> bytes:
    """Return the figure of a study whose first batch is named in Japanese."""
    evaluation = long_study(["クリーム", "B"])
    panels = drift_panels(evaluation, evaluation.measured)
    target = tmp_path / f"{'plain' if font is None else 'named'}{ending}"
    write_figure(evaluation, "drift", panels, target, font=font)
    return target.read_bytes()


@pytest.mark.parametrize("ending", ENDINGS)
def test_a_font_that_is_named_draws_its_letters(
    ending: str, tmp_path: Path, kana_file: Path, caplog: pytest.LogCaptureFixture
) -> None:
    known = list(fontManager.ttflist)

    with warnings.catch_warnings():
        warnings.simplefilter("error")  # of a missing glyph, the library warns
        named = drawn_in(ending, tmp_path, kana_file)

    assert named != drawn_in(ending, tmp_path, None)
    assert fontManager.ttflist == known
    assert caplog.records == []
    if ending == ".svg":
        assert "<!-- クリーム" in named.decode()
        assert "[U+30AF]" not in named.decode()
    if ending == ".pdf":
        with pdfplumber.open(io.BytesIO(named)) as document:
            assert "クリーム" in document.pages[0].extract_text()


def test_a_font_that_calls_itself_like_ours_takes_no_letter_of_it(
    tmp_path: Path, kana_file: Path
) -> None:
    other = square_font(tmp_path / "other.ttf", f"{KANA}ageB", "DejaVu Sans")

    assert drawn_in(".png", tmp_path, other) == drawn_in(".png", tmp_path, kana_file)


def test_two_processes_write_the_same_bytes(tmp_path: Path) -> None:
    script = (
        "import sys; from stability.cli.main import run\n"
        "for ending in sys.argv[2:]: run(['drift', sys.argv[1], '--as-of', "
        "'2026-09-30', '--attribute', 'pH', '--figure', 'drift' + ending])"
    )
    for seed, zone in (("1", "Pacific/Auckland"), ("99", "UTC")):
        (tmp_path / seed).mkdir()
        subprocess.run(
            [sys.executable, "-c", script, str(FOLDERS / "plain_lotion"), *ENDINGS],
            cwd=tmp_path / seed,
            env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONHASHSEED": seed,
                 "TZ": zone, "SOURCE_DATE_EPOCH": seed},
            stdout=subprocess.DEVNULL,
            check=False,
        )  # fmt: skip

    for ending in ENDINGS:
        first, second = (tmp_path / one / f"drift{ending}" for one in ("1", "99"))
        assert first.read_bytes() == second.read_bytes()


@pytest.mark.parametrize("name", ["drift.jpg", "drift", "drift.pdf.txt"])
def test_another_ending_is_refused_by_name(name: str, tmp_path: Path) -> None:
    with pytest.raises(FigureEndingError, match=name):
        write(tmp_path / name)

    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(FigureNotWrittenError, match=r"none.drift\.svg"):
        write(tmp_path / "none" / "drift.svg")


def test_nothing_half_written_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "drift.svg"
    target.write_bytes(b"mine")

    def refuse(_part: Path, _target: Path) -> Path:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", refuse)
    with pytest.raises(FigureNotWrittenError, match="No space left"):
        write(target)

    assert [one.name for one in tmp_path.iterdir()] == ["drift.svg"]
    assert target.read_bytes() == b"mine"


def test_more_panels_than_an_image_holds_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(figure_file, "_TALLEST", 400)  # 200 panels take long to draw
    panels = [OutlookPanel("pH", "pH", ())] * 3

    with pytest.raises(FigureTooTallError, match="3"):
        write_figure(evaluated("day_cream"), "drift", panels, tmp_path / "drift.png")
    write_figure(evaluated("day_cream"), "drift", panels, tmp_path / "drift.pdf")

    assert [one.name for one in tmp_path.iterdir()] == ["drift.pdf"]
