"""Plans worked out by hand on invented products (source: worked example).

The grams of each test are common practice: a 10 % dilution for pH takes two grams, nose
and eye two, a spread one; a challenge test takes five strains of 20 g (from memory).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

from stability.model.protocol import Protocol
from stability.model.study import AsSold, Batch, Pack, Request, SampleRow, Study
from stability.records.protocol_file import read_protocol
from stability.records.study_file import read_draft

FACE_CREAM = """\
format = 1
title = "Face cream: 12 weeks accelerated with real time to 24 months"
version = "1"
needs = ["pH meter", "balance 0.01 g"]
[t0]
read_after = "48h"
read_before = "96h"
[conditions.ROOM]
role = "long-term"
between = [15, 27]
checks = ["4w", "8w", "3M", "6M", "9M", "12M", "18M", "24M"]
[conditions.T40]
role = "accelerated"
temperature = 40
tolerance = 2
checks = ["2w", "4w", "8w", "12w"]
[conditions.T45]
role = "stress"
temperature = 45
tolerance = 2
checks = ["4w", "8w", "12w"]
[conditions.COLD]
role = "control"
temperature = 5
tolerance = 3
checks = ["4w", "12w", "6M", "12M", "24M"]
[conditions.FT]
role = "stress"
cycles = 3
steps = [{at = -18, tolerance = 4, for = "24h"}, {at = 22, tolerance = 4, for = "24h"}]
read_after_cycles = [1, 3]
untreated_twin = "ROOM"
[conditions.WINDOW]
role = "stress"
light = "window, north, no direct sun"
checks = ["2w", "4w", "8w"]
dark_twin = "FOIL"
[conditions.FOIL]
role = "control"
light = "as WINDOW, wrapped in foil"
checks = ["2w", "4w", "8w"]
[conditions.IN-USE]
role = "stress"
between = [15, 27]
checks = ["4w", "3M", "6M"]
age_from = "first opening"
[attributes.pH]
method = "10 % in water"
unit = "pH"
readings = 2
takes_g = 2
minutes = 6
limit.absolute = {lowest = 5.0, highest = 5.9}
limit.reason = "the preservative"
[attributes.spread]
method = "0.5 g under 200 g"
unit = "mm"
readings = 2
takes_g = 1
limit.percent_of_initial = {lowest = 80, highest = 120}
limit.reason = "felt"
[attributes.odour]
scale = ["as control", "slightly changed", "changed", "strongly changed"]
compared_with = "COLD"
takes_g = 2
limit.highest = "slightly changed"
limit.reason = "smelt"
[attributes.weight_loss]
conditions = ["ROOM", "T40", "COLD"]
limit.absolute = {highest = 3.0}
limit.reason = "dries out"
[attributes.centrifuge]
scale = ["none", "ring", "layer"]
when = ["T0"]
on = "tube"
limit.highest = "none"
limit.reason = "separates"
"""
#: Its shared-out table: 365, 345 and 365 g of the 380 g that 400 g leave.
FACE_CREAM_STUDY = """\
format = 1
code = "HDC"
product = "Heather day cream"
version = "1.0"
protocol = "face-cream.toml"
time_zone = "Europe/Dublin"
as_sold = {formula = true, pack = true, scale = "400 g laboratory batches"}
[request]
months = 12
after_opening = "6M"
[packs.JAR]
text = "50 g PP jar"
fill_g = 50
tare_g = 32.10
[packs.PUMP]
text = "30 ml airless PP pump"
fill_g = 30
tare_g = 24.60
[packs.VIAL10]
text = "10 g glass"
inert = true
fill_g = 10
[packs.VIAL20]
text = "20 g glass"
inert = true
fill_g = 20
[batches.A]
made = 2026-03-02
grams = 400
[batches.B]
made = 2026-03-09
grams = 400
[batches.C]
made = 2026-03-16
grams = 400
[[samples]]
batch = ["A", "B", "C"]
kind = "bulk"
grams = 15
[[samples]]
batch = "A"
kind = "tube"
count = 2
grams = 10
[[samples]]
batch = ["A", "B", "C"]
pack = "JAR"
condition = "ROOM"
use = "reopened"
[[samples]]
batch = "A"
pack = "JAR"
condition = "ROOM"
use = "untouched"
open_at = "12M"
[[samples]]
batch = ["A", "B", "C"]
pack = "JAR"
condition = "T40"
use = "reopened"
[[samples]]
batch = "A"
pack = "JAR"
condition = "COLD"
use = "reopened"
[[samples]]
batch = "A"
pack = "VIAL20"
condition = "T45"
use = "reopened"
[[samples]]
batch = "A"
pack = "VIAL10"
condition = "FT"
use = "reopened"
count = 3
untreated_twins = 1
[[samples]]
batch = "A"
pack = "VIAL10"
condition = "WINDOW"
use = "reopened"
checks = ["4w", "8w"]
[[samples]]
batch = "A"
pack = "VIAL10"
condition = "FOIL"
use = "reopened"
checks = ["4w", "8w"]
[[samples]]
batch = ["B", "C"]
pack = "PUMP"
condition = "ROOM"
use = "reopened"
checks = ["3M", "6M", "12M", "18M", "24M"]
[[samples]]
batch = ["B", "C"]
pack = "PUMP"
condition = "T40"
use = "reopened"
[[samples]]
batch = "C"
pack = "PUMP"
condition = "COLD"
use = "reopened"
[[samples]]
batch = "C"
pack = "JAR"
condition = "IN-USE"
use = "in use"
[[samples]]
batch = "C"
pack = "PUMP"
condition = "IN-USE"
use = "in use"
[[samples]]
batch = "B"
kind = "bulk"
use = "sent out"
grams = 120
[[samples]]
batch = ["A", "B", "C"]
pack = "JAR"
use = "retained"
[[samples]]
batch = "C"
pack = "PUMP"
use = "retained"
"""
FACE_CREAM_SUMS = {"A": Decimal(365), "B": Decimal(345), "C": Decimal(365)}
FACE_CREAM_CROSS = Decimal(2720)

#: 250 g in one batch: three conditions and a cold control, jars of 30 g, five checks.
#: The viscometer is used at T0 and gives its 16 g back.
SMALL_BATCH = """\
format = 1
title = "Three conditions and a control"
version = "1"
[t0]
read_after = "48h"
read_before = "96h"
[conditions.ROOM]
role = "long-term"
between = [15, 27]
checks = ["1w", "2w", "4w", "8w", "12w"]
[conditions.T40]
role = "accelerated"
temperature = 40
tolerance = 2
checks = ["1w", "2w", "4w", "8w", "12w"]
[conditions.T45]
role = "stress"
temperature = 45
tolerance = 2
checks = ["1w", "2w", "4w", "8w", "12w"]
[conditions.COLD]
role = "control"
temperature = 5
tolerance = 3
checks = ["12w"]
[attributes.pH]
method = "10 % in water"
unit = "pH"
takes_g = 2
limit.absolute = {lowest = 5.0, highest = 5.9}
limit.reason = "the preservative"
[attributes.viscosity]
method = "small adapter"
unit = "mPa·s"
needs_g = 16
when = ["T0"]
limit.percent_of_initial = {lowest = 80, highest = 120}
limit.reason = "felt"
[attributes.odour]
scale = ["as control", "changed"]
compared_with = "COLD"
takes_g = 2
limit.highest = "as control"
limit.reason = "smelt"
"""
SMALL_BATCH_NEEDS = Decimal(290)
#: The same with a fresh jar of 30 g for each of five checks of three conditions, and
#: one for T0: 16 jars; the cold control, what is retained and what is sent out beside.
FRESH_JARS, BESIDE_THEM = Decimal(480), Decimal(180)

ONE = ("A",)
REOPENED = (
    SampleRow(ONE, "T0", kind="bulk", grams=Decimal(20)),
    *(SampleRow(ONE, "reopened", 1, "JAR", name) for name in ("ROOM", "T40", "T45")),
    SampleRow(ONE, "reopened", 1, "JAR", "COLD"),
    SampleRow(ONE, "retained", 1, "JAR"),
    SampleRow(ONE, "sent out", kind="bulk", grams=Decimal(100)),
    SampleRow(ONE, "sent out", 2, kind="bulk", grams=Decimal(10)),
)
FRESH = (
    SampleRow(ONE, "T0", 1, "JAR"),
    *(
        replace(row, use="fresh per check")
        for row in REOPENED
        if row.condition in ("ROOM", "T40", "T45")
    ),
    *REOPENED[4:],
)


def face_cream() -> Protocol:
    """Return the face cream's protocol."""
    return read_protocol(FACE_CREAM, "face-cream", "face-cream.toml")


