"""For every rule a survey it must speak up on, with what it must say, and a near one it must let pass.

The numbers looked for are the survey's own, or follow from them by the sum beside them.
"""

from __future__ import annotations

from tests.rules.trial import Trial
from tests.rules.trials_charging import CHARGING, ISOLATING, PANELS, PINS
from tests.rules.trials_couplers import COUPLERS
from tests.rules.trials_faults import FAULTS
from tests.rules.trials_oldloom import OLDLOOM
from tests.rules.trials_protection import PROTECTION
from tests.rules.trials_services import SERVICES
from tests.rules.trials_sources import SOURCES
from tests.rules.trials_straps import STRAPS
from tests.rules.trials_supply import POLARITY, RETURNS, SUPPLY
from tests.rules.trials_ways import WAYS
from tests.rules.trials_work import JOINTS, LOOM, STARTING

__all__ = ["TRIALS", "Trial"]

TRIALS = [
    *PROTECTION, *FAULTS, *SUPPLY, *SOURCES,
    *RETURNS, *STRAPS, *STARTING, *SERVICES, *POLARITY, *JOINTS, *LOOM, *OLDLOOM,
    *CHARGING, *ISOLATING, *PANELS, *PINS, *COUPLERS, *WAYS,
]  # fmt: skip
