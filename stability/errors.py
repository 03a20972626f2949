"""What a user can put right: one base class, one class per fault.

The wording of each message lives in its class: what is wrong, where, and how to
mend it. Nothing of ours is imported here.
"""

from __future__ import annotations


class StabilityError(Exception):
    """Base of everything a user can put right; printed as one line, exit code 2."""
