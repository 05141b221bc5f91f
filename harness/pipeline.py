"""The whole way from a checked machine to its design, one step after the other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from harness import __version__, fitout, rules
from harness.buying.plan import buying_plan, offcut_uses
from harness.buying.totals import buying_totals
from harness.electric import results
from harness.electric.aswired import as_wired
from harness.electric.balance import balances
from harness.electric.conductor import COPPER_KG_PER_M_MM2
from harness.electric.cool import run_weights
from harness.electric.currents import Plant
from harness.electric.faults import Study, faults
from harness.electric.prices import money
from harness.electric.repeated import continuous_currents
from harness.electric.ruleset import RuleSet, rule_set
from harness.electric.selectivity import fuse_curves, fuse_order
from harness.electric.sizing import Sizing, size_machine
from harness.electric.straying import reading_bands
from harness.electric.wanted import HEAVY_COLOUR_MM2, Wanted
from harness.faultfinding.patient import Patient, patients
from harness.fitout.colours import spare_colour, wire_colours
from harness.fitout.contacts import mated
from harness.fitout.hardware import studs, suppressors
from harness.fitout.labels import label_rule
from harness.lists.accepted import accepted_words, recabled, recoloured
from harness.lists.assembly import assembly
from harness.lists.materials import materials
from harness.lists.own import with_own_sources
from harness.lists.spareways import panel_ways
from harness.lists.tools import tools
from harness.loom.bundle import bundle_diameter_mm
from harness.loom.couplers import Laid, couplers, split, too_thick
from harness.loom.joints import Measure, compared, rejoined
from harness.loom.looms import coupler_results, looms
from harness.loom.numbering import wire_numbers
from harness.loom.routing import route
from harness.loom.spares import spare_wires
from harness.loom.ways import Ways
from harness.model.design import (
    CircuitResult,
    Design,
    Fuse,
    InnerLink,
    LoadResult,
    MachineInfo,
    PartResult,
    PathStep,
    RunResult,
    Splice,
    TerminalUse,
    Totals,
    Wire,
)
from harness.model.joints import JointResult
from harness.model.machine import Machine
from harness.model.stages import Loom, Routed, SplicePlace
from harness.model.stock import Offcut
from harness.rules.figures import WIRES_ON
from harness.tables import extended

FORMAT = "harness design 1"
MOST_ON = WIRES_ON | {"blade": 1, "pigtail": 1}  # one push-on to a blade, one butt joint to a pigtail
MATING_ROUNDS = 3  # raising one half of a way may lower the other; sizes only grow, so few are needed


def _spares(machine: Machine, routed: Routed, rules_: RuleSet, wires: Sequence[Wire]) -> tuple[Wire, ...]:
    """Spare wires, of sizes of the rule set and in the scheme's colour."""

    def size_of(label: str) -> tuple[str, float, float]:
        size = rules_.size(label)
        return size.label, size.area_mm2, size.outside_mm

    return tuple(spare_wires(machine, routed, wires, size_of=size_of, colour=spare_colour(machine)))


def _bare_runs(
    machine: Machine, routed: Routed, sizing: Sizing, wires: Sequence[Wire], spares: Sequence[Wire]
) -> tuple[RunResult, ...]:
    found = []
    beside: dict[str, list[Wire]] = {}
    for spare in spares:
        for name in spare.runs:
            beside.setdefault(name, []).append(spare)
    for run in machine.runs:
        warm = sizing.warm.get(run.name)
        inside = [wires[index] for index in routed.in_run[run.name]]
        idle = beside.get(run.name, [])
        bundle, formula = bundle_diameter_mm([wire.outside_mm for wire in (*inside, *idle)])
        found.append(
            RunResult(
                run.name, run.start, run.end, run.length_m, run.zone, machine.zones[run.zone].ambient_c,
                [wire.number for wire in inside], bundle, formula, run.hole_mm, run.plate_mm,
                "", None, "", 0.0, 0, "", 0, "", run.moves,
                round(warm.hottest_c, 1) if warm else None, warm.mode if warm else "",
                spares=[spare.number for spare in idle],
            )
        )  # fmt: skip
    return tuple(found)


