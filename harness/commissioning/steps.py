"""First power: the order in which this machine is made live, with the cautions before each step.

Common practice in the trade, in the order of an older fleet's rewiring notes: dead tests, a filament lamp in
the chassis lead, a small fuse, then fuse by fuse, the smallest first, and the starter last.
"""

from __future__ import annotations

from collections.abc import Iterable

from harness.commissioning import bands
from harness.commissioning.cold import continuity, isolation
from harness.commissioning.cranking import cranking_tests
from harness.commissioning.flooding import unfused
from harness.commissioning.guarding import backfeeds, guards, interlocks
from harness.commissioning.heavy import heavy_tests, starter_wires
from harness.commissioning.touch import first_touch
from harness.commissioning.trial import Step, Test
from harness.model.design import Design, Fuse, LoadResult

# Kind of load -> when its circuit comes: what only tells first, what moves or starts last (common practice).
_INSTRUMENTS, _LAMPS, _MOTORS, _SOUND, _WORK, _STOP, _HEAT, _START = range(8)
_TURN = {
    "warning lamp": _INSTRUMENTS, "fuel gauge": _INSTRUMENTS, "hour meter": _INSTRUMENTS,
    "temperature gauge": _INSTRUMENTS, "oil pressure gauge": _INSTRUMENTS, "voltmeter": _INSTRUMENTS,
    "tachometer": _INSTRUMENTS, "fuel sender": _INSTRUMENTS, "temperature sender": _INSTRUMENTS,
    "oil pressure sender": _INSTRUMENTS,
    "wiper motor": _MOTORS, "fan": _MOTORS, "heater fan": _MOTORS, "washer pump": _MOTORS,
    "relay": _LAMPS, "heavy relay": _LAMPS, "flasher unit": _LAMPS,
    "changeover relay": _LAMPS, "regulator": _INSTRUMENTS,
    "horn": _SOUND, "reverse alarm": _SOUND, "buzzer": _SOUND,
    "solenoid valve": _WORK, "electric pump": _WORK,
    "stop solenoid": _STOP, "fuel solenoid": _STOP, "ignition coil": _STOP, "intake heater": _HEAT,
    "glow plug": _HEAT, "starter motor": _START, "starter relay": _START,
}  # fmt: skip
_CAUTIONS = {
    _MOTORS: "Hands, rags and tools out of fans, wipers and pumps before the fuse goes in.",
    _SOUND: "Warn who stands near: it is loud.",
    _WORK: "A valve or pump can move the machine's works: engine off, nobody under or between them.",
    _STOP: "Measure the hold current within seconds: a pull winding that stays on burns.",
    _HEAT: "Glows and draws a heavy current: no fuel vapour near, and no longer than its time.",
}


def _turn(kinds: dict[str, str], load: LoadResult) -> int:
    kind = kinds.get(load.part, "")
    if kind.endswith("lamp") or kind == "beacon":
        return _TURN.get(kind, _LAMPS)
    return _TURN.get(kind, _WORK)


def _posts(design: Design) -> tuple[str, str]:
    chassis = design.machine.chassis_post
    return chassis, "positive" if chassis == "negative" else "negative"


def order(design: Design) -> list[Fuse]:
    """Return the fuses in the order they go in: by what they feed, then smallest first; feeds before ways."""
    kinds = {part.name: part.kind for part in design.parts}
    turns: dict[str, int] = {}
    for load in design.loads:
        turns[load.fuse] = max(turns.get(load.fuse, 0), _turn(kinds, load))
    before, named = bands.feeding(design), {fuse.name: fuse for fuse in design.fuses}
    found: dict[str, Fuse] = {}

    def add(fuse: Fuse, seen: frozenset[str]) -> None:
        feed = before[fuse.name]
        if feed in named and feed not in found and feed not in seen:
            add(named[feed], seen | {fuse.name})
        found.setdefault(fuse.name, fuse)

    ends = [fuse for fuse in design.fuses if fuse.name in turns]
    for fuse in sorted(ends, key=lambda each: (turns[each.name], each.rating_a)):
        add(fuse, frozenset())
    for fuse in design.fuses:
        add(fuse, frozenset())
    return list(found.values())


def _prepare(design: Design) -> Step:
    chassis, live = _posts(design)
    return Step(
        "prepare",
        "Make the machine safe",
        (
            "A machine can start or move by itself when a wire touches the wrong stud: chock it, drive in "
            "neutral, "
            "works on the ground, joints locked, people away from wheels, drum, belts and fan.",
            f"On this machine the {chassis.upper()} lead goes to the chassis. It comes off first and goes "
            f"on last; "
            f"a spanner from the {live} post to the frame is a dead short.",
            "Before anybody welds on the machine, now or later: both battery leads off, alternator and "
            "electronics unplugged, the welder's own clamp beside the weld. Else its current goes home "
            "through the new straps.",
        ),
        (
            "Take the battery leads off, the chassis lead first. Shut the fuel off.",
            "Take every fuse out, switch everything off, take bulbs out, unplug regulator and electronics.",
            "Extinguisher within reach; rings and watch off; eyes covered.",
        ),
    )


