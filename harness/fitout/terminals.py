"""Which terminal a wire end gets: by the fitting it lands on, its size, and how thick the wire is."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence

from harness.fitout import shrink
from harness.fitout.barrels import SMALL_MM2, Barrel, barrel_for, barrel_for_several, gauge
from harness.fitout.choice import Choice, Landing, none
from harness.fitout.contacts import contact_size, contact_source
from harness.fitout.dies import COUPLER_CONTACT, FERRULE, PLUG_CONTACT, die_of
from harness.fitout.ferrules import CLAMP, ferrule
from harness.fitout.splices import BUTT_MM, BUTT_STRIP_MM, side_mm
from harness.fitout.splices import die as splice_die
from harness.fitout.splices import strip_mm as splice_strip_mm
from harness.model.design import Wire
from harness.tables import load, own_source

CLAMP_BOLT = "M8"  # of a battery clamp, where thinner wires land (common practice)
PIGGY_BACK_MM = 6.3  # the one width piggy-back push-ons are commonly sold in (common practice)
LEAST_PUSH_ON = {"awg": 22, "mm2": 0.5}  # red push-ons are made for the 6.3 mm tab, terminal_insulated_ranges
PIN_STRIPS_MM = ((0.6, 4.5), (2.0, 6.5), (SMALL_MM2, 7.0))  # up to area: strip, crimp_prep_rules
STUD_SLACK_MM = 0.5  # between the inch and the metric thread next to it, 5/16 in and M8
BARE = "bare"
CAP_MM = 20.0  # of heat-shrink past the cut end of a spare wire, pinched shut (common practice)


def _no_barrel(landing: Landing) -> Choice:
    return none(
        f"no crimp terminal in the tables takes {landing.wire.size}",
        tables=("terminal_insulated_ranges", "battery_lugs"),
    )


def _barrel(landing: Landing) -> Barrel | None:
    return barrel_for(size=landing.wire.size, area_mm2=landing.wire.area_mm2)


def _finish(landing: Landing, barrel: Barrel, *, covers_mm: float = 0.0, sealed: bool = False) -> str:
    """Insulated where it is dry and sheltered, elsewhere bare under heat-shrink.

    Where no tube in the table grips so thin a wire and passes the barrel (or ``covers_mm``, when that is
    thicker), the kind that is sold with an adhesive-lined sleeve of its own. Lugs are always bare.
    """
    if barrel.heavy:
        return BARE
    if landing.around.sheltered:
        return f"{barrel.colour} insulated"
    tube = shrink.over(
        wire_mm=landing.wire.outside_mm,
        barrel_mm=max(barrel.outside_mm, covers_mm),
        sealed=sealed or landing.around.wet,
    )
    return BARE if tube else f"{barrel.colour}, with its own adhesive-lined sleeve"


def _crimped(
    landing: Landing, barrel: Barrel, terminal: str, stud: str, *tables: str, notes: tuple[str, ...] = ()
) -> Choice:
    finish = _finish(landing, barrel)
    insulated = finish != BARE
    return Choice(
        die=die_of(barrel, finish),
        terminal=terminal,
        stud=stud,
        strip_mm=barrel.insulated_strip_mm if insulated else barrel.strip_mm,
        notes=barrel.notes + notes,
        tables=(*tables, *barrel.tables),
        covers_mm=None if insulated else barrel.outside_mm,
        covers_long_mm=barrel.length_mm,
        sealed=barrel.heavy,
    )


# ---------------------------------------------------------------------------------------- studs and screws


def _thread(text: str) -> str:
    """ "M8", "3/8" or "#10" out of what a stud's size says ("3/8 in", "m8")."""
    return text.strip().removesuffix("in").removesuffix('"').strip().upper()


def _hole(thread: str) -> Mapping[str, str] | None:
    return next((row for row in load("stud_holes").rows if row["stud_size"] == thread), None)