def _bare_splices(machine: Machine, routed: Routed, wires: Sequence[Wire]) -> tuple[Splice, ...]:
    joined: dict[str, dict[str, None]] = {}
    for wire in wires:
        for point in (wire.from_, wire.to):
            if point.kind == "splice":
                joined.setdefault(point.part, {})[wire.number] = None
    return tuple(
        Splice(
            spec.name, routed.splice_places[spec.name], spec.chosen or spec.place is None, spec.circuit,
            list(joined.get(spec.name, ())), "", "", 0.0, *_spot(routed.splice_spots.get(spec.name)),
        )
        for spec in machine.splices
    )  # fmt: skip


def _spot(spot: SplicePlace | None) -> tuple[str, str, float, str]:
    """Run, place it is measured from, how far [m], and the words; blanks where a splice lies at its place."""
    return (spot.run, spot.place, spot.offset_m, str(spot)) if spot else ("", "", 0.0, "")


def _parts(machine: Machine, wires: Sequence[Wire]) -> list[PartResult]:
    landing: dict[tuple[str, str], list[str]] = {}
    for wire in wires:
        for point in (wire.from_, wire.to):
            if point.kind == "part":
                landing.setdefault((point.part, point.terminal), []).append(wire.number)
    return [
        PartResult(
            part.name, part.kind, part.title, part.role, part.letter, part.symbol, part.place, part.body,
            [
                TerminalUse(term.name, term.fitting, term.size, landing.get((part.name, term.name), []))
                for term in part.terminals
            ],
            [InnerLink(link.name, link.a, link.b, link.kind) for link in part.links],
            list(part.assumed), part.notes,
        )
        for part in machine.parts.values()
    ]  # fmt: skip


def _circuits(machine: Machine, wires: Sequence[Wire]) -> list[CircuitResult]:
    found = []
    owned: dict[str, list[Wire]] = {}
    for wire in wires:
        owned.setdefault(wire.circuit, []).append(wire)
    for circuit in machine.circuits:
        own = owned.get(circuit.name, [])
        paths = [
            [
                PathStep(wires[step.wire].number if step.wire is not None else None, step.part, step.link)
                for step in path.steps
            ]
            for path in circuit.paths
        ]
        colours = [wire.colour for wire in own]
        found.append(
            CircuitResult(
                circuit.name, list(circuit.modes), circuit.function, circuit.colour or (colours or [""])[0],
                paths, [path.text for path in circuit.paths], [wire.number for wire in own],
            )
        )  # fmt: skip
    return found


def _info(machine: Machine, rules_: RuleSet) -> MachineInfo:
    assumed = list(machine.assumed)
    assumed += [f"zone {zone.name}: {zone.ambient_c:g} °C" for zone in machine.zones.values() if zone.assumed]
    return MachineInfo(
        machine.name, machine.voltage_v, machine.chassis_post, rules_.cable, machine.sizes, rules_.name,
        rules_.title, list(rules_.sources), machine.colours, machine.numbering, machine.file, machine.digest,
        assumed, _catalogue(machine), machine.revision, _settled(machine),
        list(machine.notes), machine.spare,
    )  # fmt: skip


def _settled(machine: Machine) -> list[str]:
    return accepted_words(machine.accepted, as_wired(machine).left)


def _catalogue(machine: Machine) -> str:
    own = machine.catalogue
    return f"{own.file}, digest {own.digest}" if own.file else ""


def _spools(
    machine: Machine, wires: Sequence[Wire], sizes: Sequence[str], colours: Sequence[str] | Mapping[int, str]
) -> int:
    """How many kinds of cable have to be bought: size, colour and type of new wire."""
    return len(
        {
            (sizes[wire.index], colours[wire.index], wire.cable, wires[wire.index].fine_stranded)
            for wire in machine.wires
            if not wire.keep
        }
    )


