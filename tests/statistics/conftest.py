"""Property tests draw the same cases every time and are not timed."""

from __future__ import annotations

from hypothesis import settings

# Fixed seeds keep a failure reproducible; a busy machine is no failure.
settings.register_profile("reproducible", deadline=None, derandomize=True)
settings.load_profile("reproducible")
