"""Rules on starting and stopping: interlock, trigger, preheat, stop solenoid, exciter and isolator."""

from __future__ import annotations

from collections.abc import Iterator

from harness.model.machine import End, Link, Part
from harness.rules import traits
from harness.rules.case import Case, Way, conducts, part_end
from harness.rules.figures import NOTICED_V, PRACTICE, TRIGGER_DROP, TRIGGER_DROP_V, amps, volts
from harness.rules.registry import Say, rule

EXCITERS = ("D+", "61", "L")


def _coil(part: Part) -> Link | None:
    return next((link for link in part.links if link.load is not None and link.load.nature == "coil"), None)


def _is_closed_at_rest(link: Link) -> bool:
    return "87a" in (link.a, link.b)


def _energised(case: Case) -> set[End]:
    """Points that can be live with every interlock open.

    A relay closes only if its coil can be fed and has a return; each pass closes the relays whose coil the
    last pass reached.
    """
    closed: set[str] = set()

    def passes(way: Way, _: End) -> bool:
        if way.kind != "contact" or way.link is None:
            return conducts(way, _)
        part = case.machine.parts[way.part]
        if traits.is_interlock(part):
            return False
        return part.role != "relay" or part.name in closed or _is_closed_at_rest(way.link)

    while True:
        live = case.reach(case.live_posts, passes, stops=case.is_low)
        low = case.reach(case.return_posts, passes, stops=lambda end: end in case.live_posts)
        before = set(closed)
        for part in case.machine.parts.values():
            coil = _coil(part)
            worked = coil is not None and part_end(part, coil.a) in live and part_end(part, coil.b) in low
            if part.role == "relay" and worked:
                closed.add(part.name)
        if closed == before:
            return set(live)


def _worked_at(case: Case, starter: Part) -> End | None:
    """Where a starter is switched: its small terminal; without a wire there the main one behind a contact."""
    trigger, main = traits.starter_trigger(starter), traits.main_load(starter)
    tree = case.from_battery
    if trigger is not None and (small := part_end(starter, trigger.a)) in tree:
        return small
    if main is None or (end := part_end(starter, main.a)) not in tree:
        return None
    steps = case.way_back(tree, end)
    contacts = [case.machine.parts[step.part] for step in steps if step.kind == "contact"]
    return end if any(not traits.is_isolator(part) for part in contacts) else None


def _by_foot(starter: Part) -> Say:
    return Say(
        starter.name,
        f"{starter.name} is worked by a switch in its cable, and nothing keeps it from turning in gear",
        "start it from the seat alone, clutch down and out of gear, and put that on a plate beside the "
        "switch; a starter relay in its place, with a neutral or clutch switch in its coil, sees to it",
        starter.where,
        severity="advice",
    )


@rule(
    "start interlock missing",
    severity="danger",
    summary=(
        "the starter can be worked with no neutral, clutch, seat or brake switch closed; advice where "
        "nothing shows that the machine can drive off"
    ),
    source=(
        "cranking only with the drive out of gear; service manuals of walk-behind and ride-on machines "
        f"({PRACTICE})"
    ),
    cure="put a neutral, clutch, seat or brake switch into the trigger path",
)
def interlock(case: Case) -> Iterator[Say]:
    free = _energised(case)
    moving = traits.drives_off(case.machine)
    for starter in case.starters:
        end = _worked_at(case, starter)
        if end is None or end not in free:
            continue
        steps = case.way_back(case.from_battery, end)
        if any(step.part and traits.is_starter_switch(case.machine.parts[step.part]) for step in steps):
            yield _by_foot(starter)
            continue
        wires = [case.number(step.wire) for step in steps if step.wire is not None]
        number = wires[-1] if wires else starter.name
        where = starter.where
        if moving:
            yield Say(
                starter.name,
                f"{starter.name} {end.terminal} (wire {number}) is reached from the battery without passing "
                f"a neutral, clutch, seat or brake switch, and the machine can drive off ({moving[0]}): "
                "started in gear it crushes whoever stands before it",
                "put a switch that is closed only in neutral into the trigger path, in its feed or in the "
                "start relay's coil; try every gear after. Of a machine that is towed or stands, with no "
                "drive of its own, write `self-propelled: no` under `machine`",
                where,
            )
        else:
            yield Say(
                starter.name,
                f"{starter.name} {end.terminal} (wire {number}) has no interlock in its path",
                "if what the engine drives can be engaged while cranking, put a neutral or clutch switch "
                "into the trigger path; if not, leave it",
                where,
                severity="advice",
            )


