"""Scatter, start and spread as typed with `plan`."""

from __future__ import annotations

import pytest

from stability.errors.planning import PlanOptionsError
from stability.model.plan_options import PlanKnowledge
from stability.model.prospects import PlanAssumptions, Scatter
from stability.records.plan_knowledge import assumptions_of
from tests.planning.simulated_plans import plan

_, PROTOCOL = plan()


def test_nothing_typed_leaves_the_defaults() -> None:
    assert assumptions_of(PlanKnowledge(), PROTOCOL) == PlanAssumptions()


@pytest.mark.parametrize(
    ("typed", "scatter"),
    [
        ("pH=0.03", Scatter(0.03)),
        ("pH = 6 %", Scatter(0.06, is_share=True)),
        ("pH=6%", Scatter(0.06, is_share=True)),
    ],
)
def test_a_scatter_is_a_value_or_a_share(typed: str, scatter: Scatter) -> None:
    found = assumptions_of(PlanKnowledge(scatter=(typed,)), PROTOCOL)

    assert found.scatter == {"pH": scatter}


def test_start_and_spread_are_taken() -> None:
    known = PlanKnowledge(start=("pH=5.5",), batch_spread="20 %")
    found = assumptions_of(known, PROTOCOL)

    assert found.start == {"pH": 5.5}
    assert found.batch_spread == pytest.approx(0.2)


@pytest.mark.parametrize(
    ("known", "said"),
    [
        (PlanKnowledge(scatter=("pH",)), "write an attribute and a value"),
        (PlanKnowledge(scatter=("pH=",)), "write an attribute and a value"),
        (PlanKnowledge(scatter=("ph=0.03",)), "did you mean “pH”?"),
        (PlanKnowledge(scatter=("pH=0",)), "readings always scatter"),
        (PlanKnowledge(scatter=("pH=-0.1",)), "readings always scatter"),
        (PlanKnowledge(scatter=("pH=<0.1",)), "without <"),
        (PlanKnowledge(start=("pH=nan",)), "--start 'pH=nan'"),
        (PlanKnowledge(batch_spread="120"), "from 0 to 100 %"),
        (PlanKnowledge(batch_spread="-1"), "from 0 to 100 %"),
    ],
)
def test_what_cannot_be_is_refused_with_the_way_to_write_it(
    known: PlanKnowledge, said: str
) -> None:
    with pytest.raises(PlanOptionsError) as caught:
        assumptions_of(known, PROTOCOL)

    assert said in str(caught.value)


def test_everything_wrong_is_told_at_once() -> None:
    known = PlanKnowledge(scatter=("pH", "glow=1"), start=("pH=five",))
    with pytest.raises(PlanOptionsError) as caught:
        assumptions_of(known, PROTOCOL)

    assert len(caught.value.reasons) == 3
