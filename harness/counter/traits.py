"""What a description states: size, stud, range, current and the rest, each read by its own small pattern."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import cache

from harness.counter.colours import colours_in
from harness.tables import load

Found = list[tuple[tuple[int, int], str]]
N = r"(\d+(?:\.\d+)?)"
INCH = r"((?:\d+-)?\d+/\d+|\d+)"
AWG = r"([1-4]/0|0000|000|00|0|\d{1,2})"
_AUGHTS = {"0": "1/0", "00": "2/0", "000": "3/0", "0000": "4/0"}
_BARE_RANGES = ("26-22", "22-18", "22-16", "20-16", "18-14", "16-14", "14-12", "12-10", "10-8")
# Series by hundredths of an inch, and width of the blade [mm] (IEC 60760, memory).
TABS = {
    "110": "2.8",
    "0.110": "2.8",
    ".110": "2.8",
    "187": "4.8",
    ".187": "4.8",
    "0.187": "4.8",
    "250": "6.3",
    ".250": "6.3",
    "0.250": "6.3",
    "1/4": "6.3",
    "375": "9.5",
    ".375": "9.5",
    "3/8": "9.5",
}


def num(text: str) -> str:
    """A number without noughts that say nothing.

    >>> num("1.50"), num("16")
    ('1.5', '16')
    """
    return f"{float(text):g}"


def _gauge(text: str) -> str:
    return f"{_AUGHTS.get(text, text)} AWG"


Maker = Callable[[re.Match[str]], str | None]


def _by(*pairs: tuple[str, Maker]) -> Callable[[str], Found]:
    """A reader of a trait by patterns; the first pattern that finds anything is the one."""
    made = [(re.compile(pattern), maker) for pattern, maker in pairs]

    def read(text: str) -> Found:
        found: Found = []
        for pattern, maker in made:
            hits = [
                (hit.span(), value) for hit in pattern.finditer(text) if (value := maker(hit)) is not None
            ]
            found += [hit for hit in hits if not any(a < hit[0][1] and hit[0][0] < b for (a, b), _ in found)]
        return found

    return read


def _words(**values: tuple[str, ...]) -> Callable[[str], Found]:
    """A reader of a trait by words; a hyphen in them stands for hyphen, blank or nothing."""
    every = [(phrase(word), value) for value, words in values.items() for word in words]

    def read(text: str) -> Found:
        found: Found = []
        for pattern, value in every:
            for hit in pattern.finditer(text):
                if not any(a < hit.end() and hit.start() < b for (a, b), _ in found):
                    found.append((hit.span(), value))
        return found

    return read


@cache
def phrase(words: str) -> re.Pattern[str]:
    """A pattern for words of a description, whole ones.

    >>> bool(phrase("push-on").search("fem pushon 6.3")), bool(phrase("tie").search("ties"))
    (True, True)
    """
    body = re.escape(words).replace(r"\-", r"[\s-]*").replace(r"\ ", r"\s+").replace(",", r",?")
    return re.compile(rf"(?<![\w.]){body}s?(?![\w])")


def _range(hit: re.Match[str]) -> str | None:
    first, last = _AUGHTS.get(hit[1], hit[1]), _AUGHTS.get(hit[2], hit[2])
    return f"{first}-{last} AWG"


def _bare_range(hit: re.Match[str]) -> str | None:
    return f"{hit[0]} AWG" if hit[0] in _BARE_RANGES else None


def _tab(hit: re.Match[str]) -> str | None:
    return TABS.get(hit[1], num(hit[1]) if re.fullmatch(r"\d+(\.\d+)?", hit[1]) else None)


@cache
def _heat() -> Mapping[str, str]:
    """Temperature -> cable class of ISO 6722."""
    return {
        num(row["temp_max_C"]): f"class {row['class']}" for row in load("cable_temperature_class_iso").rows
    }


def _cable(text: str) -> Found:
    found = [
        (hit.span(), hit[1].upper())
        for hit in re.finditer(r"(?<!\w)(gxl|txl|sxl|gpt|hdt|twp|sgx|sgt|stx|stt|sgr)(?!\w)", text)
    ]
    found += [
        (hit.span(), f"class {hit[1].upper()}")
        for hit in re.finditer(r"(?<!\w)(?:class|cl)\s*([a-h])(?!\w)", text)
    ]
    return found


_SIZE = _by(
    (rf"(?<![\w./-]){AWG}\s*(?:awg|ga|gauge)(?!\w)", lambda hit: _gauge(hit[1])),
    (rf"(?<!\w)(?:awg|ga)\s*{AWG}(?![\w.])", lambda hit: _gauge(hit[1])),
    (rf"(?<![\w./-]){N}\s*mm2", lambda hit: f"{num(hit[1])} mm2"),
    (r"(?<![\w./-])([1-4]/0)(?![\w/])", lambda hit: _gauge(hit[1])),
    (
        r"(?<=gxl |txl |sxl |gpt |hdt |twp |sgx |sgt |stx |stt |sgr )(\d{1,2})(?![\w./-])",
        lambda hit: _gauge(hit[1]),
    ),
    (
        r"(?<![\w./-])(\d{1,2})(?= (?:gxl|txl|sxl|gpt|hdt|twp|sgx|sgt|stx|stt|sgr)(?!\w))",
        lambda hit: _gauge(hit[1]),
    ),
)
_RANGE = _by(
    (rf"(?<![\w./-]){AWG}\s*-\s*{AWG}\s*(?:awg|ga|gauge)(?!\w)", _range),
    (rf"(?<!\w)awg\s*{AWG}\s*-\s*{AWG}(?![\w.])", _range),
    (rf"(?<![\w./-]){N}\s*-\s*{N}\s*mm2", lambda hit: f"{num(hit[1])}-{num(hit[2])} mm2"),
    (r"(?<![\w./-])\d\d-\d\d?(?![\w.-])", _bare_range),
    (rf"(?<![\w./-]){AWG}\s*(?:awg|ga)(?!\w)", lambda hit: _gauge(hit[1])),
    (rf"(?<![\w./-]){N}\s*mm2", lambda hit: f"{num(hit[1])} mm2"),
)
_STUD = _by(
    (r"(?<!\w)m(\d{1,2}(?:\.\d)?)(?![\w.])(?!\s*x)", lambda hit: f"M{num(hit[1])}"),
    (r"(?<!\w)(\d{1,2})\s*mm\s*stud", lambda hit: f"M{num(hit[1])}"),
    (r"(?:#|(?<!\w)no\.?\s*)(\d{1,2})(?!\w|-\d)", lambda hit: f"#{hit[1]}"),
    (r"(?<![\d.-])(\d/\d{1,2})\s*(?:in)?(?:\s*stud)?(?![\w/])", lambda hit: f"{hit[1]} in"),
)
_THREAD = _by(
    (r"(?<!\w)m(\d{1,2}(?:\.\d)?)(?![\w.])(?!\s*x)", lambda hit: f"M{num(hit[1])}"),
    (r"(?:#|(?<!\w)no\.?\s*)(\d{1,2}(?:-\d{2})?)(?!\w)", lambda hit: f"No. {hit[1]}"),
    (rf"(?<![\w.]){N}\s*mm(?!\w)", lambda hit: f"{num(hit[1])} mm"),
)
_LONG_THREAD = _by(
    (rf"(?<!\w)m(\d{{1,2}})\s*x\s*{N}(?:\s*mm)?(?![\w.])", lambda hit: f"M{hit[1]} x {num(hit[2])}"),
    (
        rf"(?:#|(?<!\w)no\.?\s*)(\d{{1,2}}-\d{{2}})\s*x\s*{INCH}\s*(?:in)?(?!\w)",
        lambda hit: f"No. {hit[1]} x {hit[2]} in",
    ),
)
_BORE = _by(
    (r"(?<!\w)nw\s*(\d+(?:\.\d)?)(?![\w.])", lambda hit: f"NW{num(hit[1])}"),
    (rf"(?<![\w./-]){INCH}\s*in(?!\w)", lambda hit: f"{hit[1]} in"),
    (r"(?<![\w./-])((?:\d-)?\d{1,2}/\d{1,2})(?![\w/])", lambda hit: f"{hit[1]} in"),
    (rf"(?<![\w./-]){N}\s*mm(?!\w)(?!\s*(?:inside|id|bolt|hole))", lambda hit: f"{num(hit[1])} mm"),
)
READERS: Mapping[str, Callable[[str], Found]] = {
    "cable": _cable,
    "size": _SIZE,
    "range": _RANGE,
    "stud": _STUD,
    "thread": _THREAD,
    "thread and length": _LONG_THREAD,
    "bolt thread": _by((r"(?<!\w)m(\d{1,2})(?![\w.])", lambda hit: f"M{hit[1]}")),
    "bolt length": _by((rf"(?<=\s)x\s*{N}(?:\s*mm)?(?![\w.])", lambda hit: f"{num(hit[1])} mm")),
    "hole": _by((rf"(?<![\w.]){N}\s*mm\s*hole", lambda hit: num(hit[1]))),
    "bolt hole": _by((rf"(?<![\w.]){N}\s*mm\s*(?:bolt\s*)?hole", lambda hit: num(hit[1]))),
    "blade": _by(
        (rf"(?<![\w.]){N}\s*x\s*0\.[58](?:\s*mm)?(?!\w)", _tab),
        (rf"(?<![\w.]){N}\s*mm(?:\s*(?:blade|tab))?(?!\w)", _tab),
        (
            r"(?<![\w.])(0?\.(?:110|187|250|375)|110|187|250|375)(?:\s*(?:in|series))?(?:\s*(?:blade|tab))?(?![\w.])",
            _tab,
        ),
        (r"(?<![\w/])(1/4|3/8)\s*(?:in)?\s*(?:blade|tab)?(?![\w/])", _tab),
    ),
    "current": _by((rf"(?<![\w.-]){N}\s*(?:a|amps?|amperes?)(?!\w)", lambda hit: f"{num(hit[1])} A")),
    "voltage": _by((rf"(?<![\w.-]){N}\s*(?:v|volts?|vdc)(?!\w)", lambda hit: f"{num(hit[1])} V")),
    "ways": _by((r"(?<![\w.])(\d{1,3})\s*-?\s*ways?(?!\w)", lambda hit: hit[1])),
    "blades": _by((r"(?<![\w.])(\d)\s*-?\s*(?:blades?|pins?|poles?)(?!\w)", lambda hit: hit[1])),
    "centres": _by((rf"(?<![\w.]){N}\s*mm(?:\s*centres?)?(?!\w)", lambda hit: f"{num(hit[1])} mm")),
    "ratio": _by((r"(?<![\w.])([2-6])\s*:\s*1(?!\w)", lambda hit: f"{hit[1]}:1")),
    "shrinks from to": _by(
        (rf"(?<![\w.:]){N}\s*(?:mm)?\s*[/-]\s*{N}\s*mm", lambda hit: f"{num(hit[1])}/{num(hit[2])} mm"),
        (rf"(?<![\w.:]){N}\s*/\s*{N}(?![\w.:])", lambda hit: f"{num(hit[1])}/{num(hit[2])} mm"),
    ),
    "dimensions": _by(
        (
            rf"(?<![\w.]){N}\s*(?:mm)?\s*x\s*{N}\s*(?:mm)?(?:\s*\({N} in\))?(?![\w.])",
            lambda hit: f"{num(hit[1])} x {num(hit[2])} mm",
        )
    ),
    "bore": _BORE,
    "inside": _by(
        (rf"(?<![\w.]){N}\s*mm\s*(?:inside|id|bore)(?!\w)", lambda hit: num(hit[1])),
        (rf"(?<!\w)(?:id|inside|bore)\s*{N}\s*(?:mm)?(?![\w.])", lambda hit: num(hit[1])),
    ),
    "cut-out": _by(
        (rf"(?<![\w.]){N}\s*mm\s*hole", lambda hit: num(hit[1])),
        (rf"(?<!\w)(?:hole|panel hole|cut-out)\s*{N}\s*(?:mm)?(?![\w.])", lambda hit: num(hit[1])),
    ),
    "plate": _by(
        (rf"(?:groove for )?(?<![\w.]){N}\s*mm\s*(?:plate|panel|groove)", lambda hit: num(hit[1])),
        (rf"(?<!\w)(?:plate|panel|groove)\s*{N}\s*(?:mm)?(?![\w.])", lambda hit: num(hit[1])),
    ),
    "outside": _by(
        (
            rf"(?:(?:for|fits)\s*)?(?<![\w.]){N}\s*-\s*{N}\s*mm(?!\w)(?:\s*(?:outside|od))?",
            lambda hit: f"{num(hit[1])}-{num(hit[2])}",
        ),
        (rf"(?<![\w.]){N}\s*mm\s*(?:outside|od)?(?!\w)", lambda hit: num(hit[1])),
    ),
    "heat": _by(
        (r"(?<![\w.])(\d{2,3})\s*(?:°\s*)?c(?!\w)", lambda hit: _heat().get(num(hit[1]), f"{hit[1]} °C"))
    ),
    "contact size": _by((r"(?<!\w)(?:size|sz|#)\s*(\d{1,2})(?!\w)", lambda hit: hit[1])),
    "contact counts": _by(
        (r"(?<!\w)(\d+)\s*(?:of|x)\s*(?:size|sz|#)\s*(\d+)", lambda hit: f"{hit[1]} of size {hit[2]}")
    ),
    "filling": _by((rf"(?<![\w.]){N}\s*(g|ml|kg|l)(?!\w)", lambda hit: f"{num(hit[1])} {hit[2]}")),
    "colour": lambda text: colours_in(text, letters=False),
    "insulation": _words(
        sleeved=(
            "with its own adhesive-lined sleeve",
            "adhesive-lined sleeve",
            "adh-lined sleeve",
            "heat-shrink ins",
            "heat-shrink insulated",
            "heat-shrink",
            "heatshrink",
            "adhesive-lined",
            "hs ins",
        ),
        bare=("bare", "non-insulated", "non-ins", "uninsulated", "unins", "un-insulated", "not insulated"),
        insulated=("insulated", "insul", "ins", "vinyl", "pvc", "nylon ins", "pre-insulated", "nylon"),
    ),
    "lining": _words(
        adhesive=("adhesive-lined", "adhesive", "adh", "glue-lined", "dual-wall", "adh-lined"),
        thin=("thin-wall", "single-wall", "unlined", "no adhesive"),
    ),
    "strands": _words(fine=("fine-stranded", "fine-strand", "fine", "flex", "flexible", "extra-flexible")),
    "weather": _words(
        yes=(
            "black weather-resistant nylon",
            "weather-resistant",
            "uv-resistant",
            "uv-stabilised",
            "uv black",
            "black uv",
            "uv",
        ),
        no=("natural", "indoor"),
    ),
    "post": _words(
        negative=("negative post", "negative", "neg"), positive=("positive post", "positive", "pos")
    ),
    "material": _words(
        any=("polyethylene or nylon",), polyethylene=("polyethylene", "pe"), nylon=("nylon", "pa", "pa6")
    ),
    "contacts": _words(
        changeover=("changeover", "change-over", "spdt"), make=("make", "normally open", "spst")
    ),
    "form": _words(
        small=("mini",), large=("maxi",), low=("micro", "low-profile"), usual=("standard", "regular")
    ),
}
