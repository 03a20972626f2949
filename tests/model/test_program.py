"""The program's version stands in one place: its metadata."""

from __future__ import annotations

import tomllib
from importlib.metadata import PackageNotFoundError
from pathlib import Path

import pytest

from stability.model.program import DISTRIBUTION, program_name, program_version

PROJECT = tomllib.loads(
    (Path(__file__).parents[2] / "pyproject.toml").read_text(encoding="utf-8")
)["project"]


def test_the_version_is_that_of_the_package() -> None:
    assert PROJECT["name"] == DISTRIBUTION
    assert program_version() == PROJECT["version"]
    assert program_name() == f"stability {PROJECT['version']}"


def test_a_program_that_is_not_installed_says_so(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def missing(_name: str) -> str:
        raise PackageNotFoundError

    monkeypatch.setattr("importlib.metadata.version", missing)

    assert program_version.__wrapped__() == "not installed"
