"""Trials of the rules on what must not fail together or stay on, and of the volts behind a converter."""

from __future__ import annotations

from tests.rules.surveys import changed
from tests.rules.trial import RIGHT, Trial, with_part

HORN = "horn: {is: horn, at: nose, on: frame, current: 4 A}\n  horn button: {is: push button, at: dash}"
HORN_PATH = "  Horn:\n    works in: running\n    paths: [panel {way} > horn button > horn]\n"
CRANKING = "  Cranking:\n"
PLUGS = (
    "glow fuse: {is: main fuse, at: box}\n  glow relay: {is: heavy relay, at: box}\n"
    "  glow button: {is: push button, at: dash}\n"
    "  plug one: {is: glow plug, at: block, current: 12 A for 20 s}\n"
    "  plug two: {is: glow plug, at: block, current: 12 A for 20 s}"
)
PLUG_PATHS = (
    "  Plugs:\n    works in: cranking\n    paths:\n      - battery + > glow fuse > glow relay 30/87 > {way}\n"
    "      - panel F5 > glow button > glow relay 86/85 > frame\n"
)
SOLENOID = "current: 1 A, peak: 36 A for 0.5 s"
STRAPS = ("paths: [engine > frame]", "paths: [engine > frame, frame > battery -]")

CONVERTER = (
    "machine: {name: Test loader, voltage: 24 V, chassis post: negative, cable: GXL, sizes: AWG}\n"
    "zones: {box: {ambient: 40 °C}}\nbodies: {frame: {}}\n"
    "runs:\n  - {from: box, to: seat, length: 1.0 m, zone: box, covering: corrugated}\n"
    "parts:\n"
    "  battery: {is: battery, at: box, capacity: 100 Ah}\n"
    "  feed fuse: {is: fuse, at: box}\n"
    "  converter: {is: converter, at: seat, rated: 12 V, current: 4 A}\n"
    "  radio fuse: {is: fuse, at: seat}\n"
    "  radio: {is: radio, at: seat, rated: RATED}\n"
    "  box ground: {is: ground point, at: box, on: frame}\n"
    "  seat ground: {is: ground point, at: seat, on: frame}\n"
    "circuits:\n"
    "  Battery: {paths: [frame > battery -]}\n"
    "  Feed: {paths: [battery + > feed fuse > converter 24/- > frame]}\n"
    "  Radio: {drop: 0.36 V, paths: [converter + > radio fuse > radio > frame]}\n"
)

TRAILER = (
    "trailer socket: {is: trailer socket, at: nose}\n  trailer lamp: {is: tail lamp, at: nose, on: trailer}\n"
    "  drawbar: {is: ground point, at: nose, on: trailer}"
)
HITCHED = (("  frame: {}\n", "  frame: {}\n  trailer: {}\n"),)
PLUGGED = "  Trailer:\n    works in: night\n    paths:\n      - panel F5 > trailer socket 58L\n"
HOME = "      - trailer > trailer socket 31\n      - trailer socket 31 > frame\n"

SERVICES = [
    Trial(  # 24 V over 12 V
        "volts of a part not said",
        "fault",
        "radio",
        ("hangs on 12 V", "worked out for 24 V", "2 times as much"),
        CONVERTER.replace(", rated: RATED", ""),
        CONVERTER.replace("RATED", "12 V"),
    ),
    Trial(
        "trailer lamps not counted",
        "advice",
        "trailer socket",
        ("nothing hangs on 58L",),
        with_part(TRAILER, *HITCHED) + PLUGGED + HOME,
        with_part(TRAILER, *HITCHED) + PLUGGED + "      - trailer socket 58L > trailer lamp\n" + HOME,
    ),
    Trial(
        "safety function shares its fuse",
        "advice",
        "horn",
        ("panel F4", "right head lamp"),
        with_part(HORN, (CRANKING, HORN_PATH.format(way="F4") + CRANKING)),
        with_part(HORN, (CRANKING, HORN_PATH.format(way="F5") + CRANKING)),
    ),
    Trial(
        "fuses side by side",
        "fault",
        "panel",
        ("F4", "F5", "sum of their ratings"),
        changed((RIGHT, RIGHT + ", panel F5 > right head lamp")),
    ),
    Trial(
        "heater plugs in series",
        "fault",
        "plug one",
        ("plug two", "12 V"),
        with_part(PLUGS, (CRANKING, PLUG_PATHS.format(way="plug one > plug two > engine") + CRANKING)),
        with_part(PLUGS, (CRANKING, PLUG_PATHS.format(way="(plug one, plug two) > engine") + CRANKING)),
    ),
    Trial(
        "pull coil left energised",
        "fault",
        "stop solenoid",
        ("36 A",),
        changed((SOLENOID, "current: 36 A")),
    ),
    Trial(  # two wires over the frame go round the engine's own cable
        "thin way round a strap",
        "advice",
        "engine > frame",
        ("engine to battery -", "starter"),
        changed(STRAPS),
        changed(STRAPS) + "wires:\n  engine > frame: {size: 2/0 AWG}\n  frame > battery -: {size: 2/0 AWG}\n",
    ),
    Trial(  # 24 V on a radio behind a 12 V converter's output is no better than the other way about
        "part of another voltage",
        "fault",
        "radio",
        ("made for 24 V", "gets 12 V"),
        CONVERTER.replace("RATED", "24 V"),
        CONVERTER.replace("RATED", "12 V"),
    ),
]
