"""One observation, checked and ready to be written."""

from __future__ import annotations

from dataclasses import dataclass

from stability.model.content import Content
from stability.model.quick import quick
from stability.records.typed import Typed


@quick
@dataclass(frozen=True, slots=True)
class Logged:
    """One observation, ready to be written."""

    #: What the entry holds.
    held: Content
    #: What was typed, understood.
    typed: Typed
    #: What the person should know.
    remarks: tuple[str, ...]
    #: The content as a template wrote it; None where it is still to be written.
    written: str | None = None

    @property
    def text(self) -> str:
        """Return it in words."""
        return self.typed.text()
