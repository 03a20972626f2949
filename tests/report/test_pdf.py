"""Documents: whole, described, numbered, and the same bytes every time."""

from __future__ import annotations

import errno
import hashlib
import io
import os
import resource
import subprocess
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pypdf
import pytest
from reportlab.platypus import Flowable, PageBreak

from stability.errors.reports import (
    ReportDiskFullError,
    ReportFolderMissingError,
    ReportFolderReadOnlyError,
    ReportNotWrittenError,
    ReportPlaceTakenError,
)
from stability.report.attachments import Attachment
from stability.report.fonts import ReportFonts
from stability.report.pages import PageSetup, PdfDescription
from stability.report.pdf import pdf_bytes, write_pdf
from stability.report.styles import (
    ReportStyles,
    anchor_point,
    heading,
    link,
    marked_paragraph,
    paragraph,
)

Render = Callable[..., bytes]


def reader(content: bytes) -> pypdf.PdfReader:
    """Read a document strictly."""
    return pypdf.PdfReader(io.BytesIO(content), strict=True)


def three_pages(styles: ReportStyles) -> list[Flowable]:
    """Return a story with an outline over three pages."""
    return [
        *heading("First & <last>", 1, styles),
        *heading("Below", 2, styles),
        PageBreak(),
        paragraph("middle", styles.body, styles),
        PageBreak(),
        *heading("Second", 1, styles, anchor="second"),
    ]


def test_each_page_says_its_number_and_how_many_there_are(
    styles: ReportStyles, pages: Callable[..., list[str]]
) -> None:
    setup = PageSetup("Heather & <i>", "as of 2026-11-25", "A note on each page.")

    texts = pages(three_pages(styles), page=setup)

    assert len(texts) == 3
    for number, text in enumerate(texts, start=1):
        assert f"page {number} of 3" in text
        assert "A note on each page." in text
        assert "Heather & <i>" in text
        assert "as of 2026-11-25" in text


def test_a_note_too_long_for_its_line_is_shortened(
    styles: ReportStyles, pages: Callable[..., list[str]]
) -> None:
    setup = PageSetup("left " * 60, "right " * 60, "note " * 100)

    text = pages([paragraph("x", styles.body, styles)], page=setup)[0]

    assert text.count("…") == 3


def test_a_page_may_be_drawn_on(styles: ReportStyles, render: Render) -> None:
    seen: list[tuple[int, int]] = []
    setup = PageSetup(
        numbered=False, drawing=lambda _, page, pages: seen.append((page, pages))
    )

    render(three_pages(styles), page=setup)

    assert seen == [(1, 3), (2, 3), (3, 3)]


def test_headings_stand_in_the_outline_with_their_page(
    styles: ReportStyles, render: Render
) -> None:
    document = reader(render(three_pages(styles)))
    outline: Any = document.outline
    first, (below,), second = outline

    places = [
        (entry["/Title"], document.get_destination_page_number(entry))
        for entry in (first, below, second)
    ]
    assert places == [("First & <last>", 0), ("Below", 0), ("Second", 2)]


def test_links_lead_to_their_anchor(styles: ReportStyles, render: Render) -> None:
    story = [
        marked_paragraph(link("see <there>", "place", styles), styles.body),
        PageBreak(),
        marked_paragraph(anchor_point("place") + "here", styles.body),
    ]

    document = reader(render(story))
    annotations: Any = document.pages[0]["/Annots"]
    destination = annotations[0].get_object()["/Dest"]

    assert destination[0] == document.pages[1].indirect_reference
    assert "see <there>" in document.pages[0].extract_text()


def test_a_link_to_nowhere_is_a_broken_contract(
    styles: ReportStyles, render: Render
) -> None:
    with pytest.raises(Exception, match="nowhere"):
        render([marked_paragraph(link("x", "nowhere", styles), styles.body)])


def test_the_document_says_what_it_is(
    styles: ReportStyles, kana_fonts: ReportFonts
) -> None:
    about = PdfDescription(
        title="Cream <b> שלום クリーム",
        author="Ann & Bo",
        subject="Stability",
        moment=datetime.fromisoformat("2026-11-25T10:15:00+02:00"),
        language="en-IE",
        creator="stability 0.1",
        keywords=("cream", "pH"),
        entries=(("RecordPosition", "HDC/123"), ("RecordDigest", "ab" * 32)),
    )

    document = reader(pdf_bytes(three_pages(styles), about, PageSetup(), kana_fonts))
    told: Any = document.metadata

    assert told["/Title"] == "Cream <b> שלום クリーム"
    assert told["/Author"] == "Ann & Bo"
    assert told["/Subject"] == "Stability"
    assert told["/Creator"] == "stability 0.1"
    assert told["/Keywords"] == "cream, pH"
    assert told["/RecordPosition"] == "HDC/123"
    assert told["/RecordDigest"] == "ab" * 32
    assert told["/CreationDate"] == told["/ModDate"] == "D:20261125081500+00'00'"
    assert str(document.root_object["/Lang"]) == "en-IE"


