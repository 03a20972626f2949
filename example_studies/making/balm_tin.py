"""The invented balm: nothing to measure but its weight, everything else in words.

Grains come up at room temperature and stay inside their limit: news, not a failure.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from datetime import date

from making.bench_book import BenchBook, BenchDay
from making.calendar_of_checks import due, working_day
from making.sample_codes import sample_codes
from making.scatter import Scatter

STUDY = """\
# Invented: maker, product, people, formula and every number.
format = 1
code = "HNC"
product = "Hollinbrack zinc balm"
version = "1"
protocol = "protocol.toml"
time_zone = "Europe/Dublin"
maker = "Hollinbrack Balms"
product_type = "water-in-oil balm"
person = "Maeve"
opened = "2025-05-30T15:00"

[as_sold]
formula = true
pack = true
scale = "900 g laboratory batch; sale batches will be 5 kg"

[request]
months = 18
after_opening = "12M"
storage = "below 25 °C"

[formula]
"Butyrospermum parkii butter" = 28.0
"Helianthus annuus seed oil" = 26.0
"Cera alba" = 12.0
"Zinc oxide" = 12.0
"Aqua" = 12.0
"Polyglyceryl-3 diisostearate" = 5.0
"Glycerin" = 3.5
"Benzyl alcohol" = 0.8
"Magnesium sulfate" = 0.5
"Tocopherol" = 0.2

[packs.TIN]
text = "30 g aluminium tin, screw lid with liner"
fill_g = 30.0
tare_g = 14.20

[batches.A]
made = 2025-06-02
grams = 900
process = {water_phase_pH = "5.4 before emulsifying", pour_temperature = "58 °C"}

[[samples]]
batch = "A"
pack = "TIN"
use = "T0"

[[samples]]
batch = "A"
pack = "TIN"
condition = "ROOM"
use = "fresh per check"
[[samples]]
batch = "A"
pack = "TIN"
condition = "T40"
use = "reopened"
count = 2
[[samples]]
batch = "A"
pack = "TIN"
condition = "T45"
use = "reopened"
[[samples]]
batch = "A"
pack = "TIN"
condition = "COLD"
use = "reopened"
[[samples]]
batch = "A"
pack = "TIN"
use = "retained"
count = 2
[[samples]]
batch = "A"
pack = "TIN"
use = "spare"
"""

ROOM_CHECKS = ("4w", "3M", "6M", "9M", "12M", "18M", "24M")
NAMES = (
    "T0 tin",
    *(f"room {check}" for check in ROOM_CHECKS),
    "40 one", "40 two", "45", "cold", "kept one", "kept two", "spare",
)  # fmt: skip
PLACED = date(2025, 6, 10)
#: Sample -> condition, checks so far.
KEPT: Mapping[str, tuple[str, tuple[str, ...]]] = {
    **{f"room {check}": ("ROOM", (check,)) for check in ROOM_CHECKS[:5]},
    **{f"room {check}": ("ROOM", ()) for check in ROOM_CHECKS[5:]},
    "40 one": ("T40", ("4w", "8w", "12w")),
    "40 two": ("T40", ("4w", "8w", "12w")),
    "45": ("T45", ("2w", "4w")),
    "cold": ("COLD", ("4w", "12w", "6M", "12M")),
}
#: Loss of weight each month [g], by condition.
LOSS = {"ROOM": 0.012, "T40": 0.075, "T45": 0.12, "COLD": 0.004}
BEST = {
    "hardness": "as T0",
    "graininess": "smooth",
    "sweating": "dry",
    "separation": "none",
    "odour": "as control/as control",
    "colour": "as control",
}
SOFTER = "slightly softer or harder"
GRAINS = {"graininess": "a few grains"}
#: What was not the best word.
SCORES: Mapping[tuple[str, str], Mapping[str, str]] = {
    ("room 6M", "6M"): GRAINS,
    ("room 9M", "9M"): GRAINS,
    ("room 12M", "12M"): GRAINS,
    ("40 one", "12w"): {"hardness": SOFTER, "colour": "slightly changed"},
    ("40 two", "8w"): {"sweating": "film"},
    ("40 two", "12w"): {"sweating": "film", "hardness": SOFTER},
    ("45", "2w"): {"sweating": "film", "hardness": SOFTER},
    ("45", "4w"): {
        "sweating": "film",
        "hardness": SOFTER,
        "odour": "as control/slightly changed",
    },
}


class BalmTin:
    """The story of the study, told day by day."""

    def __init__(self) -> None:
        self.book = BenchBook(dict(zip(NAMES, sample_codes("HNC"), strict=False)))
        self.scatter = Scatter(20250602)
        #: Sample -> mass when last weighed [g], and when.
        self.mass: dict[str, tuple[float, date]] = {}

    def tell(self) -> str:
        """Return events.csv."""
        self.begin()
        visits: dict[date, list[tuple[str, str]]] = defaultdict(list)
        for name, (_, checks) in KEPT.items():
            for check in checks:
                visits[working_day(due(PLACED, check))].append((name, check))
        for on in sorted(visits):
            day = BenchDay(self.book, "Maeve", on, hour=10)
            day.set_day(observers=("Maeve", "Colm"), settings={}, control="cold")
            if on == date(2025, 6, 24):
                day.note(
                    "45",
                    "liquid when taken out, as meant; read after 24 h at room",
                )
            for name, check in visits[on]:
                self.read(day, name, check)
        return self.book.text()

    def begin(self) -> None:
        """Read one tin at T0, weigh all others and put them into their places."""
        day = BenchDay(self.book, "Maeve", PLACED)
        day.set_day(observers=("Maeve", "Colm"), settings={})
        for name in ("T0 tin", *KEPT):
            mass = round(44.20 + self.scatter.normal(0.12), 2)
            self.mass[name] = (mass, PLACED)
            day.observe(name, "T0", "w", f"{mass:.2f}", "g")
        self.score(day, "T0 tin", "T0")
        day.until(14)
        for name, (condition, _) in KEPT.items():
            day.place(name, condition)

    def read(self, day: BenchDay, name: str, check: str) -> None:
        """Weigh a tin, score it, and weigh it again where it goes back."""
        condition = KEPT[name][0]
        mass, since = self.mass[name]
        lost = LOSS[condition] * (day.on - since).days / 30.4375
        mass += -lost * (1 + self.scatter.normal(0.08)) + self.scatter.normal(0.006)
        self.mass[name] = (round(mass, 2), day.on)
        day.observe(name, check, "w", f"{mass:.2f}", "g")
        self.score(day, name, check)
        if condition != "ROOM":
            mass = self.mass[name][0] - self.scatter.between(0.5, 0.8)
            self.mass[name] = (round(mass, 2), day.on)
            day.observe(name, check, "w2", f"{mass:.2f}", "g")
        day.wait(5)

    def score(self, day: BenchDay, name: str, check: str) -> None:
        """Score all that has a scale."""
        for attribute, best in BEST.items():
            word = SCORES.get((name, check), {}).get(attribute, best)
            day.observe(name, check, attribute, word)