@rule(
    "starter trigger drop",
    severity="fault",
    summary="key, interlock and wire lose more than 1.0 V (12 V) on the way to the starter solenoid",
    source=TRIGGER_DROP,
    cure="add a start relay near the solenoid",
)
def trigger_drop(case: Case) -> Iterator[Say]:
    most = TRIGGER_DROP_V.get(case.machine.voltage_v, case.machine.voltage_v / 12)
    for starter in case.starters:
        trigger = traits.starter_trigger(starter)
        load = case.load_results.get((starter.name, trigger.name)) if trigger else None
        if load is None:
            continue
        drop = max([seen.judged_v for seen in load.modes] + [load.peak_drop_v or 0.0])
        if drop > most + NOTICED_V:
            yield Say(
                starter.name,
                f"the trigger of {starter.name} loses {volts(drop)} over key, interlock and wire at "
                f"{amps(load.peak_a or load.steady_a)}; {volts(most)} is the most: it clicks and does not "
                "crank",
                "add a start relay near the solenoid, fed from the starter stud over its own fuse, with "
                "only its coil on the key",
                starter.where,
            )


def _steps_to(case: Case, part: Part, link: Link) -> list[Way]:
    end = part_end(part, link.a)
    return case.way_back(case.fed, end) if end in case.fed else []


@rule(
    "preheat through the key",
    severity="danger",
    summary="heater plugs or an intake heater fed through the key's own contact, above what it may carry",
    source=(
        "heater plugs 10 to 12 A each, a set 50 to 150 A (read); by relay with a fuse of its own "
        f"({PRACTICE})"
    ),
    cure="feed the heaters through a heavy relay with a fuse of its own",
)
def preheat(case: Case) -> Iterator[Say]:
    found: dict[tuple[str, str], list[tuple[Part, float]]] = {}
    contacts: dict[tuple[str, str], Link] = {}
    for part, link in case.loads():
        if link.load is None or link.load.nature != "heater":
            continue
        for step in _steps_to(case, part, link):
            if step.kind != "contact" or step.link is None:
                continue
            if traits.is_key(case.machine.parts[step.part]):
                key = (step.part, step.link.name)
                contacts[key] = step.link
                found.setdefault(key, []).append((part, link.load.steady_a))
    for (key_part, name), heaters in found.items():
        total = sum(amount for _, amount in heaters)
        rating = contacts[key_part, name].rating_a
        if rating is not None and total > rating:
            yield Say(
                key_part,
                f"{', '.join(part.name for part, _ in heaters)} draw {amps(total)} through {key_part} "
                f"{name}, which may carry {amps(rating)}: the key melts or welds",
                "feed the heaters through a heavy relay with a fuse of its own; the key works only its coil",
                heaters[0][0].where,
            )


@rule(
    "pull-in through a small switch",
    severity="fault",
    summary="a solenoid whose pull-in current passes a key or switch contact rated below it",
    source=f"stop solenoid pull coil 30 to 50 A, by relay ({PRACTICE}; a governor maker's manual p. 6, read)",
    cure="feed the solenoid by a relay; the switch works only its coil",
)
def pull_in(case: Case) -> Iterator[Say]:
    for part, link in case.loads():
        load = link.load
        if load is None or load.nature != "coil" or load.peak_a is None or traits.is_starter(part):
            continue
        for step in _steps_to(case, part, link):
            rating = step.link.rating_a if step.kind == "contact" and step.link else None
            if rating is not None and rating < load.peak_a and case.machine.parts[step.part].role == "switch":
                yield Say(
                    part.name,
                    f"{part.name} pulls in with {amps(load.peak_a)} for {load.peak_s or 0:.2g} s through "
                    f"{step.part} {step.link.name if step.link else ''}, whose contact may carry "
                    f"{amps(rating)}; it holds with {amps(load.steady_a)}",
                    f"feed it by a relay; {step.part} works only the relay's coil. A pull coil without a "
                    "switch of its own needs a timer of about 2 s",
                    part.where,
                )


def exciters(case: Case) -> Iterator[tuple[Part, End]]:
    """The exciter terminal of every alternator that has one."""
    outputs = {end for _, end in case.alternator_outputs()}
    for part in case.alternators:
        ends = [part_end(part, terminal.name) for terminal in part.terminals if terminal.name in EXCITERS]
        yield from ((part, end) for end in ends if end not in outputs)


