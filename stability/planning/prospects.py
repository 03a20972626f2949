"""What a plan can prove, from its rows of samples, before anything is made.

`prospects_of(study, protocol, assumptions)` is all that other modules call.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from stability.model.prospects import (
    EvaluationProspect,
    PlanAssumptions,
    PlanProspects,
)
from stability.model.protocol import Protocol
from stability.model.study import Study
from stability.planning.attribute_prospects import ground_of
from stability.planning.plan_evaluations import evaluations_of
from stability.planning.plan_verdict import plan_texts
from stability.planning.prospect_words import assumption_texts
from stability.planning.purchases import GramsOf, purchases_of


def prospects_of(
    study: Study,
    protocol: Protocol,
    assumptions: PlanAssumptions | None = None,
    *,
    grams_of: GramsOf | None = None,
) -> PlanProspects:
    """Return what a plan can prove at each of its evaluations.

    Parameters
    ----------
    study
        The study with its rows of samples; its code may still be missing.
    protocol
        Its protocol.
    assumptions
        Scatter, drift and how batches differ; defaults where None.
    grams_of
        Mass of product that a study and protocol need; prices what would buy months.
        None leaves the mass out.
    """
    assumptions = assumptions or PlanAssumptions()
    ground = ground_of(study, protocol, assumptions)
    evaluations = evaluations_of(ground)
    batches = len({batch for one in ground.planned for batch in one.batches})
    found = PlanProspects(
        asked=ground.asked,
        batches=batches,
        evaluations=evaluations,
        earliest=_earliest(evaluations, ground.asked),
        purchases=(),
        assumptions=assumption_texts(
            assumptions,
            evaluations[-1] if evaluations else None,
            asked=ground.asked,
            batches=batches,
            carries=protocol.analysis.carries_request,
        ),
        text=(),
    )
    if found.judged is not None:
        bought = purchases_of(ground, found.judged, grams_of)
        found = replace(found, purchases=bought)
    return replace(found, text=plan_texts(ground, found))


def _earliest(evaluations: Sequence[EvaluationProspect], asked: int) -> str | None:
    """Return the first planned look whose cap reaches the life asked for."""
    reaching = [
        one.check for one in evaluations if one.is_planned_look and one.cap >= asked
    ]
    return reaching[0] if reaching else None
