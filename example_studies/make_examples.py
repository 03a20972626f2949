"""Write study.toml and events.csv of every example study, the same bytes each time.

Run it as `python example_studies/make_examples.py`. All names and numbers are
invented; the scatter is seeded.
"""

from __future__ import annotations

import sys
from pathlib import Path

from making import day_cream

HERE = Path(__file__).parent


def write_examples(target: Path) -> None:
    """Write every example into folders below the target."""
    for name, study, events in (
        ("day_cream", day_cream.STUDY, day_cream.DayCream().tell()),
    ):
        folder = target / name
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "study.toml").write_text(study, encoding="utf-8", newline="\n")
        (folder / "events.csv").write_text(events, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    write_examples(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE)
