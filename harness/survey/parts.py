"""From a part's form and its kind to a part with terminals and links; what was left out is filled in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from harness.kinds import FITTINGS, FORMS, Kind, KindLink, KindTerminal, find, terminal
from harness.model.machine import Body, Link, Load, Part, Post, Terminal
from harness.survey.complaints import known_kinds
from harness.survey.ledger import Ledger
from harness.survey.loads import load_of
from harness.survey.located import Word
from harness.survey.schema import PartForm, SurveyForm, keys_of
from harness.survey.units import BLADE_WIDTHS, WrongQuantity, stud_size
from harness.survey.words import hint, listed, nearest
from harness.tables import load as table

CASE = "case"
CHARGE = 0.8  # state of charge of a battery in use, a starting point of ours
_SWAP = {"+": "-", "-": "+"}


@dataclass(frozen=True, slots=True)
class Draft:
    """A part before it is known whether a wire or its case carries its return."""

    part: Part
    kind: Kind
    return_terminal: str
    sits_on: str | None  # the `on:` of the survey


def bodies(form: SurveyForm, ledger: Ledger) -> dict[str, Body]:
    """Every lump of metal: those of the section, or without one those that parts sit on."""
    named: Iterable[str] = form.bodies if form.bodies is not None else _sat_on(form)
    said = form.bodies or {}
    metals = {name: each.metal or "" for name, each in said.items()}
    found = {name: Body(name, ledger.where(name), metals.get(name, "")) for name in named}
    for name in found:
        if name in form.parts:
            ledger.say(
                next(part for part in form.parts if part == name),
                f"{name!r} is both a part and a body; a path could not tell which is meant",
                "give one of them another name",
            )
    return found


def _sat_on(form: SurveyForm) -> list[str]:
    return list(dict.fromkeys(part.body for part in form.parts.values() if part.body is not None))


def drafts(
    form: SurveyForm, places: Mapping[str, str], metal: Mapping[str, Body], ledger: Ledger
) -> dict[str, Draft]:
    """Every part whose kind is known; the others are noted as lost."""
    found = {}
    for name, each in form.parts.items():
        kind = find(each.kind)
        if kind is None:
            ledger.say(each.kind, f"{each.kind!r} is no kind of part", hint(each.kind, known_kinds()))
            ledger.damage.note("parts", name)
            continue
        _check_keys(name, each, kind, ledger)
        _check_spot(name, each, kind, places, metal, ledger)
        found[name] = _draft(name, each, kind, form, ledger)
    return found


# ----------------------------------------------------------------------------------------------- checks


def with_article(noun: str) -> str:
    """The noun with its article: "a fuse", "an alternator"."""
    return f"{'an' if noun[:1] in 'aeiou' else 'a'} {noun}"


def _check_keys(name: str, each: PartForm, kind: Kind, ledger: Ledger) -> None:
    """Refuse keys that mean nothing for this kind, and ask for those it cannot do without."""
    aliases = dict(zip(PartForm.model_fields, keys_of(PartForm), strict=True))
    for field in PartForm.model_fields:
        key = aliases[field]
        if field not in each.model_fields_set or key in kind.accepts:
            continue
        takes = listed(sorted(kind.accepts - {"is", "at"}), most=20)
        reason = f"{with_article(kind.name)} takes: {takes}"
        if key == "on":
            reason = "leave it out: its case carries no current"
        ledger.say(
            ledger.at_key("parts", name, key), f"{key!r} means nothing for {with_article(kind.name)}", reason
        )
    if each.power is not None and each.current is not None:
        ledger.say(
            ledger.at_key("parts", name, "current"),
            f"part {name!r} says both power and current",
            "leave one of them out",
        )
    gives = each.output or next((link.output_a for link in kind.links if link.output_a is not None), None)
    if each.idle_output is not None and gives is not None and each.idle_output > gives:
        ledger.say(
            ledger.at_value("parts", name, "idle output"),
            f"{name!r} would give more at idle, {each.idle_output:g} A, than its output of {gives:g} A",
            "check both figures; output is what it gives at working speed",
        )
    if kind.way is not None and each.ways is None and not ledger.stands("parts", name, "ways"):
        ledger.say(name, f"{kind.name} {name!r} does not say its ways", "write ways: 8, or {F1: 10 A, F2: }")
    if each.form is not None and each.form not in FORMS:
        ledger.say(each.form, f"{each.form!r} is no form of fuse", hint(each.form, FORMS))


def _near_place(place: str, places: Mapping[str, str]) -> str:
    near = nearest(place, places)
    if near is not None or not places:
        return f"did you mean {near!r}?" if near else "measure a run to it"
    return f"measure a run to it, or write one of the places: {listed(places)}"


def _check_spot(
    name: str,
    each: PartForm,
    kind: Kind,
    places: Mapping[str, str],
    metal: Mapping[str, Body],
    ledger: Ledger,
) -> None:
    if each.place not in places and not ledger.damage.lost("places", each.place):
        ledger.say(
            each.place,
            f"no run leads to a place {each.place!r}",
            _near_place(each.place, places),
        )
    if each.body is not None and each.body not in metal and not ledger.damage.lost("bodies", each.body):
        ledger.say(
            each.body, f"there is no body {each.body!r}", hint(each.body, metal, "add it to the bodies")
        )
    if kind.role == "ground" and each.body is None:
        ledger.damage.sections.add("bodies")
        ledger.say(
            name,
            f"ground point {name!r} does not say which metal it is on",
            f"write on: and the body, {listed(metal, 4) or 'for example frame'}",
        )


# -------------------------------------------------------------------------------------------- the part


def _draft(name: str, each: PartForm, kind: Kind, form: SurveyForm, ledger: Ledger) -> Draft:
    terminals, assumed = _terminals(name, each, kind, ledger)
    links, more = _links(name, each, kind, form, ledger)
    if kind.couple is not None:
        pins, couples, words = _coupler(each, kind.couple)
        terminals, links, more = {**terminals, **pins}, links + couples, more + words
    turn = _turner(kind, form.machine.chassis_post)
    own, filled = _own_figures(each, kind)
    part = Part(
        name=name,
        kind=kind.name,
        title=kind.title,
        role=kind.role,
        letter=kind.letter,
        symbol=kind.symbol,
        place=each.place,
        body=each.body if kind.role == "ground" else None,
        terminals=tuple(terminals.values()),
        links=tuple(_turned(link, turn) for link in links),
        inlet=turn.get(kind.inlet, kind.inlet),
        outlet=turn.get(kind.outlet, kind.outlet),
        rated_v=each.rated,
        capacity_ah=own.get("capacity"),
        cranking_a=each.cranking,
        output_a=own.get("output"),
        idle_output_a=own.get("idle output"),
        charge=own.get("charge"),
        way_a=(each.rating or kind.couple.rating_a) if kind.couple else None,
        needs_polarity=kind.polarised if each.polarised is None else each.polarised,
        suppressed=bool(each.suppressed) if kind.has_coil else None,
        bare_coil=kind.has_coil and each.suppressed is False,
        allowance=kind.allowance,
        assumed=(*more, *filled, *assumed),
        notes=each.notes or "",
        where=ledger.where(name),
        insulated=each.insulated,
        range_ohm=each.range,
        pin_a=each.rating or kind.pin_a if kind.pin_a is not None else None,
    )
    return Draft(part, kind, turn.get(kind.return_terminal, kind.return_terminal), each.body)


def _turner(kind: Kind, post: Post) -> dict[str, str]:
    """How terminals change places on a positive-ground machine: + and - of a part that has both."""
    both = {"+", "-"} <= {each.name for each in kind.terminals}
    return _SWAP if post == "positive" and both else {}


def _turned(link: Link, turn: Mapping[str, str]) -> Link:
    a, b = turn.get(link.a, link.a), turn.get(link.b, link.b)
    return replace(link, a=a, b=b, name=f"{a}/{b}")


def _own_figures(each: PartForm, kind: Kind) -> tuple[dict[str, float], list[str]]:
    """Capacity and charge of a battery, output of a generator: the survey's, else the usual ones, marked."""
    output = next((link.output_a for link in kind.links if link.output_a is not None), None)
    found: dict[str, float] = {}
    assumed = []
    for key, said, usual, unit in (
        ("capacity", each.capacity, kind.capacity_ah, "Ah"),
        ("output", each.output, output, "A"),
    ):
        if said is not None or usual is not None:
            found[key] = said if said is not None else usual or 0.0
        if said is None and usual is not None:
            assumed.append(f"{key} {usual:g} {unit} (typical {kind.title}: common practice)")
    if "charge" in kind.accepts:
        found["charge"] = CHARGE if each.charge is None else each.charge
        assumed += [f"charged to {CHARGE:.0%} at the start"] if each.charge is None else []
    if "idle output" in kind.accepts:
        row = table("source_figures").row("item", f"{kind.symbol} at idle")  # alternators of every sort alike
        share = float(row["value"])
        found["idle output"] = each.idle_output if each.idle_output is not None else share * found["output"]
        if each.idle_output is None:
            assumed.append(
                f"idle output {found['idle output']:.3g} A, {share:.0%} of its output ({row['certainty']})"
            )
    if kind.pin_a is not None and each.rating is None:
        assumed.append(f"pins rated {kind.pin_a:g} A ({kind.pin_source})")
    return found, assumed


