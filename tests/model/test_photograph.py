"""Photographs folded from the entries of a study."""

from __future__ import annotations

from datetime import date

from tests.evaluation.builders import Bench, bulk, sample

JAR = "HDC-001-A"


def test_a_photograph_is_folded_with_its_copy_and_its_original() -> None:
    made = Bench([bulk(), sample(JAR, "T40")])
    made.place(JAR, "T40")
    position = made.photograph(
        JAR, "4w", "2025-02-07", attribute="odour", caption="rim", pixels=(1200, 1600)
    )

    (found,) = made.record().photographs

    assert (found.position, found.sample, found.check) == (position, JAR, "4w")
    assert (found.attribute, found.caption) == ("odour", "rim")
    assert found.pixels == (1200, 1600)
    assert found.sha256 == f"{position:064x}"
    assert found.original.name == "jar.jpg"
    assert found.original.size == 4000
    assert found.original.sha256 != found.sha256
    assert found.done.day == date(2025, 2, 7)
    assert found.taken is None
