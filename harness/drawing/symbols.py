"""Our own drawings of the parts, after the manner of IEC 60617: each 8 mm wide, with leads at its sides.

A symbol is drawn round (0, 0); its left lead ends at x = -4, its right lead at x = +4, both at y = 0.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from harness.drawing.svg import INK, PAPER, Canvas

HALF_MM = 4.0  # from the middle to the end of a lead

Draw = Callable[[Canvas], None]
THIN = 0.25


def _leads(c: Canvas, inner: float) -> None:
    c.line([(-HALF_MM, 0), (-inner, 0)])
    c.line([(inner, 0), (HALF_MM, 0)])


def _letter(c: Canvas, letter: str, *, size: float = 2.8, y: float = 0.0) -> None:
    c.text(0, y + size * 0.36, letter, size, anchor="middle")


def plain(c: Canvas) -> None:
    """Draw a straight way through."""
    c.line([(-HALF_MM, 0), (HALF_MM, 0)])


def fuse(c: Canvas) -> None:
    """Draw a fuse: a narrow box with the line going through."""
    c.rect(-3, -1.1, 6, 2.2)
    plain(c)


def fusible_link(c: Canvas) -> None:
    """Draw a fusible link: a fuse between two posts."""
    fuse(c)
    for x in (-3.0, 3.0):
        c.circle(x, 0, 0.55, fill=INK)


def _contact_arm(c: Canvas) -> None:
    c.line([(-HALF_MM, 0), (-2.2, 0), (2.0, -2.0)])
    c.line([(2.2, 0), (HALF_MM, 0)])


def contact(c: Canvas) -> None:
    """Draw a contact that closes."""
    _contact_arm(c)


def contact_at_rest(c: Canvas) -> None:
    """Draw a contact that is closed at rest and opens."""
    c.line([(-HALF_MM, 0), (-2.2, 0), (2.6, 1.5)])
    c.line([(2.2, 2.0), (2.2, 0), (HALF_MM, 0)])


def _drive(c: Canvas) -> None:
    """Dashed line from the moving arm up to what moves it."""
    c.line([(0, -1.0), (0, -2.4)], wide=THIN, dash=(0.5, 0.4))


def push_button(c: Canvas) -> None:
    """Draw a contact that closes while pushed."""
    _contact_arm(c)
    _drive(c)
    c.line([(-0.9, -1.9), (-0.9, -2.5), (0.9, -2.5), (0.9, -1.9)])


def _sensing(letter: str) -> Draw:
    def draw(c: Canvas) -> None:
        _contact_arm(c)
        _drive(c)
        c.rect(-1.1, -4.3, 2.2, 2.1, wide=THIN)
        c.text(0, -2.58, letter, 1.9, anchor="middle")

    return draw


def key_switch(c: Canvas) -> None:
    """Draw a contact turned by a key."""
    _contact_arm(c)
    _drive(c)
    c.circle(0, -2.8, 0.55)
    c.line([(0.55, -2.8), (1.8, -2.8), (1.8, -2.3)])


def isolator(c: Canvas) -> None:
    """Draw an isolating switch: a contact with a bar at its fixed end."""
    _contact_arm(c)
    c.line([(2.2, -0.9), (2.2, 0.9)])


def breaker(c: Canvas) -> None:
    """Draw a circuit breaker: a contact with a cross at its fixed end."""
    _contact_arm(c)
    c.line([(1.7, -0.5), (2.7, 0.5)])
    c.line([(1.7, 0.5), (2.7, -0.5)])


def lamp(c: Canvas) -> None:
    """Draw a lamp: a circle with a cross."""
    c.circle(0, 0, 2.3)
    reach = 2.3 * 0.7071
    c.line([(-reach, -reach), (reach, reach)])
    c.line([(-reach, reach), (reach, -reach)])
    _leads(c, 2.3)


def _round(letter: str) -> Draw:
    def draw(c: Canvas) -> None:
        c.circle(0, 0, 2.4)
        _letter(c, letter)
        _leads(c, 2.4)

    return draw


def starter(c: Canvas) -> None:
    """Draw a motor behind the main contact of its own solenoid, open at rest."""
    c.line([(-HALF_MM, 0), (-2.8, 0), (-0.9, -1.3)])
    c.line([(-1.0, 0), (-0.2, 0)])
    c.circle(1.6, 0, 1.9)
    c.text(1.6, 0.85, "M", 2.3, anchor="middle")
    c.line([(3.5, 0), (HALF_MM, 0)])


def _rectified(c: Canvas) -> None:
    """A generator with its rectifier, without leads: G over a line and a broken one, direct current."""
    c.circle(0, 0, 2.5)
    _letter(c, "G", size=2.2, y=-0.7)
    c.line([(-1.2, 1.2), (1.2, 1.2)], wide=THIN)
    c.line([(-1.2, 1.7), (1.2, 1.7)], wide=THIN, dash=(0.5, 0.35))


def alternator(c: Canvas) -> None:
    """Draw an alternator with its rectifier."""
    _rectified(c)
    _leads(c, 2.5)


def battery(c: Canvas) -> None:
    """Draw two cells; the long thin plates look to the right, where + is."""
    for x in (-1.6, 0.6):
        c.line([(x, -1.2), (x, 1.2)], wide=0.9)
        c.line([(x + 1.0, -2.4), (x + 1.0, 2.4)])
    c.line([(-HALF_MM, 0), (-1.6, 0)])
    c.line([(-0.6, 0), (0.6, 0)], dash=(0.4, 0.4))
    c.line([(1.6, 0), (HALF_MM, 0)])


def battery_turned(c: Canvas) -> None:
    """Draw two cells with + on the left."""
    for x in (-0.6, 1.6):
        c.line([(x, -1.2), (x, 1.2)], wide=0.9)
        c.line([(x - 1.0, -2.4), (x - 1.0, 2.4)])
    c.line([(-HALF_MM, 0), (-1.6, 0)])
    c.line([(-0.6, 0), (0.6, 0)], dash=(0.4, 0.4))
    c.line([(1.6, 0), (HALF_MM, 0)])


def coil(c: Canvas) -> None:
    """Draw the coil of a relay or solenoid."""
    c.rect(-1.7, -2.2, 3.4, 4.4)
    _leads(c, 1.7)


def valve(c: Canvas) -> None:
    """Draw the coil of a valve: a coil with the sign of a valve in it."""
    coil(c)
    c.shape([(-1.1, -0.7), (1.1, 0.7), (1.1, -0.7), (-1.1, 0.7)], wide=THIN)


def heater(c: Canvas) -> None:
    """Draw a heating element: a box with cross bars."""
    c.rect(-3, -1.2, 6, 2.4)
    for x in (-1.8, -0.6, 0.6, 1.8):
        c.line([(x, -1.2), (x, 1.2)], wide=THIN)
    _leads(c, 3)


def resistor(c: Canvas) -> None:
    """Draw a resistor: a box."""
    c.rect(-3, -1.1, 6, 2.2)
    _leads(c, 3)


def sender(c: Canvas) -> None:
    """Draw a sender: a resistor that something moves."""
    resistor(c)
    c.line([(-2.2, 2.3), (1.9, -1.9)])
    c.shape([(2.4, -2.4), (1.2, -2.0), (2.0, -1.2)], fill=INK, wide=0.1)


def gauge(c: Canvas) -> None:
    """Draw an instrument: a circle with a needle."""
    c.circle(0, 0, 2.4)
    c.line([(-1.0, 1.2), (0.9, -0.9)])
    c.shape([(1.5, -1.5), (0.3, -1.0), (1.0, -0.3)], fill=INK, wide=0.1)
    _leads(c, 2.4)


def horn(c: Canvas) -> None:
    """Draw a horn."""
    c.shape([(-1.2, -0.8), (0.6, -0.8), (1.9, -2.3), (1.9, 2.3), (0.6, 0.8), (-1.2, 0.8)])
    c.line([(-HALF_MM, 0), (-1.2, 0)])
    c.line([(1.9, 0), (HALF_MM, 0)])


def buzzer(c: Canvas) -> None:
    """Draw a buzzer or alarm: half a disc."""
    c.arc((-2.2, 0.9), (2.2, 0.9), 2.2, fill=PAPER)
    c.line([(-2.2, 0.9), (2.2, 0.9)])
    c.line([(-HALF_MM, 0), (-1.99, 0)])
    c.line([(1.99, 0), (HALF_MM, 0)])


def diode(c: Canvas) -> None:
    """Draw a diode that lets current pass to the right."""
    c.shape([(-1.5, -1.6), (1.4, 0), (-1.5, 1.6)])
    c.line([(1.4, -1.6), (1.4, 1.6)])
    plain(c)


def diode_turned(c: Canvas) -> None:
    """Draw a diode that lets current pass to the left."""
    c.shape([(1.5, -1.6), (-1.4, 0), (1.5, 1.6)])
    c.line([(-1.4, -1.6), (-1.4, 1.6)])
    plain(c)


def socket(c: Canvas) -> None:
    """Draw an outlet: a half shell round a pin."""
    c.arc((1.2, -2.1), (1.2, 2.1), 2.1, clockwise=False)
    c.line([(-HALF_MM, 0), (-0.9, 0)])
    c.circle(0.7, 0, 0.6, fill=INK)
    c.line([(0.7, 0), (HALF_MM, 0)])


def coupler(c: Canvas) -> None:
    """Draw one way of a coupler: a pin in its shell."""
    c.line([(-HALF_MM, 0), (-1.2, 0)])
    c.rect(-1.2, -0.45, 1.9, 0.9, fill=INK, round_mm=0.3)
    c.arc((1.3, -1.5), (1.3, 1.5), 1.5, clockwise=False, wide=0.5)
    c.line([(-0.2, 0), (HALF_MM, 0)])


def module(c: Canvas) -> None:
    """Draw electronics: a box with a step in it."""
    c.rect(-2.6, -2.2, 5.2, 4.4)
    c.line([(-1.6, 0.9), (-0.6, 0.9), (-0.6, -0.9), (0.6, -0.9), (0.6, 0.9), (1.6, 0.9)], wide=THIN)
    _leads(c, 2.6)


def ignition_coil(c: Canvas) -> None:
    """Draw a winding: four half circles in a row."""
    for x in (-2.4, -1.2, 0.0, 1.2):
        c.arc((x, 0), (x + 1.2, 0), 0.6)
    c.line([(-2.4, -1.3), (2.4, -1.3)])
    _leads(c, 2.4)


def ground(c: Canvas) -> None:
    """Draw a ground: a lead from the left that ends on three bars; 4 mm to the right of (0, 0)."""
    c.line([(0, 0), (1.8, 0)])
    for x, half in ((1.8, 2.2), (2.7, 1.4), (3.6, 0.6)):
        c.line([(x, -half), (x, half)], wide=0.45)


SYMBOLS: Mapping[str, Draw] = {
    "plain": plain, "fuse": fuse, "fusible link": fusible_link, "contact": contact,
    "contact at rest": contact_at_rest, "push button": push_button, "pressure switch": _sensing("p"),
    "temperature switch": _sensing("θ"), "level switch": _sensing("L"), "key switch": key_switch,
    "isolator": isolator, "breaker": breaker, "lamp": lamp, "motor": _round("M"), "starter": starter,
    "dynamo": _round("G"),
    "alternator": alternator, "battery": battery, "battery turned": battery_turned, "coil": coil,
    "valve": valve,
    "heater": heater, "resistor": resistor, "sender": sender, "gauge": gauge, "horn": horn, "buzzer": buzzer,
    "diode": diode, "diode turned": diode_turned, "socket": socket, "module": module,
    "ignition coil": ignition_coil, "coupler": coupler,
}  # fmt: skip


def _alternator_upright(c: Canvas) -> None:
    """Draw an alternator between leads from above and below."""
    _rectified(c)
    for way in (-1, 1):
        c.line([(0, way * 2.5), (0, way * HALF_MM)])


UPRIGHT: Mapping[str, Draw] = {"alternator": _alternator_upright}  # with leads from above and below

MEANINGS: Mapping[str, str] = {
    "fuse": "fuse", "fusible link": "fusible link", "contact": "contact, drawn open",
    "contact at rest": "contact, closed at rest", "push button": "push button",
    "pressure switch": "pressure switch",
    "temperature switch": "temperature switch", "level switch": "level switch", "key switch": "key switch",
    "isolator": "isolating switch", "breaker": "circuit breaker", "lamp": "lamp", "motor": "motor",
    "starter": "starter, its contact open",
    "dynamo": "generator", "alternator": "alternator", "battery": "battery", "battery turned": "battery",
    "coil": "coil", "valve": "valve coil", "heater": "heater", "resistor": "resistor", "sender": "sender",
    "gauge": "instrument", "horn": "horn", "buzzer": "alarm", "diode": "diode", "diode turned": "diode",
    "socket": "outlet",
    "module": "electronics", "ignition coil": "ignition coil", "coupler": "way of a coupler",
}  # fmt: skip

_LOADS = frozenset(
    ("lamp", "motor", "heater", "horn", "buzzer", "coil", "valve", "gauge", "module", "socket", "sender",
     "ignition coil", "resistor")
)  # fmt: skip
_CONTACTS = frozenset(
    ("push button", "pressure switch", "temperature switch", "level switch", "key switch", "isolator",
    "diode",
     "resistor", "breaker", "gauge", "module")
)  # fmt: skip
_TURNING = ("alternator", "dynamo")


def _load(part: str, terminal: str) -> str:
    if part == "starter":
        return "coil" if terminal.startswith("50") else "motor"
    if part == "warning lamp":
        return "lamp"
    if part in ("relay", "changeover relay", "flasher", *_TURNING):
        return "coil"
    return part if part in _LOADS else "module"


def symbol_name(*, part: str, link: str, terminal: str, other: str) -> str:
    """Name the symbol of one way through a part, by the part's symbol, the link's kind and its terminals."""
    if link == "fuse":
        return part if part in ("fusible link", "breaker") else "fuse"
    if link == "contact":
        if part == "changeover relay" and other.endswith("a"):
            return "contact at rest"
        return part if part in _CONTACTS else "contact"
    if link == "load":
        return _load(part, terminal)
    if link == "source":
        return part if part in ("battery", *_TURNING) else "dynamo"
    return "coil" if part in _TURNING else "plain"