def _stocked(barrel: Barrel, stud_mm: float) -> bool:
    """Whether the barrel is stocked with a hole for such a stud, judged by the span of its threads."""
    known = [float(row["stud_dia_mm"]) for row in map(_hole, barrel.studs) if row]
    return bool(known) and min(known) - STUD_SLACK_MM <= stud_mm <= max(known) + STUD_SLACK_MM


def _ring_text(landing: Landing, barrel: Barrel, thread: str, hole: Mapping[str, str]) -> str:
    where = f"for {barrel.range}, {thread} stud ({float(hole['ring_hole_typical_mm']):g} mm hole)"
    what = "copper tube lug" if barrel.heavy else f"ring terminal, {_finish(landing, barrel)}"
    return f"{what}, {where}"


def _ring(landing: Landing, size: str, *notes: str) -> Choice:
    barrel = _barrel(landing)
    if barrel is None:
        return _no_barrel(landing)
    thread = _thread(size)
    hole = _hole(thread)
    if hole is None:
        return none(f"stud size {size!r} is not in the table: measure it", tables=("stud_holes",))
    if thread in barrel.no_studs or not _stocked(barrel, float(hole["stud_dia_mm"])):
        return none(
            f"no ring or lug for {barrel.range} is usually stocked for stud {thread}",
            tables=("stud_holes", *barrel.tables),
        )
    text = _ring_text(landing, barrel, thread, hole)
    own = [source for stud, source in barrel.own_studs if stud == thread]
    return _crimped(landing, barrel, text, thread, "stud_holes", *own, notes=notes)


def _stud(landing: Landing) -> Choice:
    return _ring(landing, landing.terminal.size if landing.terminal else "")


def _under_clamp(landing: Landing) -> Choice:
    """A ferrule keeps the strands together under a clamp screw; two wires share one."""
    found = ferrule(landing.new)
    if found is None:
        sizes = " and ".join(wire.size for wire in landing.new)
        return none(f"no ferrule in the table takes {sizes}", tables=("ferrules",))
    if not landing.first:
        first = f"wire {landing.new[0].number}"
        return Choice(
            strip_mm=found.strip_mm, notes=(f"goes into the ferrule of {first}",),
            joins=f"ferrule of {first}", tables=found.tables, barrel_of=landing.new, die=FERRULE,
        )  # fmt: skip
    return Choice(
        terminal=found.text, strip_mm=found.strip_mm, tables=found.tables, barrel_of=landing.new, die=FERRULE
    )  # fmt: skip


def _screw(landing: Landing) -> Choice:
    if landing.terminal is not None and landing.terminal.size == CLAMP:
        return _under_clamp(landing)
    return _ring(
        landing, landing.terminal.size if landing.terminal else "",
        "a fork will do only where the screw is captive",
    )  # fmt: skip


# ---------------------------------------------------------------------------------------- battery posts


def _holds_clamp(landing: Landing) -> Wire:
    """The wire that carries the clamp of a battery post: one that is kept, else the thickest."""
    kept = [wire for wire in landing.together if wire.kept]
    return kept[0] if kept else max(landing.new, key=lambda wire: wire.area_mm2)


def _post(landing: Landing) -> Choice:
    barrel = _barrel(landing)
    if barrel is None:
        return _no_barrel(landing)
    sign = "positive" if landing.point.terminal.startswith("+") else "negative"
    if _holds_clamp(landing).number != landing.wire.number:
        return _ring(landing, CLAMP_BOLT, f"under the bolt of the {sign} battery clamp")
    if not barrel.heavy:
        return _ring(landing, CLAMP_BOLT, f"buy a {sign} battery clamp with a {CLAMP_BOLT} bolt as well")
    return _crimped(landing, barrel, f"battery clamp, {sign} post, for {barrel.range}", f"{sign} post")


# ---------------------------------------------------------------------------------------- blades


def _tabs(size: str) -> list[dict[str, str]]:
    """Rows of ``blade_tabs`` of this width ("6.3", "6.3 x 0.8")."""
    found = re.match(r"\d+(\.\d+)?", size.strip())
    width = float(found.group()) if found else 0.0
    return [row for row in load("blade_tabs").rows if float(row["tab_width_mm"]) == width]


