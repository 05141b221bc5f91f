"""What all tests share: property tests are judged by their answers, not by how busy the machine is."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("calm", deadline=None)
settings.load_profile("calm")