def _totals(
    machine: Machine, sizing: Sizing, wires: Sequence[Wire], loads: Sequence[LoadResult], method: str
) -> Totals:
    new = [wire for wire in wires if not wire.kept]
    drops = [(volts.judged_v, load.part) for load in loads for volts in load.modes]
    worst, name = max(drops, default=(0.0, ""))
    plain = sizing.baseline_sizes
    areas = {index: size.area_mm2 for index, size in enumerate(plain)}
    return Totals(
        len(wires), len(wires) - len(new), sum(wire.length_m for wire in new),
        sum(wire.area_mm2 * wire.length_m for wire in new) * COPPER_KG_PER_M_MM2, sizing.baseline_kg,
        sizing.baseline_unfit,
        worst, name, worst / machine.voltage_v, method, sizing.proven_gap,
        _spools(machine, wires, [wire.size for wire in wires], [wire.colour for wire in wires]),
        _spools(machine, wires, [size.label for size in plain], wire_colours(machine, areas)),
        *_money(sizing), sizing.baseline_starved,
    )  # fmt: skip


def _method(machine: Machine, wanted: Wanted) -> str:
    """How sizes were picked; what is in the machine already is looked at by the optimum alone."""
    return "as wired" if machine.accepted.wired and wanted.method == "optimum" else wanted.method


def _money(sizing: Sizing) -> tuple[str, str, str]:
    """What new wire costs, what it would wire by wire, and the currency; "" without a price list."""
    prices = sizing.wanted.prices
    if prices is None or sizing.price is None or sizing.baseline_price is None:
        return "", "", ""
    return money(sizing.price), money(sizing.baseline_price), prices.currency


def _colours(machine: Machine, sizing: Sizing) -> dict[int, str]:
    """Colours, with heavy cable in the two it is sold in."""
    return wire_colours(machine, {index: size.area_mm2 for index, size in enumerate(sizing.sizes)})


def _wires(machine: Machine, routed: Routed, sizing: Sizing) -> list[Wire]:
    return results.wires(machine, sizing, wire_numbers(machine, routed), _colours(machine, sizing))


def _program() -> str:
    return f"harness {__version__}"


def _with_colours(machine: Machine, wanted: Wanted) -> Wanted:
    """The same, with the colours that spools are counted and prices looked up by."""
    if wanted.most_spools is None and wanted.prices is None and not machine.accepted.sizes:
        return wanted
    thick = {wire.index: HEAVY_COLOUR_MM2 + 1 for wire in machine.wires}
    return replace(wanted, colours=(wire_colours(machine), wire_colours(machine, thick)))


def sized(machine: Machine, wanted: Wanted | None = None) -> tuple[Machine, Routed, Sizing]:
    """The machine with its wires cut at the couplers, laid and sized; raises as ``design`` does."""
    with extended(machine.catalogue.rows):
        wanted = wanted or Wanted()
        return _sized(_rejoined(machine, wanted)[0], wanted)


def _sized(machine: Machine, wanted: Wanted) -> tuple[Machine, Routed, Sizing]:
    """The same, by the tables as they stand; what comes in other cable is sized once more in that."""
    machine, routed, sizing = _cut(machine, wanted)
    if machine.accepted.cables:
        other = recabled(machine, _wires(machine, routed, sizing), machine.accepted)
        if other is not machine:
            return _cut(other, wanted)
    return machine, routed, sizing


def _cut(machine: Machine, wanted: Wanted) -> tuple[Machine, Routed, Sizing]:
    """Wires cut at the couplers.

    What is too heavy for a contact is known only once it is sized, so a machine with couplers is sized
    again: with its wires cut, with halves that must mate, and with those whole that no contact takes.
    """
    found = _parted(machine, wanted)
    while couplers(machine):
        heavy = too_thick(found[0], _areas(found[2]))
        if not heavy:
            break
        wires = [replace(spec, whole=spec.whole or spec.index in heavy) for spec in machine.wires]
        if tuple(wires) == machine.wires:  # named in a path, so it cannot stay whole
            break
        machine = replace(machine, wires=tuple(wires))
        found = _parted(machine, wanted)
    return found