def _dead(design: Design, *, circuits: bool) -> Step:
    rows = bands.dead(design)
    return Step(
        "dead",
        "Dead tests",
        ("No battery is connected, nor a charger: an ohmmeter on a live wire is destroyed, or burns you.",),
        (
            "Measure every wire end to end, and to nothing else: the test sheet has a line for each. Pull "
            "every crimp by hand.",
            "Measure from every fuse's load side to bare metal, its switches on and its loads unplugged.",
            "Measure every ground point to the chassis lead: the test sheet has a line for each.",
            "Look at every ground point: bright metal, tight, the thickest lug nearest the metal.",
        ),
        tuple([*rows, *isolation(design), *continuity(design)] if circuits else rows[:1]),
    )


def _polarity(design: Design) -> Step:
    chassis, live = _posts(design)
    sign = "" if chassis == "negative" else "minus "
    volts = design.machine.voltage_v
    return Step(
        "polarity",
        "Polarity",
        (
            f"The {live} lead still off. Two posts the wrong way round destroy alternator and electronics "
            f"at once.",
        ),
        (
            f"Read the signs moulded on the battery, not the colour of the cables. {chassis.capitalize()} "
            f"post: the "
            f"lead that goes to engine or frame. {live.capitalize()} post: the lead that goes to starter "
            f"and main fuse.",
            f"Meter's black lead on the {chassis} post, red lead on the {live} post: it has to show "
            f"{sign}{volts:g} V "
            "or a little more.",
        ),
        tuple(bands.rest(design)),
    )


def _lamp(design: Design) -> Step:
    chassis, live = _posts(design)
    live_wires = unfused(design)
    bare = (
        f" With no fuse in and every switch off, these wires are live: {', '.join(live_wires)}."
        if live_wires
        else ""
    )
    return Step(
        "lamp",
        "First touch through a lamp",
        (
            "Never the bare chassis lead first: without the lamp a short circuit gives the whole battery.",
            "No sparks near the battery: it may have gassed. Clip the lamp on away from it.",
        ),
        (
            f"Connect the {live} lead. Between the {chassis} post and the {chassis} lead put a filament "
            f"lamp (no LED) "
            f"of {design.machine.voltage_v:g} V: first 5 W, then 21 W, then 55 W.{bare}",
            "Dark: nothing draws, as it should. Glows: something small is on; find out what. Bright: a "
            "short; take it "
            "off and find it now.",
            "The 5 W lamp once more with every fuse in, the key and all switches off: no more than what the "
            "machine takes when parked. Then take the fuses out again.",
            "Then a fuse of 5 to 10 A in place of the lamp. Then the chassis lead itself.",
        ),
        tuple(first_touch(design)),
    )


def _fuse_step(
    fuse: Fuse,
    loads: list[LoadResult],
    kinds: dict[str, str],
    before: str,
    feeds: list[str],
    readings: tuple[Test, ...],
) -> Step:
    turns = sorted({_turn(kinds, load) for load in loads})
    cautions = [_CAUTIONS[turn] for turn in turns if turn in _CAUTIONS]
    if _START in turns:
        cautions.append(
            "Starting by surprise kills: fuel off, neutral, and pull the small wire off the starter's "
            "solenoid until "
            "the step for the starter."
        )
    body = f", {fuse.colour}" if fuse.colour else ""
    do = [
        f"Fit {fuse.name} ({fuse.rating_a:g} A{body}) at "
        f"{fuse.place}{f', behind {before}' if before else ''}."
    ]
    if feeds:
        do.append(f"Its ways stay empty: {', '.join(feeds)}. Nothing may draw yet.")
    names = list(dict.fromkeys(load.part for load in loads))
    if names:
        do.append(
            f"Work one after the other: {', '.join(names)}. Feel joints and relay for warmth, then switch "
            f"off."
        )
    return Step(
        f"fuse:{fuse.name}",
        f"{fuse.name}, {fuse.rating_a:g} A",
        tuple(cautions),
        tuple(do),
        readings if names else (),
    )


def _fuses(design: Design, *, circuits: bool) -> Iterable[Step]:
    kinds = {part.name: part.kind for part in design.parts}
    before = bands.feeding(design)
    currents = {test.subject: test for test in bands.fuse_tests(design)}
    for fuse in order(design):
        loads = [load for load in design.loads if load.fuse == fuse.name]
        loads = [load for load in loads if kinds.get(load.part) not in ("alternator", "dynamo")]
        feeds = [name for name, feed in before.items() if feed == fuse.name]
        own: tuple[Test, ...] = (currents[fuse.name],) if fuse.name in currents else ()
        own += _circuits(design, fuse) if circuits else ()
        yield _fuse_step(fuse, loads, kinds, before[fuse.name], feeds, own)


