"""What is typed with `plan`, read and held to the rules of a study file."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from stability.errors.planning import PlanOptionsError
from stability.model.age import Age
from stability.model.plan_options import PlanOptions, PlanWishes
from stability.model.study import Pack
from stability.records.plan_options import (
    sent_out_grams,
    study_of_options,
    usable_share,
)
from tests.planning.worked_examples import face_cream

TODAY = date(2026, 3, 2)
TYPED = PlanOptions(
    batches=("A=400", "B=350.5"),
    packs=("JAR=50", "GLASS=15:inert"),
    tares=("JAR=32.10",),
    made=("B=2026-03-09",),
    omit=("T45=no second oven",),
    months=12,
    after_opening="6M",
)


def reasons(**changed: object) -> tuple[str, ...]:
    """Return what is told of the options above with some of them changed."""
    with pytest.raises(PlanOptionsError) as caught:
        study_of_options(replace(TYPED, **changed), face_cream(), TODAY)  # type: ignore[arg-type]
    return tuple(caught.value.reasons)


def test_options_become_a_study_without_samples() -> None:
    study = study_of_options(TYPED, face_cream(), TODAY)

    assert [(one.name, one.grams, one.made) for one in study.batches.values()] == [
        ("A", Decimal(400), TODAY),
        ("B", Decimal("350.5"), date(2026, 3, 9)),
    ]
    assert study.packs["JAR"] == Pack(
        "JAR", "JAR, 50 g", fill_g=Decimal(50), tare_g=Decimal("32.10")
    )
    assert study.packs["GLASS"].inert
    assert study.omit == {"T45": "no second oven"}
    assert (study.request.months, study.request.after_opening) == (12, Age(6, "M"))
    assert study.samples == ()
    assert not study.as_sold.formula  # nobody said that it is


def test_everything_wrong_is_told_at_once() -> None:
    found = reasons(
        batches=("A=4,5", "B", "A=3"),
        packs=("JAR=fifty",),
        tares=("TUB=3",),
        made=("A=2026-02-30", "Q=2026-03-01"),
        omit=("viscosity",),
        months=None,
    )

    told = "\n".join(found)
    assert len(found) == 9
    assert "--batch A: '4,5' is not read as a number" in told
    assert "--batch B: write a name and its grams" in told
    assert "--batch A=3: A stands twice" in told
    assert "--pack JAR" in told
    assert "--tare TUB: there is no --pack TUB; name one of JAR" in told
    assert "--made A: '2026-02-30' is no day" in told
    assert "--made Q: there is no --batch Q" in told
    assert "no shelf life is asked for" in told
    assert "--omit viscosity: write what is left out and why" in told


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"batches": ()}, "no batch is named"),
        ({"packs": ()}, "no pack is named"),
        ({"batches": ("A=-3", "B=3")}, "a batch of -3 g is none"),
        ({"batches": ("A=<3", "B=3")}, "without <"),
        ({"packs": ("JAR=0",), "tares": ()}, "fill_g of pack JAR is to be above 0"),
        ({"omit": ("pHH=no meter",)}, "there is no attribute or condition “pHH”"),
        ({"months": 0}, "write whole months"),
        ({"after_opening": "six"}, "six"),
        ({"batches": ("a b=3",), "made": ()}, "is no name for a batch"),
    ],
)
def test_the_rules_of_a_study_file_hold(changed: dict[str, object], told: str) -> None:
    assert told in "\n".join(reasons(**changed))


@pytest.mark.parametrize(
    ("typed", "share"),
    [(None, "0.95"), ("90", "0.9"), ("100 %", "1"), ("97.5", "0.975")],
)
def test_the_usable_share_is_a_percentage(typed: str | None, share: str) -> None:
    found = usable_share(PlanWishes(usable=typed), Decimal("0.95"))

    assert found == Decimal(share)


@pytest.mark.parametrize("typed", ["0", "101", "-5", "most", "0.95x"])
def test_a_usable_share_that_cannot_be_is_refused(typed: str) -> None:
    with pytest.raises(PlanOptionsError, match="--usable"):
        usable_share(PlanWishes(usable=typed), Decimal("0.95"))


def test_what_is_sent_out_can_be_nothing_but_not_less() -> None:
    assert sent_out_grams(PlanWishes()) is None
    assert sent_out_grams(PlanWishes(sent_out="0")) == 0
    with pytest.raises(PlanOptionsError, match="0 for none"):
        sent_out_grams(PlanWishes(sent_out="-1"))
