"""Which die crimps a barrel: by what family it is of, and its size."""

from __future__ import annotations

from harness.fitout.barrels import Barrel

LINED = "adhesive-lined sleeve"  # in the finish of a terminal that brings its own
TUBE_LUG, INSULATED, LINED_INSULATED, BARE_BARREL = (
    "tube lug",
    "insulated",
    "insulated with shrink sleeve",
    "bare barrel",
)
COUPLER_CONTACT, PLUG_CONTACT = "coupler contact", "plug contact"
FERRULE = "ferrule"  # one tool for all sizes


def die_of(barrel: Barrel, finish: str = "bare") -> str:
    """The die in words, family first: "tube lug, 2/0 AWG", "insulated, red, 22-18 AWG".

    ``finish``: as in the text of the terminal. A die for insulated terminals does not crimp bare ones, and
    those with a shrink sleeve have one of their own that does not cut it (common practice).
    """
    if barrel.heavy:
        return f"{TUBE_LUG}, {barrel.range}"
    if LINED in finish:
        return f"{LINED_INSULATED}, {barrel.colour}, {barrel.range}"
    if finish == "bare":
        return f"{BARE_BARREL}, {barrel.range}"
    return f"{INSULATED}, {barrel.colour}, {barrel.range}"
