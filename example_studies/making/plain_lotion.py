"""The invented body lotion: two batches, 24 months, and nothing happens."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import date

from making import laboratory
from making.bench_book import BenchBook, BenchDay
from making.calendar_of_checks import due, working_day
from making.sample_codes import sample_codes
from making.scatter import Scatter

STUDY = """\
# Invented: maker, product, people, formula and every number.
format = 1
code = "MFN"
product = "Marrowfen body lotion"
version = "3"
protocol = "real-time-36-months"
time_zone = "Europe/London"
maker = "Marrowfen Small Batch"
product_type = "oil-in-water emulsion"
person = "Wilf"
opened = "2024-08-02T11:00"

[as_sold]
formula = true
pack = true
scale = "3 kg pilot batches; sale batches are 25 kg"

[request]
months = 24
after_opening = "12M"
storage = "below 25 °C"

[formula]
"Aqua" = 82.5
"Caprylic/capric triglyceride" = 6.0
"Cetearyl alcohol" = 2.0
"Cetearyl glucoside" = 2.0
"Glycerin" = 4.0
"Prunus amygdalus dulcis oil" = 2.0
"Phenoxyethanol" = 0.9
"Carbomer" = 0.2
"Sodium hydroxide" = 0.1
"Ethylhexylglycerin" = 0.1
"Citric acid" = 0.2

[packs.BOTTLE]
text = "200 ml PET bottle, PP flip-top cap"
fill_g = 200.0
tare_g = 24.30

[batches.A]
made = 2024-08-05
grams = 3000
[batches.B]
made = 2024-08-12
grams = 3000

[[samples]]
batch = ["A", "B"]
kind = "bulk"
use = "T0"
grams = 300

# A fresh bottle at each check: none was opened before it is read.
[[samples]]
batch = ["A", "B"]
pack = "BOTTLE"
condition = "ROOM"
use = "fresh per check"
[[samples]]
batch = ["A", "B"]
pack = "BOTTLE"
condition = "COLD"
use = "reopened"
[[samples]]
batch = ["A", "B"]
pack = "BOTTLE"
use = "retained"
keep_for = "3y"

