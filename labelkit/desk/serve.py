"""Starts the desk's server, or finds the one that runs, and ends with the last tab."""

from __future__ import annotations

import gc
import hashlib
import json
import os
import secrets
import socket
import sys
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from labelkit.common.errors import InputError, LabelkitError
from labelkit.common.kept import find_cache_folder
from labelkit.common.messages import Said
from labelkit.common.resources import find_layouts_folder
from labelkit.desk.presence import Presence
from labelkit.desk.workplace import Workplace

if TYPE_CHECKING:
    from labelkit.desk.desk import Desk

UNSEEN_S = 120.0
"""So long a browser may take to show the page for the first time."""
SLOW_S = 20
"""A request that says nothing for so long is given up."""
THREADS = 6
PAUSE_S = 0.4
"""So long nothing is asked before what may be wanted later is made ready."""
MAX_HEADER_BYTES = 16_384
SWITCH_S = 0.001
"""So long one thread computes while others wait: what the page asks for comes before work ahead."""
HOST = "127.0.0.1"


def serve_desk(
    place: Workplace, port: int, tell: Callable[[str], None], stay: bool = False
) -> None:
    """Serves a workplace until its last tab is closed; ``tell`` hears the address once it is there.

    With ``stay`` it goes on until Ctrl-C. Where a desk of the same folder runs already, its address
    is told and nothing is started.
    """
    note = _find_note(place)
    if running := find_running(note):
        tell(running)
        return
    token, presence = secrets.token_urlsafe(24), Presence()
    listener = listen(port)
    address = f"http://{HOST}:{listener.getsockname()[1]}/{token}/"
    _keep_note(note, address)
    try:
        tell(address)  # what it asks for waits until the rest is loaded
        server = make_server(place, token, listener, presence)
        if not stay:
            threading.Thread(target=watch_tabs, args=(server, presence), daemon=True).start()
        threading.Thread(target=warm_up, args=(place,), daemon=True).start()
        sys.setswitchinterval(SWITCH_S)
        server.run()
    finally:
        place.close()
        with suppress(OSError):
            note.unlink()


def watch_tabs(server: Any, presence: Presence) -> None:
    """Ends a server once its last tab is closed, or none ever came."""
    started = time.monotonic()
    while not presence.is_over():
        time.sleep(1)
        if not presence.had_any and time.monotonic() - started > UNSEEN_S:
            break
    stop_server(server)


def warm_up(place: Workplace) -> None:
    """Does what takes longest the first time, while the browser is still starting."""
    from labelkit.desk.actions import Actions
    from labelkit.desk.page_fonts import FONTS, make_page_font

    Actions(place).list_known()  # what the page asks first
    desks = [place.desk(event["id"]) for event in place.list_events()[:1]]
    for desk in desks:
        desk.draw(())
        wait_for_pause(desk)  # who has the page already asks for the rest herself
        desk.show()
    for name in FONTS:
        make_page_font(name)
    for desk in desks:
        warm_up_layouts(desk)
    gc.collect()
    gc.freeze()  # tables and typefaces stay: looking through them takes a key now and then too long


def warm_up_layouts(desk: Desk) -> None:
    """Draws the front in every layout, between two things that are asked: from then on their
    typefaces and ornaments are at hand."""
    for path in sorted(find_layouts_folder().glob("*.toml")):
        wait_for_pause(desk)
        with suppress(LabelkitError):
            desk.draw_layout(path.stem, ())


def wait_for_pause(desk: Desk) -> None:
    while time.monotonic() - desk.asked_at < PAUSE_S:
        time.sleep(PAUSE_S / 4)


def listen(port: int) -> socket.socket:
    """Listens to this computer alone, on a port or on one that is free (0)."""
    try:
        return socket.create_server((HOST, port))
    except OSError as error:
        raise InputError(
            "--port", "", port, Said("cannot be listened to; choose another, or leave it out")
        ) from error


def make_server(
    place: Workplace,
    token: str,
    listener: socket.socket,
    presence: Presence,
    slow_s: int = SLOW_S,
) -> Any:
    """The server on what listens already; ``effective_port`` is where."""
    from waitress.server import create_server

    from labelkit.desk.server import MAX_BYTES, make_app

    holder: list[Callable[..., object]] = []
    server = create_server(
        lambda environ, start: holder[0](environ, start),
        sockets=[listener],
        threads=THREADS,
        channel_timeout=slow_s,
        cleanup_interval=max(1, slow_s // 4),
        max_request_body_size=MAX_BYTES,
        max_request_header_size=MAX_HEADER_BYTES,
        ident="",
        clear_untrusted_proxy_headers=True,
    )
    holder.append(make_app(place, token, int(server.effective_port), presence))
    return server


def stop_server(server: Any) -> None:
    """Ends a server from another thread: its own closes what it listens to, and runs out."""
    from waitress.wasyncore import close_all

    with suppress(OSError):  # it woke by itself meanwhile, and has closed already
        server.trigger.pull_trigger(lambda: close_all(server._map, ignore_all=True))


def _find_note(place: Workplace) -> Path:
    """Where the address of a running desk is kept, by the folder that it shows."""
    shown = os.path.realpath(place.only or place.folder)
    name = hashlib.sha256(shown.encode("utf-8", "surrogateescape")).hexdigest()[:16]
    return find_cache_folder() / f"desk-{name}.json"


def _keep_note(note: Path, address: str) -> None:
    """For this user's eyes alone: the address holds the secret."""
    with suppress(OSError):
        handle = os.open(note, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as stream:
            json.dump({"address": address}, stream)


def find_running(note: Path) -> str:
    """The address of the desk that a note tells of, if it answers; ""."""
    import urllib.request

    try:
        address = str(json.loads(note.read_text("utf-8"))["address"])
    except (OSError, ValueError, KeyError, TypeError):
        return ""
    if not address.startswith(f"http://{HOST}:"):
        return ""
    try:
        with urllib.request.urlopen(f"{address}icon.svg", timeout=2) as answer:
            return address if answer.status == 200 else ""
    except OSError:
        return ""
