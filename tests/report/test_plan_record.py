"""The plan record: two pages with the fingerprint, the same bytes every time."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path

import pdfplumber
import pypdf
import pytest

from stability.model.attribute import Attribute
from stability.model.limit import Limit
from stability.model.names import in_words
from stability.model.protocol import Analysis
from stability.model.study import Batch, Pack
from stability.model.study_record import StudyRecord
from stability.records.store import record_of
from stability.records.study_folder import entries_of_folder
from stability.report.pages import ANCHORS_KEY
from stability.report.plan_record import write_plan_record
from tests.evaluation.builders import Bench, bulk, protocol, sample, study

EXAMPLES = Path(__file__).parents[2] / "example_studies"


def opened(name: str) -> StudyRecord:
    """Return an example as it stood when it was opened."""
    entries = entries_of_folder(EXAMPLES / name, datetime(2026, 9, 30, 20, tzinfo=UTC))
    return record_of(entries[:1]).record


def text_of(file: Path) -> list[str]:
    with pdfplumber.open(file) as document:
        return [" ".join(page.extract_text().split()) for page in document.pages]


@pytest.mark.parametrize("name", ["day_cream", "plain_lotion", "balm_tin"])
def test_it_says_what_was_fixed_on_two_pages_at_most(name: str, tmp_path: Path) -> None:
    record = opened(name)
    write_plan_record(record, tmp_path / "plan.pdf")

    pages = text_of(tmp_path / "plan.pdf")
    whole = " ".join(pages)

    assert len(pages) <= 2
    assert record.opening.fingerprint in pages[0]
    assert record.study.product in pages[0]
    assert all(code in whole for code in record.samples)
    kept = set(record.protocol.conditions) - set(record.study.omit)
    assert all(condition in whole for condition in kept)
    read = [one for one in record.protocol.attributes if one not in record.study.omit]
    assert all(in_words(name) in whole for name in read)
    assert "Received by (name, function)" in pages[-1]
    assert all("does not replace, assessment" in page for page in pages)


def test_it_carries_its_anchor_and_gives_the_same_bytes(tmp_path: Path) -> None:
    record = opened("plain_lotion")
    files = [tmp_path / "one.pdf", tmp_path / "two.pdf"]
    for file in files:
        write_plan_record(record, file)

    held = pypdf.PdfReader(files[0]).metadata
    assert held is not None
    anchor = f"study:{record.study.code}/1:{record.opening.fingerprint}"
    assert str(held[f"/{ANCHORS_KEY}"]) == anchor
    assert files[0].read_bytes() == files[1].read_bytes()


def test_an_amended_plan_says_what_changed_and_carries_both_fingerprints(
    tmp_path: Path,
) -> None:
    made = Bench([bulk(), sample("HDC-ROOM", "ROOM")])
    made.amend(made.protocol, "2025-02-01", "the assessor asks for it")
    record = made.record()
    write_plan_record(record, tmp_path / "plan.pdf")

    whole = " ".join(text_of(tmp_path / "plan.pdf"))
    joined = re.sub(r"\s", "", whole)

    assert record.amendments[0].fingerprint in joined
    assert record.opening.fingerprint in joined
    assert "Because: the assessor asks for it" in whole


def test_a_study_taken_over_says_so(tmp_path: Path) -> None:
    made = Bench([bulk()])
    made.take_over("green notebook, page 12", "2025-01-06")
    write_plan_record(made.record(), tmp_path / "plan.pdf")

    assert "green notebook, page 12" in text_of(tmp_path / "plan.pdf")[0]


def test_a_condition_left_out_is_nowhere_printed_as_if_it_were_kept(
    tmp_path: Path,
) -> None:
    """Whoever signs for the plan would else witness a freezer that nobody has."""
    frozen = Limit(highest="changed", reason="frost is hard on any nose")
    mini = protocol()
    odour = replace(mini.attributes["odour"], limit_at={"FT": frozen})
    made = Bench(
        [bulk(), sample("HDC-ROOM", "ROOM")],
        protocol=replace(mini, attributes={**mini.attributes, "odour": odour}),
        study=study(omit={"FT": "no freezer", "T45": "no second oven"}),
    )
    write_plan_record(made.record(), tmp_path / "plan.pdf")

    whole = " ".join(text_of(tmp_path / "plan.pdf"))

    assert "FT: no freezer; T45: no second oven" in whole
    assert "cycles" not in whole
    assert "odour at FT" not in whole
    assert "frost is hard" not in whole.lower()
    assert "storage and transport words" not in whole  # what T45 would have meant
    assert "north window" in whole


def test_it_names_what_weight_loss_is_worked_out_from(tmp_path: Path) -> None:
    jar = Pack("JAR", "50 g jar", fill_g=Decimal(50), tare_g=Decimal("18.20"))
    glass = Pack("VIAL", "20 ml vial", inert=True)
    day = date(2025, 1, 6)
    batch = Batch("A", day, filled=day, grams=Decimal(400), pH_at_make=Decimal("5.5"))
    mini = protocol()
    weighed = replace(
        mini.attributes["weight_loss"], unit="%", resolution=Decimal("0.01")
    )
    made = Bench(
        [bulk()],
        protocol=replace(mini, attributes={**mini.attributes, "weight_loss": weighed}),
        study=replace(study(), packs={"JAR": jar, "VIAL": glass}, batches={"A": batch}),
    )
    write_plan_record(made.record(), tmp_path / "plan.pdf")

    whole = " ".join(text_of(tmp_path / "plan.pdf"))

    assert "JAR: 50 g jar, fill 50 g, empty 18.20 g; VIAL: 20 ml vial, inert" in whole
    assert "A made 2025-01-06, filled 2025-01-06, 400 g, pH at make 5.5" in whole
    assert "read to 0.01 g" in whole  # the balance reads grams, not percent
    assert "read to 0.01 %" not in whole


def test_it_says_at_which_checks_alone_a_laboratory_looks(tmp_path: Path) -> None:
    looked = Attribute(
        "specified_organisms", "stated", scale=("absent", "present"),
        when=("T0", "12M"), provided_by="certificate",
    )  # fmt: skip
    mini = protocol(analysis=Analysis(evaluate_at=("12M",)))
    attributes = {**mini.attributes, looked.name: looked}
    made = Bench([bulk()], protocol=replace(mini, attributes=attributes))
    write_plan_record(made.record(), tmp_path / "plan.pdf")

    whole = " ".join(text_of(tmp_path / "plan.pdf"))

    assert "specified organisms" in whole  # on one line
    assert "one of: absent, present; at these checks only: T0, 12M" in whole
    assert "evaluated at 12M, each batch by itself, with 95 % confidence" in whole
    assert "(Europe/Dublin) by Mara" in whole


def test_no_heading_stands_alone_at_the_foot_of_a_page(tmp_path: Path) -> None:
    names = ["T45", "FT", "WINDOW", "FOIL"]
    for left_out in range(len(names) + 1):
        made = Bench(
            [bulk(), sample("HDC-ROOM", "ROOM")],
            protocol=opened("day_cream").protocol,
            study=study(omit=dict.fromkeys(names[:left_out], "none here")),
        )
        file = tmp_path / f"{left_out}.pdf"
        write_plan_record(made.record(), file)
        for page in text_of(file):
            _, heading, rest = page.partition("Attributes, limits and reasons")
            assert not heading or "Method and settings" in rest