[omit]
spread = "the viscosity is measured"
flow_time = "the viscosity is measured"
consistency = "the viscosity is measured"
"""

CHECKS = ("3M", "6M", "9M", "12M", "18M", "24M", "30M", "36M")
READ = CHECKS[:6]
PLACED = {"A": date(2024, 8, 8), "B": date(2024, 8, 15)}
PH_AT_T0 = {"A": 5.61, "B": 5.58}
VISCOSITY_AT_T0 = {"A": 8240.0, "B": 8090.0}
#: Change each month of pH and of viscosity [share], loss [g], by condition.
FALL_OF_PH = {"ROOM": 0.0035, "COLD": 0.001}
RISE_OF_VISCOSITY = {"ROOM": 0.0012, "COLD": 0.0005}
LOSS = {"ROOM": 0.060, "COLD": 0.012}
#: Certificates: the day on which each came, of what, age, batch, number.
LETTERS = (
    (date(2024, 8, 30), "count", "T0", "A", "24-1107"),
    (date(2024, 9, 6), "count", "T0", "B", "24-1131"),
    (date(2024, 10, 4), "challenge", "T0", "A", "24-1248"),
    (date(2025, 8, 29), "count", "12M", "A", "25-1090"),
    (date(2025, 9, 5), "count", "12M", "B", "25-1122"),
    (date(2026, 8, 28), "count", "24M", "A", "26-1054"),
    (date(2026, 9, 4), "count", "24M", "B", "26-1083"),
)


def names() -> Iterator[str]:
    """Yield the samples in the order of the file, which gives them their codes."""
    yield from ("A bulk", "B bulk")
    for batch in "AB":
        yield from (f"{batch} room {check}" for check in CHECKS)
    yield from ("A cold", "B cold", "A kept", "B kept")


class PlainLotion:
    """The story of the study, told day by day."""

    def __init__(self) -> None:
        codes = dict(zip(names(), sample_codes("MFN"), strict=False))
        self.book = BenchBook(codes)
        self.scatter = Scatter(20240813)
        #: Sample -> mass when last weighed [g], and when.
        self.mass: dict[str, tuple[float, date]] = {}
        self.ph_of_day = 0.0
        self.viscosity_of_day = 0.0

    def tell(self) -> str:
        """Return events.csv."""
        visits: dict[date, list[tuple[str, str]]] = defaultdict(list)
        for batch, placed in PLACED.items():
            visits[placed].append((batch, "T0"))
            for check in READ:
                visits[working_day(due(placed, check))].append((batch, check))
        for on in sorted(visits):
            self.ph_of_day = self.scatter.normal(0.018)
            self.viscosity_of_day = self.scatter.normal(0.012)
            day = BenchDay(self.book, "Wilf", on)
            self.set_day(day)
            for batch, check in visits[on]:
                if check == "T0":
                    self.begin(day, batch)
                    continue
                for where in ("room", "cold"):
                    name = (
                        f"{batch} room {check}" if where == "room" else f"{batch} cold"
                    )
                    self.read(day, name, check)
        self.open_letters()
        return self.book.text()

    def open_letters(self) -> None:
        """Store the laboratory's certificates, each on the day on which it came."""
        for on, what, age, batch, number in LETTERS:
            challenge = what == "challenge"
            standard = laboratory.CHALLENGE if challenge else laboratory.COUNT
            results = laboratory.SURVIVORS if challenge else laboratory.CLEAN
            head = laboratory.paper(
                number,
                standard,
                batch=batch,
                version="3",
                pack="BOTTLE",
                issued=str(on),
            )
            BenchDay(self.book, "Wilf", on, 16).certify(what, age, results, head)

    def set_day(self, day: BenchDay) -> None:
        """Set what holds for all readings of a day."""
        warm = f"{self.scatter.between(24.6, 25.4):.1f}"
        day.set_day(
            observers=("Wilf",),
            control="A cold" if day.on > PLACED["A"] else None,
            settings={
                "pH.dilution": "10 %",
                "pH.sample_temperature": f"{self.scatter.between(20.5, 23.0):.1f}",
                "pH.electrode": "E1",
                "viscosity.instrument": "rotational, model R",
                "viscosity.spindle": "R4",
                "viscosity.speed_rpm": "20",
                "viscosity.read_after_s": "30",
                "viscosity.sample_temperature": warm,
            },
        )

    def begin(self, day: BenchDay, batch: str) -> None:
        """Read the settled bulk, weigh every bottle and put it into its place."""
        self.read(day, f"{batch} bulk", "T0")
        bottles = [*(f"{batch} room {check}" for check in CHECKS), f"{batch} cold"]
        for name in bottles:
            mass = round(224.30 + self.scatter.normal(0.4), 2)
            self.mass[name] = (mass, day.on)
            day.observe(name, "T0", "w", f"{mass:.2f}", "g")
        day.until(14)
        for name in bottles:
            day.place(name, "COLD" if name.endswith("cold") else "ROOM")

    def read(self, day: BenchDay, name: str, check: str) -> None:
        """Read a whole sample."""
        condition = "COLD" if name.endswith("cold") else "ROOM"
        months = (day.on - PLACED[name[0]]).days / 30.4375
        bulk = name.endswith("bulk")
        if not bulk:
            mass, since = self.mass[name]
            lost = LOSS[condition] * (day.on - since).days / 30.4375
            mass += -lost * (1 + self.scatter.normal(0.08)) + self.scatter.normal(0.01)
            self.mass[name] = (round(mass, 2), day.on)
            day.observe(name, check, "w", f"{mass:.2f}", "g")
        day.observe(name, check, "separation", "none")
        day.observe(name, check, "appearance", "as T0")
        day.observe(name, check, "colour", "as control")
        day.observe(name, check, "odour", "as control")
        ph = PH_AT_T0[name[0]] - FALL_OF_PH[condition] * months + self.ph_of_day
        twice = "/".join(f"{ph + self.scatter.normal(0.012):.2f}" for _ in range(2))
        day.observe(name, check, "pH", twice, "pH")
        self.measure_viscosity(day, name, check, RISE_OF_VISCOSITY[condition] * months)
        if not bulk and condition == "COLD":
            mass = self.mass[name][0] - self.scatter.between(14.0, 16.0)
            self.mass[name] = (round(mass, 2), day.on)
            day.observe(name, check, "w2", f"{mass:.2f}", "g")
        day.wait(4)

    def measure_viscosity(
        self, day: BenchDay, name: str, check: str, rise: float
    ) -> None:
        """Measure the viscosity once, with the torque at which it was read."""
        share = 1 + rise + self.viscosity_of_day + self.scatter.normal(0.008)
        value = round(VISCOSITY_AT_T0[name[0]] * share / 10) * 10
        torque = {"torque": f"{value / 200:.1f} %"}
        day.observe(name, check, "viscosity", str(value), "mPa·s", settings=torque)