def face_cream_study() -> Study:
    """Return the face cream's study as shared out by hand."""
    return read_draft(FACE_CREAM_STUDY, "study.toml", face_cream())


def small_batch() -> Protocol:
    """Return the protocol of the small batch."""
    return read_protocol(SMALL_BATCH, "small-batch", "small-batch.toml")


def small_batch_study(rows: tuple[SampleRow, ...] = ()) -> Study:
    """Return a study of the small batch; without rows it is shared out."""
    return Study(
        product="Small lotion",
        version="1",
        protocol="small-batch",
        request=Request(12),
        as_sold=AsSold(formula=True, pack=True, scale="250 g"),
        batches={"A": Batch("A", date(2026, 3, 2), grams=Decimal(250))},
        packs={"JAR": Pack("JAR", "30 g jar", fill_g=Decimal(30))},
        samples=rows,
        code="SMQ",
    )


def unshared(study: Study) -> Study:
    """Return a study without its rows."""
    return replace(study, samples=())


def write_face_cream(folder: Path, study: str = FACE_CREAM_STUDY) -> Path:
    """Write the face cream's files and return the study file."""
    (folder / "face-cream.toml").write_text(FACE_CREAM, encoding="utf-8")
    (folder / "study.toml").write_text(study, encoding="utf-8")
    return folder / "study.toml"
