"""A study of any protocol, opened as a maker would and filled with seeded readings.

Every number is invented. What is typed goes through the same checks as at the bench.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Literal

import numpy as np

from stability.evaluation.evaluate import evaluate
from stability.evaluation.findings import Evaluation
from stability.model import content
from stability.model.age import T0
from stability.model.attribute import Attribute, Setting
from stability.model.condition import Condition
from stability.model.entry import chain
from stability.model.limit import Band
from stability.model.moment import Moment, moment_at
from stability.model.protocol import Protocol
from stability.model.schedule import PlannedCheck, expected
from stability.model.study import Sample
from stability.model.study_record import StudyRecord
from stability.records.continuation import Continuation
from stability.records.observing import observe
from stability.records.opening import new_study, opening_draft
from stability.records.placing import PlacingWish, place
from stability.records.store import continue_entries
from stability.records.typed import BenchFacts

#: What becomes of the product: nothing, or everything as bad as words can say.
Story = Literal["holds", "spoils"]
MADE = date(2022, 1, 3)
AS_OF = date(2026, 1, 31)
PERSON = "Ana Reyes"
#: Invented initial values by attribute, inside every protocol's own bounds.
STARTS = {
    "pH": 5.5, "viscosity": 8000, "spread": 60, "flow_time": 40, "penetration": 6,
    "foam": 90, "dose": 1.2, "light_dose": 1_200_000, "ultraviolet_dose": 210,
}  # fmt: skip
#: The pH of an acid product, where the usual one would be outside.
ACID_START = 3.75
#: Net fill and empty pack [g].
FILL, TARE = Decimal(50), Decimal(30)
#: Loss of weight each month [g], within every bound of the protocols.
LOSS_A_MONTH = 0.004


def study_text(name: str, protocol: Protocol) -> str:
    """Return a study file with one batch and a sample for every condition.

    Parameters
    ----------
    name
        Of the ready-made protocol.
    protocol
        The same, read.
    """
    lines = [
        'format = 1\ncode = "CMT"\nproduct = "Simulated product"\nversion = "1"',
        f'protocol = "{name}"\ntime_zone = "Europe/Dublin"',
        f'product_type = "{protocol.suits[0]}"',
        'as_sold = {formula = true, pack = true, scale = "2 kg"}',
        '[request]\nmonths = 12\nstorage = "below 25 °C"',
        f'[packs.JAR]\ntext = "50 g jar"\nfill_g = {FILL}\ntare_g = {TARE}',
        f"[batches.A]\nmade = {MADE}\ngrams = 2000",
    ]
    left_out = list(omitted(protocol))
    if left_out:
        lines.append("[omit]")
        lines += [f'{one} = "another way is used"' for one in left_out]
    lines.append('[[samples]]\nbatch = "A"\npack = "JAR"\nuse = "T0"')
    if any(one.on == "tube" for one in protocol.attributes.values()):
        lines.append('[[samples]]\nbatch = "A"\nkind = "tube"\nuse = "T0"\ngrams = 20')
    lines += map(_row, protocol.conditions.values())
    return "\n".join(lines)


def omitted(protocol: Protocol) -> Iterator[str]:
    """Yield all but the first of each group of which one is enough."""
    seen = set()
    for attribute in protocol.attributes.values():
        if attribute.one_of in seen:
            yield attribute.name
        if attribute.one_of is not None:
            seen.add(attribute.one_of)


def _row(condition: Condition) -> str:
    use = "in use" if condition.age_from == "first opening" else "reopened"
    twins = "\nuntreated_twins = 1" if condition.untreated_twin else ""
    return (
        f'[[samples]]\nbatch = "A"\npack = "JAR"\ncondition = "{condition.name}"\n'
        f'use = "{use}"{twins}'
    )


@dataclass
class SimulatedStudy:
    """One study, told day by day."""

    book: Continuation
    story: Story
    chance: np.random.Generator
    entered: datetime = field(default=datetime(2026, 1, 30, 12, tzinfo=UTC))

    @property
    def record(self) -> StudyRecord:
        """Return the record so far."""
        return self.book.record

    def tell(self) -> None:
        """Read T0, place every sample, and make every check on its day."""
        protocol = self.book.plan.protocol
        first = protocol.t0.read_after.after(MADE)
        samples = list(self.book.plan.samples.values())
        for sample in samples:
            self._read(sample, T0, first)
        placed_on = first + timedelta(days=1)
        for sample in samples:
            if sample.condition is not None:
                self._place(sample, placed_on)
        checks = [(one, each) for each in samples for one in self._checks(each)]
        for planned, sample in sorted(checks, key=lambda pair: pair[0].due):
            self._read(sample, planned.check, planned.due)

    def _checks(self, sample: Sample) -> Sequence[PlannedCheck]:
        return [one for one in self.book.planned(sample) if one.check != T0]

    def _place(self, sample: Sample, day: date) -> None:
        """Put a sample into its place, and through its cycles."""
        condition = self.book.plan.protocol.conditions[sample.condition or ""]
        self._place_one(sample, PlacingWish(), day)
        on = day
        for cycle in range(1, condition.cycles + 1):
            for step, one in enumerate(condition.steps, 1):
                if (cycle, step) != (1, 1):
                    wish = PlacingWish(step=f"{cycle}/{step}")
                    self._place_one(sample, wish, on)
                on += timedelta(days=round(one.duration.nominal_days))

    def _place_one(self, sample: Sample, wish: PlacingWish, day: date) -> None:
        done = Moment(day)
        for held in place(self.book.plan, sample.code, wish, done):
            self._add(content.PLACED, held, done)

    def _add(self, kind: str, held: content.Content, done: Moment) -> None:
        self.book.add(kind, held, person=PERSON, done=done, entered=self.entered)

    def _read(self, sample: Sample, check: str, day: date) -> None:
        """Log everything that is expected of a sample at a check."""
        plan = self.book.plan
        wanted = expected(plan.study, plan.protocol, sample, check)
        typed: list[str] = []
        settings: dict[str, dict[str, str]] = {}
        for name, part in wanted:
            attribute = plan.protocol.attributes[name]
            typed.append(self._typed(attribute, sample, check, part, day))
            settings[name] = {
                one.name: _set(one) for one in attribute.settings.values()
            }
        if not typed:
            return
        facts = BenchFacts(
            observers=(PERSON,), settings=settings, control=self._controls(wanted)
        )
        for one in observe(
            self.book, sample, check, typed, facts, done=Moment(day), accept_far=True
        ):
            self._add(content.OBSERVED, one.held, Moment(day))

    def _controls(self, wanted: Sequence[tuple[str, str | None]]) -> dict[str, str]:
        """Return the sample that each compared attribute is compared with."""
        plan = self.book.plan
        standing = {one.condition: one.code for one in plan.samples.values()}
        attributes = plan.protocol.attributes
        named = {name: attributes[name].compared_with for name, _ in wanted}
        return {
            name: standing[condition]
            for name, condition in named.items()
            if condition is not None
        }

    def _typed(
        self,
        attribute: Attribute,
        sample: Sample,
        check: str,
        part: str | None,
        day: date,
    ) -> str:
        """Return what is typed for one attribute."""
        months = (day - MADE).days / 30.4375
        bad = self.story == "spoils" and check != T0
        if part is not None:
            loss = float(FILL) / 4 if bad else LOSS_A_MONTH * months
            return f"w={float(FILL + TARE) - loss:.2f}"
        if attribute.kind == "scored":
            word = attribute.scale[-1] if bad else attribute.scale[0]
            return f"{attribute.name}={word}"
        if attribute.kind == "stated":
            good = attribute.limit.required
            others = [one for one in attribute.scale if one != good]
            return f"{attribute.name}={others[0] if bad else good}"
        values = [
            self._value(attribute, sample, months, bad=bad)
            for _ in range(attribute.readings)
        ]
        return f"{attribute.name}={'/'.join(values)}"

    def _value(
        self, attribute: Attribute, sample: Sample, months: float, *, bad: bool
    ) -> str:
        start = STARTS[attribute.name]
        limit = attribute.limit_in(sample.condition)
        if attribute.name == "pH" and not (limit.absolute or Band()).holds(
            Decimal(str(start))
        ):
            start = ACID_START
        drift = 0.4 if bad else 1 + self.chance.normal(0, 0.002) - 0.0004 * months
        step = attribute.resolution or Decimal("0.01")
        places = max(0, -int(step.as_tuple().exponent))
        return f"{start * drift:.{places}f}"


def _set(setting: Setting) -> str:
    """Return a value that a setting may have."""
    if setting.lowest is not None and setting.highest is not None:
        return str((setting.lowest + setting.highest) / 2)
    number = {"rpm": "3000", "radius_cm": "10"}.get(setting.name)
    return setting.value or number or "R4"


def simulated(
    folder: Path,
    name: str,
    protocol: Protocol,
    story: Story = "holds",
    *,
    seed: int = 7,
    text: str | None = None,
) -> SimulatedStudy:
    """Open a study of a ready-made protocol and fill it.

    Parameters
    ----------
    folder
        Where the study file is written.
    name
        Of the protocol.
    protocol
        The same, read.
    story
        What becomes of the product.
    seed
        Of the scatter.
    text
        The study file; None writes one with a sample for every condition.
    """
    folder.mkdir(parents=True, exist_ok=True)
    written = study_text(name, protocol) if text is None else text
    (folder / "study.toml").write_text(written, encoding="utf-8")
    new = new_study(folder / "study.toml", (), "Europe/Dublin")
    when = datetime(2022, 1, 2, 9, tzinfo=UTC)
    opening = opening_draft(new, PERSON, moment_at(when, new.zone), when)
    study = SimulatedStudy(
        continue_entries(chain([opening])), story, np.random.default_rng(seed)
    )
    study.tell()
    return study


def evaluated(study: SimulatedStudy) -> Evaluation:
    """Return the evaluation after the last check."""
    return evaluate(study.record, AS_OF)
