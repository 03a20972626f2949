"""Invented scatter: seeded, and the same on every machine and version of Python."""

from __future__ import annotations

from math import fsum
from random import Random


class Scatter:
    """Random errors of a bench."""

    def __init__(self, seed: int) -> None:
        self._random = Random(seed)

    def normal(self, deviation: float) -> float:
        """Return a nearly normal error: twelve even ones, less their mean."""
        twelve = fsum(self._random.random() for _ in range(12))
        return (twelve - 6) * deviation

    def between(self, lowest: float, highest: float) -> float:
        """Return a value somewhere between two."""
        return lowest + (highest - lowest) * self._random.random()
