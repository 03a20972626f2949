"""Storage in print: figures, excursions with their answers, anchors at the end."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pypdf
import pytest
from matplotlib.figure import Figure

from stability.evaluation.findings import Evaluation
from stability.report.chapters_storage import storage_object, storage_text
from stability.report.storage_figure import storage_figure
from stability.report.study_text import study_text
from tests.evaluation.builders import Bench, bulk, sample
from tests.evaluation.stored import PLACED, Place, evaluated
from tests.evaluation.test_storage import OFF
from tests.report.printed import Printed, read_back


def evaluation() -> Evaluation:
    """Return a study whose oven was off, and whose fridge was only looked at."""
    jars = [sample("A-HOT", "T40"), sample("B-HOT", "T40"), sample("A-COLD", "COLD")]
    bench = Bench([bulk(), *jars])
    bench.place("A-HOT", "T40", place="OVEN")
    bench.place("B-HOT", "T40", place="OVEN")
    bench.place("A-COLD", "COLD", place="FRIDGE")
    oven = Place().log(OFF).answer("2025-01-22T00:00:00Z", "2025-01-23T00:00:00Z")
    fridge = Place("FRIDGE", temperature="5", tolerance="3")
    fridge.look("4", "9.5", "2025-02-01")
    return evaluated(bench, "2025-04-04", oven, fridge)


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> Printed:
    """Return its report, read back."""
    return read_back(evaluation(), tmp_path_factory.mktemp("report") / "r.pdf")


def test_the_first_page_counts_excursions_and_what_is_open(report: Printed) -> None:
    first = " ".join(report.pages[0].split())

    assert "2 excursions" in first
    assert (
        "Storage recorded for T40 and COLD; 2 excursions, 1 without an answer." in first
    )


def test_the_chapter_tells_figures_excursions_and_answers(report: Printed) -> None:
    printed = report.flowing

    assert "Excursions of storage places, with what was decided (2)" in printed
    assert "99.6 % of the known time within range" in printed
    assert "9 h colder than meant, down to 25.0" in printed
    assert "continued: colder ages less" in printed
    assert "1 look, 4 to 9.5 °C, outside for an unknown time; it tells no mean" in (
        printed
    )
    assert "highest meant: 42 °C" in printed
    assert "2025-01-22: 9 h colder than meant" in printed
    assert "A-HOT, B-HOT" in printed


def test_the_report_carries_the_anchors_of_its_places(
    report: Printed, tmp_path: Path
) -> None:
    path = tmp_path / "r.pdf"
    path.write_bytes(report.content)
    information = pypdf.PdfReader(path).metadata
    assert information is not None
    carried = str(information["/StabilityAnchors"]).split()

    assert len(carried) == 3
    assert any(one.startswith("place:OVEN-7KQ4/3:") for one in carried)
    assert "place:OVEN-7KQ4/3:" in report.flowing


def test_text_and_json_tell_the_same() -> None:
    found = evaluation()
    told = storage_object(found)

    assert storage_text(found) in " ".join(study_text(found).split())
    (hot,) = [one for one in told["conditions"] if one["condition"] == "T40"]
    assert hot["colder_hours"] == pytest.approx(9)
    assert {one["outcome"] for one in told["excursions"]} == {"continued", None}
    assert {one["sample"] for one in told["samples"]} == {"A-HOT", "B-HOT", "A-COLD"}


def test_a_study_of_which_no_storage_is_recorded_says_so(tmp_path: Path) -> None:
    bench = Bench([bulk(), sample("A-HOT", "T40")])
    bench.place("A-HOT", "T40")
    found = bench.evaluate("2025-04-04")

    assert storage_text(found) == "Storage not recorded."
    printed = read_back(found, tmp_path / "r.pdf").flowing
    assert "Nothing is recorded of the storage of T40" in printed


def drawn(celsius: list[float]) -> Figure:
    """Return the figure of one oven."""
    bench = Bench([bulk(), sample("A-HOT", "T40")])
    bench.place("A-HOT", "T40", place="OVEN")
    storage = evaluated(bench, "2025-04-04", Place().log(celsius)).storage
    found = storage.of("T40")
    assert found is not None
    return storage_figure(found, storage.envelopes[0], storage.zone)


def test_at_most_four_excursions_are_named_the_longest_and_each_in_its_row() -> None:
    celsius = [40.0] * 2017
    for place, hours in enumerate((1, 5, 2, 4, 3, 6)):
        at = 100 + 300 * place
        celsius[at : at + hours] = [50.0] * hours
    figure = drawn(celsius)
    texts = [
        (one.get_text(), one.xyann[1])  # type: ignore[attr-defined]
        for one in figure.axes[0].texts
        if "than meant" in one.get_text()
    ]

    assert sorted(text.split()[1] for text, _ in texts) == ["3", "4", "5", "6"]
    assert len({height for _, height in texts}) == 4


def test_the_band_holds_every_extreme_and_the_range() -> None:
    celsius = [40.0 + place % 3 / 10 for place in range(2017)]
    celsius[700] = 61.0
    low, high = drawn(celsius).axes[0].get_ylim()

    assert high > 61
    assert low < 38


def test_short_and_long_times_have_days_and_months_below() -> None:
    short = [text.get_text() for text in drawn([40.0] * 200).axes[0].get_xticklabels()]
    long = [text.get_text() for text in drawn([40.0] * 2017).axes[0].get_xticklabels()]

    assert short[0] == f"{PLACED + timedelta(0):%m-%d}"
    assert long == ["2025-02", "2025-03", "2025-04"]