# ------------------------------------------------------------------------------------------- terminals


def _terminals(
    name: str, each: PartForm, kind: Kind, ledger: Ledger
) -> tuple[dict[str, Terminal], list[str]]:
    """Every terminal by name, and in words which stud sizes are only the usual ones."""
    found = {each.name: each for each in kind.terminals}
    for way in _way_names(each, kind):
        if way in found:
            ledger.say(
                way, f"{way!r} names both a way and a terminal of {name!r}", "give the way another name"
            )
        elif kind.way_terminal is not None:
            found[way] = replace(kind.way_terminal, name=way)
    stated = {key for key, one in found.items() if each.stud is not None and one.fitting == "stud"}
    for key in stated:
        found[key] = replace(found[key], size=each.stud or "")
    for key, text in (each.terminals or {}).items():
        if (key not in found and not kind.pins) or key == CASE:
            ledger.say(key, f"{with_article(kind.name)} has no terminal {key!r}", hint(key, found))
            continue
        read = _fitting(key, text, ledger)
        if read is not None:
            found[key] = read
            stated.add(key)
    usual = [one for key, one in found.items() if one.fitting == "stud" and key not in stated]
    assumed = [_stud_words(one.name, one.size) for one in usual]
    return {key: Terminal(one.name, one.fitting, one.size) for key, one in found.items()}, assumed


