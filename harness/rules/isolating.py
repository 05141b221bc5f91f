"""Rules on parting the battery from the machine, and on joining two batteries."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from harness.model.machine import End, Link, Part
from harness.rules import traits
from harness.rules.case import Case, Passes, Way, conducts, part_end
from harness.rules.figures import PRACTICE, amps
from harness.rules.registry import Say, rule


def _alive(case: Case, opened: frozenset[str]) -> list[Part]:
    """Parts with a load that can still get current and send it home once the named switches are open."""

    def passes(way: Way, here: End) -> bool:
        return conducts(way, here) and not (way.kind == "contact" and way.part in opened)

    home = case.reach(case.return_posts, passes, stops=case.is_live_post)
    live = _fed_by(case, passes, home)
    found = {
        part.name: part
        for part, link in case.loads()
        if part_end(part, link.a) in live and part_end(part, link.b) in home
    }
    return list(found.values())


def _fed_by(case: Case, passes: Passes, home: Collection[End]) -> Collection[End]:
    """Points that get current from batteries whose other post leads home, in a row over each other."""
    posts: set[End] = set()
    while True:
        live = case.reach(posts, passes, stops=case.is_low)
        more = {
            End("part", battery.name, case.live_sign)
            for battery in case.batteries
            if (low := End("part", battery.name, case.chassis_sign)) in home or low in live
        }
        if more <= posts:
            return live
        posts |= more


def _isolators(case: Case) -> list[Part]:
    """Isolators that cut off more than a starter; a foot switch in the starter cable is none."""
    every = {part.name for part in _alive(case, frozenset())}
    found = []
    for isolator in case.parts(traits.is_isolator):
        left = {part.name for part in _alive(case, frozenset({isolator.name}))}
        cut = [case.machine.parts[name] for name in every - left]
        if cut and (not left or not all(traits.is_starter(part) for part in cut)):
            found.append(isolator)
    return found


@rule(
    "no battery isolator",
    severity="advice",
    summary="nothing parts the battery from the machine but a spanner",
    source=f"an isolator near the battery, in reach from the ground ({PRACTICE})",
    cure="fit an isolator near the battery, in reach of a person on the ground",
)
def no_isolator(case: Case) -> Iterator[Say]:
    if not case.batteries or not case.starters or _isolators(case):
        return
    battery = case.batteries[0]
    yield Say(
        battery.name,
        f"no isolator parts {battery.name} from the machine: with a wire smoking, or the machine left for "
        "months, only a spanner does",
        f"fit an isolator between {battery.name} and all else, in the live lead or the chassis lead, in "
        "reach of a person on the ground",
        battery.where,
    )


@rule(
    "alive past the isolator",
    severity="advice",
    summary="with every isolator open something can still draw current; fault when the starter can",
    source=f"an open isolator leaves nothing alive that need not be ({PRACTICE})",
    cure="lead it over the isolator, or keep it on a fuse of its own and say so on the plate",
)
def past_isolator(case: Case) -> Iterator[Say]:
    isolators = _isolators(case)
    if not isolators:
        return
    alive = _alive(case, frozenset(part.name for part in isolators))
    if not alive:
        return
    turns = [part.name for part in alive if traits.is_starter(part)]
    names = turns + [part.name for part in alive if part.name not in turns]
    more = f" and {len(names) - 5} more" if len(names) > 5 else ""
    first = isolators[0]
    yield Say(
        first.name,
        f"with {first.name} open, {', '.join(names[:5])}{more} can still draw current: a way leads round it "
        "from the battery and back",
        "land that wire on the machine's side of the isolator; what must stay alive (a clock, a bilge pump) "
        "keeps a fuse of its own at the battery and a word on the isolator's plate",
        first.where,
        severity="fault" if turns else None,
    )


def _sides(case: Case, part: Part, link: Link) -> list[set[End]]:
    """Live posts that each side of a contact reaches over metal and fuses."""

    def metal(way: Way, _: End) -> bool:
        return way.kind in ("wire", "bus", "fuse")

    ends = [part_end(part, each) for each in (link.a, link.b)]
    return [set(case.reach([end], metal, stops=case.is_low)) & case.live_posts for end in ends]


def _cranks(case: Case, part: Part, link: Link) -> list[str]:
    """Cranking modes in which a circuit uses this contact."""
    turning = {mode.name for mode in case.machine.modes if mode.engine == "cranking"}
    used = [
        circuit
        for circuit in case.machine.circuits
        for path in circuit.paths
        for step in path.steps
        if (step.part, step.link) == (part.name, link.name)
    ]
    return sorted({mode for circuit in used for mode in circuit.modes if mode in turning})


@rule(
    "split-charge relay",
    severity="fault",
    summary="a relay that joins two batteries rated below the alternator, or closed while the starter turns",
    source=f"the relay carries the whole charge current, never the starter's ({PRACTICE})",
    cure="a relay above the alternator's output, worked only while the engine runs",
)
def split_charge(case: Case) -> Iterator[Say]:
    relays = case.parts(lambda part: part.role == "relay") if len(case.live_posts) > 1 else []
    output = max((part.output_a or 0.0 for part in case.alternators), default=0.0)
    for part in relays:
        for link in part.links:
            if link.kind != "contact":
                continue
            near, far = _sides(case, part, link)
            if not near or not far or near & far:
                continue
            said = []
            if link.rating_a is not None and link.rating_a < output:
                said.append(f"may carry {amps(link.rating_a)}, and the alternator gives {amps(output)}")
            if (modes := _cranks(case, part, link)) and case.starters:
                said.append(f"is closed in {', '.join(modes)}, and the starter draws through it")
            if said:
                yield Say(
                    part.name,
                    f"{part.name} joins two batteries and {'; it '.join(said)}",
                    f"fit a relay above {amps(output)}, and let its coil work only while the engine runs",
                    part.where,
                )
