"""Circuits from traced paths: steps through parts, what the circuit is for, and the modes it works in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from harness.model.machine import Circuit, End, EngineState, Link, Mode, Part, Path, Post, Step
from harness.survey.ledger import Ledger
from harness.survey.parts import CASE, Draft
from harness.survey.schema import CircuitForm, ModeForm, SurveyForm
from harness.survey.units import drop_v
from harness.survey.wiring import Hop, Pass, Trace
from harness.survey.words import functions, hint

DEFAULT_MODES: tuple[tuple[str, EngineState], ...] = (
    ("parked", "stopped"),
    ("cranking", "cranking"),
    ("running", "running"),
    ("night work", "running"),
)

Node = tuple[str, str]  # part or splice or body, and terminal


def modes(form: SurveyForm, ledger: Ledger) -> tuple[Mode, ...]:
    """The survey's modes, or the four usual ones."""
    if form.modes or "modes" in ledger.damage.sections:
        return tuple(_mode(name, each, ledger) for name, each in form.modes.items())
    return tuple(Mode(name, engine, ledger.where("")) for name, engine in DEFAULT_MODES)


def _mode(name: str, each: ModeForm, ledger: Ledger) -> Mode:
    if each.speed is not None and each.engine != "running":
        ledger.say(
            ledger.at_key("modes", name, "speed"),
            f"mode {name!r} says a speed, and its engine is {each.engine}",
            "leave speed out, or write engine: running",
        )
    return Mode(name, each.engine, ledger.where(name), each.speed or "rated")


def _works_in(each: CircuitForm, known: tuple[Mode, ...], ledger: Ledger) -> tuple[str, ...]:
    names = [mode.name for mode in known]
    if each.works_in is None:
        return tuple(names)
    for name in each.works_in:
        if (
            names and name not in names and not ledger.damage.lost("modes", name)
        ):  # none: the section is wrong
            ledger.say(name, f"there is no mode {name!r}", hint(name, names))
    return tuple(name for name in names if name in each.works_in)


# ------------------------------------------------------------------------------------------------ steps


class Steps:
    """Turns traces into steps once the parts are finished and their links have their last names."""

    def __init__(self, parts: Mapping[str, Part], hops: list[Hop], traces: Iterable[Trace]) -> None:
        self._parts = parts
        self._hops = hops
        self._before: dict[Node, set[Node]] = {}
        for hop in hops:
            self._comes(_node(hop.a), _node(hop.b))
        for trace in traces:
            for step in trace.steps:
                if isinstance(step, Pass) and step.b:
                    self._comes((step.part, step.a), (step.part, step.b))

    def _comes(self, start: Node, end: Node) -> None:
        self._before.setdefault(end, set()).add(start)

    def of(self, trace: Trace) -> tuple[Step, ...]:
        """The steps of one path."""
        found = []
        for step in trace.steps:
            if isinstance(step, int):
                found.append(Step(wire=step))
                continue
            link = self._passed(step) if step.b else self._ended(step, trace)
            if link is not None:
                found.append(Step(part=step.part, link=link.name))
        return tuple(found)

    def _passed(self, step: Pass) -> Link | None:
        links = self._parts[step.part].links
        sides = ({step.a, step.b}, {step.a, CASE}, {step.b, CASE})
        return next((link for wanted in sides for link in links if {link.a, link.b} == wanted), None)

    def _ended(self, step: Pass, trace: Trace) -> Link | None:
        """The link by which current goes on where a path ends: into the case, or into the load there.

        A charging cable that ends at a starter's stud does not crank the starter: where the path names the
        terminal and only a generator feeds it, the load there is not what the path is for.
        """
        links = [each for each in self._parts[step.part].links if each.kind != "source"]
        to_case = next((each for each in links if {each.a, each.b} == {step.a, CASE}), None)
        load = next((each for each in links if each.kind == "load" and each.a == step.a), None)
        found = load or to_case
        if found is not None and found.kind == "load" and step.single and self._only_charges(trace):
            return None
        return found

    def _only_charges(self, trace: Trace) -> bool:
        """Whether a path is fed by generators and by no battery."""
        first = trace.steps[0]
        start = _node(self._hops[first].a) if isinstance(first, int) else (first.part, first.a)
        return {self._parts[name].output_a is not None for name in self._sources(start)} == {True}

    def _sources(self, start: Node) -> set[str]:
        """Sources that what is written leads from to ``start``."""
        seen, todo, found = {start}, [start], set()
        while todo:
            node = todo.pop()
            part = self._parts.get(node[0])
            if part is not None and part.role == "source":
                found.add(part.name)
                continue
            fresh = self._before.get(node, set()) - seen
            seen |= fresh
            todo.extend(sorted(fresh))
        return found


