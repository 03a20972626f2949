"""What an invented laboratory reports: counts, and what survives a challenge."""

from __future__ import annotations

NAME = "Sandhollow Laboratory"
COUNT = "ISO 17516:2014"
CHALLENGE = "ISO 11930:2019"
#: Counts far inside every limit [CFU/g].
CLEAN = (
    "total=<10", "yeast and mould=<10", "E. coli=absent", "P. aeruginosa=absent",
    "S. aureus=absent", "C. albicans=absent",
)  # fmt: skip
#: Survivors after 0, 7, 14 and 28 days [CFU/g].
SURVIVORS = (
    "P. aeruginosa=3.1x10^5/1.8x10^2/<10/<10",
    "S. aureus=2.7x10^5/1.5x10^2/<10/<10",
    "E. coli=3.4x10^5/2.1x10^2/<10/<10",
    "C. albicans=2.2x10^5/1.6x10^4/4.0x10^2/<10",
    "A. brasiliensis=1.9x10^5/-/7.5x10^4/4.1x10^3",
)


def paper(
    number: str, standard: str, *, batch: str, version: str, pack: str, issued: str
) -> dict[str, str]:
    """Return what stands at the head of a certificate."""
    return {
        "laboratory": NAME, "number": number, "standard": standard, "batch": batch,
        "version": version, "pack": pack, "issued": issued,
    }  # fmt: skip
