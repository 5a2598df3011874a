"""A desk that is served, and questions put to it."""

from __future__ import annotations

import json
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.client import HTTPConnection
from pathlib import Path
from typing import Any

from labelkit.desk.presence import Presence
from labelkit.desk.serve import HOST, listen, make_server, stop_server
from labelkit.desk.workplace import Workplace

ROOT = Path(__file__).resolve().parents[2]
TOKEN = "a-token-of-the-test"
SLOW_S = 2


def leave_out_weight(label: Path) -> None:
    """Takes off the front what the law of every region asks for."""
    text = label.read_text("utf-8")
    label.write_text(text + '\n[front]\nleave_out = ["net-quantity"]\n', "utf-8")


@dataclass
class Served:
    """A desk that runs, and questions put to it byte for byte."""

    port: int
    folder: Path
    presence: Presence = field(default_factory=Presence)

    @property
    def origin(self) -> str:
        return f"http://{HOST}:{self.port}"

    @property
    def address(self) -> str:
        return f"{self.origin}/{TOKEN}/"

    def ask(
        self, method: str, path: str, headers: Mapping[str, str] | None = None, body: bytes = b""
    ) -> tuple[int, dict[str, str], bytes]:
        """Status, headers and body of an answer."""
        connection = HTTPConnection(HOST, self.port, timeout=30)
        connection.request(method, path, body or None, dict(headers or {}))
        answer = connection.getresponse()
        found = (answer.status, {k.lower(): v for k, v in answer.getheaders()}, answer.read())
        connection.close()
        return found

    def post(self, path: str, value: Any, **headers: str) -> tuple[int, Any]:
        """A question as the page itself puts it."""
        own = {"Origin": self.origin, "Content-Type": "application/json", **headers}
        body = json.dumps(value).encode()
        status, _, data = self.ask("POST", f"/{TOKEN}/{path}", own, body)
        return status, json.loads(data) if status in (200, 422) else data


Serve = Callable[[Path], Served]


@contextmanager
def serving() -> Iterator[Serve]:
    """Serves folders with the server that ``labelkit open`` uses, until the block ends."""
    servers = []

    def start(folder: Path) -> Served:
        presence = Presence()
        server = make_server(Workplace.at(folder), TOKEN, listen(0), presence, SLOW_S)
        threading.Thread(target=server.run, daemon=True).start()
        servers.append(server)
        return Served(int(server.effective_port), folder, presence)

    yield start
    for server in servers:
        stop_server(server)
