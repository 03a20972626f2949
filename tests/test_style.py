"""House style that a program can check."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
MODULES = sorted((ROOT / "stability").rglob("*.py"))
STATISTICS = sorted((ROOT / "stability" / "statistics").glob("[!_]*.py"))
TESTS = sorted((ROOT / "tests").rglob("test_*.py"))
PUBLISHED = sorted((ROOT / "tests" / "published").rglob("test_*.py"))
Function = ast.FunctionDef | ast.AsyncFunctionDef

#: Words that name nothing.
BANNED = {"data", "info", "item", "utils", "util", "manager", "helper"}
#: Types whose parameters carry a unit.
NUMBERS = re.compile(r"\b(float|int|Decimal|Fraction|ArrayLike|Floats?|NDArray)\b")
SQL = re.compile(r"\bdelete\s+from\b|\bupdate\s+\w+\s+set\b", re.IGNORECASE)
UNIT_AT_THE_END = re.compile(r"\[[^\]]+\]\.?$")


def name_of(path: Path) -> str:
    """Return a path as written in messages."""
    return path.relative_to(ROOT).as_posix()


def tree_of(path: Path) -> ast.Module:
    """Return the syntax tree of a module."""
    return ast.parse(path.read_text(encoding="utf-8"))


def test_the_checks_below_have_something_to_check() -> None:
    assert len(MODULES) > 20
    assert len(TESTS) > 5


# Records


def dataclasses_of(tree: ast.Module) -> Iterator[tuple[ast.ClassDef, str]]:
    """Yield every dataclass with its decorator as written."""
    for node in ast.walk(tree):
        if not isinstance(node, ast.ClassDef):
            continue
        for decorator in node.decorator_list:
            written = ast.unparse(decorator)
            if written.startswith("dataclass"):
                yield node, written


def is_accumulator(node: ast.ClassDef, decorator: str) -> bool:
    """Say whether it is a private, documented class that gathers while it works."""
    mutable = "frozen=True" not in decorator
    return mutable and node.name.startswith("_") and bool(ast.get_docstring(node))


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_records_are_frozen_with_slots(path: Path) -> None:
    wrong = [
        f"{node.name} is @{decorator}"
        for node, decorator in dataclasses_of(tree_of(path))
        if not is_accumulator(node, decorator)
        and not {"frozen=True", "slots=True"} <= set(re.split(r"[(), ]+", decorator))
    ]

    assert wrong == []


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_every_field_of_a_record_says_what_it_is(path: Path) -> None:
    lines = path.read_text(encoding="utf-8").splitlines()
    wrong = [
        f"{node.name}.{ast.unparse(field.target)}"
        for node, decorator in dataclasses_of(tree_of(path))
        if not is_accumulator(node, decorator)
        for field in node.body
        if isinstance(field, ast.AnnAssign) and not _comment_above(lines, field)
    ]

    assert wrong == []


def _comment_above(lines: list[str], field: ast.AnnAssign) -> bool:
    above = field.lineno - 2
    while above >= 0 and lines[above].strip().startswith("#"):
        if lines[above].strip().startswith("#:"):
            return True
        above -= 1
    return False


# Documentation of the statistics


def public_functions(path: Path) -> Iterator[Function]:
    """Yield the functions that other modules may call."""
    for node in tree_of(path).body:
        if isinstance(node, Function) and not node.name.startswith("_"):
            yield node


def sections_of(docstring: str) -> dict[str, list[str]]:
    """Return section -> its lines of a docstring in the numpy convention."""
    lines = docstring.splitlines()
    found: dict[str, list[str]] = {}
    current = "summary"
    for line, below in zip(lines, [*lines[1:], ""], strict=True):
        if below.strip() and set(below.strip()) == {"-"} and line.strip():
            current = line.strip()
        elif set(line.strip()) != {"-"}:
            found.setdefault(current, []).append(line)
    return found


def parameters_of(lines: list[str]) -> dict[str, str]:
    """Return parameter -> its description."""
    found: dict[str, list[str]] = {}
    names: list[str] = []
    for line in lines:
        if line.strip() and not line.startswith(" "):
            names = [name.strip(" *") for name in line.split(" : ")[0].split(",")]
            found |= {name: [] for name in names}
        elif line.strip():
            for name in names:
                found[name].append(line.strip())
    return {name: " ".join(text) for name, text in found.items()}


def arguments_of(function: Function) -> list[ast.arg]:
    """Return every argument of a function."""
    given = function.args
    return [*given.posonlyargs, *given.args, *given.kwonlyargs]


@pytest.mark.parametrize("path", STATISTICS, ids=name_of)
def test_statistics_document_parameters_results_and_faults(path: Path) -> None:
    missing = []
    for function in public_functions(path):
        sections = sections_of(ast.get_docstring(function) or "")
        raises = any(isinstance(node, ast.Raise) for node in ast.walk(function))
        wanted = {
            "Parameters": bool(arguments_of(function)),
            "Returns": ast.unparse(function.returns or ast.Constant(None)) != "None",
            "Raises": raises,
        }
        missing += [
            f"{function.name}: {section}"
            for section, needed in wanted.items()
            if needed and section not in sections
        ]

    assert missing == []


@pytest.mark.parametrize("path", STATISTICS, ids=name_of)
def test_statistics_describe_each_parameter_and_give_numbers_a_unit(path: Path) -> None:
    wrong = []
    for function in public_functions(path):
        sections = sections_of(ast.get_docstring(function) or "")
        described = parameters_of(sections.get("Parameters", []))
        for argument in arguments_of(function):
            text = described.get(argument.arg)
            kind = ast.unparse(argument.annotation) if argument.annotation else ""
            if text is None:
                wrong.append(f"{function.name}({argument.arg}) is not described")
            elif NUMBERS.search(kind) and not UNIT_AT_THE_END.search(text):
                wrong.append(f"{function.name}({argument.arg}) ends without [unit]")

    assert wrong == []


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_references_are_cited_and_citations_are_given(path: Path) -> None:
    wrong = []
    for node in ast.walk(tree_of(path)):
        if not isinstance(node, Function | ast.ClassDef | ast.Module):
            continue
        text = ast.get_docstring(node) or ""
        cited = set(re.findall(r"\[(\d+)\]_", text))
        given = set(re.findall(r"^\.\. \[(\d+)\]", text, re.MULTILINE))
        if cited != given:
            name = getattr(node, "name", "module")
            wrong.append(f"{name} cites {sorted(cited)}, gives {sorted(given)}")

    assert wrong == []


# Names


def words_of(name: str) -> set[str]:
    """Return the words of a name in snake or camel case."""
    spaced = re.sub(r"([a-z])([A-Z])", r"\1_\2", name)
    return {word.lower() for word in spaced.split("_")}


def names_given(tree: ast.Module) -> Iterator[str]:
    """Yield every name that the module itself gives to something."""
    for node in ast.walk(tree):
        if isinstance(node, Function | ast.ClassDef):
            yield node.name
        elif isinstance(node, ast.arg):
            yield node.arg
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            yield node.id
        elif isinstance(node, ast.alias) and node.asname:
            yield node.asname


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_names_say_what_they_name(path: Path) -> None:
    given = {path.stem, *names_given(tree_of(path))}

    assert sorted(name for name in given if words_of(name) & BANNED) == []


# Records are only ever added to


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_only_the_derived_tables_are_updated_or_deleted_from(path: Path) -> None:
    if path == ROOT / "stability" / "records" / "derived.py":
        assert path.is_file()
        return

    assert list(sql_changes(tree_of(path))) == []


def sql_changes(tree: ast.Module) -> Iterator[str]:
    """Yield what would update or delete rows: SQL in text, or a Core expression."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            if SQL.search(node.value):
                yield f"line {node.lineno}: {node.value}"
        elif isinstance(node, ast.ImportFrom) and node.module == "sqlalchemy":
            yield from (
                f"line {node.lineno}: imports {alias.name}"
                for alias in node.names
                if alias.name in {"update", "delete"}
            )
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            called = node.func.attr
            bare = called in {"update", "delete"} and not node.args + node.keywords
            library = ast.unparse(node.func.value) in {"sa", "sqlalchemy", "sql"}
            if bare or (library and called in {"update", "delete"}):
                yield f"line {node.lineno}: {ast.unparse(node)}"