def _node(end: End) -> Node:
    return end.name, end.terminal


# ---------------------------------------------------------------------------------------------- circuits


def _straps_only(paths: Iterable[Path], hops: list[Hop], chassis_post: str) -> bool:
    """Whether every wire of the paths joins bodies, or a body and the battery's chassis post."""
    ends = [
        end
        for path in paths
        for step in path.steps
        if step.wire is not None
        for end in (hops[step.wire].a, hops[step.wire].b)
    ]
    return bool(ends) and all(end.kind == "body" or end.terminal == chassis_post for end in ends)


def _function(
    each: CircuitForm,
    paths: tuple[Path, ...],
    drafts: Mapping[str, Draft],
    hops: list[Hop],
    post: Post,
) -> str:
    """The survey's word for what a circuit does, else that of its first load, else of its first part."""
    if each.function is not None:
        return each.function
    if _straps_only(paths, hops, "-" if post == "negative" else "+"):
        return "ground"
    passed = [(step.part, step.link) for path in paths for step in path.steps if step.part is not None]
    for roles in (("load", "gauge", "sender"), ("relay",)):
        for part, link in passed:
            draft = drafts[part]
            if draft.kind.role in roles and (roles == ("relay",) or _is_load(draft, link)):
                return draft.kind.function
    names = [end.name for path in paths for end in _ends(path, hops) if end.kind == "part"]
    generator = next((name for name in names if drafts[name].part.output_a is not None), None)
    first = generator or next(iter(names), None)
    return drafts[first].kind.function if first is not None else "ground"


def _is_load(draft: Draft, link: str | None) -> bool:
    """Whether a link as named after finishing is one of the part's loads."""
    start = (link or "").split("/")[0]
    return any(each.kind == "load" and each.a == start for each in draft.part.links)


def _ends(path: Path, hops: list[Hop]) -> list[End]:
    wires = [step.wire for step in path.steps if step.wire is not None]
    return [end for wire in wires for end in (hops[wire].a, hops[wire].b)]


def circuits(
    form: SurveyForm,
    traces: Mapping[str, list[Trace]],
    drafts: Mapping[str, Draft],
    steps: Steps,
    hops: list[Hop],
    known_modes: tuple[Mode, ...],
    ledger: Ledger,
) -> tuple[Circuit, ...]:
    """Every circuit, in the order of the survey."""
    found = []
    for name, each in form.circuits.items():
        if each.function is not None and each.function not in functions():
            ledger.say(
                each.function,
                f"{each.function!r} is no function of a circuit",
                hint(each.function, functions()),
            )
        paths = tuple(
            Path(trace.text, steps.of(trace), ledger.where(trace.spot))
            for trace in traces[name]
            if trace.steps
        )
        allowance = None if each.drop is None else drop_v(each.drop, system_v=form.machine.voltage_v)
        found.append(
            Circuit(
                name=name,
                modes=_works_in(each, known_modes, ledger),
                allowance_v=allowance,
                function=_function(each, paths, drafts, hops, form.machine.chassis_post),
                colour=each.colour,
                paths=paths,
                where=ledger.where(name),
            )
        )
    return tuple(found)
