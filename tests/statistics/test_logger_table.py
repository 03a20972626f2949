"""Columns of a logger's file, each read as one."""

from __future__ import annotations

import numpy as np
import pytest

from stability.errors.storage import LoggerFileError, LoggerTooShortError
from stability.model.logger_form import DeclaredForm
from stability.statistics.logger_file import read_logger
from stability.statistics.logger_table import cells_of, decoded
from tests.statistics.loggers import every, read, table


def test_blanks_around_cells_are_no_part_of_them() -> None:
    found, form = read(table([" 2026-03-02 9:00 , 20", "2026-03-02 10:00, 21 "]))

    cells = cells_of(table([" 2026-03-02 9:00 , 20"]), form, "a.csv")
    assert cells.times.tolist() == [b"2026-03-02 9:00"]
    assert found.celsius.tolist() == [20, 21]


def test_a_word_among_numbers_is_no_number() -> None:
    content = every(60, [20, 21])
    _, form = read(content)

    cells = cells_of(content + b"2026-03-02 11:00,ERR\n", form, "a.csv")
    assert np.isnan(cells.temperature[-1])


def test_a_file_that_lost_its_column_is_refused() -> None:
    content = every(60, [20, 21])
    _, form = read(content)

    with pytest.raises(LoggerFileError, match="no column temperature"):
        read_logger(content.replace(b"temperature", b"other"), "a.csv", form)


def test_a_mark_of_the_encoding_is_no_part_of_the_first_name() -> None:
    _, form = read(b"\xef\xbb\xbf" + every(60, [20, 21]), DeclaredForm())

    assert form.time == ("time",)
    assert decoded(b"\xef\xbb\xbfa", "a.csv") == (b"a", "utf-8")


@pytest.mark.parametrize(
    "header", ['time,serial,"temperature', 'time,"serial,temperature']
)
def test_a_quote_that_never_ends_leaves_no_readings(header: str) -> None:
    content = table(["2026-03-02 9:00,7,20", "2026-03-02 10:00,7,21"], header)

    with pytest.raises(LoggerTooShortError):
        read(content)
