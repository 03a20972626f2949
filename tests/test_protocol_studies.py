"""Every ready-made protocol lived through: opened, read, evaluated and reported."""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime
from pathlib import Path

import pytest
from pypdf import PdfReader

from stability.evaluation.findings import Evaluation
from stability.model.age import T0
from stability.model.protocol import Protocol
from stability.records.protocol_file import (
    find_protocol,
    protocol_names,
    read_protocol,
)
from stability.report.plan_record import write_plan_record
from stability.report.study_json import study_json
from stability.report.study_report import write_report
from stability.report.study_text import study_text
from stability.workflow.drafts import PlanOptions, PlanWishes, plan
from stability.workflow.occasion import Occasion
from tests.simulated_studies import (
    FILL,
    MADE,
    TARE,
    Story,
    evaluated,
    omitted,
    simulated,
)

NAMES = protocol_names()
AT = Occasion(
    "stability.db", datetime(2022, 1, 1, 9, tzinfo=UTC), "ana", zone="Europe/Dublin"
)


def protocol(name: str) -> Protocol:
    """Return a ready-made protocol."""
    text, found, file = find_protocol(name)
    return read_protocol(text, found, file)


def lived(folder: Path, name: str, story: Story) -> Evaluation:
    """Return the evaluation of a study of a protocol.

    What else is to work with every ready-made protocol, such as its plan, starts from
    `study_text` of the same module as this study does.
    """
    return evaluated(simulated(folder, name, protocol(name), story))


def judged_pairs(one: Protocol, found: Evaluation) -> set[tuple[str, str]]:
    """Return (attribute, condition) that were read after T0 under a judging limit."""
    return {
        (seen.attribute, seen.condition)
        for seen in found.judged
        if seen.condition is not None
        and seen.check != T0
        and one.attributes[seen.attribute].limit_in(seen.condition).judges
    }


@pytest.mark.parametrize("name", NAMES)
def test_a_product_that_holds_is_never_outside(tmp_path: Path, name: str) -> None:
    found = lived(tmp_path, name, "holds")

    assert found.outside == ()
    assert {one.state for one in found.checks} == {"made"}


@pytest.mark.parametrize("name", NAMES)
def test_every_attribute_of_the_bench_is_read_somewhere(
    tmp_path: Path, name: str
) -> None:
    found = lived(tmp_path, name, "holds")
    attributes = protocol(name).attributes.values()
    left_out = found.identity.study.omit

    assert {one.attribute for one in found.judged} == {
        one.name
        for one in attributes
        if one.provided_by == "bench" and one.name not in left_out
    }


@pytest.mark.parametrize("name", NAMES)
def test_a_product_that_spoils_is_outside_wherever_there_is_a_limit(
    tmp_path: Path, name: str
) -> None:
    found = lived(tmp_path, name, "spoils")
    outside = {
        (one.attribute, one.condition)
        for one in found.judged
        if one.mark == "outside" and one.condition is not None
    }

    assert outside == judged_pairs(protocol(name), found)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("story", ["holds", "spoils"])
def test_it_is_reported_with_its_cautions_and_numbers_that_are_numbers(
    tmp_path: Path, name: str, story: Story
) -> None:
    one = protocol(name)
    found = lived(tmp_path, name, story)
    text = study_text(found)
    held = json.loads(study_json(found))

    flowing = " ".join(text.split())
    assert "qualified safety assessor" in flowing
    for caution in one.cautions:
        assert caution in {each.text for each in found.cautions}
    assert held
    for written in (text, json.dumps(held)):
        assert re.search(r"\b(nan|inf|NaN|Infinity)\b", written) is None


@pytest.mark.parametrize("name", ["in-use", "balm-anhydrous", "light-sensitive-active"])
def test_it_prints_as_a_document(tmp_path: Path, name: str) -> None:
    found = lived(tmp_path, name, "spoils")
    target = tmp_path / "report.pdf"
    write_report(found, target)

    pages = PdfReader(target).pages
    printed = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert protocol(name).title in printed
    # A guideline on light is named only beside a dose that was measured.
    named = [one.text for one in found.cautions if "Q1B" in one.text]
    assert all(one.startswith("Light under ") for one in named)
    assert printed.count("Q1B") == sum(one.count("Q1B") for one in named)
    for condition in protocol(name).conditions:
        assert condition in printed
    opened = name != "balm-anhydrous"
    assert ("age counts from first opening" in printed) == opened
    assert ("from the first opening" in printed) == opened
    assert ("d from opening" in printed) == opened


@pytest.mark.parametrize("name", NAMES)
def test_it_is_planned_started_filled_and_reported(tmp_path: Path, name: str) -> None:
    one = protocol(name)
    options = PlanOptions(
        batches=("A=2000",),
        packs=(f"JAR={FILL}", "GLASS=30:inert"),
        tares=(f"JAR={TARE}", "GLASS=40"),
        made=(f"A={MADE}",),
        months=12,
        omit=[f"{left}=another way is used" for left in omitted(one)],
    )
    draft = plan(AT, name, options, PlanWishes(write=tmp_path / "planned.toml"))
    text = (tmp_path / "planned.toml").read_text(encoding="utf-8")

    study = simulated(tmp_path / "study", name, one, text=text)
    found = evaluated(study)
    write_plan_record(study.record, tmp_path / "plan.pdf")

    batch = draft.plan.batches[0]
    assert batch.usable_g is not None
    assert batch.needed_g <= batch.usable_g
    assert draft.prospects.text
    assert found.outside == ()
    assert found.judged
    assert len(PdfReader(tmp_path / "plan.pdf").pages) == 2
    assert "qualified safety assessor" in " ".join(study_text(found).split())
