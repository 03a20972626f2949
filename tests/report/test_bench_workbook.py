"""The bench workbook: its columns, its rules, and texts that stay texts."""

from __future__ import annotations

import io
from datetime import date
from decimal import Decimal

import pytest
from openpyxl import Workbook, load_workbook

from stability.model.attribute import Attribute, Setting
from stability.model.entry import Head
from stability.model.handling import Task
from stability.model.limit import Limit
from stability.model.schedule import PlannedCheck
from stability.model.sheet_day import SheetDay, SheetSample, SheetTask
from stability.report.bench_columns import columns_of, number_format
from stability.report.bench_rules import Words, put
from stability.report.bench_workbook import workbook_bytes
from tests.evaluation.builders import protocol, sample, study

DUE = date(2026, 3, 26)
PH = Attribute("pH", "measured", unit="pH", readings=3, resolution=Decimal("0.01"))
GLOSS = Attribute("gloss", "measured", unit="1", lowest_possible=Decimal(-2))
ODOUR = Attribute(
    "odour",
    "scored",
    scale=("as control", "changed, slightly", "=changed"),
    observers=2,
    extra=("where: on the lid or in the jar",),
    limit=Limit(highest="as control"),
)
LOSS = Attribute("weight_loss", "measured", unit="%", from_weights=True)


def day(*tasks: Task, product: str = "Heather day cream") -> SheetDay:
    """Return a day of one sample."""
    names = {one.attribute.name: one.attribute for one in tasks}
    return SheetDay(
        study=study("A", product=product),
        protocol=protocol(attributes=names),
        day=DUE,
        anchor=Head("study:HDC", 7, "0" * 64),
        samples=(
            SheetSample(
                sample("HDC-005-Y", "ROOM"),
                PlannedCheck("HDC-005-Y", "4w", DUE, DUE, DUE),
                tuple(SheetTask(one, None, "5.0 to 5.9") for one in tasks),
            ),
        ),
        facts=None,
        settings={"pH": {"dilution": "10 %"}},
        cautions=("Gloves.",),
    )


def headings(*tasks: Task) -> list[str]:
    """Return the headings of readings."""
    return [one.heading for one in columns_of(day(*tasks)) if not one.fact]


def test_each_reading_and_each_observer_has_a_column() -> None:
    assert headings(Task(PH, None, "measure")) == [
        "pH 1 [pH]",
        "pH 2 [pH]",
        "pH 3 [pH]",
    ]
    assert headings(Task(ODOUR, None, "look and smell")) == [
        "odour 1", "odour 2", "where",
    ]  # fmt: skip
    assert headings(Task(GLOSS, None, "measure")) == ["gloss"]


def test_weights_stand_before_and_after_everything_else() -> None:
    tasks = (
        Task(LOSS, "before", "weigh before opening"),
        Task(PH, None, "measure"),
        Task(LOSS, "after", "weigh after closing"),
    )

    assert [headings(*tasks)[0], headings(*tasks)[-1]] == ["w [g]", "w2 [g]"]


def test_what_the_instrument_tells_with_a_reading_has_a_column_beside_it() -> None:
    torque = {"torque": Setting("torque", "recorded")}
    viscosity = Attribute("viscosity", "measured", unit="mPa·s", settings=torque)

    assert headings(Task(viscosity, None, "measure")) == [
        "viscosity [mPa·s]",
        "viscosity.torque",
    ]


def test_a_torque_outside_its_band_is_warned_of_in_its_cell() -> None:
    torque = Setting("torque", "band", lowest=Decimal(10), highest=Decimal(100))
    settings = {"torque": torque}
    viscosity = Attribute("viscosity", "measured", unit="mPa·s", settings=settings)
    made = workbook_bytes([day(Task(viscosity, None, "measure"))])
    book = load_workbook(io.BytesIO(made))
    sheet = book.worksheets[0]
    (column,) = [
        cell.column_letter for cell in sheet[1] if cell.value == "viscosity.torque"
    ]
    rules = [
        one
        for one in sheet.data_validations.dataValidation
        if str(one.sqref).startswith(column)
    ]

    assert rules
    for rule in rules:
        assert (rule.type, rule.operator) == ("decimal", "between")
        assert (rule.formula1, rule.formula2) == ("10", "100")
        assert (rule.errorStyle, rule.showErrorMessage) == ("warning", True)
        assert "compares with no other" in rule.error
        assert "10 to 100" in rule.prompt


@pytest.mark.parametrize(
    ("step", "shown"),
    [("0.01", "0.00"), ("0.1", "0.0"), ("1", "0"), ("0.05", "0.00"), ("10", "0")],
)
def test_a_cell_shows_the_decimals_of_the_resolution(step: str, shown: str) -> None:
    made = Attribute("x", "measured", resolution=Decimal(step))

    assert number_format(made) == shown


def test_nothing_is_shown_as_fixed_where_no_resolution_is_known() -> None:
    assert number_format(GLOSS) == "General"


def test_texts_never_become_formulas() -> None:
    content = workbook_bytes(
        [day(Task(ODOUR, None, "look and smell"), product='=HYPERLINK("x")')]
    )

    book = load_workbook(io.BytesIO(content))
    kinds = {
        cell.data_type
        for sheet in book.worksheets
        for row in sheet.iter_rows()
        for cell in row
    }
    told = [cell.value for row in book["Day"].iter_rows() for cell in row]
    assert "f" not in kinds
    assert '=HYPERLINK("x") 1' in " ".join(map(str, told))
    assert "=changed" in told


def test_words_with_commas_can_be_chosen() -> None:
    # A list written into the rule itself would divide them at the comma.
    sheet = Workbook().create_sheet("Day")
    words = Words(sheet)

    assert words.of(ODOUR.scale) == "'Day'!$T$1:$T$3"
    assert words.of(ODOUR.scale) == "'Day'!$T$1:$T$3"
    assert words.of(("yes", "no")) == "'Day'!$U$1:$U$2"
    assert [sheet.cell(row, 20).value for row in (1, 2, 3)] == list(ODOUR.scale)


def test_the_sheet_says_how_it_is_read_back_and_what_is_dangerous() -> None:
    book = load_workbook(io.BytesIO(workbook_bytes([day(Task(PH, None, "measure"))])))

    told = " ".join(
        str(cell.value) for row in book["Day"].iter_rows() for cell in row if cell.value
    )
    for part in ("log --from", "Gloves.", "HDC pH.dilution", "study:HDC/7:000"):
        assert part in told
    assert "does not replace, assessment by a qualified safety assessor" in told
    assert book.sheetnames == ["HDC", "Day"]


def test_an_empty_text_leaves_the_cell_empty() -> None:
    cell = Workbook().create_sheet("Day").cell(1, 1)

    put(cell, "")

    assert cell.value is None