def _start(design: Design, *, circuits: bool) -> list[Step]:
    if not design.starts:
        return []
    in_way = guards(design)
    tries = (
        f"Then try to start with each of these open, one at a time: {', '.join(in_way)}. It must refuse "
        f"every time."
        if in_way
        else "The survey has no neutral, brake or seat switch in the way to the starter: try it in every "
        "gear and "
        "judge whether it should have one."
    )
    return [
        Step(
            "crank",
            "The starter, last",
            (
                "Starting by surprise kills: fuel off, drive in neutral, brake on, nobody by wheels, "
                "drum, belts or "
                "fan. One person at the key, one with the meter.",
                "The starter cable has no fuse as a rule: look once more at its way, clamps and boots.",
            ),
            (
                "Test the small wire alone first: off the solenoid, turn the key, it shows battery volts; "
                "key back, none.",
                tries,
                "Put it on. Crank no longer than 15 s, then let it cool.",
            ),
            tuple(
                interlocks(design)
                + cranking_tests(design)
                + bands.starting(design)
                + heavy_tests(design)
                + (_of_loads(design, "cranking", ("A", "V")) if circuits else [])
            ),
        )
    ]


def _running(design: Design, *, circuits: bool) -> list[Step]:
    rows = bands.charging(design) + backfeeds(design)
    rows += _of_loads(design, "running", ("V",)) if circuits and rows else []
    if not rows:
        return []
    return [
        Step(
            "running",
            "Engine running",
            (
                "With the engine running never open the battery isolator or take a battery lead off: "
                "alternator and "
                "electronics do not survive it.",
                "Sleeves and leads clear of belts and fan before you lean in with the meter.",
            ),
            (
                "Fuel on, start. The charge lamp goes out.",
                "Key off: the engine must STOP and every warning lamp go out. If it runs on, something "
                "feeds back.",
            ),
            tuple(rows),
        )
    ]


def _warmth(design: Design) -> Step:
    heavy = [wire.number for wires in starter_wires(design).values() for wire in wires]
    relays = [part.name for part in design.parts if part.kind in ("relay", "heavy relay", "starter relay")]
    feel = ["battery posts and clamps", "every stud of the charging line", "fuse panel and key switch"]
    feel += [f"lugs of wires {', '.join(dict.fromkeys(heavy))}"] if heavy else []
    feel += [f"relays: {', '.join(relays)}"] if relays else []
    return Step(
        "warmth",
        "What to feel for heat",
        ("Engine off and nothing turning before a hand goes in. Hot metal first with the back of the hand.",),
        (
            f"After ten minutes with everything on, feel one after the other: {'; '.join(feel)}.",
            "A joint that is warmer than its wire is a bad joint: undo, clean, tighten, measure again. A "
            "wire that "
            "is warm along its length carries too much.",
        ),
        tuple(bands.straps(design) + bands.parked(design)),
    )


def _after(design: Design) -> Step:
    alike: dict[str, list[str]] = {}
    for stud in design.studs:
        name = f"{stud.part} {stud.terminal} ({stud.thread or stud.fitting}, {stud.place})"
        alike.setdefault(stud.torque, []).append(name)
    tight = [f"{torque}: {'; '.join(names)}." for torque, names in alike.items()]
    return Step(
        "after",
        "After ten hours",
        (
            "Hot parts and pressure: let it cool before you tighten anything on the engine.",
            "Battery lead of the chassis post off before a spanner touches a live stud.",
        ),
        (
            "Shake every loom, hose the machine down, work it one hot hour, and look at the grounds again.",
            "After some ten hours copper has settled: tighten every stud once more, and no further than its "
            "torque. "
            "Turning is enough where it does not move.",
            *tight,
        ),
    )


def _of_loads(design: Design, engine: str, sorts: tuple[str, ...], fuse: str | None = None) -> list[Test]:
    """Tests of loads in the modes of that state of the engine: currents ("A"), volts ("V"), volts "lost"."""
    modes = {one.name for one in design.modes if one.engine == engine}
    own = {load.part for load in design.loads if fuse is None or load.fuse == fuse}
    return [
        test
        for sheet in bands.loads(design)
        for test in sheet.rows
        if test.mode in modes and test.subject in own and test.key.rpartition(":")[2] in sorts
    ]


def _circuits(design: Design, fuse: Fuse) -> tuple[Test, ...]:
    """What the loads on a fuse draw and lose; their volts only where the engine stands still in that mode."""
    stopped = _of_loads(design, "stopped", ("A", "V", "lost"), fuse.name)
    return (*stopped, *_of_loads(design, "running", ("A", "lost"), fuse.name))


def first_power(design: Design, *, circuits: bool = False) -> tuple[Step, ...]:
    """Return the whole procedure for this machine. ``circuits``: with volts and currents of every load."""
    return (
        _prepare(design), _dead(design, circuits=circuits), _polarity(design), _lamp(design),
        *_fuses(design, circuits=circuits),
        *_start(design, circuits=circuits), *_running(design, circuits=circuits), _warmth(design),
        _after(design),
    )  # fmt: skip
