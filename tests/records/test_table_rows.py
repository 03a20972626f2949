"""Tables turned into rows: wide, long and typed say the same."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stability.errors.files import RowsError
from stability.model import content
from stability.records import observing
from stability.records.continuation import Continuation
from stability.records.event_rows import RowRules, add_rows
from stability.records.guards import checked_moment, resolve_sample
from stability.records.placing import PlacingWish, place
from stability.records.rows import Row
from stability.records.sheet_table import SheetTable, TableRow, read_csv
from stability.records.table_rows import TableRules, table_rows
from tests.records.small_study import (
    BULK_A,
    NOW,
    ROOM_A,
    ROOM_B,
    T40_2W,
    T40_4W,
    ZONE,
    add,
    opened_book,
)


@pytest.fixture
def book(tmp_path: Path) -> Continuation:
    """Return a study whose samples are in their places."""
    return placed(tmp_path)


def placed(folder: Path) -> Continuation:
    """Return a study whose samples are in their places since 12 March."""
    book = opened_book(folder)
    for code in (ROOM_A, ROOM_B, T40_2W, T40_4W):
        moment = checked_moment("2026-03-12", ZONE, NOW)
        (held, *_) = place(book.plan, code, PlacingWish(), moment)
        add(book, content.PLACED, held, "2026-03-12")
    return book


def rows(book: Continuation, text: str, rules: TableRules | None = None) -> list[Row]:
    """Return the rows of a text table."""
    table = read_csv(text, "day.csv")
    return list(table_rows(table, book.plan, rules or TableRules()))


def faults(book: Continuation, text: str, rules: TableRules | None = None) -> list[str]:
    """Return what is wrong with the rows of a text table, each with its place."""
    return [
        f"{row.where}: {fault}"
        for row in rows(book, text, rules)
        for fault in row.faults
    ]


def test_each_filled_cell_becomes_a_row_with_its_place(book: Continuation) -> None:
    found = rows(
        book,
        "sample,date,pH 1,pH 2,spread,pH.dilution,note\n"
        "005Y,2026-03-26,5.47,5.49,,10 %,lid loose\n"
        "009Q,2026-03-26,,,61,,\n",
    )

    assert [(row.where, row.cells) for row in found] == [
        (
            "line 2, column pH 1",
            {
                "sample": "005Y", "done": "2026-03-26", "attribute": "pH",
                "reading": "5.47/5.49", "settings": "pH.dilution=10 %",
            },
        ),
        (
            "line 2, column note",
            {
                "kind": "noted", "sample": "005Y", "done": "2026-03-26",
                "because": "lid loose",
            },
        ),
        (
            "line 3, column spread",
            {
                "sample": "009Q", "done": "2026-03-26", "attribute": "spread",
                "reading": "61",
            },
        ),
    ]  # fmt: skip


def test_an_empty_cell_is_not_recorded_and_never_zero(book: Continuation) -> None:
    assert rows(book, "sample,date,pH,spread\n005Y,2026-03-26,,\n") == []


def test_what_a_workbook_of_ours_prints_as_not_due_is_an_empty_cell(
    book: Continuation,
) -> None:
    text = "sample,date,pH,spread\n005Y,2026-03-26,not due,60\n"

    assert [row.cell("attribute") for row in rows(book, text)] == ["spread"]


def test_batch_pack_and_condition_name_a_sample(book: Continuation) -> None:
    text = "batch,pack,condition,date,check,pH\nB,JAR,ROOM,2026-03-26,,5.5\n"

    assert rows(book, text)[0].cell("sample") == ROOM_B


def test_a_fresh_container_is_named_by_its_check_or_its_day(
    book: Continuation,
) -> None:
    head = "batch,condition,date,check,pH\n"

    assert rows(book, f"{head}A,T40,2026-03-26,4w,5.5\n")[0].cell("sample") == T40_4W
    assert rows(book, f"{head}A,T40,2026-03-26,,5.5\n")[0].cell("sample") == T40_2W


def test_what_names_more_than_one_sample_is_refused_with_their_codes(
    book: Continuation,
) -> None:
    (fault,) = faults(book, "batch,condition,date,pH\nA,T40,2026-03-17,5.5\n")

    assert T40_2W in fault
    assert T40_4W in fault


def test_all_faults_of_all_rows_are_told_with_row_and_column(
    book: Continuation,
) -> None:
    found = faults(
        book,
        "sample,date,pH 1,pH 2,because,layer_mm\n"
        "005Y,2026-03-26,5.5,-,,\n"
        "005Y,2026-02-30x,5.5,,,\n"
        "005Y,,5.5,,,\n"
        "009Q,2026-03-26,5.5,,because I said so,\n"
        "009Q,2026-03-26,5.5,,,2\n",
    )

    assert [one.split(":")[0] for one in found] == [
        "line 2, column pH 1",
        "line 3", "line 4", "line 5", "line 6",
    ]  # fmt: skip
    for word, fault in zip(
        ["pH 2", "2026-02-30x", "date is empty", "because", "layer_mm"],
        found,
        strict=True,
    ):
        assert word in fault


def test_days_are_read_the_same_way_in_the_whole_column(book: Continuation) -> None:
    text = "sample,date,pH\n005Y,3/4/2026,5.5\n009Q,26/3/2026,5.5\n"

    assert [row.cell("done") for row in rows(book, text)] == [
        "2026-04-03",
        "2026-03-26",
    ]


def test_days_that_may_be_two_are_refused_with_the_first_ones_place(
    book: Continuation,
) -> None:
    text = "sample,date,pH\n005Y,4/4/2026,5.5\n009Q,3/4/2026,5.5\n"

    with pytest.raises(RowsError, match="line 3, column date"):
        rows(book, text)
    assert rows(book, text, TableRules(order="mdy"))[1].cell("done") == "2026-03-04"


def test_the_time_of_storing_cannot_be_told(book: Continuation) -> None:
    text = "sample,attribute,reading,entered\n005Y,pH,5.5,2026-03-05\n"

    (fault,) = faults(book, text)

    assert "column entered" in fault


def test_a_gap_between_observers_is_refused_unless_they_are_named(
    book: Continuation,
) -> None:
    head = "sample,date,odour 1,odour 2\n005Y,2026-03-26,"

    assert "name who observed" in faults(book, f"{head},0\n")[0]
    assert rows(book, f"{head},Ben:0\n")[0].cell("reading") == "Ben:0"


def test_a_cell_that_holds_a_day_is_no_reading(book: Continuation) -> None:
    table = SheetTable(
        "day.xlsx",
        "May",
        1,
        ("sample", "date", "pH"),
        (TableRow(2, ("005Y", "2026-03-26", "2026-06-05")),),
        dated=frozenset({(2, 1), (2, 2)}),
    )

    (row,) = table_rows(table, book.plan, TableRules())

    assert row.where == "sheet May, row 2, column C (pH)"
    assert "holds a day" in row.faults[0]


def test_what_holds_for_the_table_fills_what_a_row_leaves_out(
    book: Continuation,
) -> None:
    rules = TableRules(
        settings=("pH.dilution=10 %", "pH.electrode=E1"),
        facts={"observers": "Ana; Ben", "control": "005Y"},
    )
    text = "sample,date,pH,pH.electrode\n009Q,2026-03-26,5.5,E2\n"

    (row,) = rows(book, text, rules)

    assert row.cell("observers") == "Ana; Ben"
    assert row.several("settings") == [
        "pH.dilution=10 %", "pH.electrode=E2", "control=005Y",
    ]  # fmt: skip


# Wide, long and typed: the same content in the journal, whatever the way

#: One check of one sample: attribute -> reading as typed.
Check = Mapping[str, str]
CHECKS = st.fixed_dictionaries(
    {},
    optional={
        "pH": st.tuples(
            st.decimals("4.0", "7.0", places=2), st.decimals("4.0", "7.0", places=2)
        ).map(lambda pair: "/".join(map(str, pair))),
        "spread": st.integers(1, 99).map(str),
        "separation": st.sampled_from(["none", "droplets on surface", "layer", "0"]),
        "odour": st.sampled_from(["Ana:0/Ben:1", "Ben:2/Ana:as control"]),
        "swollen": st.sampled_from(["yes", "no"]),
        "w": st.decimals("60", "90", places=2).map(str),
        "w2": st.decimals("60", "90", places=2).map(str),
    },
)
SAMPLES = (ROOM_A, ROOM_B, T40_2W)


def log_rules(*, decimal_comma: bool = False) -> RowRules:
    """Return the rules under which a file is logged."""
    return RowRules(
        file="day.csv", person="Ana Reyes", account="ana", now=NOW,
        entered_is_done=False, decimal_comma=decimal_comma, accept_far=True,
        skips_stored=True,
    )  # fmt: skip


def wide(checks: Sequence[Check], *, comma: bool) -> str:
    """Write the checks as most makers keep them."""
    names = list(dict.fromkeys(name for one in checks for name in one))
    names = [name for name in names if name != "pH"]
    lines = [";".join(["sample", "date", "pH 1", "pH 2", *names, "pH.dilution"])]
    for code, check in zip(SAMPLES, checks, strict=True):
        first, _, second = check.get("pH", "").partition("/")
        cells = [first, second, *(check.get(name, "") for name in names)]
        if comma:
            cells = [cell.replace(".", ",") for cell in cells]
        lines.append(";".join([code, "26/3/2026", *cells, "10 %"]))
    return "\n".join(lines) + "\n"


def long(checks: Sequence[Check]) -> str:
    """Write the checks with one row a reading."""
    lines = ["sample,done,attribute,reading,settings"]
    for code, check in zip(SAMPLES, checks, strict=True):
        order = ["pH"] if "pH" in check else []
        for name in [*order, *(one for one in check if one != "pH")]:
            dilution = "pH.dilution=10 %" if name == "pH" else ""
            lines.append(f"{code},2026-03-26,{name},{check[name]},{dilution}")
    return "\n".join(lines) + "\n"


def typed(book: Continuation, checks: Sequence[Check]) -> None:
    """Type the checks sample by sample, as `log` does."""
    done = checked_moment("2026-03-26", ZONE, NOW)
    for code, check in zip(SAMPLES, checks, strict=True):
        sample = resolve_sample(book.plan, code)
        names = ["pH"] if "pH" in check else []
        names += [name for name in check if name != "pH"]
        readings = [f"{name}={check[name]}" for name in names]
        if not readings:
            continue
        facts = observing.bench_facts(None, settings={"pH": {"dilution": "10 %"}})
        check_name = observing.resolve_check(book, sample, None, done)
        for one in observing.observe(
            book, sample, check_name, readings, facts, done=done, accept_far=True
        ):
            book.add(
                content.OBSERVED, one.held, person="Ana Reyes", done=done, entered=NOW
            )


def key(line: str) -> str:
    """Return a line without its position, by which lines are sorted."""
    begin, _, end = line.partition('"position":')
    return begin + end.partition(",")[2]


@settings(
    max_examples=25,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(checks=st.lists(CHECKS, min_size=3, max_size=3), comma=st.booleans())
def test_wide_long_and_typed_give_the_same_entries(
    tmp_path: Path, checks: list[Check], comma: bool
) -> None:
    books = [placed(tmp_path) for _ in range(3)]
    before = len(books[0].added)
    rules = TableRules(decimal_comma=comma)

    typed(books[0], checks)
    add_rows(books[1], rows(books[1], long(checks)), log_rules())
    add_rows(
        books[2],
        rows(books[2], wide(checks, comma=comma), rules),
        log_rules(decimal_comma=comma),
    )

    by_typing, by_long, by_wide = (
        [one.line for one in book.added[before:]] for book in books
    )
    assert by_long == by_typing
    # Columns stand in the order of the header, so rows may come in another order.
    assert sorted(map(key, by_wide)) == sorted(map(key, by_typing))


def test_bulk_is_named_by_its_batch_alone(tmp_path: Path) -> None:
    book = opened_book(tmp_path)
    text = "batch,condition,date,pH\nA,,2026-03-05,5.5/5.5\n"

    assert rows(book, text)[0].cell("sample") == BULK_A


def test_a_title_above_and_a_line_below_take_no_part(book: Continuation) -> None:
    text = (
        "Heather day cream, batch A,,\n,,,\nsample,date,pH,Remarks\n"
        f"{ROOM_A},2026-03-26,5.41,\n,,,\nread by Ana,,,\n"
    )
    (row,) = rows(book, text)

    assert (row.line, row.cells["reading"]) == (4, "5.41")
    with pytest.raises(RowsError, match="line 1: 'Cream' is a title, and no header"):
        read_csv("Cream,,\nJar,Tag,pH\n1,2,3\n".replace("Jar", "Tiegel"), "day.csv")


def test_a_heading_may_state_a_setting_for_all_rows(book: Continuation) -> None:
    (row,) = rows(book, f"sample,date,pH (10%)\n{ROOM_A},2026-03-26,5.41\n")
    with pytest.raises(RowsError, match="the unit 5 % is not that of the attribute"):
        rows(book, f"sample,date,pH (5 %)\n{ROOM_A},2026-03-26,5.41\n")

    assert row.cells["settings"] == "pH.dilution=10 %"


def test_a_table_of_one_sample_needs_no_column_for_it(book: Continuation) -> None:
    told = TableRules(told={"sample": ROOM_A})
    wide_row, long_row = (
        rows(book, text, told)[0]
        for text in (
            "date,pH\n2026-03-26,5.41\n",
            "attribute,reading,date\npH,5.41,2026-03-26\n",
        )
    )

    assert wide_row.cells["sample"] == long_row.cells["sample"] == ROOM_A
    with pytest.raises(RowsError, match="column sample stands in the file"):
        rows(book, f"sample,date,pH\n{ROOM_B},2026-03-26,5.41\n", told)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("date,pH ROOM,pH T40\n2026-03-26,5,5\n", "give each sample a row"),
        ("sample,date,Weight (g)\nx,2026-03-26,80\n", r"w \[g\], before opening"),
        ("sample,date,Geruch\nx,2026-03-26,0\n", "known: pH, spread, separation"),
    ],
)
def test_columns_as_some_makers_keep_them_are_refused_with_the_way_out(
    book: Continuation, text: str, told: str
) -> None:
    with pytest.raises(RowsError, match=told):
        rows(book, text)


@pytest.mark.parametrize(
    ("cell", "told"),
    [
        ("8,240", "write it as 8240 or as 8.240, or add --decimal-comma"),
        ("1,008,240", "write it as 1008240"),
        ("5,47", "write 5.47"),
    ],
)
def test_a_comma_that_may_part_thousands_is_told_with_both_meanings(
    book: Continuation, cell: str, told: str
) -> None:
    (fault,) = faults(book, f'sample,date,spread\n{ROOM_A},2026-03-26,"{cell}"\n')

    assert told in fault


def test_a_year_of_two_digits_asks_for_the_order(book: Continuation) -> None:
    (fault,) = faults(book, f"sample,date,pH\n{ROOM_A},26.3.26,5.41\n")

    assert "its year has two digits; say the order with --dates" in fault
