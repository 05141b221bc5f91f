"""`harness watch`: what counts as saved, what is said, and what the browser is shown and refused."""

from __future__ import annotations

import http.client
import json
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest

from harness.cli.live import Live
from harness.cli.watch import Stamp, Watcher, changes
from harness.model.design import Finding

ROOT = Path(__file__).parents[2]
SURVEY, LIST = Path("survey.yaml"), Path("items.yaml")


class Files:
    """Files whose stamps follow a script: one step at each sleep."""

    def __init__(self, *steps: dict[Path, Stamp]) -> None:
        self.steps = list(steps)
        self.now = self.steps.pop(0)

    def look(self, path: Path) -> Stamp:
        return self.now.get(path)

    def sleep(self, _: float) -> None:
        assert self.steps, "it waits for ever"
        self.now = self.steps.pop(0)


def waited(paths: Sequence[Path], *steps: dict[Path, Stamp]) -> tuple[list[Path], int]:
    """What a watcher tells, and how many steps were left over."""
    files = Files(*steps)
    watcher = Watcher(paths, sleep=files.sleep, look=files.look)
    return watcher.wait(paths), len(files.steps)


def test_a_saved_file_is_told_once_it_has_settled() -> None:
    old, half, new = (1, 10, 1), (2, 4, 1), (2, 12, 1)
    steps = [{SURVEY: old}, {SURVEY: old}, {SURVEY: half}, {SURVEY: new}, {SURVEY: new}, {SURVEY: (9, 9, 9)}]
    assert waited([SURVEY], *steps) == ([SURVEY], 1)


def test_a_file_written_anew_under_its_name_is_saved_when_it_is_back() -> None:
    gone: Stamp = None
    steps = [{SURVEY: (1, 10, 1)}, {SURVEY: gone}, {SURVEY: gone}, {SURVEY: (2, 10, 7)}, {SURVEY: (2, 10, 7)}]
    assert waited([SURVEY], *steps) == ([SURVEY], 0)


def test_a_file_that_comes_back_as_it_was_is_not_saved() -> None:
    same = (1, 10, 1)
    steps = [{SURVEY: same}, {SURVEY: None}, {SURVEY: same}, {SURVEY: (2, 1, 1)}, {SURVEY: (2, 1, 1)}]
    assert waited([SURVEY], *steps) == ([SURVEY], 0)


def test_what_is_saved_while_nobody_waits_is_told_at_once() -> None:
    files = Files({SURVEY: (1, 1, 1)}, {SURVEY: (2, 2, 2)}, {SURVEY: (2, 2, 2)})
    watcher = Watcher([SURVEY], sleep=files.sleep, look=files.look)
    files.sleep(0)  # the first making goes on meanwhile
    assert watcher.wait([SURVEY]) == [SURVEY]


def test_a_list_named_later_counts_from_then_on() -> None:
    both = {SURVEY: (1, 1, 1), LIST: (5, 5, 5)}
    saved = both | {LIST: (6, 6, 6)}
    files = Files(both, saved, saved)
    watcher = Watcher([SURVEY], sleep=files.sleep, look=files.look)
    assert watcher.wait([SURVEY, LIST]) == [LIST]


def finding(rule: str, subject: str, text: str) -> Finding:
    return Finding(rule, "advice", subject, text, source="", cure="", where="survey.yaml:1:1")


def test_findings_that_come_and_go() -> None:
    stays, stays_with_other_figures = finding("drop", "W1", "7 %"), finding("drop", "W1", "8 %")
    goes, comes = finding("drop", "W2", "9 %"), finding("fuse", "W2", "too large")
    came, went = changes([stays, goes], [stays_with_other_figures, comes])
    assert (came, went) == ([comes], [goes])


@pytest.fixture
def live(tmp_path: Path) -> Iterator[Live]:
    (tmp_path / "book.html").write_text("<!doctype html><title>b</title><p id=v>first", encoding="utf-8")
    (tmp_path / "notes.txt").write_text("private")
    (tmp_path / ".book.html").write_text("half written")
    served = Live(tmp_path)
    yield served
    served.stop()


