"""A small protocol and study in code, and a bench that writes entries."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from typing import Any

from stability.evaluation.evaluate import evaluate
from stability.evaluation.findings import Evaluation
from stability.evaluation.readings import JudgedObservation
from stability.evaluation.series import MeasuredSeries, WordSeries
from stability.model import content
from stability.model.age import Age
from stability.model.attribute import Attribute, Setting
from stability.model.certificate import CertificateKind, ResultRow
from stability.model.condition import Condition, CycleStep
from stability.model.entry import Draft, chain
from stability.model.fold import entries_as_of, fold
from stability.model.follow_up import FIRST_CHECKS, NOT_LOOKED_AT, OUTSIDE_QUESTION
from stability.model.limit import Band, Limit
from stability.model.observation import Reading
from stability.model.photograph import Original
from stability.model.protocol import Protocol, T0Rule
from stability.model.study import AsSold, Batch, Pack, Request, Sample, Study
from stability.model.study_record import StudyRecord

ROOM_CHECKS = ("4w", "3M", "6M", "9M", "12M")
HOT_CHECKS = ("2w", "4w", "8w", "12w")
#: The day on which batches of these studies are made and placed.
MADE = date(2025, 1, 6)
PLACED = date(2025, 1, 10)


def band(lowest: str | None = None, highest: str | None = None) -> Band:
    """Return a band from numbers as typed."""
    return Band(
        None if lowest is None else Decimal(lowest),
        None if highest is None else Decimal(highest),
    )


def protocol(**changes: Any) -> Protocol:
    """Return a protocol with every role and every kind of attribute."""
    step = CycleStep(Decimal(-18), Decimal(4), Age(24, "h"))
    thaw = CycleStep(Decimal(22), Decimal(4), Age(24, "h"))
    conditions = (
        Condition(
            "ROOM",
            "long-term",
            between=(Decimal(15), Decimal(27)),
            checks=ROOM_CHECKS,
        ),
        Condition(
            "T40",
            "accelerated",
            temperature=Decimal(40),
            tolerance=Decimal(2),
            checks=HOT_CHECKS,
        ),
        Condition(
            "T45",
            "stress",
            temperature=Decimal(45),
            checks=HOT_CHECKS,
            if_outside_limit="storage and transport words",
        ),
        Condition("COLD", "control", temperature=Decimal(5), checks=("4w", "12w")),
        Condition(
            "FT",
            "stress",
            cycles=3,
            steps=(step, thaw),
            read_after_cycles=(1, 3),
            untreated_twin="ROOM",
        ),
        Condition(
            "WINDOW", "stress", light="north window", dark_twin="FOIL", checks=("4w",)
        ),
        Condition("FOIL", "control", light="as WINDOW, wrapped", checks=("4w",)),
    )
    attributes = (
        Attribute(
            "pH",
            "measured",
            unit="pH",
            readings=2,
            resolution=Decimal("0.01"),
            settings={"dilution": Setting("dilution", "fixed", "10 %")},
            limit=Limit(
                absolute=band("5.0", "5.9"), reason_kind="active or preservative"
            ),
        ),
        Attribute(
            "odour",
            "scored",
            scale=("as control", "slightly changed", "changed"),
            observers=2,
            compared_with="COLD",
            limit=Limit(highest="slightly changed", reason_kind="felt or seen"),
        ),
        Attribute(
            "weight_loss",
            "measured",
            unit="g",
            from_weights=True,
            limit=Limit(absolute=band(highest="3.0")),
        ),
    )
    made = Protocol(
        name="mini",
        title="A small protocol",
        version="1",
        t0=T0Rule(Age(48, "h"), Age(96, "h")),
        conditions={one.name: one for one in conditions},
        attributes={one.name: one for one in attributes},
    )
    return replace(made, **changes)


def study(batches: Sequence[str] = ("A",), **changes: Any) -> Study:
    """Return a study of some batches, all made on one day."""
    made = Study(
        code="HDC",
        product="Heather day cream",
        version="1.0",
        protocol="mini",
        request=Request(12),
        as_sold=AsSold(formula=True, pack=True, scale="400 g"),
        batches={name: Batch(name, MADE) for name in batches},
        packs={
            "JAR": Pack("JAR", "50 g jar", fill_g=Decimal(50)),
            "PUMP": Pack("PUMP", "30 ml pump", fill_g=Decimal(30)),
        },
        samples=(),
        time_zone="Europe/Dublin",
    )
    return replace(made, **changes)


def sample(code: str, condition: str | None, **changes: Any) -> Sample:
    """Return a reopened jar of batch A, unless told otherwise."""
    checks = {
        "ROOM": ROOM_CHECKS,
        "T40": HOT_CHECKS,
        "T45": HOT_CHECKS,
        "COLD": ("4w", "12w"),
        "FT": ("c1", "c3"),
        "WINDOW": ("4w",),
        "FOIL": ("4w",),
    }.get(condition or "", ("T0",))
    made = Sample(
        code=code,
        batch="A",
        pack="JAR",
        condition=condition,
        kind="container",
        use="reopened" if condition else "T0",
        checks=checks,
    )
    return replace(made, **changes)


def bulk(batch: str = "A") -> Sample:
    """Return the bulk of a batch, which serves T0 only."""
    return Sample(f"BULK-{batch}", batch, None, None, "bulk", "T0", ("T0",))


@dataclass
class Bench:
    """Writes entries as a person at the bench would."""

    samples: Sequence[Sample]
    protocol: Protocol = field(default_factory=protocol)
    study: Study = field(default_factory=study)
    opened: str = "2025-01-06"
    drafts: list[Draft] = field(default_factory=list)
    versions: dict[str, tuple[Study, Protocol]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        opening = content.opened(
            study_text="",
            protocol_text="",
            protocol_name="mini",
            protocol_digest="0" * 64,
            time_zone="Europe/Dublin",
            samples=self.samples,
        )
        self._add(content.OPENED, opening, self.opened)

    def _add(
        self, kind: str, said: content.Content, done: str, entered: str | None = None
    ) -> int:
        at = entered or f"{done[:10]}T12:00:00Z"
        self.drafts.append(Draft("study:HDC", kind, "Mara", done, at, said))
        return len(self.drafts)

    def place(
        self, code: str, condition: str | None, done: str = "2025-01-10", **more: Any
    ) -> int:
        """Put a sample into a condition."""
        how = more.pop("how", "in")
        return self._add(
            content.PLACED, content.placed(code, condition, how, **more), done
        )

    def read(
        self, code: str, attribute: str, check: str | None, *values: str, done: str,
        **more: Any,
    ) -> int:  # fmt: skip
        """Log one observation."""
        entered = more.pop("entered", None)
        said = content.observed(code, attribute, check, _readings(values), **more)
        return self._add(content.OBSERVED, said, done, entered)

    def correct(
        self, position: int, *values: str, because: str = "mistyped", done: str
    ) -> int:
        """Supersede an observation."""
        said = dict(self.drafts[position - 1].content)
        said["readings"] = content.observed("", "", None, _readings(values))["readings"]
        return self._add(
            content.CORRECTED, content.corrected(position, said, because), done
        )

    def invalidate(self, position: int, because: str, done: str) -> int:
        """Set an observation aside."""
        return self._add(
            content.INVALIDATED, content.invalidated(position, because), done
        )

    def miss(self, check: str, *codes: str, because: str, done: str) -> int:
        """Record a check as missed."""
        return self._add(content.MISSED, content.missed(check, codes, because), done)

    def retire(self, code: str, reason: str, done: str, because: str = "seen") -> int:
        """Let a sample leave."""
        return self._add(content.RETIRED, content.retired(code, reason, because), done)

    def photograph(
        self, code: str, check: str | None, done: str, **more: Any
    ) -> int:  # fmt: skip
        """Take a photograph of a sample; its digest tells one from another."""
        number = len(self.drafts) + 1
        said = content.photographed(
            code,
            check,
            more.pop("attribute", None),
            more.pop("caption", ""),
            name=f"{code}_{check or 'extra'}_{done}_{number}.jpg",
            sha256=more.pop("sha256", f"{number:064x}"),
            size=1000,
            pixels=more.pop("pixels", (30, 40)),
            original=Original("jar.jpg", f"{number:063x}f", 4000),
            taken=None,
        )
        return self._add(content.PHOTOGRAPHED, said, done)

    def answer(
        self, refers_to: int, outcome: str, done: str, because: str = "seen", **at: str
    ) -> int:
        """Answer a follow-up; `right_sample="yes"` for what was looked at."""
        looked = {name.replace("_", " "): found for name, found in at.items()}
        checks = {name: looked.get(name, NOT_LOOKED_AT) for name in FIRST_CHECKS}
        said = content.answered(refers_to, OUTSIDE_QUESTION, checks, outcome, because)
        return self._add(content.ANSWERED, said, done)

    def certify(
        self, kind: CertificateKind, done: str, *results: ResultRow, **of: Any
    ) -> int:
        """Take in a certificate; of batch A in its jar at T0, unless told otherwise."""
        number = f"C-{len(self.drafts) + 1}"
        facts: dict[str, Any] = {
            "attribute": kind, "laboratory": "Corran Laboratory", "number": number,
            "standard": "", "batch": "A", "version": "1.0", "pack": "JAR",
            "sample": None, "age": "T0", "issued": done, "verdict": "", "file": None,
        }  # fmt: skip
        facts |= of
        said = content.certified(facts.pop("attribute"), kind, results, **facts)
        return self._add(content.CERTIFIED, said, done)

    def stop(self, done: str, because: str = "off sale", **scope: str) -> int:
        """End the study or a part of it."""
        return self._add(content.STOPPED, content.stopped(scope, because), done)

    def amend(
        self,
        to: Protocol,
        done: str,
        because: str = "asked for",
        study: Study | None = None,
    ) -> int:
        """Let another protocol, and where it changed another study, hold from a day."""
        text = f"version {len(self.versions) + 1}"
        self.versions[text] = (study or self.study, to)
        said = content.amended(because, ["limits"], protocol_text=text)
        return self._add(content.AMENDED, said, done)

    def lodge(self, receiver: str, done: str, entered: str | None = None) -> int:
        """Hand the plan record as opened to somebody."""
        opened = chain(self.drafts[:1])[0].digest
        return self._add(
            content.LODGED, content.lodged(receiver, opened), done, entered
        )

    def take_over(self, because: str, done: str) -> int:
        """Say that the study began elsewhere."""
        return self._add(content.TAKEN_OVER, content.taken_over(because), done)

    def _texts(self, _study: str, text: str, _name: str) -> tuple[Study, Protocol]:
        return self.versions[text]

    def record(self, as_of: str = "2027-12-31") -> StudyRecord:
        """Return the record as of a day."""
        entries = chain(self.drafts)
        study = self.study
        opening = fold(entries[:1], study, self.protocol)
        kept = entries_as_of(entries, date.fromisoformat(as_of), opening.zone)
        return fold(kept, study, self.protocol, self._texts)

    def evaluate(self, as_of: str) -> Evaluation:
        """Return the evaluation as of a day."""
        return evaluate(self.record(as_of), date.fromisoformat(as_of))


def _readings(values: Sequence[str]) -> list[Reading]:
    """Return readings from `5.47`, `<0.1` or `Ana:as control`."""
    found = []
    for value in values:
        observer, colon, rest = value.partition(":")
        text = rest if colon else value
        sign = text[0] if text[0] in "<>" else ""
        found.append(Reading(text[len(sign) :], sign, observer if colon else None))
    return found


def judged_at(evaluation: Evaluation, position: int) -> JudgedObservation:
    """Return the judged observation of an entry."""
    return next(one for one in evaluation.judged if one.position == position)


def measured(evaluation: Evaluation, *words: str) -> MeasuredSeries:
    """Return the one measured series whose name holds all words."""
    found = [
        one
        for one in evaluation.measured
        if all(word in one.key.text() for word in words)
    ]
    assert len(found) == 1, [one.key.text() for one in found]
    return found[0]


def worded(evaluation: Evaluation, *words: str) -> WordSeries:
    """Return the one worded series whose name holds all words."""
    found = [
        one
        for one in evaluation.worded
        if all(word in one.key.text() for word in words)
    ]
    assert len(found) == 1, [one.key.text() for one in found]
    return found[0]