def _stud_words(name: str, size: str) -> str:
    return f"stud {size} at {name} (usual)"


SCREW_CLAMP = "screw clamp"  # a screw that presses on the wire itself, as in a trailer socket


def _fitting(key: str, text: str, ledger: Ledger) -> KindTerminal | None:
    """Read "stud M8" or "blade 6.3", complaining of what cannot be fitted."""
    word, _, size = text.partition(" ")
    if text == SCREW_CLAMP:
        return terminal(key, SCREW_CLAMP)
    try:
        if word in ("stud", "screw"):
            return terminal(key, f"{word} {stud_size(size)}")
    except WrongQuantity as wrong:
        ledger.say(text, wrong.what, wrong.fix)
        return None
    if word not in FITTINGS:
        ledger.say(text, f"{word!r} is no way to fasten a wire", hint(word, FITTINGS))
        return None
    width = size.removesuffix("mm").strip().replace(",", ".")
    if word == "blade" and width not in BLADE_WIDTHS:
        ledger.say(
            text, f"{size!r} is not the width of a blade", f"write one of {', '.join(BLADE_WIDTHS)} (mm)"
        )
        return None
    return terminal(key, f"{word} {width}".strip())


def _coupler(each: PartForm, way: KindLink) -> tuple[dict[str, Terminal], list[Link], list[str]]:
    """Pins and ways of a coupler as the survey counts or names them; without, they follow from the wires."""
    names = [name.removeprefix("#") for name in each.ways or {}]
    links = [couple(name, way.resistance_ohm, each.rating or way.rating_a) for name in names]
    pins = {end: Terminal(end, "pin", "") for link in links for end in (link.a, link.b)}
    words = [] if each.rating is not None else [f"at most {way.rating_a:g} A a way ({way.source})"]
    words += [] if names else ["as many ways as wires need"]
    return pins, links, words


