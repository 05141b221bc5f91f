"""What all tests share: property tests take the time they need and draw the same cases each run."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("calm", deadline=None, derandomize=True)
settings.load_profile("calm")
