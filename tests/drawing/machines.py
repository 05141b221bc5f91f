"""Machines of any shape for property tests: any loom, any parts, any paths through them, any names."""

from __future__ import annotations

from hypothesis import strategies as st

from .factories import KINDS, Builder

# what a survey may hold and a drawing must survive: markup, quotes, escapes of DOT, other scripts, pictures
HOSTILE = (
    "<b>&amp;", 'say "12 V"', "it's", r"back\N slash\l \G", "<TABLE><TR>", "]]>", "a=b;c",
    "🚜 lamp", "مضخة الماء", "פנס", "ポンプ", "Ünïcödé", "{x|y}", "%s %n",
    "--", "-->", "\\", "${HOME}", "'; DROP", "é" * 3, "n0", "node",
    "W" * 60, "a name with a good many words in it that has to be broken into lines",
)  # fmt: skip
NAMES = st.one_of(
    st.sampled_from(HOSTILE),
    st.text(
        st.characters(
            exclude_categories=("Cc", "Cs", "Cf", "Zl", "Zp", "Co", "Cn"), exclude_characters=">(),/*"
        ),
        min_size=1,
        max_size=24,
    ).map(lambda text: " ".join(text.split())),
).filter(bool)


def _ways(kind: str) -> list[tuple[str, str]]:
    ways = []
    for each in KINDS[kind][2].split():
        a, _, b = each.partition(":")[0].partition("~")
        ways.append((a, b))
    return ways or [("stud", "stud")]


@st.composite
def builders(draw: st.DrawFn, names: st.SearchStrategy[str] = NAMES, most_parts: int = 14) -> Builder:
    """Draw a machine: a tree of places with perhaps one run more, parts there, circuits of chains."""
    b = Builder(draw(names))
    places = draw(st.lists(names, min_size=1, max_size=7, unique=True))
    for index in range(1, len(places)):
        above = places[draw(st.integers(0, index - 1))]
        b.run(
            above,
            places[index],
            draw(st.floats(0.05, 30)),
            hole_mm=draw(st.sampled_from((None, 32.0))),
            grommet=draw(st.sampled_from(("", "rubber grommet"))),
            moves=draw(st.booleans()),
            covering=draw(st.sampled_from(("", "corrugated tube 10 mm", "braid", "tape", "hose"))),
            bundle_mm=draw(st.floats(1, 60)),
        )
    if len(places) > 2 and draw(st.booleans()):
        b.run(places[0], places[-1], 2.0)
    place = st.sampled_from(places)
    parts = [
        f"{name} {index}" for index, name in enumerate(draw(st.lists(names, min_size=2, max_size=most_parts)))
    ]
    kinds = {part: draw(st.sampled_from(sorted(KINDS))) for part in parts}
    for part in parts:
        b.part(part, kinds[part], draw(place), draw(st.sampled_from((None, "frame", "engine"))))
    for index in range(draw(st.integers(0, 3))):
        b.splice(f"S{index + 1}", draw(place))
    b.assumed |= set(draw(st.lists(st.sampled_from(parts), max_size=3)))
    b.kept |= set(draw(st.lists(st.sampled_from([str(number) for number in range(1, 12)]), max_size=3)))
    steps = [f"*{splice}" for splice in b.splices]
    for part in parts:
        for a, c in _ways(kinds[part]):
            steps.append(f"{part} {a}/{c}" if c != "case" else f"{part} {a}")
            steps.append(f"{part} {a}")
    for index in range(draw(st.integers(1, 4))):
        chains = draw(
            st.lists(
                st.lists(st.sampled_from(steps), min_size=2, max_size=6, unique=True), min_size=1, max_size=4
            )
        )
        b.circuit(f"{draw(names)} {index}", *(" > ".join(chain) for chain in chains))
    return b
