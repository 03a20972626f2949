"""What the certificates of laboratories amount to for a study."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from stability.model.age import T0
from stability.model.certificate import Certificate
from stability.model.challenge import ChallengeFinding
from stability.model.microbial_limits import CountFinding

#: What a certificate amounts to. The last two are no evidence for the study.
CertificateMark = Literal[
    "outside",
    "needs justification",
    "undecided",
    "no initial",
    "inside",
    "recorded only",
    "mismatch",
    "set aside",
]
#: How a certificate that the protocol asks for stands.
AskedState = Literal["received", "not received", "to come"]


@dataclass(frozen=True, slots=True)
class CertificateFinding:
    """One certificate, held against the standard and against the protocol."""

    #: The certificate.
    certificate: Certificate
    #: What it amounts to.
    mark: CertificateMark
    #: In what it is of something else than the study; () where it is of it.
    mismatches: tuple[str, ...]
    #: The challenge held against ISO 11930; None for other certificates.
    challenge: ChallengeFinding | None
    #: The counts held against ISO 17516; None for other certificates.
    count: CountFinding | None
    #: The values in words, one for each organism, count or reading.
    results: tuple[str, ...]
    #: What is concluded here, in words.
    verdict: str
    #: The limit of the protocol's attribute and the mark by it; "" without one.
    by_protocol: str
    #: What the laboratory concludes, and whether both agree; "" without it.
    laboratory_verdict: str
    #: Why, and whatever else a reader must know.
    reasons: tuple[str, ...]
    #: Whether it stands among the readings of the sample that it names.
    among_readings: bool
    #: Whether it says something of microbes.
    microbiological: bool
    #: All of it in one sentence.
    text: str
    #: Whether it stands, is of this version in a pack of this study, and lies outside:
    #: of whatever batch it is, it then speaks against the shelf life.
    speaks_against: bool = False

    @property
    def is_evidence(self) -> bool:
        """Say whether it stands and is of this study."""
        return self.mark not in {"mismatch", "set aside"}


@dataclass(frozen=True, slots=True)
class FailedCertificate:
    """A certificate outside its limit that ends what is supported."""

    #: The certificate.
    certificate: Certificate
    #: Packs of the study for which it counts.
    packs: tuple[str, ...]
    #: What it failed, in words.
    what: str
    #: Last age before at which the same batch held in the same pack; None without one.
    held_at: str | None

    @property
    def held_words(self) -> str:
        """Say until when it held, as far as certificates tell."""
        if self.held_at is None:
            return "no certificate shows that it held before"
        when = "at the start (T0)" if self.held_at == T0 else f"at {self.held_at}"
        return f"it last held {when}"


@dataclass(frozen=True, slots=True)
class Asked:
    """A certificate that the protocol asks for at a check."""

    #: Attribute.
    attribute: str
    #: Check.
    check: str
    #: How it stands.
    state: AskedState
    #: Positions of the certificates that answer it.
    positions: tuple[int, ...]
    #: Day on which the check is first reached; None where nothing tells it.
    reached_on: date | None = None


@dataclass(frozen=True, slots=True)
class Certificates:
    """Every certificate of a study, and what is asked for."""

    #: The certificates: those outside first, then in the order of their entries.
    findings: tuple[CertificateFinding, ...] = ()
    #: What the protocol asks for, in its order.
    asked: tuple[Asked, ...] = ()
    #: Attribute from a laboratory that the study leaves out, and why.
    left_out: tuple[tuple[str, str], ...] = ()

    @property
    def evidence(self) -> tuple[CertificateFinding, ...]:
        """Return those that stand and are of this study."""
        return tuple(one for one in self.findings if one.is_evidence)

    @property
    def outside_alone(self) -> tuple[CertificateFinding, ...]:
        """Return those outside that stand among no sample's readings."""
        return tuple(
            one
            for one in self.evidence
            if one.mark == "outside" and not one.among_readings
        )

    @property
    def against(self) -> tuple[CertificateFinding, ...]:
        """Return those that speak against the shelf life, of whatever batch."""
        return tuple(one for one in self.findings if one.speaks_against)

    @property
    def anything_outside(self) -> bool:
        """Say whether one of them lies outside."""
        return any(one.mark == "outside" for one in self.evidence)