def answer(live: Live, path: str, host: str | None = None) -> tuple[int, bytes]:
    connection = http.client.HTTPConnection(live.address.removeprefix("http://").rstrip("/"), timeout=120)
    connection.request("GET", path, headers={} if host is None else {"Host": host})
    response = connection.getresponse()
    return response.status, response.read()


def test_the_server_is_on_this_computer_only(live: Live) -> None:
    assert live.address.startswith("http://127.0.0.1:")


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/", 200),
        ("/book.html", 200),
        ("/notes.txt", 404),
        ("/.book.html", 404),
        ("/design.json", 404),  # not made yet
        ("/../book.html", 404),
        ("/%2e%2e/book.html", 404),
        ("//etc/passwd", 404),
        ("/..\\book.html", 404),
    ],
)
def test_only_results_are_handed_out(live: Live, path: str, status: int) -> None:
    assert answer(live, path)[0] == status


def test_a_name_that_a_foreign_page_points_here_is_refused(live: Live) -> None:
    assert answer(live, "/book.html", host="evil.example")[0] == 403


def test_a_port_in_use_is_said(live: Live, tmp_path: Path) -> None:
    port = int(live.address.rstrip("/").rpartition(":")[2])
    survey = ROOT / "samples" / "pump.yaml"
    call = [
        sys.executable,
        "-m",
        "harness",
        "watch",
        str(survey),
        "--out",
        str(tmp_path),
        "--port",
        str(port),
    ]
    told = subprocess.run(call, capture_output=True, text=True, timeout=240, check=False)
    assert told.returncode == 3
    assert f"port {port}" in told.stderr
    assert "--port 0" in told.stderr


def test_pages_that_wait_are_let_go_when_it_stops(tmp_path: Path) -> None:
    served = Live(tmp_path)
    connection = http.client.HTTPConnection(served.address.removeprefix("http://").rstrip("/"), timeout=120)
    connection.request("GET", "/news")
    response = connection.getresponse()
    line = response.readline()
    assert json.loads(line.removeprefix(b"data: ")) == {"version": 0, "words": ""}
    served.stop()
    response.read()  # ends, where it would wait for ever


def test_it_makes_everything_anew_when_the_survey_is_saved(tmp_path: Path) -> None:
    """The whole command: first making, a mistake, its mending, and the end by Ctrl-C."""
    survey, out = tmp_path / "pump.yaml", tmp_path / "out"
    good = (ROOT / "samples" / "pump.yaml").read_text(encoding="utf-8")
    survey.write_text(good, encoding="utf-8")
    call = [sys.executable, "-u", "-m", "harness", "watch", str(survey), "--out", str(out), "--port", "0"]
    running = subprocess.Popen(
        call, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, encoding="utf-8",
        # whoever runs the tests in the background has told us to ignore Ctrl-C, and a child inherits that
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )  # fmt: skip
    assert running.stdout is not None
    too_long = threading.Timer(240, running.kill)  # ends the reading below instead of waiting for ever
    too_long.start()
    said: list[str] = []

    def until(words: str) -> None:
        assert running.stdout is not None
        for line in running.stdout:
            said.append(line)
            if words in line:
                return
        raise AssertionError(f"it ended before it said {words!r}: {said}")

    try:
        until("for this computer alone")
        until("findings")
        first = (out / "book.html").read_bytes()
        survey.write_text(good.replace("is: battery,", "is: batery,"), encoding="utf-8")
        until("pump.yaml saved")
        until("the results are still those of before")
        assert (out / "book.html").read_bytes() == first
        survey.write_text(good.replace("name: ", "name: Other ", 1), encoding="utf-8")
        until("pump.yaml saved")
        until("findings")
        assert (out / "book.html").read_bytes() != first
        running.send_signal(signal.SIGINT)
        until("stopped")
        assert running.wait(240) == 0
    finally:
        too_long.cancel()
        running.kill()
        running.stdout.close()
        running.wait()