def _takes(row: Mapping[str, str], wire: Wire) -> bool:
    """Whether push-ons for a tab take the wire, by AWG or by area as the wire is sized."""
    number = gauge(wire.size)
    red = row["tab_width_mm"] == "6.3"
    if number is None:
        least_mm2 = LEAST_PUSH_ON["mm2"] if red else float(row["wire_mm2_from"])
        return least_mm2 <= wire.area_mm2 <= float(row["wire_mm2_to"])
    thick, thin = gauge(f"{row['wire_awg_to']} AWG"), gauge(f"{row['wire_awg_from']} AWG")
    assert thick is not None
    assert thin is not None
    return thick <= number <= (LEAST_PUSH_ON["awg"] if red else thin)


def _no_push_on(landing: Landing, rows: Sequence[Mapping[str, str]]) -> Choice:
    size = landing.terminal.size if landing.terminal else ""
    if not rows:
        return none(f"blade width {size!r} is not in the table: measure it", tables=("blade_tabs",))
    column, unit = ("mm2", "mm2") if gauge(landing.wire.size) is None else ("awg", "AWG")
    ranges = dict.fromkeys(f"{row[f'wire_{column}_from']} to {row[f'wire_{column}_to']}" for row in rows)
    taken = f"{' or '.join(ranges)} {unit}"
    return none(
        f"{landing.wire.size} does not go into a push-on for a {size} mm blade, which takes {taken}",
        tables=("blade_tabs",),
    )


def _push_on(landing: Landing) -> tuple[str, tuple[str, ...]]:
    """What kind of push-on, with notes: the first new wire of two takes the piggy-back."""
    if len(landing.together) == 1 or not landing.first:
        return "female push-on", ()
    return "piggy-back push-on", ("two on one blade: piggy-back push-on, the other wire goes on its tab",)


def _crowded(landing: Landing, width: str) -> str:
    """Why a blade cannot take all its wires, "" when it can."""
    if len(landing.together) > 2:
        return f"{len(landing.together)} wires on one blade: join them at a splice or a stud"
    if len(landing.together) == 2 and float(width) != PIGGY_BACK_MM:
        return f"two wires on a {width} mm blade: piggy-backs are made for {PIGGY_BACK_MM} mm, so splice them"
    return ""


def _blade(landing: Landing) -> Choice:
    rows = _tabs(landing.terminal.size if landing.terminal else "")
    fitting = [row for row in rows if _takes(row, landing.wire)]
    barrel = _barrel(landing)
    if not fitting or barrel is None:
        return _no_push_on(landing, rows)
    width = fitting[0]["tab_width_mm"]
    if crowded := _crowded(landing, width):
        return none(crowded, tables=("blade_tabs",))
    kind, notes = _push_on(landing)
    text = f"{kind}, {_finish(landing, barrel)}, for {barrel.range}, {width} mm blade"
    tables = ("blade_tabs", *own_source(fitting[0]))
    return _crimped(landing, barrel, text, f"{width} mm", *tables, notes=notes)


# ---------------------------------------------------------------------------------------- leads and plugs


def _lead_barrel(landing: Landing) -> Barrel | None:
    """The barrel for all new wires on the part's lead."""
    if len(landing.new) == 1:
        return _barrel(landing)
    return barrel_for_several(
        areas_mm2=tuple(wire.area_mm2 for wire in landing.new), awg=gauge(landing.wire.size) is not None
    )


