"""A web server for this computer alone that shows a folder's book and tells the page when it is made anew."""

from __future__ import annotations

import base64
import hashlib
import json
import threading
from collections.abc import Sequence
from dataclasses import dataclass, field
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

HOST = "127.0.0.1"  # never the network: what is shown is somebody's survey
BEAT_S = 5.0  # how often a page that waits is told that we live
MOST_LINES = 40  # of mistakes in the page; the terminal has them all
KINDS = {
    ".html": "text/html; charset=utf-8",
    ".svg": "image/svg+xml",
    ".json": "application/json",
    ".pdf": "application/pdf",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}

_STYLE = """
html, body { margin: 0; height: 100%; font-family: sans-serif; }
body { display: flex; flex-direction: column; }
iframe { border: 0; flex: 1; width: 100%; }
#said { background: #ffe8b0; color: #000; border-bottom: 2px solid #a05000; margin: 0; padding: .5em 1em;
  max-height: 40vh; overflow: auto; white-space: pre-wrap; overflow-wrap: anywhere; }
#said:empty { display: none; }
"""
_SCRIPT = """
const said = document.getElementById("said"), book = document.getElementById("book");
let shown = null;
const news = new EventSource("/news");
news.onmessage = (event) => {
  const { version, words } = JSON.parse(event.data);
  said.textContent = words;
  if (shown !== null && version !== shown) book.contentWindow.location.reload();
  shown = version;
};
news.onerror = () => { said.textContent = "harness watch has stopped; this is the last book it made."; };
"""
_PAGE = f"""<!doctype html>
<html lang="en"><head><meta charset="utf-8">
<meta name="viewport" content="width=device-width,initial-scale=1">
<title>Shop book, made anew as the survey is saved</title><style>{_STYLE}</style></head>
<body><pre id="said" role="status"></pre><iframe id="book" title="Shop book" src="/book.html"></iframe>
<script>{_SCRIPT}</script></body></html>
"""


def _hash(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


POLICY = (
    f"default-src 'none'; frame-src 'self'; connect-src 'self'; "
    f"style-src {_hash(_STYLE)}; script-src {_hash(_SCRIPT)}"
)


@dataclass
class News:
    """What pages wait for: which making of the book is there, and what is to be said above it."""

    version: int = 0
    words: str = ""
    ended: bool = False
    changed: threading.Condition = field(default_factory=threading.Condition)

    def made(self) -> None:
        """The book was made anew."""
        self._tell(self.version + 1, "")

    def wrong(self, headline: str, lines: Sequence[str]) -> None:
        """The survey is wrong: say so above the last good book."""
        more = [f"and {len(lines) - MOST_LINES} more"] if len(lines) > MOST_LINES else []
        self._tell(self.version, "\n".join([headline, *lines[:MOST_LINES], *more]))

    def end(self) -> None:
        """Let every page that waits go."""
        with self.changed:
            self.ended = True
            self.changed.notify_all()

    def _tell(self, version: int, words: str) -> None:
        with self.changed:
            self.version, self.words = version, words
            self.changed.notify_all()


class Live:
    """The server, running in threads of its own until it is stopped."""

    def __init__(self, folder: Path, port: int = 0) -> None:
        """Listen on ``port`` of this computer, 0 for any free one; raises OSError when it is taken."""
        self.news = News()
        handler = type("Handler", (_Handler,), {"folder": folder, "news": self.news})
        self._server = ThreadingHTTPServer((HOST, port), handler)
        self._server.daemon_threads = True
        self._thread = threading.Thread(target=self._server.serve_forever, args=(0.1,), daemon=True)
        self._thread.start()

    @property
    def address(self) -> str:
        """Where a browser on this computer finds it."""
        return f"http://{HOST}:{self._server.server_address[1]}/"

    def stop(self) -> None:
        """End every page's wait and close the port."""
        self.news.end()
        self._server.shutdown()
        self._server.server_close()
        self._thread.join(2.0)


class _Handler(BaseHTTPRequestHandler):
    folder: Path
    news: News

    def do_GET(self) -> None:
        # A foreign page could reach us by a name it points at this computer; it may not read the survey.
        port = self.connection.getsockname()[1]
        if self.headers.get("Host") not in (f"{HOST}:{port}", f"localhost:{port}"):
            self.send_error(HTTPStatus.FORBIDDEN)
        elif self.path == "/":
            self._send(_PAGE.encode(), KINDS[".html"], POLICY)
        elif self.path == "/news":
            self._news()
        else:
            self._file(self.path.partition("?")[0].removeprefix("/"))

    def _file(self, name: str) -> None:
        """A result by its bare name; nothing else of the folder, and nothing outside it."""
        path = self.folder / name
        if "/" in name or "\\" in name or name.startswith(".") or path.suffix not in KINDS:
            self.send_error(HTTPStatus.NOT_FOUND)
            return
        try:
            content = path.read_bytes()
        except OSError:
            self.send_error(HTTPStatus.NOT_FOUND)
            return
        self._send(content, KINDS[path.suffix])

    def _send(self, content: bytes, kind: str, policy: str | None = None) -> None:
        self.send_response(HTTPStatus.OK)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(content)))
        self.send_header("Cache-Control", "no-store")
        self.send_header("X-Content-Type-Options", "nosniff")
        if policy:
            self.send_header("Content-Security-Policy", policy)
        self.end_headers()
        self.wfile.write(content)

    def _news(self) -> None:
        """Server-sent events: the state now, and again whenever it changes."""
        self.send_response(HTTPStatus.OK)
        self.send_header("Content-Type", "text/event-stream")
        self.send_header("Cache-Control", "no-store")
        self.end_headers()
        told: tuple[int, str] | None = None
        news = self.news
        while True:
            with news.changed:
                if told == (news.version, news.words) and not news.ended:
                    news.changed.wait(BEAT_S)
                now, ended = (news.version, news.words), news.ended
            if ended:
                return
            data = json.dumps({"version": now[0], "words": now[1]}) if now != told else None
            told = now
            self.wfile.write(f"data: {data}\n\n".encode() if data else b": still here\n\n")
            self.wfile.flush()

    def handle(self) -> None:
        try:
            super().handle()
        except OSError:
            return  # the page was closed

    def log_message(self, format: str, *args: Any) -> None:
        """Say nothing on the terminal, which is for the survey."""
