"""Feeds readers with things that are whole but for a few places: workbooks, designs, records, kits, surveys.

    python -m tests.fuzz.shaped TARGET COUNT [SEED]

Random bytes rarely get past the door of a reader of packages or trees; here its inputs are taken apart,
changed in one to four places, and put together again. What breaks a reader is left in ``tests/fuzz/found/``
like what ``tests.fuzz.run`` finds, each error once, and the run goes on.
"""

from __future__ import annotations

import gc
import json
import random
import sys
import time
import traceback
import warnings
from collections.abc import Callable, Mapping
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any

from tests.fuzz import typed
from tests.fuzz.changing import changed_package, changed_tree, unpacked
from tests.fuzz.targets import CABLE_PRICES, FEW_PRICES, RECORD, ROOT, SMALL, TARGETS

FOUND = Path(__file__).parent / "found"
SLOWEST_S = 20  # of processor time; an input that takes longer is a finding
Maker = Callable[[random.Random], bytes]


@cache
def _books() -> tuple[dict[str, bytes], ...]:
    """The parts of workbooks of surveys: small ones, and one of them with formats."""
    import io

    import openpyxl

    from harness.survey import workbook_of

    plain = workbook_of(SMALL)
    book = openpyxl.load_workbook(io.BytesIO(plain))
    for sheet in book.worksheets:
        for at, row in enumerate(sheet.iter_rows(min_row=2, max_row=4)):
            for cell in row[:2]:
                cell.number_format = ("General", "yyyy-mm-dd", '0.0" m"', "0 %")[at % 4]
    kept = io.BytesIO()
    book.save(kept)
    kits = workbook_of((ROOT / "samples" / "pump.yaml").read_text(encoding="utf-8"))
    return unpacked(plain), unpacked(kept.getvalue()), unpacked(kits)


def _sheet_of(text: str, title: str = "Sheet") -> dict[str, bytes]:
    import io

    import openpyxl

    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = title
    for row in text.splitlines():
        sheet.append([float(cell) if cell.replace(".", "", 1).isdigit() else cell for cell in row.split(",")])
    kept = io.BytesIO()
    book.save(kept)
    return unpacked(kept.getvalue())


@cache
def _lists() -> tuple[dict[str, bytes], ...]:
    return _sheet_of(FEW_PRICES), _sheet_of(CABLE_PRICES)


@cache
def _readings() -> dict[str, bytes]:
    return _sheet_of("Test,Key,Reading\nx,load:left lamp +/-:lost,0.2 V\ny,battery:volts,12.6\n", "Tests")


@cache
def _design() -> Any:
    from harness.book.data import design_json
    from harness.pipeline import design
    from harness.survey import read

    return json.loads(design_json(design(read("small.yaml", text=typed.MACHINE))))


@cache
def _trees() -> tuple[Any, ...]:
    from harness.record.trees import tree_of_text

    texts = [path.read_text(encoding="utf-8") for path in sorted((ROOT / "samples").glob("*.yaml"))]
    return tuple(tree_of_text(text, "sample.yaml") for text in [SMALL, typed.MACHINE, *texts])


def _yaml(tree: Any) -> bytes:
    """A tree as YAML on one line; JSON is YAML."""
    return json.dumps(tree, ensure_ascii=False).encode("utf-8", "replace")


def _survey(chance: random.Random) -> bytes:
    few = chance.random() < 0.9
    return _yaml(changed_tree(chance.choice(_trees()[:2] if few else _trees()[2:]), chance))


def _kits(chance: random.Random) -> bytes:
    from harness.record.trees import tree_of_text

    first, _, second = chance.choice(typed.kit_seeds()).partition(b"\n---\n")
    made = [tree_of_text(one.decode(), "kit.yaml") for one in (first, second)]
    return b"\n---\n".join(_yaml(changed_tree(one, chance, chance.randint(1, 2))) for one in made)


def _of_yaml(file: str) -> Maker:
    @cache
    def tree() -> Any:
        from harness.record.trees import tree_of_text

        return tree_of_text((ROOT / file).read_text(encoding="utf-8"), file)

    return lambda chance: _yaml(changed_tree(tree(), chance))