@pytest.mark.parametrize(
    "source",
    [
        "connection.exec_driver_sql('UPDATE entry SET line = 1')",
        "connection.exec_driver_sql('delete from entry')",
        "connection.execute(entry.delete())",
        "from sqlalchemy import update",
        "sa.delete(entry)",
    ],
)
def test_a_change_to_the_record_would_be_seen(source: str) -> None:
    assert list(sql_changes(ast.parse(source)))


# Tests


def can_fail(test: Function) -> bool:
    """Say whether a test holds an assertion of any form."""
    for node in ast.walk(test):
        if isinstance(node, ast.Assert):
            return True
        if isinstance(node, ast.Call):
            called = ast.unparse(node.func)
            if called in {"pytest.raises", "pytest.fail"}:
                return True
            if called.split(".")[-1].startswith("assert_"):
                return True
    return False


@pytest.mark.parametrize("path", TESTS, ids=name_of)
def test_every_test_can_fail(path: Path) -> None:
    idle = [
        node.name
        for node in ast.walk(tree_of(path))
        if isinstance(node, Function)
        and node.name.startswith("test_")
        and not can_fail(node)
    ]

    assert idle == []


def stands_for(tested: str, module: str) -> bool:
    """Say whether a test is of a module, of one side of it, or of its family."""
    return (
        tested == module
        or tested.startswith(f"{module}_")
        or module.startswith(f"{tested}_")
    )


def test_every_test_module_mirrors_a_module() -> None:
    strays = []
    for path in TESTS:
        folder = path.parent.relative_to(ROOT / "tests")
        if folder.parts[:1] in {(), ("published",), ("benchmarks",)}:
            continue
        tested = path.stem.removeprefix("test_")
        beside = (ROOT / "stability" / folder).glob("*.py")
        if not any(stands_for(tested, one.stem) for one in beside):
            strays.append(name_of(path))

    assert strays == []


@pytest.mark.parametrize("path", PUBLISHED, ids=name_of)
def test_published_values_carry_their_citation(path: Path) -> None:
    header = ast.get_docstring(tree_of(path)) or ""

    assert re.search(r"\b(1[89]|20)\d\d\b", header), "author, title and year, please"


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_nothing_catches_everything_or_asserts_on_input(path: Path) -> None:
    tree = tree_of(path)
    bare = [
        f"line {node.lineno}"
        for node in ast.walk(tree)
        if (isinstance(node, ast.ExceptHandler) and node.type is None)
        or isinstance(node, ast.Assert)
    ]

    assert bare == []
