"""Another formula is another version."""

from __future__ import annotations

from pathlib import Path

import pytest

from stability.errors.studies import FormulaChangedError
from stability.workflow import bench
from stability.workflow.occasion import Occasion
from stability.workflow.studies import studies
from tests.records.small_study import NOW, STUDY, write_files

FORMULA = '[formula]\n"Aqua" = {water}\n"Glycerin" = {glycerin}\n[packs.JAR]'


def started(
    folder: Path, code: str, *, formula: tuple[int, int] | None = None, **said: str
) -> tuple[str, ...]:
    """Start a study of the same product; return the remarks."""
    text = STUDY.replace('code = "HDC"', f'code = "{code}"')
    for key, value in sorted(said.items()):  # the version comes last
        line = f'{key} = "{value}"\n'
        old = 'version = "1.0"\n'
        text = text.replace(old, line if key == "version" else old + line)
    if formula is not None:
        water, glycerin = formula
        text = text.replace(
            "[packs.JAR]", FORMULA.format(water=water, glycerin=glycerin)
        )
    file = write_files(folder / code, text)
    at = Occasion(str(folder / "stability.db"), NOW, "ana", zone="Europe/Dublin")
    return bench.start(at, file).remarks


def codes(folder: Path) -> list[str]:
    at = Occasion(str(folder / "stability.db"), NOW, "ana", zone="Europe/Dublin")
    return [one.study for one in studies(at)]


def test_the_same_version_with_another_formula_is_refused(tmp_path: Path) -> None:
    started(tmp_path, "HDC", formula=(95, 5))

    with pytest.raises(FormulaChangedError, match="Glycerin: 5 → 6"):
        started(tmp_path, "HDD", formula=(94, 6))
    assert codes(tmp_path) == ["HDC"]


def test_the_same_formula_may_be_studied_twice(tmp_path: Path) -> None:
    started(tmp_path, "HDC", formula=(95, 5))

    assert started(tmp_path, "HDD", formula=(95, 5)) == ()
    assert codes(tmp_path) == ["HDC", "HDD"]


def test_a_formula_that_is_not_stated_cannot_be_told_apart(tmp_path: Path) -> None:
    started(tmp_path, "HDC", formula=(95, 5))

    (told,) = started(tmp_path, "HDD")
    assert "cannot be told" in told
    assert told.endswith("stability stop HDC --because 'started twice'")


def test_a_new_version_that_follows_is_welcome(tmp_path: Path) -> None:
    started(tmp_path, "HDC", formula=(95, 5))

    silent = started(
        tmp_path,
        "HDD",
        formula=(94, 6),
        version="1.1",
        follows="HDC",
        changed="more glycerin",
    )
    assert silent == ()
    assert (
        "say follows and changed"
        in started(tmp_path, "HDF", formula=(93, 7), version="1.2")[0]
    )


def test_a_study_followed_elsewhere_is_said_to_be_elsewhere(tmp_path: Path) -> None:
    remarks = started(tmp_path, "HDD", follows="HDC", changed="more glycerin")

    assert remarks == ("study HDC, which this one follows, is not here",)