def _compared(machine: Machine, routed: Routed, sizing: Sizing) -> list[JointResult]:
    """Every branch, and what each way to make it comes to by the wires of its splice."""
    runs = {run.name: run for run in machine.runs}
    ways = Ways(machine, run_weights(machine))
    lasting = continuous_currents(sizing.solutions).values()
    currents = {
        at: max((mode.get(at, 0.0) for mode in lasting), default=0.0) for at in range(len(routed.wires))
    }
    sold = sorted(size.area_mm2 for size in rule_set(machine.rules, machine.cable).sizes)
    areas = _areas(sizing)
    measure = Measure(machine, routed, areas, currents, sold, COPPER_KG_PER_M_MM2, ways, runs)
    return compared(measure, MOST_ON)


def _rejoined(machine: Machine, wanted: Wanted) -> tuple[Machine, list[JointResult]]:
    """The machine with its branches made as it wishes, and every branch; [] without a wish."""
    if machine.joints == "splice" and not any(splice.joint for splice in machine.splices):
        return machine, []
    routed = route(machine, run_weights(machine))
    chosen = rule_set(machine.rules, machine.cable)
    sizing = size_machine(machine, routed, chosen, _with_colours(machine, wanted))
    found = _compared(machine, routed, sizing)
    return rejoined(machine, found), found


def _areas(sizing: Sizing) -> dict[int, float]:
    return {at: size.area_mm2 for at, size in enumerate(sizing.sizes)}


def _parted(machine: Machine, wanted: Wanted) -> tuple[Machine, Routed, Sizing]:
    """Route, size, cut at every coupler what fits its contacts, and size what came of it.

    Both halves of a wire are taken to be as thick as the whole was, so that any number of couplers needs one
    sizing more; what then turns out too thick for a contact, ``_cut`` leaves whole.
    """
    chosen = rule_set(machine.rules, machine.cable)
    weights = run_weights(machine)
    routed = route(machine, weights)
    sizing = size_machine(machine, routed, chosen, _with_colours(machine, wanted))
    whole = machine
    lasting = continuous_currents(sizing.solutions) if couplers(machine) else {}
    laid = {
        at: Laid(area_mm2, max((mode.get(at, 0.0) for mode in lasting.values()), default=0.0))
        for at, area_mm2 in _areas(sizing).items()
    }
    for part in couplers(machine):
        parted = split(machine, routed, laid, part)
        if (parted.wires, parted.splices) == (machine.wires, machine.splices):
            continue  # it was cut before
        machine = parted
        routed = route(machine, weights)
        for spec in machine.wires[len(laid) :]:
            laid[spec.index] = laid[spec.index if spec.origin is None else spec.origin]
    if machine is not whole:
        sizing = size_machine(machine, routed, chosen, _with_colours(machine, wanted))
    for _ in range(MATING_ROUNDS):
        fitted = mated(machine, _areas(sizing))
        if fitted is machine:
            break
        machine, sizing = fitted, size_machine(fitted, routed, chosen, _with_colours(fitted, wanted))
    return machine, routed, sizing


def design(machine: Machine, wanted: Wanted | None = None) -> Design:
    """Design the whole loom of a machine: route, size, fit out, list, and judge.

    Raises BadStock, NoPrice and TooFewKinds where what is wanted of the sizes cannot be had.
    """
    return designed(machine, wanted)[1]


def designed(
    machine: Machine, wanted: Wanted | None = None, offcuts: Sequence[Offcut] = ()
) -> tuple[Machine, Design]:
    """The same, with the machine as it was designed: its wires cut where couplers part two looms.

    ``offcuts``: on the shelf, used before anything is bought.
    """
    with extended(machine.catalogue.rows):
        return _designed(machine, wanted or Wanted(), offcuts)


