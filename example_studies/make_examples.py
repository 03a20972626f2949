"""Write the files of every example study, the same bytes each time.

Run it as `python example_studies/make_examples.py`; a folder named after it is written
to instead of this one. All names and numbers are invented; the scatter is seeded.
"""

from __future__ import annotations

import sys
from pathlib import Path

from making import (
    balm_tin,
    day_cream,
    day_cream_plan,
    day_cream_storage,
    plain_lotion,
)

HERE = Path(__file__).parent


def write_examples(target: Path) -> None:
    """Write every example into a folder of its own below the target."""
    for name, study, events in (
        ("day_cream", day_cream_plan.STUDY, day_cream.DayCream().tell()),
        ("plain_lotion", plain_lotion.STUDY, plain_lotion.PlainLotion().tell()),
        ("balm_tin", balm_tin.STUDY, balm_tin.BalmTin().tell()),
    ):
        folder = target / name
        folder.mkdir(parents=True, exist_ok=True)
        for file, text in (("study.toml", study), ("events.csv", events)):
            (folder / file).write_text(text, encoding="utf-8", newline="\n")
    storage = target / "day_cream" / "storage"
    storage.mkdir(exist_ok=True)
    for path, text in (
        (storage.parent / "places.csv", day_cream_storage.places()),
        (storage / "oven_2025.csv", day_cream_storage.oven()),
    ):
        path.write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    write_examples(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE)