def _kept_alive(case: Case, near: dict[End, Way | None]) -> list[str]:
    """What keeps the engine running and hangs on these points, straight or over a relay they work."""
    points = set(near)
    for part in case.machine.parts.values():
        coil = _coil(part)
        if part.role == "relay" and coil is not None and part_end(part, coil.a) in near:
            outlets = [part_end(part, link.b) for link in part.links if link.kind == "contact"]
            points |= case.reach(outlets, lambda way, _: way.kind in ("wire", "bus", "fuse")).keys()
    return [
        load.name
        for load, link in case.loads()
        if traits.keeps_engine_running(load) and part_end(load, link.a) in points
    ]


@rule(
    "exciter backfeed",
    severity="fault",
    summary=(
        "alternator exciter tied to switched feeds with no lamp, resistor or diode: the key does not stop "
        "the engine; danger where a fuel solenoid or ignition coil hangs on the same feed"
    ),
    source=PRACTICE,
    cure="put the charge warning lamp, or a resistor and a diode, between key and exciter terminal",
)
def exciter_backfeed(case: Case) -> Iterator[Say]:
    def behind_key(way: Way, _: End) -> bool:
        is_switch = way.kind == "contact" and case.machine.parts[way.part].role == "switch"
        return no_diode(way, _) and not is_switch

    def no_diode(way: Way, _: End) -> bool:
        return conducts(way, _) and not (way.part and traits.is_diode(case.machine.parts[way.part]))

    for part, end in exciters(case):
        tied = case.reach([end], no_diode, stops=case.is_low)
        if not case.wires_at(end) or not tied.keys() & case.sources:
            continue
        near = case.reach([end], behind_key, stops=case.is_low)
        kept = _kept_alive(case, near)
        runs_on = f": with the key off it feeds {', '.join(kept)} and the engine runs on" if kept else ""
        yield Say(
            part.name,
            f"{part.name} {end.terminal} is tied to the switched feed over wire "
            f"{case.numbers(case.wires_at(end))} with no lamp, resistor or diode between{runs_on}",
            "put the charge warning lamp (2 to 3 W), or a resistor and a diode, between the key and this "
            "terminal; test that key off stops the engine",
            part.where,
            severity="danger" if kept else None,
        )


@rule(
    "no exciter path",
    severity="fault",
    summary="the alternator's exciter terminal gets no current, so it may never start to charge",
    source=f"exciter lamp of 2 to 3 W, or a resistor ({PRACTICE})",
    cure="lead the switched feed through the charge warning lamp to the exciter terminal",
)
def no_exciter(case: Case) -> Iterator[Say]:
    for part, end in exciters(case):
        if not case.wires_at(end):
            yield Say(
                part.name,
                f"nothing lands on {part.name} {end.terminal}: without a first current through it the "
                "alternator may not charge at all",
                f"lead a wire from the switched feed through the charge warning lamp to {end.terminal}; "
                "leave it off only if the maker says the alternator excites itself",
                part.where,
            )


def _joined(case: Case, alternator: Part, end: End, without: str | None = None) -> bool:
    """Whether both sides of an alternator reach the battery, with one part taken out."""
    source = next(link for link in alternator.links if link.kind == "source")
    back = part_end(alternator, source.a if part_end(alternator, source.b) == end else source.b)

    def passes(way: Way, _: End) -> bool:
        return conducts(way, _) and way.part != without

    return bool(
        case.reach([end], passes).keys() & case.live_posts
        and case.reach([back], passes).keys() & case.return_posts
    )


@rule(
    "isolator under a running engine",
    severity="advice",
    summary="opening the isolator takes the battery off a charging alternator, which then destroys itself",
    source=f"never part battery and alternator while it runs (service manuals, read; {PRACTICE})",
    cure="stop the engine first, or fit an isolator with a second pole that opens the exciter",
)
def isolator_running(case: Case) -> Iterator[Say]:
    for isolator in case.parts(traits.is_isolator):
        for alternator, end in case.alternator_outputs():
            if alternator.kind == "dynamo":
                continue  # it has no diodes, and its cut-out opens
            if _joined(case, alternator, end) and not _joined(case, alternator, end, isolator.name):
                yield Say(
                    isolator.name,
                    f"{isolator.name}, opened with the engine running, takes the battery off "
                    f"{alternator.name}; the surge ruins its diodes and whatever electronics are on",
                    "fix a plate `stop the engine first`, or use an isolator with a second pole that opens "
                    "the exciter, or land the alternator on the battery's side of it",
                    isolator.where,
                )
