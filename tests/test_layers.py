"""The import table of the layers, held against the code in both directions."""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "stability"

NUMERICAL = {"numpy", "pandas", "scipy", "statsmodels"}
DRAWING = {"numpy", "matplotlib", "reportlab", "pypdf", "bidi", "arabic_reshaper"}
WRITING = DRAWING | {"icalendar", "openpyxl", "PIL"}

#: Layer -> layers of ours that it may import, libraries that it may import.
TABLE: dict[str, tuple[set[str], set[str]]] = {
    "errors": (set(), set()),
    "model": ({"errors"}, set()),
    "statistics": ({"errors", "model"}, NUMERICAL),
    "planning": ({"errors", "model", "statistics"}, NUMERICAL),
    "evaluation": ({"errors", "model", "statistics"}, NUMERICAL),
    "records": ({"errors", "model"}, {"sqlalchemy", "pypdf", "openpyxl", "PIL"}),
    "report": ({"errors", "model", "planning", "evaluation"}, WRITING),
    "workflow": (
        {"errors", "model", "statistics", "planning", "evaluation", "records"}
        | {"report"},
        set(),
    ),
    "cli": ({"errors", "model", "workflow"}, {"typer"}),
}
#: What workflow may import outside function bodies.
AT_THE_TOP_OF_WORKFLOW = {"errors", "model", "workflow"}


@dataclass(frozen=True, slots=True)
class Import:
    """One import statement of one module."""

    #: File and line, for the message.
    where: str
    #: Layer of the importing module.
    layer: str
    #: Dotted name of what is imported.
    name: str
    #: Whether it stands in a function body, or is for type checking only.
    deferred: bool
    #: Whether it is for type checking only.
    for_types: bool = False

    @property
    def target(self) -> str:
        """Return the layer of ours that is imported, or the library's name."""
        parts = self.name.split(".")
        if parts[0] == "stability":
            return parts[1] if len(parts) > 1 else "stability"
        return parts[0]

    @property
    def is_ours(self) -> bool:
        """Say whether it is part of this package."""
        return self.name.split(".")[0] == "stability"


def layer_of(path: Path) -> str:
    """Return the layer of a module: its folder, or its name at the top."""
    parts = path.relative_to(PACKAGE).parts
    return parts[0].removesuffix(".py")


def modules() -> list[Path]:
    """Return every module of the package but its own `__init__`."""
    return sorted(
        path for path in PACKAGE.rglob("*.py") if path != PACKAGE / "__init__.py"
    )


def imports_of(path: Path) -> Iterator[Import]:
    """Yield every import of a module, those in function bodies included."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    deferred, for_types = _deferred_nodes(tree)
    package = ".".join(path.relative_to(ROOT).parts[:-1])
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            names = _names_from(node, package)
        else:
            continue
        where = f"{path.relative_to(ROOT)}:{node.lineno}"
        for name in names:
            late = node in deferred or node in for_types
            yield Import(where, layer_of(path), name, late, node in for_types)


def _names_from(node: ast.ImportFrom, package: str) -> list[str]:
    base = node.module or ""
    if node.level:
        parents = package.split(".")[: len(package.split(".")) - node.level + 1]
        base = ".".join([*parents, base]).rstrip(".")
    if base == "stability":
        return [f"stability.{alias.name}" for alias in node.names]
    return [base]


def _deferred_nodes(tree: ast.Module) -> tuple[set[ast.AST], set[ast.AST]]:
    """Return what stands in function bodies, and what is for type checking only."""
    in_bodies: set[ast.AST] = set()
    for_types: set[ast.AST] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            in_bodies |= set(ast.walk(node))
        elif isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test):
            for_types |= set(ast.walk(node))
    return in_bodies, for_types


ALL = [one for path in modules() for one in imports_of(path)]


def test_every_folder_is_in_the_table_and_every_row_exists() -> None:
    layers = {
        path.stem
        for path in PACKAGE.iterdir()
        if path.name[0] not in "_." and (path.is_dir() or path.suffix == ".py")
    }

    assert layers == set(TABLE)


@pytest.mark.parametrize("layer", TABLE)
def test_a_layer_imports_only_layers_that_the_table_allows(layer: str) -> None:
    allowed = TABLE[layer][0] | {layer, "stability"}  # the package itself holds nothing

    wrong = [
        f"{one.where} imports {one.name}"
        for one in ALL
        if one.layer == layer and one.is_ours and one.target not in allowed
    ]

    assert wrong == []


@pytest.mark.parametrize("layer", TABLE)
def test_a_layer_imports_only_libraries_that_the_table_allows(layer: str) -> None:
    allowed = TABLE[layer][1] | set(sys.stdlib_module_names)

    wrong = [
        f"{one.where} imports {one.name}"
        for one in ALL
        if one.layer == layer
        and not one.is_ours
        and not one.for_types
        and one.target not in allowed
    ]

    assert wrong == []


def test_workflow_is_a_package_that_imports_working_layers_in_bodies_only() -> None:
    wrong = [
        f"{one.where} imports {one.name} at the top"
        for one in ALL
        if one.layer == "workflow"
        and one.is_ours
        and not one.deferred
        and one.target not in AT_THE_TOP_OF_WORKFLOW
    ]

    assert (PACKAGE / "workflow" / "__init__.py").is_file()
    assert wrong == []


def test_imports_in_function_bodies_and_relative_imports_are_seen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    package = tmp_path / "stability"
    module = package / "model" / "sly.py"
    module.parent.mkdir(parents=True)
    module.write_text(
        "from ..records import store\ndef late():\n    import pandas\n",
        encoding="utf-8",
    )
    monkeypatch.setitem(globals(), "ROOT", tmp_path)
    monkeypatch.setitem(globals(), "PACKAGE", package)

    found = [(one.name, one.deferred) for one in imports_of(module)]

    assert found == [("stability.records", False), ("pandas", True)]


def test_the_guide_shows_this_table() -> None:
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    rows = {
        line.split("|")[1].strip(" `"): line
        for line in guide.splitlines()
        if line.startswith("| `")
    }

    missing = [
        f"{layer}: {name}"
        for layer, (ours, libraries) in TABLE.items()
        for name in ours | libraries
        if f"`{name}`" not in rows.get(layer, "")
    ]

    assert missing == []