def couple(name: str, ohm: float, rating_a: float | None) -> Link:
    """One way of a coupler from half A to half B."""
    return Link(f"{name}A/{name}B", f"{name}A", f"{name}B", "bus", ohm, rating_a=rating_a)


# ------------------------------------------------------------------------------------------------ links


def _way_names(each: PartForm, kind: Kind) -> dict[str, float | None]:
    """Ways of a panel with the ratings the survey fixed; a mere count is spelled out."""
    return {
        (f"{kind.ways}{way[1:]}" if way.startswith("#") and not isinstance(way, Word) else way): rating
        for way, rating in (each.ways or {}).items()
    }


def _links(
    name: str, each: PartForm, kind: Kind, form: SurveyForm, ledger: Ledger
) -> tuple[list[Link], list[str]]:
    """Every inner link, and in words what of them was filled in from the kind."""
    links: list[Link] = []
    assumed: list[str] = []
    for one in kind.links:
        load = None
        if one.load is not None:
            load, words = load_of(
                one, kind=kind, form=each, name=name, system_v=form.machine.voltage_v, ledger=ledger
            )
            assumed += words
        links.append(_link(one, each, each.rating, load))
    assumed += _contact_words(each, kind)
    if kind.way is not None:
        for way, rating in _way_names(each, kind).items():
            links.append(_link(replace(kind.way, b=way), each, rating, None))
    if "resets" in kind.accepts and each.resets is None:
        assumed.append("resets by itself (the more dangerous of the two)")
    return links, assumed


def _link(one: KindLink, each: PartForm, rating_a: float | None, load: Load | None) -> Link:
    fuse = one.kind == "fuse"
    resets = each.resets or "automatic" if fuse and (each.form or one.form) == "breaker" else None
    return Link(
        name=f"{one.a}/{one.b}",
        a=one.a,
        b=one.b,
        kind=one.kind,
        resistance_ohm=each.resistance if one.kind == "contact" and each.resistance else one.resistance_ohm,
        load=load,
        rating_a=(rating_a or one.rating_a) if one.kind in ("contact", "fuse") else None,
        form=(each.form or one.form) if fuse else None,
        opens=resets,
    )


def _contact_words(each: PartForm, kind: Kind) -> list[str]:
    """What is assumed of the contacts; those alike are named together."""
    alike: dict[str, list[str]] = {}
    for one in kind.links:
        if one.kind == "contact" and each.resistance is None:
            rating = f", rated {one.rating_a:g} A" if one.rating_a is not None and each.rating is None else ""
            figures = f"{1000 * one.resistance_ohm:g} mohm{rating} ({one.source})"
            alike.setdefault(figures, []).append(f"{one.a}/{one.b}")
    return [f"contact {', '.join(names)} {figures}" for figures, names in alike.items()]


# --------------------------------------------------------------------------------------------- finishing


def finished(draft: Draft, wired: set[str]) -> Part:
    """The part once its wired terminals are known: where none leaves the return, the case takes its place."""
    gone = draft.return_terminal
    if draft.sits_on is None or not gone or gone in wired or draft.part.role == "ground":
        return draft.part
    links = tuple(_turned(link, {gone: CASE}) for link in draft.part.links)
    outlet = CASE if draft.part.outlet == gone else draft.part.outlet
    kept = tuple(each for each in draft.part.terminals if each.name != gone)
    words = {_stud_words(each.name, each.size) for each in draft.part.terminals if each.name == gone}
    assumed = tuple(each for each in draft.part.assumed if each not in words)
    return replace(
        draft.part, links=links, outlet=outlet, terminals=kept, body=draft.sits_on, assumed=assumed
    )
