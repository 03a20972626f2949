"""The verb that plans."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stability.errors.files import FaultyFileError, UnknownProtocolError
from stability.errors.planning import (
    PlanOptionsError,
    PlanOptionsForFileError,
    StudyFileTakenError,
)
from stability.model.grams import needed_of_batch
from stability.records.opening import new_study
from stability.workflow import bench
from stability.workflow.drafts import PlanOptions, PlanWishes, plan
from stability.workflow.occasion import Occasion
from tests.planning.worked_examples import (
    FACE_CREAM_STUDY,
    FACE_CREAM_SUMS,
    SMALL_BATCH,
    write_face_cream,
)
from tests.records.small_study import STUDY, write_files

AT = Occasion("stability.db", datetime(2026, 3, 2, 9, 0, tzinfo=UTC), "ana")
THICKNESS = (
    "viscosity=no viscometer",
    "flow_time=too thick for a cup",
    "consistency=spread is read",
)
THREE = PlanOptions(
    batches=("A=400", "B=400", "C=400"),
    packs=("JAR=50", "PUMP=30", "GLASS=15:inert"),
    omit=THICKNESS,
    months=12,
    after_opening="6M",
)


def test_a_ready_made_protocol_is_shared_out(tmp_path: Path) -> None:
    draft = plan(AT, "emulsion-combined", THREE)

    assert draft.plan.is_shared
    assert not draft.plan.is_short
    assert draft.prospects.asked == 12
    assert draft.rows.startswith("[[samples]]")
    assert len(draft.remarks) == 1
    assert "made today, 2026-03-02, is assumed for batch A, B, C" in draft.remarks[0]
    assert {one.made for one in draft.plan.study.batches.values()} == {date(2026, 3, 2)}
    assert list(tmp_path.iterdir()) == []


def test_a_study_file_is_planned_as_it_stands(tmp_path: Path) -> None:
    draft = plan(AT, str(write_face_cream(tmp_path)))

    found = {one.batch: one.needed_g for one in draft.plan.batches}
    assert found == FACE_CREAM_SUMS
    assert (draft.plan.is_shared, draft.remarks) == (False, ())


def test_a_study_file_without_samples_is_shared_out_and_keeps_its_text(
    tmp_path: Path,
) -> None:
    text = FACE_CREAM_STUDY[: FACE_CREAM_STUDY.index("[[samples]]")]
    file = write_face_cream(tmp_path, f"# My own words.\n{text}")
    target = tmp_path / "planned.toml"

    draft = plan(AT, str(file), wishes=PlanWishes(write=target))

    written = target.read_text(encoding="utf-8")
    assert draft.written == target
    assert written.startswith("# My own words.")
    assert new_study(target, (), None).study.samples == draft.plan.rows


@pytest.mark.parametrize(
    "name",
    ["emulsion-combined", "new-formula-4-weeks", "real-time-36-months"],
)
def test_start_accepts_what_is_written(tmp_path: Path, name: str) -> None:
    target = tmp_path / "study.toml"

    draft = plan(AT, name, THREE, PlanWishes(write=target))

    started = new_study(target, (), "Europe/Dublin")
    assert started.study.samples == draft.plan.rows
    assert len(started.samples) == sum(
        sum(line.samples.values()) for line in draft.plan.lines
    )


def test_the_protocol_is_named_from_where_the_study_is_written(tmp_path: Path) -> None:
    own = tmp_path / "protocols" / "small.toml"
    target = tmp_path / "studies" / "study.toml"
    for file in (own, target):
        file.parent.mkdir()
    own.write_text(SMALL_BATCH, encoding="utf-8")
    options = PlanOptions(batches=("A=400",), packs=("JAR=30",), months=12)

    plan(AT, str(own), options, PlanWishes(write=target))

    text = target.read_text(encoding="utf-8")
    assert 'protocol = "../protocols/small.toml"' in text
    assert new_study(target, (), "UTC").protocol.title.startswith("Three conditions")


def test_nothing_is_sent_out_of_a_product_without_water() -> None:
    options = PlanOptions(
        batches=("A=400",), packs=("TIN=30",), months=12, without_water=True,
        omit=THICKNESS,
    )  # fmt: skip

    dry = plan(AT, "emulsion-combined", options)
    asked = plan(AT, "emulsion-combined", options, PlanWishes(sent_out="20"))

    assert "sent out" not in dry.rows
    assert 'use = "sent out"\ngrams = 20' in asked.rows


def test_options_of_a_study_file_are_refused(tmp_path: Path) -> None:
    file = write_face_cream(tmp_path)

    with pytest.raises(PlanOptionsForFileError, match="--batch, --months"):
        plan(AT, str(file), PlanOptions(batches=("A=4",), months=12))


def test_a_study_that_has_its_samples_is_not_written_again(tmp_path: Path) -> None:
    file = write_face_cream(tmp_path)
    target = tmp_path / "other.toml"

    with pytest.raises(PlanOptionsError, match="holds its samples already"):
        plan(AT, str(file), wishes=PlanWishes(write=target))
    assert not target.exists()


def test_a_file_is_not_replaced_unasked(tmp_path: Path) -> None:
    target = tmp_path / "study.toml"
    target.write_text("mine", encoding="utf-8")

    with pytest.raises(StudyFileTakenError):
        plan(AT, "emulsion-combined", THREE, PlanWishes(write=target))
    assert target.read_text(encoding="utf-8") == "mine"
    plan(AT, "emulsion-combined", THREE, PlanWishes(write=target, overwrite=True))
    assert "[[samples]]" in target.read_text(encoding="utf-8")


def test_every_fault_of_a_file_is_told_with_its_line(tmp_path: Path) -> None:
    text = FACE_CREAM_STUDY.replace('pack = "JAR"', 'pack = "JARR"', 1)
    file = write_face_cream(tmp_path, text.replace('omit = ""', ""))

    with pytest.raises(
        FaultyFileError, match=r"study.toml:\d+: there is no pack “JARR”"
    ):
        plan(AT, str(file))
    with pytest.raises(UnknownProtocolError, match=r"^There is no protocol .*emulsion"):
        plan(AT, "emulsion-combine", THREE)


def test_a_t0_on_a_weekend_is_told_in_a_plan_and_at_the_start(tmp_path: Path) -> None:
    # Made on Thursday 5 March 2026: T0 from 48 h on is a Saturday.
    thursday = replace(THREE, made=("A=2026-03-05",))
    told = "T0 of batch A is due on 2026-03-07 (Sat): the window is open to 2026-03-09"
    draft = plan(AT, "emulsion-combined", thursday)
    (found,) = [one for one in draft.plan.cautions if one.startswith("T0 of")]
    assert found.startswith(told)

    at = replace(AT, records=str(tmp_path / "s.db"))
    remarks = bench.start(at, write_weekend(tmp_path)).remarks
    late = replace(at, records=str(tmp_path / "t.db"), now=AT.now + timedelta(days=9))
    past = bench.start(late, write_weekend(tmp_path)).remarks

    assert [one for one in remarks if one.startswith("T0 of batch A is due on 2026-03")]
    assert all(one.endswith(".") for one in remarks)
    assert not [one for one in past if one.startswith("T0 of batch A")]


def write_weekend(folder: Path) -> Path:
    """Write the small study, batch A made on a Friday; its T0 is due on a Saturday."""
    text = STUDY.replace("made = 2026-03-02", "made = 2026-03-06")
    assert text != STUDY
    return write_files(folder / "files", text)


def test_a_protocol_that_a_study_file_names_wrongly_is_told_with_its_line(
    tmp_path: Path,
) -> None:
    text = FACE_CREAM_STUDY.replace("face-cream.toml", "face-creme.toml")
    file = write_face_cream(tmp_path, text)
    line = text[: text.index("face-creme.toml")].count("\n") + 1

    with pytest.raises(
        UnknownProtocolError, match=rf"study.toml:{line}: there is no protocol"
    ):
        plan(AT, str(file))
    with pytest.raises(
        UnknownProtocolError, match=rf"^{file.name}:{line}: there is no protocol"
    ):
        new_study(file, (), None)


@given(
    st.lists(st.integers(30, 2000), min_size=1, max_size=3),
    st.integers(5, 80),
    st.integers(5, 40),
    st.sampled_from([6, 12, 24]),
)
@settings(
    max_examples=25,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_whatever_fits_is_started_as_it_was_planned(
    tmp_path: Path, grams: list[int], jar: int, glass: int, months: int
) -> None:
    from stability.planning.plan import plan_study
    from stability.records.plan_options import study_of_options
    from stability.records.study_writer import study_text
    from tests.planning.worked_examples import FACE_CREAM, face_cream

    options = PlanOptions(
        batches=tuple(
            f"{name}={mass}" for name, mass in zip("ABC", grams, strict=False)
        ),
        packs=(f"JAR={jar}", f"GLASS={glass}:inert"),
        months=months,
    )
    (tmp_path / "face-cream.toml").write_text(FACE_CREAM, encoding="utf-8")
    study = study_of_options(options, face_cream(), date(2026, 3, 2))
    made = plan_study(study, face_cream())
    file = tmp_path / "study.toml"
    file.write_text(study_text(made.study, "face-cream.toml"), encoding="utf-8")

    if made.short_g:
        over = [
            name
            for name, one in made.study.batches.items()
            if needed_of_batch(made.study, face_cream(), name) > (one.grams or 0)
        ]
        if over:
            with pytest.raises(FaultyFileError, match=f"batch {over[0]} has"):
                new_study(file, (), "UTC")
        return
    started = new_study(file, (), "UTC").study
    assert started.samples == made.rows
    for one in made.batches:
        assert needed_of_batch(started, face_cream(), one.batch) == one.needed_g
        assert one.needed_g <= Decimal(str(one.made_g)) * Decimal("0.95")
