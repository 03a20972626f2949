"""What is looked at when a reading lies outside its limit, before it is believed.

The order is the one in which a formulator goes (common practice): what is quickest to
be wrong and to be put right comes first, and the product is suspected last. A repeat
reading stands beside the first and never replaces it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final, Literal

from stability.model.moment import Moment

#: What is looked at first, in order, each as a question: "yes" means as it should be.
FIRST_CHECKS: Final[Mapping[str, str]] = {
    "right sample": "is it the sample that its label says?",
    "temperature": "was it as warm as the method asks for?",
    "calibration": "did the instrument's calibration hold?",
    "weight": "does its weight show that nothing was lost?",
    "control": "does the comparison read as it should?",
    "repeat reading": "does a repeat reading agree with the first?",
}
Looked = Literal["yes", "no", "not looked at"]
#: What a first check can have come to.
LOOKED: Final = ("yes", "no", "not looked at")
NOT_LOOKED_AT: Final = "not looked at"
#: What a follow-up can come to.
OUTCOMES: Final = (
    "confirmed", "measuring fault found", "wrong sample", "not explained",
)  # fmt: skip
#: Outcomes after which the reading is to be set aside, which is an act of its own.
TO_SET_ASIDE: Final = ("measuring fault found", "wrong sample")
#: The question that a reading outside its limit asks.
OUTSIDE_QUESTION: Final = "outside its limit"


@dataclass(frozen=True, slots=True)
class Answer:
    """What was looked at, and what came of it. A later answer stands before it."""

    #: Position of its entry.
    position: int
    #: Position of the observation or retirement that asked.
    refers_to: int
    #: What was asked: outside its limit, excursion.
    question: str
    #: First check -> yes, no, not looked at.
    checks: Mapping[str, str]
    #: What came of it, one of OUTCOMES.
    outcome: str
    #: The reason, in the person's own words.
    because: str
    #: When.
    done: Moment
    #: Who.
    person: str

    @property
    def checks_text(self) -> str:
        """Return what was looked at in words: `right sample: yes; weight: no`."""
        looked = [
            f"{name}: {found}"
            for name, found in self.checks.items()
            if found != NOT_LOOKED_AT
        ]
        rest = [name for name, found in self.checks.items() if found == NOT_LOOKED_AT]
        unseen = [f"{NOT_LOOKED_AT}: {', '.join(rest)}"] if rest else []
        return "; ".join([*looked, *unseen])


def answer_of(
    held: Mapping[str, Any], *, position: int, done: Moment, person: str
) -> Answer:
    """Read an answer from the content of its entry.

    Parameters
    ----------
    held
        The content.
    position, done, person
        Of the entry.
    """
    checks = held["checks"]
    order = [name for name in FIRST_CHECKS if name in checks]
    order += [name for name in checks if name not in FIRST_CHECKS]
    return Answer(
        position=position,
        refers_to=held["refers_to"],
        question=held["question"],
        checks={name: checks[name] for name in order},
        outcome=held["outcome"],
        because=held["because"],
        done=done,
        person=person,
    )
