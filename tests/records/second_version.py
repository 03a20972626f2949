"""A second version of an example study: the same days, another code, other pH."""

from __future__ import annotations

import csv
import re
import shutil
from pathlib import Path

from stability.model.code import allot_codes

EXAMPLES = Path(__file__).parents[2] / "example_studies"
PLAIN_LOTION = EXAMPLES / "plain_lotion"


def second_version(folder: Path, *, fall: float = 0.0, code: str = "MFP") -> Path:
    """Write a fourth version of the plain lotion, whose pH falls faster.

    Parameters
    ----------
    folder
        Where to write it.
    fall
        How much further its pH falls a month at room temperature.
    code
        Its study code.
    """
    target = folder / code
    shutil.copytree(PLAIN_LOTION, target)
    codes = dict(zip(allot_codes("MFN", 99), allot_codes(code, 99), strict=True))
    study = (target / "study.toml").read_text(encoding="utf-8")
    study = study.replace('code = "MFN"', f'code = "{code}"')
    study = study.replace('version = "3"', 'version = "4"')
    (target / "study.toml").write_text(study, encoding="utf-8")
    with (target / "events.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        row.update({key: _renamed(cell, codes) for key, cell in row.items()})
        if row["attribute"] == "pH" and row["check"].endswith("M"):
            months = int(row["check"].removesuffix("M"))
            row["reading"] = "/".join(
                f"{float(one) - fall * months:.2f}" for one in row["reading"].split("/")
            )
    with (target / "events.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0])
        writer.writeheader()
        writer.writerows(rows)
    return target


def _renamed(text: str, codes: dict[str, str]) -> str:
    return re.sub(r"MFN-\d+-\w", lambda found: codes[found.group()], text)