def judged(machine: Machine) -> Design:
    """Wires, fuses and findings alone, without lists: what is asked for again and again of one machine."""
    with extended(machine.catalogue.rows):
        machine, draft, _ = _drafted(machine, Wanted())
        return replace(draft, findings=rules.findings(machine, draft))


def bedded(machine: Machine, wanted: Wanted | None = None) -> tuple[Design, dict[str, Patient]]:
    """The design without its lists, and every mode's network ready for faults to be put into it.

    Raises ValueError where no source feeds the machine, and as ``design`` does.
    """
    with extended(machine.catalogue.rows):
        machine, made, sizing = _drafted(machine, wanted or Wanted())
        laid = {wire.index: wire.runs for wire in sizing.routed.wires}
        return made, patients(Plant(machine, sizing.edges), sizing.ohms, laid)


def _drafted(machine: Machine, wanted: Wanted) -> tuple[Machine, Design, Sizing]:
    """The design before its lists, with all that the rules look at, and the sizing it comes from."""
    machine, branches = _rejoined(machine, wanted)
    machine, routed, sizing = _sized(machine, wanted)
    chosen = rule_set(machine.rules, machine.cable)
    wires = recoloured(_wires(machine, routed, sizing), machine.accepted)
    idle = tuple(recoloured(_spares(machine, routed, chosen, wires), machine.accepted))
    bare = Loom(
        tuple(wires),
        _bare_runs(machine, routed, sizing, wires, idle),
        _bare_splices(machine, routed, wires),
        idle,
    )
    loom = fitout.fit(machine, bare)
    fuses: list[Fuse] = results.fuses(machine, sizing, loom.wires)
    loads = results.loads(machine, sizing)
    method = _method(machine, wanted)
    draft = Design(
        FORMAT, _program(), _info(machine, chosen), results.modes(machine, sizing), dict(machine.place_zones),
        _parts(machine, loom.wires), _circuits(machine, loom.wires), list(loom.wires), list(loom.splices),
        list(loom.runs), fuses, loads, [], [], _totals(machine, sizing, loom.wires, loads, method), [],
    )  # fmt: skip
    study = Study(machine, sizing)
    shorts = faults(study, loom.wires)
    sources = balances(machine, sizing, [wire.number for wire in loom.wires])
    draft = replace(
        draft,
        operating=sources.operating,
        charge_balance=sources.charge_balance,
        starts=sources.starts,
        standing=sources.standing,
        dimming=sources.dimming,
        bands=reading_bands(machine, sizing),
        faults=shorts,
        fuse_order=fuse_order(study),
        fuse_curves=fuse_curves(study, loom.wires, shorts),
    )
    draft = rules.with_lines(machine, draft)
    draft = replace(
        draft,
        couplers=coupler_results(machine, routed, loom.wires),
        looms=looms(machine, (*loom.wires, *loom.spares)),
        spares=list(loom.spares),
        panels=panel_ways(draft.parts),
        joints=branches or _compared(machine, routed, sizing),
        studs=studs(machine, loom.wires),
        suppressors=suppressors(machine),
    )
    return machine, draft, sizing


def _designed(machine: Machine, wanted: Wanted, offcuts: Sequence[Offcut]) -> tuple[Machine, Design]:
    machine, draft, _ = _drafted(machine, wanted)
    needed = materials(draft, waste=machine.waste, spares=machine.spares)
    listed = replace(draft, materials=with_own_sources(needed, machine.catalogue.own))
    listed = replace(listed, tools=tools(listed))
    bought = buying_plan(listed, offcuts)
    listed = replace(
        listed,
        buying=bought,
        offcuts=offcut_uses(bought, offcuts),
        buying_totals=buying_totals(bought),
        assembly=assembly(machine, listed),
        label_rule=label_rule(),
    )
    cautions = rules.cautions(machine)
    return machine, replace(listed, findings=rules.findings(machine, listed), cautions=cautions)
