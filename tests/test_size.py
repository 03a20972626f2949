"""Modules that can be read in one sitting, functions that fit one screen."""

from __future__ import annotations

import ast
from pathlib import Path
from statistics import median

import pytest

ROOT = Path(__file__).parents[1]
MODULES = sorted((ROOT / "stability").rglob("*.py"))
Function = ast.FunctionDef | ast.AsyncFunctionDef

LONGEST_MODULE = 400
LONGEST_FUNCTION = 40
LONGEST_INIT = 40
LONGEST_COMMAND = 15

#: `path::function` -> why it is longer.
LONGER_FUNCTIONS: dict[str, str] = {}
#: Path -> why it is longer.
LONGER_MODULES: dict[str, str] = {}


def name_of(path: Path) -> str:
    """Return a path as written in messages and exceptions."""
    return path.relative_to(ROOT).as_posix()


def functions_of(path: Path) -> list[Function]:
    """Return every function of a module, nested ones and methods included."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return [node for node in ast.walk(tree) if isinstance(node, Function)]


def body_lines(function: Function) -> int:
    """Return the number of lines after the docstring."""
    body = function.body
    if ast.get_docstring(function) is not None:
        body = body[1:]
    if not body:
        return 0
    return (function.end_lineno or 0) - body[0].lineno + 1


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_a_module_can_be_read_in_one_sitting(path: Path) -> None:
    lines = len(path.read_text(encoding="utf-8").splitlines())

    assert lines <= LONGEST_MODULE or name_of(path) in LONGER_MODULES


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_a_function_fits_one_screen(path: Path) -> None:
    long = {
        f"{name_of(path)}::{function.name}": body_lines(function)
        for function in functions_of(path)
        if body_lines(function) > LONGEST_FUNCTION
    }

    assert {name: n for name, n in long.items() if name not in LONGER_FUNCTIONS} == {}


def test_half_of_the_functions_are_short() -> None:
    lengths = [body_lines(one) for path in MODULES for one in functions_of(path)]

    assert median(lengths) <= 10


def test_package_files_hold_next_to_nothing() -> None:
    long = [
        name_of(path)
        for path in MODULES
        if path.name == "__init__.py"
        and len(path.read_text(encoding="utf-8").splitlines()) > LONGEST_INIT
    ]

    assert long == []


def test_a_command_calls_workflow_and_prints() -> None:
    long = [
        f"{name_of(path)}::{function.name} has {body_lines(function)} lines"
        for path in MODULES
        if path.parent.name == "cli"
        for function in functions_of(path)
        if "command(" in " ".join(map(ast.unparse, function.decorator_list))
        and body_lines(function) > LONGEST_COMMAND
    ]

    assert long == []


def test_every_exception_still_exists_and_still_needs_to_be_one() -> None:
    functions = {
        f"{name_of(path)}::{function.name}": body_lines(function)
        for path in MODULES
        for function in functions_of(path)
    }
    lengths = {
        name_of(path): len(path.read_text(encoding="utf-8").splitlines())
        for path in MODULES
    }

    idle = [
        name for name in LONGER_FUNCTIONS if functions.get(name, 0) <= LONGEST_FUNCTION
    ]
    idle += [name for name in LONGER_MODULES if lengths.get(name, 0) <= LONGEST_MODULE]

    assert idle == []
