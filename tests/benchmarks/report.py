"""The report of an example against importing its libraries and drawing its figures.

Run it: `.venv/bin/python -m tests.benchmarks.report [STUDY_FOLDER]`.
"""

from __future__ import annotations

import pickle
import sys
import tempfile
from pathlib import Path

from tests.benchmarks.processes import ROOT, against, python, stability, tell

AS_OF = "2026-11-01"
MOST_MEGABYTES = 500
#: Imports what a report needs; draws the figures of an evaluation worked out before.
BARE = """
import pickle, sys
import typer, sqlalchemy, pandas, scipy.stats, statsmodels.api
import reportlab.platypus
from matplotlib.backends.backend_agg import FigureCanvasAgg
from stability.report.figures import attribute_figures
from stability.report.renderer import figure_style
with open(sys.argv[1], "rb") as file:
    evaluation = pickle.load(file)
with figure_style():
    for attribute in evaluation.identity.protocol.attributes:
        for figure in attribute_figures(evaluation, attribute):
            FigureCanvasAgg(figure).draw()
"""


def main() -> None:
    """Write the report and print its ratio and its memory."""
    from stability.cli.surroundings import occasion
    from stability.workflow.evaluate import evaluate

    study = Path(sys.argv[1] if len(sys.argv) > 1 else "example_studies/day_cream")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        evaluation = evaluate(occasion("none.db"), str(ROOT / study), as_of=AS_OF)
        kept = folder / "evaluation.pickle"
        kept.write_bytes(pickle.dumps(evaluation))
        bare = python(BARE, (str(kept),), folder, repeats=3)
        arguments = ["report", str(ROOT / study), "--as-of", AS_OF, "--out", "r.pdf"]
        report = stability([*arguments, "--overwrite"], folder, repeats=3)
        against("report", report, bare, 2)
        tell(f"memory: {report.megabytes:.0f} MB (bar {MOST_MEGABYTES})")


if __name__ == "__main__":
    main()
