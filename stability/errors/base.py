"""Base of every fault that a user can put right."""

from __future__ import annotations


class StabilityError(Exception):
    """Base of everything a user can put right; printed as one line, exit code 2."""
