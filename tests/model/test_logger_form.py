"""How the file of a logger is declared."""

from __future__ import annotations

from typing import Any

import pytest

from stability.errors.storage import LoggerDeclaredError
from stability.model.logger_form import DeclaredForm, declared_form


@pytest.mark.parametrize(
    "declared", [{"dates": "days"}, {"unit": "K"}, {"time": ["a", "b", "c"]}]
)
def test_a_declaration_that_is_none_is_refused(declared: dict[str, Any]) -> None:
    with pytest.raises(LoggerDeclaredError):
        declared_form(**declared)


def test_what_is_declared_is_taken_and_the_rest_recognised() -> None:
    assert declared_form() == DeclaredForm()
    found = declared_form(time=["Date", "Clock"], unit="°f", dates="day-first")
    assert found == DeclaredForm(("Date", "Clock"), dates="day-first", unit="°F")
