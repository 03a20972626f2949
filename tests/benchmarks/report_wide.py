"""The report of a study of 69,120 readings against drawing its figures alone.

Run it: `.venv/bin/python -m tests.benchmarks.report_wide [BATCHES]`; 12 where nothing
is said. The study has so many batches in 6 packs under 8 conditions, 10 attributes and
12 checks. The bare run builds and draws the figures of the report with matplotlib's own
canvas and nothing else. Times are processor times of a process each, after its imports.
"""

from __future__ import annotations

import pickle
import sys
import tempfile
from datetime import date
from pathlib import Path

from pypdf import PdfReader

from tests.benchmarks.processes import python, tell
from tests.benchmarks.wide_study import wide_study

AS_OF = date(2026, 2, 1)
#: What the report may take, over drawing its figures; and in memory.
BAR = 3.0
MOST_MEGABYTES = 1_000
#: Pages that a person still leafs through. Our choice.
MOST_PAGES = 150
#: Draws the figures of an evaluation worked out before, and tells its time.
BARE = """
import pickle, sys, time
from matplotlib.backends.backend_agg import FigureCanvasAgg
from stability.report.figures import planned_figures
from stability.report.fonts import load_fonts
from stability.report.life_figures import drawn_lives, shortest
from stability.report.outlook_plotting import outlook_figure
from stability.report.renderer import figure_style
with open(sys.argv[1], "rb") as file:
    evaluation = pickle.load(file)
begun, drawn = time.process_time(), 0
with figure_style():
    for attribute in evaluation.identity.protocol.attributes:
        for planned in planned_figures(evaluation, attribute):
            FigureCanvasAgg(planned.make()).draw()
            drawn += 1
    life = evaluation.shelf_life
    for panel in shortest(drawn_lives(evaluation, life)) if life else ():
        FigureCanvasAgg(outlook_figure([panel], load_fonts())).draw()
        drawn += 1
print(time.process_time() - begun, drawn)
"""
#: Writes the report of the same evaluation, and tells its time and peak memory.
REPORT = """
import pickle, resource, sys, time
from pathlib import Path
from stability.report.study_report import write_report
with open(sys.argv[1], "rb") as file:
    evaluation = pickle.load(file)
begun = time.process_time()
write_report(evaluation, Path("report.pdf"))
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
print(time.process_time() - begun, peak / 1024)
"""


def main() -> None:
    """Write the report and print its ratio, its memory and its size."""
    from stability.evaluation.evaluate import evaluate

    batches = int(sys.argv[1]) if len(sys.argv) > 1 else 12
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        record = wide_study(batches)
        tell(f"{len(record.observations)} readings")
        kept = folder / "evaluation.pickle"
        kept.write_bytes(pickle.dumps(evaluate(record, AS_OF)))
        bare, drawn = told(BARE, kept, folder)
        ours, peak = told(REPORT, kept, folder)
        size = (folder / "report.pdf").stat().st_size
        pages = len(PdfReader(folder / "report.pdf").pages)
    tell(
        f"report: {ours:.0f} s, {drawn:.0f} figures alone {bare:.0f} s, "
        f"ratio {ours / bare:.2f} (bar {BAR:g})",
        f"memory: {peak:.0f} MB (bar {MOST_MEGABYTES}); file {size / 1e6:.1f} MB, "
        f"{pages} pages (bar {MOST_PAGES})",
    )


def told(script: str, kept: Path, folder: Path) -> tuple[float, float]:
    """Run a script in a process of its own and return the two numbers it tells."""
    first, second = python(script, (str(kept),), folder, repeats=1).printed.split()
    return float(first), float(second)


if __name__ == "__main__":
    main()
