"""What strangers may try on the desk, and that none of it gets an answer.

Which headers a browser sends and a page cannot forge: the Fetch Standard (Origin) and the W3C's
"Fetch Metadata Request Headers" (Sec-Fetch-Site), from memory. DNS rebinding: a stranger's name
that is made to resolve to 127.0.0.1, so that the browser sends the stranger's Host to this server.
"""

from __future__ import annotations

import json
import socket
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from sample_copies import copy_sample
from served import ROOT, SLOW_S, TOKEN, Serve, Served, serving

from labelkit.desk.server import HOST, MAX_BYTES

JSON = "application/json"
SHOW = f"/{TOKEN}/do/show/~"


def page(served: Served) -> dict[str, str]:
    """The headers of the page's own questions."""
    return {"Origin": served.origin, "Content-Type": JSON, "Sec-Fetch-Site": "same-origin"}


@pytest.fixture
def served(serve: Serve, event: Path) -> Served:
    return serve(event)


@pytest.fixture(scope="module")
def standing(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """One server for all who are to get nothing from it and write nothing."""
    folder = tmp_path_factory.mktemp("standing") / "lighthouse-supper"
    copy_sample(ROOT / "samples" / "lighthouse-supper", folder)
    with serving() as serve:
        yield serve(folder)


def test_the_page_itself_is_answered(served: Served) -> None:
    status, headers, body = served.ask("GET", f"/{TOKEN}/")
    assert status == 200 and b"desk.js" in body
    assert "default-src 'none'" in headers["content-security-policy"]
    assert "'unsafe" not in headers["content-security-policy"]
    assert headers["referrer-policy"] == "no-referrer"
    assert "set-cookie" not in headers and "server" not in headers
    assert served.ask("POST", SHOW, page(served), b"{}")[0] == 200


@pytest.mark.parametrize(
    ("what", "method", "path", "headers", "status"),
    [
        ("rebinding", "POST", SHOW, {"Host": "evil.example:{port}"}, 403),
        ("rebinding, page", "GET", f"/{TOKEN}/", {"Host": "evil.example:{port}"}, 403),
        ("rebinding, no port", "POST", SHOW, {"Host": "127.0.0.1"}, 403),
        ("another name of this computer", "POST", SHOW, {"Host": "localhost:{port}"}, 403),
        ("another page", "POST", SHOW, {"Origin": "http://evil.example"}, 403),
        ("another port of this computer", "POST", SHOW, {"Origin": "http://127.0.0.1:1"}, 403),
        ("a page of a file", "POST", SHOW, {"Origin": "null"}, 403),
        ("no origin", "POST", SHOW, {"Origin": None}, 403),
        ("cross-site", "POST", SHOW, {"Sec-Fetch-Site": "cross-site"}, 403),
        ("same site, other origin", "POST", SHOW, {"Sec-Fetch-Site": "same-site"}, 403),
        ("a link from elsewhere", "GET", f"/{TOKEN}/", {"Sec-Fetch-Site": "cross-site"}, 403),
        ("an image of elsewhere", "GET", f"/{TOKEN}/made/1/x.pdf", {"Sec-Fetch-Site": "cross-site"},
         403),
        ("a form", "POST", SHOW, {"Content-Type": "application/x-www-form-urlencoded"}, 415),
        ("a form of plain text", "POST", SHOW, {"Content-Type": "text/plain"}, 415),
        ("no token", "POST", "/do/show/~", {}, 404),
        ("a wrong token", "POST", "/x" + SHOW[2:], {}, 404),
        ("no token at all", "GET", "/", {}, 404),
        ("a preflight", "OPTIONS", SHOW, {"Access-Control-Request-Method": "POST"}, 405),
        ("another method", "PUT", SHOW, {}, 405),
        ("another method", "DELETE", SHOW, {}, 405),
        ("an action by a link", "GET", SHOW, {}, 405),
        ("no such action", "POST", f"/{TOKEN}/do/__init__/~", {}, 404),
        ("the folder above", "POST", f"/{TOKEN}/do/show/..", {}, 404),
        ("the folder above, written otherwise", "POST", f"/{TOKEN}/do/show/%2e%2e", {}, 404),
        ("a file of the system", "POST", f"/{TOKEN}/do/show/..%2f..%2fetc", {}, 404),
        ("a file of the package", "GET", f"/{TOKEN}/../server.py", {}, 404),
        ("a file of the package", "GET", f"/{TOKEN}/%2e%2e%2fserver.py", {}, 404),
        ("a file of the package", "GET", f"/{TOKEN}/page.html", {}, 404),
        ("a font elsewhere", "GET", f"/{TOKEN}/fonts/..%2f..%2fx.woff", {}, 404),
    ],
)  # fmt: skip
def test_a_stranger_gets_nothing(
    standing: Served, what: str, method: str, path: str, headers: dict[str, Any], status: int
) -> None:
    sent: dict[str, str] = page(standing) if method != "GET" else {}
    for name, value in headers.items():
        sent.pop(name, None)
        if value is not None:
            sent[name] = value.format(port=standing.port)
    found, said, body = standing.ask(method, path, sent, b"{}" if method == "POST" else b"")
    assert found == status, (what, body)
    assert b"Lighthouse" not in body and b"Estran" not in body
    assert not any(name.startswith("access-control") for name in said)


@pytest.mark.parametrize(
    "body",
    [
        b"", b"[]", b"null", b"not json", b'{"edits": 3}', b'{"edits": [{}]}',
        b'{"edits": [{"file": "/etc/passwd", "keys": ["a"], "value": 1}]}',
        b'{"edits": [{"file": "label", "keys": [], "value": 1}]}',
        b'{"edits": [{"file": "label", "keys": [{}], "value": 1}]}',
        b'{"edits": [{"file": "label", "keys": ["a"], "do": "remove"}]}',
        b'{"edits": ' + b"[" * 5000 + b"]" * 5000 + b"}",
    ],
)  # fmt: skip
def test_a_broken_question_is_one_and_nothing_is_written(standing: Served, body: bytes) -> None:
    before = (standing.folder / "label.toml").read_bytes()
    status, _, told = standing.ask("POST", SHOW, page(standing), body)
    assert status in (400, 404), told
    assert b"Traceback" not in told
    assert (standing.folder / "label.toml").read_bytes() == before


def test_a_request_that_is_too_large_is_refused(served: Served) -> None:
    headers = {**page(served), "Content-Length": str(MAX_BYTES + 1)}
    with socket.create_connection((HOST, served.port), timeout=10) as stream:
        head = "".join(f"{name}: {value}\r\n" for name, value in headers.items())
        stream.sendall(f"POST {SHOW} HTTP/1.1\r\nHost: {HOST}:{served.port}\r\n{head}\r\n".encode())
        stream.sendall(b"{}")
        assert b" 413 " in stream.recv(100)


def test_chunks_without_end_are_refused(served: Served) -> None:
    head = "".join(f"{name}: {value}\r\n" for name, value in page(served).items())
    with socket.create_connection((HOST, served.port), timeout=20) as stream:
        stream.sendall(
            f"POST {SHOW} HTTP/1.1\r\nHost: {HOST}:{served.port}\r\n{head}"
            "Transfer-Encoding: chunked\r\n\r\n".encode()
        )
        chunk, sent = b"10000\r\n" + b" " * 0x10000 + b"\r\n", 0
        try:
            while sent < 4 * MAX_BYTES:
                stream.sendall(chunk)
                sent += 0x10000
        except OSError:
            pass  # the server hung up, as it should
        assert sent < 4 * MAX_BYTES


def test_a_header_without_end_is_refused(served: Served) -> None:
    with socket.create_connection((HOST, served.port), timeout=10) as stream:
        stream.sendall(f"GET /{TOKEN}/ HTTP/1.1\r\nX: ".encode() + b"x" * 100_000)
        assert b" 431 " in stream.recv(100)


def test_the_slow_hold_nobody_up(served: Served) -> None:
    """Twenty that send a letter now and then; the page is answered, and they are sent away."""
    slow = [socket.create_connection((HOST, served.port), timeout=30) for _ in range(20)]
    for stream in slow:
        stream.sendall(f"POST {SHOW} HTTP/1.1\r\n".encode())
    start = time.monotonic()
    assert served.ask("POST", SHOW, page(served), b"{}")[0] == 200
    assert time.monotonic() - start < 10
    deadline = time.monotonic() + 5 * SLOW_S + 5
    slow[0].settimeout(max(1.0, deadline - time.monotonic()))
    assert slow[0].recv(100).startswith((b"HTTP/1.0 4", b"HTTP/1.1 4")) or not slow[0].recv(100)
    for stream in slow:
        stream.close()


SCRIPT = '"><script>alert(1)</script><svg onload=alert(1)>'


def test_words_of_a_strangers_order_are_no_markup(served: Served) -> None:
    label = served.folder / "label.toml"
    text = label.read_text("utf-8").replace('"LS-2704"', json.dumps(f"A{SCRIPT}"))
    label.write_text(text, "utf-8")
    status, answer = served.post("do/show/~", {})
    assert status == 200
    for panel in answer["panels"]:
        assert "<script" not in panel["svg"] and "onload" not in panel["svg"]


@pytest.mark.parametrize(
    "picture",
    [
        '<svg xmlns="http://www.w3.org/2000/svg"><script>a()</script><path d="M0 0H9V9Z"/></svg>',
        '<svg xmlns="http://www.w3.org/2000/svg"><image href="http://evil.example/x.png"/></svg>',
        '<svg xmlns="http://www.w3.org/2000/svg"><foreignObject><b/></foreignObject></svg>',
        '<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/passwd">]><svg>&a;</svg>',
    ],
)
def test_a_picture_that_is_more_is_refused(served: Served, picture: str) -> None:
    import base64

    data = base64.b64encode(picture.encode()).decode()
    status, answer = served.post("do/logo/~", {"name": "logo.svg", "data": data})
    assert status == 422 and answer["error"]
    assert not (served.folder / "logo.svg").exists()


def test_a_pictures_own_script_never_reaches_the_page(served: Served) -> None:
    """What is drawn is made anew of its outlines: numbers and colours."""
    import base64

    picture = (
        '<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)">'
        '<path onclick="alert(2)" id="evil" d="M0 0H40V30H0Z"/></svg>'
    )
    data = base64.b64encode(picture.encode()).decode()
    status, answer = served.post("do/logo/~", {"name": "logo.svg", "data": data})
    if status == 200:
        shown = json.dumps(answer["panels"])
        assert "alert" not in shown and "evil" not in shown


@pytest.mark.parametrize(
    "name", ["../x.svg", "..\\x.svg", ".hidden.svg", "a/../../x.svg", "x.toml"]
)
def test_a_picture_goes_to_the_orders_folder_alone(served: Served, name: str) -> None:
    before = set(served.folder.parent.rglob("*"))
    served.post("do/logo/~", {"name": name, "data": "PHN2Zy8+"})
    assert set(served.folder.parent.rglob("*")) == before


def test_a_page_that_was_made_has_no_script_and_may_have_none(served: Served) -> None:
    _, started = served.post("do/proof/~", {"language": "en"})
    for _ in range(200):
        _, state = served.post("do/task/~", {"task": started["task"]})
        if state["ended"]:
            break
        time.sleep(0.1)
    path = state["result"]["made"]["page"]
    status, headers, body = served.ask("GET", f"/{TOKEN}/{path}")
    assert (
        status == 200
        and b"<script" not in body
        and b"http://" not in body.replace(b"http://www.w3.org/2000/svg", b"")
    )
    assert "sandbox" in headers["content-security-policy"]
