"""Which lugs get a rubber boot: those on open live metal that no fuse guards."""

from __future__ import annotations

from harness.fitout.choice import Landing

BOOT = "rubber boot over lug"
OPEN_FITTINGS = ("stud", "post")


def _at_chassis_post(landing: Landing, chassis_post: str) -> bool:
    sign = "-" if chassis_post == "negative" else "+"
    return (
        landing.part is not None
        and landing.part.kind == "battery"
        and landing.point.terminal.startswith(sign)
    )


def boot_for(landing: Landing, chassis_post: str) -> str:
    """The boot over a new lug on a live stud or post that no fuse guards, "" where none is wanted.

    A dropped spanner then makes no short (common practice).
    """
    part, terminal, wire = landing.part, landing.terminal, landing.wire
    if part is None or terminal is None or wire.kept or wire.fuse or part.role == "ground":
        return ""
    if terminal.fitting not in OPEN_FITTINGS or _at_chassis_post(landing, chassis_post):
        return ""
    return f"{BOOT}, for {wire.size} cable"
