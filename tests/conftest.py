"""What all tests share: property tests take the time they need and draw the same cases each run."""

from __future__ import annotations

import pytest
from hypothesis import settings

settings.register_profile("calm", deadline=None, derandomize=True)
settings.load_profile("calm")


@pytest.fixture(autouse=True)
def _one_process(monkeypatch: pytest.MonkeyPatch) -> None:
    """Commands called inside a test make everything themselves, so that many tests run side by side."""
    monkeypatch.setattr("harness.cli.second.cores", lambda: 1)
