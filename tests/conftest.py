"""What all tests share: property tests are judged by their answers, not by how busy the machine is, and drawn alike each run."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("calm", deadline=None, derandomize=True)
settings.load_profile("calm")
