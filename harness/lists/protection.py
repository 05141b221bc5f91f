"""The hardware that switches and guards the loom: fuses with spares, their holders, relays and bus studs."""

from __future__ import annotations

from collections import Counter

from harness.lists.tally import by_key, told, with_spares
from harness.model.design import Design, Fuse, Material, PartResult
from harness.model.spares import Extra, SpareRules

LEAST_SPARES_IN_A_BOX = 2
SPARE_FUSES = "one spare of each rating in a box, at least 2 a box: common practice (memory), assumed"
COUNTED = "counted in the survey"
IN_LINE = ""  # all single holders of a machine share one set of spares

LINK_CABLE = "fusible link cable, with a tag at each end"
LINKS = "made of link cable, never of plain wire: common practice (memory)"

FuseKey = tuple[str, float, str]  # form, rating, colour


def is_breaker(form: str) -> bool:
    """Tell whether a form of fuse can be closed again, so that no spare of it is carried."""
    return "breaker" in form.lower()


def is_link(form: str) -> bool:
    """Tell whether a form of fuse is a length of cable, so that it has no holder."""
    return "link" in form.lower()


def _key(fuse: Fuse) -> FuseKey:
    return fuse.form, fuse.rating_a, fuse.colour


def _spares(design: Design, extra: Extra) -> Counter[FuseKey]:
    """Return spare fuses by form, rating and colour, box by box.

    A box that holds a single rating gets two of it, unless the survey says how many it wants.
    """
    ways = Counter(fuse.part for fuse in design.fuses)
    boxes: dict[str, Counter[FuseKey]] = {}
    for fuse in design.fuses:
        if not is_breaker(fuse.form) and not fuse.size:
            box = fuse.part if ways[fuse.part] > 1 else IN_LINE
            boxes.setdefault(box, Counter())[_key(fuse)] += 1
    spares: Counter[FuseKey] = Counter()
    for ratings in boxes.values():
        for key, count in ratings.items():
            spares[key] += with_spares(count, extra) - count
        if extra.assumed and len(ratings) < LEAST_SPARES_IN_A_BOX:
            spares.update(ratings.keys())
    return spares


def _links(design: Design, extra: Extra) -> list[Material]:
    """Return fusible links by size, each with the length it is cut to, and spares of each."""
    made = by_key(((fuse.size, fuse.length_m or 0.0), fuse.name) for fuse in design.fuses if fuse.size)
    return [
        Material(
            group="fuses", item=f"{LINK_CABLE}, {length_m * 1000:.0f} mm", size=size, colour="",
            quantity=len(names), with_waste=with_spares(len(names), extra), unit="each", longest_m=length_m,
            used_on=names, source=told(LINKS, extra),
        )
        for (size, length_m), names in made.items()
    ]  # fmt: skip


def fuses(design: Design, spares: SpareRules) -> list[Material]:
    """Return fuses, links and breakers by form, rating and colour, with spares of what burns out."""
    extra = spares.fuses
    found = _spares(design, extra)
    source = SPARE_FUSES if extra.assumed else told("for each rating in a box", extra)
    used = by_key((_key(fuse), fuse.name) for fuse in design.fuses if not fuse.size)
    return _links(design, extra) + [
        Material(
            group="fuses",
            item=form if is_breaker(form) else f"fuse, {form}",
            size=f"{rating_a:g} A",
            colour=colour,
            quantity=len(names),
            with_waste=len(names) + found[form, rating_a, colour],
            unit="each",
            longest_m=None,
            used_on=names,
            source=COUNTED if is_breaker(form) else source,
        )
        for (form, rating_a, colour), names in used.items()
    ]


def relays(design: Design, spares: SpareRules) -> list[Material]:
    """Return relays by kind and coil voltage: one for 12 V does not serve on 24 V."""
    voltage = f"{design.machine.voltage_v:g} V"
    used = by_key((part.title, part.name) for part in design.parts if part.role == "relay")
    return [
        Material(
            "relays", title, voltage, "", len(names), with_spares(len(names), spares.relays), "each", None,
            names, told(COUNTED, spares.relays),
        )
        for title, names in used.items()
    ]  # fmt: skip


def _ways(part: PartResult) -> int:
    return sum(link.kind == "fuse" for link in part.links)


def _holder(part: PartResult, form: str) -> tuple[str, str] | None:
    """Return item and size of what holds a part's fuses, None when they hold themselves."""
    if part.role == "stud":
        return part.title, next((use.size for use in part.terminals if use.size), "")
    if part.role != "fuse" or is_breaker(form) or is_link(form):
        return None
    if _ways(part) > 1:
        return part.title, f"{_ways(part)} ways"
    return f"holder for one fuse, {form}" if form else "fuse holder", ""


def holders(design: Design, _: SpareRules) -> list[Material]:
    """Return fuse panels, holders of single fuses and bus studs."""
    forms = {fuse.part: fuse.form for fuse in design.fuses}
    held = ((_holder(part, forms.get(part.name, "")), part.name) for part in design.parts)
    used = by_key((holder, name) for holder, name in held if holder is not None)
    return [
        Material("holders", item, size, "", len(names), len(names), "each", None, names, COUNTED)
        for (item, size), names in used.items()
    ]
