"""A study: one protocol applied to named batches of one product version in packs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Literal

from stability.model.age import Age

#: How a sample is used; a jar reopened at each check and a fresh jar per check are
#: two sampling plans with different meaning.
Use = Literal[
    "fresh per check",
    "reopened",
    "untouched",
    "in use",
    "retained",
    "spare",
    "sent out",
    "T0",
]
#: A container as sold or as tested, bulk product at T0, or a tube for the centrifuge.
SampleKind = Literal["container", "bulk", "tube"]
#: Where a product is to be sold; decides what the law asks its label to say.
Market = Literal["EU", "UK", "US", "ASEAN"]


@dataclass(frozen=True, slots=True)
class AsSold:
    """Whether what is tested is what will be sold; printed on page 1."""

    #: The formula is the one to be sold.
    formula: bool
    #: The pack is the one to be sold.
    pack: bool
    #: Scale of the tested batches beside the scale of sale, in words.
    scale: str


@dataclass(frozen=True, slots=True)
class Request:
    """What the maker wants to print on the label."""

    #: Shelf life asked for, unopened [months].
    months: int
    #: Period after opening asked for; None where none is.
    after_opening: Age | None = None
    #: Storage words asked for.
    storage: str = ""
    #: Markets whose rules for durability are printed; empty prints none.
    markets: tuple[Market, ...] = ()


@dataclass(frozen=True, slots=True)
class StructuralLimit:
    """From which temperature on the product's structure gives way.

    Wax melts, an emulsion inverts: what heat does from there on is another process
    than ageing on a shelf.
    """

    #: The temperature [°C].
    temperature: Decimal
    #: What gives way there, and how that is known.
    reason: str


@dataclass(frozen=True, slots=True)
class Pack:
    """A pack: material, size, closure."""

    #: Short name, such as JAR.
    name: str
    #: What it is, in words.
    text: str
    #: True for glass or another inert comparison.
    inert: bool = False
    #: Net fill [g]; None where not stated.
    fill_g: Decimal | None = None
    #: Mean mass of the empty pack [g]; None where not stated.
    tare_g: Decimal | None = None
    #: Surfaces that one pack offers, such as places for a needle [-]; None where not
    #: stated.
    surfaces: int | None = None


@dataclass(frozen=True, slots=True)
class Batch:
    """A batch: when made, how much, and facts of its making."""

    #: Short name, such as A.
    name: str
    #: Day on which it was made.
    made: date
    #: Day on which it was filled; None where not stated.
    filled: date | None = None
    #: Mass made [g]; None where not stated.
    grams: Decimal | None = None
    #: pH measured at make, before settling; kept apart, never an initial value.
    pH_at_make: Decimal | None = None  # noqa: N815 - pH is written so
    #: Other facts of the making, such as additions or fill temperature.
    process: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class SampleRow:
    """One row of the samples table: so many samples, assigned to one purpose."""

    #: Batches; the row stands for each of them.
    batch: tuple[str, ...]
    #: How they are used.
    use: Use
    #: How many for each batch; for fresh per check: at each check [-].
    count: int = 1
    #: Pack; None for bulk and tubes.
    pack: str | None = None
    #: Condition; None for bulk, tubes, retained, spare and sent-out samples.
    condition: str | None = None
    #: What kind of sample.
    kind: SampleKind = "container"
    #: Checks that the row serves; empty means all of the condition.
    checks: tuple[str, ...] = ()
    #: Check at which an untouched container is opened; None for other uses.
    open_at: str | None = None
    #: Untreated twins that go with cycled samples [-].
    untreated_twins: int = 0
    #: How long a retained sample is kept, from filling; None where not stated.
    keep_for: Age | None = None
    #: Mass of one sample of bulk, tube or sent-out product [g]; None: the pack's fill.
    grams: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Study:
    """One study file, read and checked."""

    #: Product name as sold.
    product: str
    #: Version of the formula.
    version: str
    #: Protocol file beside the study file, or name of a ready-made protocol.
    protocol: str
    #: What the maker asks for.
    request: Request
    #: Whether it is as sold.
    as_sold: AsSold
    #: Batches by name, in the file's order.
    batches: Mapping[str, Batch]
    #: Packs by name, in the file's order.
    packs: Mapping[str, Pack]
    #: Samples as rows, in the file's order.
    samples: tuple[SampleRow, ...]
    #: Study code that begins every sample code; "" lets `start` allot one.
    code: str = ""
    #: Format number of the file.
    format: int = 1
    #: IANA name of the time zone; None lets `start` write the machine's.
    time_zone: str | None = None
    #: Maker's name, as printed.
    maker: str = ""
    #: Kind of product in words, such as "oil-in-water emulsion".
    product_type: str = ""
    #: False only for a product without water; decides the microbiology words.
    contains_water: bool = True
    #: Category of ISO 17516 for plate counts: 1 for the eye area, mucous membranes
    #: and children under 3, 2 for all others; None where not stated, which counts as 2.
    microbial_category: int | None = None
    #: From where on heat is another process than ageing; None where not declared.
    structural_limit: StructuralLimit | None = None
    #: Ingredient -> share of the formula [%].
    formula: Mapping[str, Decimal] = field(default_factory=dict)
    #: Condition -> storage place.
    places: Mapping[str, str] = field(default_factory=dict)
    #: Condition -> planned day of placing.
    place_on: Mapping[str, date] = field(default_factory=dict)
    #: Attribute or condition left out -> reason.
    omit: Mapping[str, str] = field(default_factory=dict)
    #: Study that this one follows; None for the first.
    follows: str | None = None
    #: What was changed against it; None for the first.
    changed: str | None = None
    #: Person who opens the study; needed in a hand-made folder only.
    person: str | None = None
    #: When the study was opened; needed in a hand-made folder only.
    opened: str | None = None


@dataclass(frozen=True, slots=True)
class Sample:
    """One physical container (or bulk, or tube) with a code on its label."""

    #: Sample code with check character, such as HDC-014-W.
    code: str
    #: Batch.
    batch: str
    #: Pack; None for bulk and tubes.
    pack: str | None
    #: Condition for which it is meant; None for bulk, tubes, retained, spare, sent out.
    condition: str | None
    #: What kind of sample.
    kind: SampleKind
    #: How it is used.
    use: Use
    #: Checks at which it is to be read, in order; T0 among them where it serves T0.
    checks: tuple[str, ...]
    #: The cycled condition whose untreated twin this is; None for other samples.
    twin_of: str | None = None
    #: Check at which an untouched sample is opened; None for other uses.
    open_at: str | None = None
    #: Day until which a retained sample is kept; None for other uses.
    keep_until: date | None = None
