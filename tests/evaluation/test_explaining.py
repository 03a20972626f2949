"""What may explain a drift stands beside it."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from stability.evaluation.explaining import explaining
from stability.model.attribute import Attribute
from tests.evaluation.beside import COLD, HOT, JARS, contrasts, on, only, read, usual
from tests.evaluation.builders import sample
from tests.evaluation.stored import Place, evaluated


@pytest.mark.parametrize(
    ("attribute", "beside"),
    [
        (Attribute("pH", "measured", unit="pH"), ("odour",)),
        (Attribute("visc", "measured", unit="mPa·s"), ("weight_loss",)),
        (Attribute("spread", "measured", unit="mm"), ("weight_loss",)),
        (
            Attribute("flow", "measured", unit="s", one_of="thickness"),
            ("weight_loss",),
        ),
        (Attribute("consistency", "scored", one_of="thickness"), ()),
        (Attribute("peroxide", "measured", unit="meq/kg"), ()),
    ],
)
def test_drying_explains_thickness_and_odour_goes_with_ph(
    attribute: Attribute, beside: tuple[str, ...]
) -> None:
    assert explaining(usual(), attribute) == beside


def test_odour_stands_beside_a_ph_that_falls() -> None:
    bench = read(JARS, {"HDC-1": HOT, "HDC-2": COLD})
    for code, word in (("HDC-1", "changed"), ("HDC-2", "as control")):
        bench.read(code, "odour", "8w", f"Ana:{word}", done=on("8w"))

    assert only(contrasts(bench.evaluate("2025-06-01"))).explains == (
        "odour: “changed”, outside at 8w beside “as control”",
    )


def test_what_was_read_on_one_side_only_says_so() -> None:
    bench = read(JARS, {"HDC-1": HOT, "HDC-2": COLD})
    bench.read("HDC-2", "odour", "8w", "Ana:as control", done=on("8w"))

    assert only(contrasts(bench.evaluate("2025-06-01"))).explains == (
        "odour: not read beside “as control”",
    )


def test_the_weight_lost_stands_beside_a_spread_that_shrinks() -> None:
    spread = Attribute("spread", "measured", unit="mm", resolution=Decimal(1))
    bench = read(
        (*JARS, sample("HDC-3", "T40")),
        {
            "HDC-1": {"2w": "58", "4w": "57", "8w": "54", "12w": "51"},
            "HDC-2": {"2w": "60", "4w": "61", "8w": "60", "12w": "60"},
            "HDC-3": {"2w": "60", "4w": "59", "8w": "57", "12w": "56"},
        },
        attribute="spread",
        start="60",
        protocol=usual(spread=spread),
    )
    for code, last in (("HDC-1", "89.00"), ("HDC-2", "89.90"), ("HDC-3", "89.50")):
        for check, before in (("T0", "90.00"), ("12w", last)):
            done = "2025-01-09" if check == "T0" else on(check)
            for part in ("before", "after"):
                bench.read(code, "weight_loss", check, before, done=done, part=part)
    found = contrasts(bench.evaluate("2025-06-01"))

    # 1.00 g, 0.50 g and 0.10 g of a net fill of 50 g: each jar tells its own.
    assert [one.explains for one in found.drifts] == [
        ("weight loss: 2.00 % at 12w beside 0.20 % at 12w",),
        ("weight loss: 1.00 % at 12w beside 0.20 % at 12w",),
    ]
    assert [name for name, _ in found.left_out] == ["weight_loss"]


def test_an_excursion_stands_beside_a_difference_of_conditions() -> None:
    bench = read(JARS, {"HDC-1": HOT, "HDC-2": COLD})
    bench.study = replace(bench.study, places={"T40": "OVEN"})
    oven = Place().event("power cut", "2025-02-01T10:00:00Z", "2025-02-01T19:00:00Z",
                         "colder")  # fmt: skip
    found = only(contrasts(evaluated(bench, "2025-06-01", oven)))

    met = "9 h colder than meant, 62 days before (read at 12w)"
    assert found.explains == (f"excursions: {met} beside none on record",)


def test_an_excursion_after_the_last_reading_explains_nothing() -> None:
    bench = read(JARS, {"HDC-1": HOT, "HDC-2": COLD})
    bench.study = replace(bench.study, places={"T40": "OVEN"})
    oven = Place().event("power cut", "2025-05-01T10:00:00Z", "2025-05-01T19:00:00Z",
                         "colder")  # fmt: skip

    assert only(contrasts(evaluated(bench, "2025-06-01", oven))).explains == ()


def test_batches_of_one_place_met_the_same_excursion() -> None:
    jars = (sample("HDC-1", "T40"), sample("HDC-3", "T40", batch="B"))
    bench = read(jars, {"HDC-1": HOT, "HDC-3": COLD})
    bench.study = replace(bench.study, places={"T40": "OVEN"})
    oven = Place().event("power cut", "2025-02-01T10:00:00Z", "2025-02-01T19:00:00Z",
                         "colder")  # fmt: skip
    found = only(contrasts(evaluated(bench, "2025-06-01", oven)))

    met = "9 h colder than meant, 62 days before (read at 12w)"
    assert found.explains == (f"excursions: {met} beside {met}",)