def _butt(landing: Landing) -> Choice:
    """A butt splice to the part's own lead; wires that share the lead share its barrel."""
    barrel = _lead_barrel(landing)
    if barrel is None:
        return _no_barrel(landing)
    wires_mm = side_mm([wire.outside_mm for wire in landing.new])
    finish = _finish(landing, barrel, covers_mm=wires_mm, sealed=True)
    insulated = finish != BARE
    strip_mm = barrel.insulated_strip_mm if insulated or barrel.heavy else BUTT_STRIP_MM
    tables = ("closed_barrel_ranges", *barrel.tables)
    if not landing.first:
        shared = f"goes into the butt splice of wire {landing.new[0].number}"
        joins = shared.removeprefix("goes into the ")
        return Choice(strip_mm=strip_mm, notes=(shared,), tables=tables, joins=joins, barrel_of=landing.new)
    return Choice(
        terminal=f"butt splice, {finish}, for {barrel.range}",
        strip_mm=strip_mm,
        notes=(*barrel.notes, "to the part's own lead: check that the lead is in the same range"),
        tables=tables,
        covers_mm=None if insulated else max(barrel.outside_mm, wires_mm),
        covers_long_mm=2 * barrel.length_mm if barrel.heavy else BUTT_MM,
        splices=True,
        sealed=True,
        barrel_of=landing.new,
        die=die_of(barrel, finish),
    )


def _pigtail(landing: Landing) -> Choice:
    if landing.part is not None and landing.part.kind == "spare":
        return Choice(
            notes=("spare: cut flush, pinch the sleeve shut past the end",),
            covers_mm=landing.wire.outside_mm,
            covers_long_mm=CAP_MM,
            sealed=True,
            capped=True,
        )
    return _butt(landing)


def _pin(landing: Landing) -> Choice:
    barrel = _barrel(landing)
    if barrel is None or barrel.heavy:
        return none(
            f"{landing.wire.size} is too thick for a plug contact: use a stud",
            tables=("terminal_insulated_ranges",),
        )
    strip = next(strip for area, strip in PIN_STRIPS_MM if landing.wire.area_mm2 <= area)
    if landing.part is not None and landing.part.way_a is not None:
        return _coupler_contact(landing, strip)
    return Choice(
        terminal=f"contact for the part's own plug, for {barrel.range}",
        strip_mm=strip,
        notes=("from the maker of the plug; strip as its sheet says", "seal the plug's empty ways"),
        seal="seal of the plug, where it has one",
        die=f"{PLUG_CONTACT}, {barrel.range}",
        tables=("crimp_prep_rules", "terminal_insulated_ranges"),
    )


def _coupler_contact(landing: Landing, strip_mm: float) -> Choice:
    """Half A takes pins, half B sockets, each with a seal on its wire that is threaded first."""
    size = contact_size([wire.area_mm2 for wire in (*landing.together, *landing.mates)])
    if not size:
        return none(
            f"no coupler contact takes {landing.wire.size} and its mate", tables=("coupler_contacts",)
        )
    form = "pin" if landing.point.terminal.endswith("A") else "socket"
    return Choice(
        terminal=f"{form} contact, size {size}, sealed coupler",
        strip_mm=strip_mm,
        notes=("crimp with the die of its contact",),
        seal=f"wire seal, size {size}",
        die=f"{COUPLER_CONTACT}, size {size}",
        tables=("coupler_contacts", *contact_source(size), "crimp_prep_rules"),
    )


def _at_splice(landing: Landing) -> Choice:
    return Choice(
        strip_mm=splice_strip_mm(landing.together),
        notes=(f"goes into splice {landing.point.part}",),
        joins=f"splice {landing.point.part}",
        die=splice_die(landing.together, landing.wire),
        barrel_of=landing.together if len(landing.together) > 2 else (),
        tables=("closed_barrel_ranges", "crimp_prep_rules"),
    )


RULES: Mapping[str, Callable[[Landing], Choice]] = {
    "stud": _stud,
    "screw": _screw,
    "post": _post,
    "blade": _blade,
    "pigtail": _pigtail,
    "pin": _pin,
}


def choose(landing: Landing) -> Choice:
    """What is crimped on one wire end."""
    if landing.point.kind == "splice":
        return _at_splice(landing)
    if landing.terminal is None:
        return none(f"{landing.point.part} has no terminal {landing.point.terminal!r} in the survey")
    return RULES[landing.terminal.fitting](landing)