def test_a_moment_without_offset_is_a_broken_contract(
    styles: ReportStyles, kana_fonts: ReportFonts
) -> None:
    moment = datetime(2026, 11, 25)  # noqa: DTZ001 -- the fault under test
    about = PdfDescription("t", "a", "s", moment)

    with pytest.raises(ValueError, match="offset"):
        pdf_bytes(three_pages(styles), about, PageSetup(), kana_fonts)


def test_every_font_is_embedded_and_none_is_foreign(
    styles: ReportStyles, render: Render
) -> None:
    story = [
        *three_pages(styles),
        paragraph("クリーム", styles.body, styles),
    ]

    fonts: dict[str, Any] = {}
    for page in reader(render(story)).pages:
        resources: Any = page["/Resources"]
        for font in resources["/Font"].values():
            fonts[font.get_object()["/BaseFont"]] = font.get_object()

    families = {name.split("+")[1] for name in fonts}
    assert families == {"DejaVuSans", "DejaVuSans-Bold", "Squares"}
    assert all("/FontFile2" in font["/FontDescriptor"] for font in fonts.values())


def test_attachments_come_back_unchanged(styles: ReportStyles, render: Render) -> None:
    files = {
        "b.csv": b"a,b\n1,2\n",
        "a.bin": bytes(range(256)) * 40,
        "empty.txt": b"",
        "foto クリーム.txt": b"x",
    }
    attachments = [
        Attachment(name, content, "text/csv", f"All of {name}")
        for name, content in files.items()
    ]

    document = reader(render(three_pages(styles), attachments=attachments))

    assert {name: found[0] for name, found in document.attachments.items()} == files
    first = next(document.attachment_list)
    assert first.subtype == "/text#2Fcsv"  # a name object writes its slash so
    assert first.description == "All of a.bin"
    assert first.checksum == hashlib.md5(files["a.bin"]).digest()  # noqa: S324 -- the format asks for MD5


def test_two_attachments_of_one_name_are_a_broken_contract(
    styles: ReportStyles, render: Render
) -> None:
    twice = [Attachment("a", b"", "text/csv"), Attachment("a", b"", "text/csv")]

    with pytest.raises(ValueError, match="one name"):
        render(three_pages(styles), attachments=twice)


SAME_BYTES = """
import sys
from datetime import UTC, datetime
from pathlib import Path

from stability.report.attachments import Attachment
from stability.report.fonts import load_fonts
from stability.report.pages import PageSetup, PdfDescription
from stability.report.panels import AgeAxis, LimitLine, Panel, PanelPoint, PanelSeries
from stability.report.pdf import write_pdf
from stability.report.plotting import drift_figure
from stability.report.renderer import FigureFlowable
from stability.report.styles import heading, note_box, paragraph, report_styles
from stability.report.tables import Column, Mark, record_table

fonts = load_fonts(Path(sys.argv[1]))
styles = report_styles(fonts)
points = tuple(PanelPoint(age, 5.5 - age / 20) for age in (0, 4, 8, 12))
panel = Panel(
    "40 °C", "pH", (PanelSeries("クリーム", 0, points),),
    (LimitLine(5, "lower limit 5.00", "below"),),
)
axis = AgeAxis((0, 4, 8, 12), ("T0", "4w", "8w", "12w"))
rows = [[str(n), Mark("outside", "■", strong=True), "שלום " * n] for n in range(60)]
columns = [Column("n"), Column("mark"), Column("note")]
story = [
    *heading("Chapter", 1, styles),
    note_box("Note", "text", styles),
    paragraph("شامبو", styles.body, styles),
    record_table(columns, rows, styles),
    FigureFlowable(drift_figure([panel, panel], axis), fonts),
]
write_pdf(
    Path(sys.argv[2]),
    story,
    PdfDescription("t", "a", "s", datetime(2026, 11, 25, 9, 15, tzinfo=UTC)),
    PageSetup("left", "right", "note"),
    fonts,
    attachments=[Attachment("a.csv", b"1", "text/csv")],
)
"""