def _edit(chance: random.Random) -> bytes:
    """A way to something in the survey that is there, or nearly, and what shall stand in its place."""
    from harness.record.trees import tree_of_text

    here: Any = tree_of_text(typed.MACHINE, "small.yaml")
    steps: list[str] = []
    while isinstance(here, dict | list) and chance.random() < 0.9:
        steps.append(chance.choice([*here]) if isinstance(here, dict) else str(chance.randint(1, len(here))))
        here = here[steps[-1]] if isinstance(here, dict) else here[int(steps[-1]) - 1]
    made = changed_tree(here, chance, 1)
    if chance.random() < 0.3:
        steps = changed_tree(steps, chance, 1)
    way = ".".join(map(str, steps)) if isinstance(steps, list) else str(steps)
    value = made if isinstance(made, str) and chance.random() < 0.8 else json.dumps(made, ensure_ascii=False)
    return f"{way} = {value}".encode("utf-8", "replace")


def _reading(chance: random.Random) -> bytes:
    from tests.fuzz.changing import HOSTILE

    points = (
        "left lamp +",
        "battery - to left lamp -",
        "wire 1",
        "lamp fuse",
        "left lamp",
        "right lamp",
        "S1",
    )
    values = ("9.1 V", "-0.4 V", "3,2 A", "dead", "dim", "works", "40 mA", "1e5 V")
    point, value = chance.choice(points), chance.choice(values)
    if chance.random() < 0.3:
        point = chance.choice((chance.choice(HOSTILE), point * 2, point[:-1], f"{point} to {point}"))
    if chance.random() < 0.5:
        value = chance.choice(
            (chance.choice(HOSTILE), value[:-1], f"{chance.uniform(-9, 99999):f} V", f" {value} ")
        )
    return f"{point} = {value}".encode("utf-8", "replace")


MAKERS: Mapping[str, Maker] = {
    "workbook": lambda chance: changed_package(chance.choices(_books(), (5, 4, 1))[0], chance),
    "prices": lambda chance: changed_package(_lists()[0], chance),
    "cable prices": lambda chance: changed_package(_lists()[1], chance),
    "readings file": lambda chance: (
        changed_package(_readings(), chance)
        if chance.random() < 0.6
        else _yaml(changed_tree(typed.READINGS, chance))
    ),
    "design": lambda chance: _yaml(changed_tree(_design(), chance)),
    "stored design": lambda chance: _yaml(changed_tree(_design(), chance)),
    "record": lambda chance: b"\n".join(
        _yaml(changed_tree(json.loads(RECORD), chance)) for _ in range(chance.randint(1, 3))
    ),
    "survey": _survey,
    "tidying": _survey,
    "converting": _survey,
    "copy": lambda chance: _yaml(changed_tree(_trees()[1], chance)),
    "kits": _kits,
    "catalogue": _of_yaml("samples/counter/catalogue.yaml"),
    "edit": _edit,
    "reading": _reading,
}


def main() -> None:
    """Make them and feed them; exit code 1 where anything broke."""
    name, count = sys.argv[1], int(sys.argv[2])
    first = int(sys.argv[3]) if len(sys.argv) > 3 else 0
    warnings.simplefilter("error")
    gc.disable()
    folder = FOUND / name.replace(" ", "-")
    broken: dict[str, int] = {}
    slowest = 0.0
    for at in range(first, first + count):
        data = MAKERS[name](random.Random(at))
        start = time.process_time()
        try:
            TARGETS[name].feed(data)
            took = time.process_time() - start
            slowest = max(slowest, took)
            if took > SLOWEST_S:
                raise TimeoutError(f"{took:.0f} s")
        except Exception as error:
            place = traceback.extract_tb(error.__traceback__)[-1]
            what = f"{type(error).__name__} at {place.filename.rpartition('/')[2]}:{place.lineno}"
            broken[what] = broken.get(what, 0) + 1
            if broken[what] == 1:
                folder.mkdir(parents=True, exist_ok=True)
                (folder / f"shaped-{sha256(data).hexdigest()[:12]}").write_bytes(data)
                print(f"{at}: {what}: {str(error)[:300]}", flush=True)
        if at % 500 == 499:
            gc.collect()
    print(f"{name}: {count} inputs, {len(broken)} faults {broken}, slowest {slowest:.2f} s")
    raise SystemExit(1 if broken else 0)


if __name__ == "__main__":
    main()
