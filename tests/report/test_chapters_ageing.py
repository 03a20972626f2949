"""Heat beside real time in the report and in JSON: the same, and called supportive."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from stability.evaluation.ageing_findings import HeatTranslation
from stability.evaluation.findings import Evaluation
from stability.model.ageing import ArrheniusFit
from stability.model.condition import Condition
from stability.model.study import StructuralLimit
from stability.report.ageing_json import ageing_object
from stability.report.chapters_ageing import TITLE, translation_text
from stability.report.study_json import study_json
from tests.evaluation.heated import ROOM, SHELF, T40, T45, T50, heated
from tests.report.printed import Printed, evaluated, printed, read_back

WAX = StructuralLimit(Decimal(50), "the wax melts")


def made(
    conditions: Sequence[Condition] = (ROOM, T40, T45, T50),
    limit: StructuralLimit | None = WAX,
) -> Evaluation:
    """Return the evaluation of a kinetic attribute at several temperatures."""
    return heated(conditions, limit=limit).evaluate("2025-12-31")


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> Printed:
    """Return the report of a study with an Arrhenius fit."""
    return read_back(made((SHELF, T40, T45, T50)), _target(tmp_path_factory))


def _target(factory: pytest.TempPathFactory) -> Path:
    return factory.mktemp("heated") / "heated.pdf"


def loaded(evaluation: Evaluation) -> dict[str, Any]:
    """Return the part of JSON that tells of heat, as another program reads it."""
    found: dict[str, Any] = json.loads(study_json(evaluation))["ageing"]
    return found


def test_the_chapter_follows_the_shelf_life(report: Printed) -> None:
    titles = report.titles()

    assert titles.index(TITLE) == titles.index("Shelf life") + 1


def test_an_estimate_is_called_one_and_a_fit_supportive(report: Printed) -> None:
    text = " ".join(report.chapter(TITLE).split())

    assert "an estimate, not evidence; trade custom, no standard" in text
    assert "Arrhenius fits are supportive only" in text
    assert "R = 8.314462618 J/(mol K), 0 °C = 273.15 K" in text
    assert "Structural limit declared: 50 °C (the wax melts)." in text


def test_every_number_of_a_rule_of_thumb_is_printed_with_its_range(
    report: Printed,
) -> None:
    ageing = report.evaluation.ageing
    assert ageing is not None
    text = " ".join(report.chapter(TITLE).split())
    told = [each for one in ageing.heat for each in one.translations]

    assert len(told) == 6
    for each in told:
        assert f"{each.days:.0f}" in text
        assert f"({each.lowest_days:.0f} to {each.highest_days:.0f})" in text
    assert "In brackets: the same over 15 to 27 °C in ROOM." in text


def test_what_is_refused_is_printed_with_its_reason(report: Printed) -> None:
    text = "".join(report.chapter(TITLE).split())

    assert "Nottranslated:atorabove50°C" in text
    assert "T50isleftout:atorabove50°C" in text


def test_a_fit_is_printed_with_rate_energy_and_interval(report: Printed) -> None:
    ageing = report.evaluation.ageing
    assert ageing is not None
    (one,) = ageing.kinetics
    assert isinstance(one.result, ArrheniusFit)
    text = "".join(report.chapter(TITLE).split())

    assert "".join(one.text.split()) in text
    low, high = one.result.energy_interval
    assert f"{one.result.energy:.1f}kJ/mol({low:.1f}to{high:.1f})" in text


def test_a_study_without_heat_has_no_such_chapter() -> None:
    assert TITLE not in printed("plain_lotion").titles()
    assert TITLE in printed("balm_tin").titles()


def test_without_a_kinetic_attribute_the_report_says_so() -> None:
    text = " ".join(printed("balm_tin").chapter(TITLE).split())

    assert "No attribute is declared kinetic: no Arrhenius fit is made." in text


@pytest.mark.parametrize("name", ["day_cream", "balm_tin"])
def test_the_chapter_takes_no_more_than_a_page(name: str) -> None:
    pages = [page for page in printed(name).pages if "Q10 2.5 [d]" in page]

    assert len(pages) == 1


def test_no_months_are_called_supported_in_the_chapter(report: Printed) -> None:
    lines = report.chapter(TITLE).split(TITLE, 1)[1].splitlines()
    ends = next(at for at, line in enumerate(lines) if line == "Cautions")

    assert not re.search(r"\bsupported\b", " ".join(lines[:ends]))


def test_a_steady_storage_has_no_range_beside_its_days() -> None:
    assert translation_text(HeatTranslation(2.0, 4.0, 336.0, 336.0, 336.0)) == "336"
    moved = HeatTranslation(2.0, 4.0, 336.0, 292.4, 672.0)
    assert translation_text(moved) == "336\n(292 to 672)"


# JSON


def test_json_holds_every_translation_and_fit() -> None:
    evaluation = made()
    said = loaded(evaluation)
    ageing = evaluation.ageing
    assert ageing is not None

    assert said["structural_limit_c"] == 50.0
    assert [one["outcome"] for one in said["rules_of_thumb"]] == [
        "translated",
        "translated",
        "structure gives way",
    ]
    # Exact arithmetic: 24 weeks, 15 °C hotter, Q10 = 2.
    days = said["rules_of_thumb"][0]["translations"][0]["days"]
    assert days == pytest.approx(168 * 2**1.5)
    (fit,) = said["arrhenius"]
    result = ageing.kinetics[0].result
    assert isinstance(result, ArrheniusFit)
    assert fit["energy_kj_per_mol"] == result.energy
    assert fit["rate_interval_per_month"] == list(result.rate_interval)
    assert fit["conditions_c"] == {"ROOM": 25.0, "T40": 40.0, "T45": 45.0}
    assert said["no_arrhenius"] is None


def test_json_names_why_there_is_no_fit() -> None:
    (fit,) = loaded(made((ROOM, T40)))["arrhenius"]

    assert fit["no_fit"] == "too-few-temperatures"
    assert "energy_kj_per_mol" not in fit


def test_json_of_a_study_without_heat_says_so() -> None:
    said = loaded(evaluated("plain_lotion"))

    assert said["rules_of_thumb"] == []
    assert said["no_rules_of_thumb"].startswith("No sample of this study")
    assert said["structural_limit_c"] is None
    assert ageing_object(None) is None