def test_two_processes_write_the_same_bytes(tmp_path: Path, kana_file: Path) -> None:
    settings = [
        {
            "PYTHONHASHSEED": "1",
            "TZ": "Asia/Tokyo",
            "LC_ALL": "C",
            "SOURCE_DATE_EPOCH": "5",
        },
        {
            "PYTHONHASHSEED": "2",
            "TZ": "America/Lima",
            "LC_ALL": "C.UTF-8",
            "RL_invariant": "1",
            "RL_useA85": "1",
            "RL_pdfComments": "1",
        },
    ]
    (tmp_path / "matplotlibrc").write_text("lines.linewidth: 9\nfont.size: 20\n")
    written = []
    for number, setting in enumerate(settings):
        target = tmp_path / f"{number}.pdf"
        subprocess.run(
            [sys.executable, "-c", SAME_BYTES, kana_file, target],
            env={
                **os.environ,
                "PYTHONPATH": os.pathsep.join(path for path in sys.path if path),
                **setting,
            },
            # the second process finds settings of the user's in its folder
            cwd=tmp_path if number else Path.cwd(),
            check=True,
        )
        written.append(target.read_bytes())

    assert written[0] == written[1]
    assert b"20261125091500" in written[0]


def test_one_process_writes_the_same_bytes_twice(
    styles: ReportStyles, render: Render
) -> None:
    assert render(three_pages(styles)) == render(three_pages(styles))


def test_other_content_has_another_identifier(
    styles: ReportStyles, render: Render
) -> None:
    one = reader(render([paragraph("one", styles.body, styles)]))
    other = reader(render([paragraph("other", styles.body, styles)]))

    assert one.trailer["/ID"] != other.trailer["/ID"]


@pytest.fixture
def write(
    styles: ReportStyles, description: PdfDescription, kana_fonts: ReportFonts
) -> Callable[[Path], None]:
    """Return a function that writes a small document."""

    def make(target: Path) -> None:
        story = [paragraph("x", styles.body, styles)]
        write_pdf(target, story, description, PageSetup(), kana_fonts)

    return make


def test_an_older_file_is_replaced_and_nothing_else_is_left(
    tmp_path: Path, write: Callable[[Path], None]
) -> None:
    target = tmp_path / "report.pdf"
    target.write_text("older")

    write(target)

    assert target.read_bytes().startswith(b"%PDF")
    assert list(tmp_path.iterdir()) == [target]


def test_a_missing_folder_is_named(
    tmp_path: Path, write: Callable[[Path], None]
) -> None:
    with pytest.raises(ReportFolderMissingError, match="no folder"):
        write(tmp_path / "none" / "report.pdf")


def test_a_folder_is_not_overwritten(
    tmp_path: Path, write: Callable[[Path], None]
) -> None:
    with pytest.raises(ReportPlaceTakenError, match="is a folder"):
        write(tmp_path)


@pytest.mark.parametrize(
    ("fault", "error"),
    [
        (errno.ENOSPC, ReportDiskFullError),
        (errno.EDQUOT, ReportDiskFullError),
        (errno.EACCES, ReportFolderReadOnlyError),
        (errno.EROFS, ReportFolderReadOnlyError),
        (errno.EIO, ReportNotWrittenError),
    ],
)
def test_a_refusal_of_the_system_leaves_the_older_file(
    tmp_path: Path,
    write: Callable[[Path], None],
    monkeypatch: pytest.MonkeyPatch,
    fault: int,
    error: type[Exception],
) -> None:
    target = tmp_path / "report.pdf"
    target.write_text("older")

    def refuse(_: int) -> None:
        raise OSError(fault, os.strerror(fault))

    monkeypatch.setattr(os, "fsync", refuse)
    with pytest.raises(error):
        write(target)

    assert target.read_text() == "older"
    assert list(tmp_path.iterdir()) == [target]


def test_a_full_disk_is_told(tmp_path: Path, write: Callable[[Path], None]) -> None:
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (1000, hard))
    try:
        with pytest.raises(ReportDiskFullError, match="full"):
            write(tmp_path / "report.pdf")
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))

    assert list(tmp_path.iterdir()) == []


def test_a_link_planted_beside_the_target_is_not_followed(
    tmp_path: Path, write: Callable[[Path], None]
) -> None:
    other = tmp_path / "other"
    other.write_text("kept")
    (tmp_path / f".report-{os.getpid()}.part").symlink_to(other)

    with pytest.raises(ReportNotWrittenError):
        write(tmp_path / "report.pdf")

    assert other.read_text() == "kept"


def test_long_documents_grow_in_proportion(
    styles: ReportStyles, render: Render
) -> None:
    story = [
        flowable
        for number in range(120)
        for flowable in (paragraph(str(number), styles.body, styles), PageBreak())
    ]

    document = reader(render(story))

    assert len(document.pages) == 120
    assert "page 120 of 120" in document.pages[119].extract_text()
