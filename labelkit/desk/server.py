"""The page's server: who may ask, and which question goes where.

It listens on 127.0.0.1 alone, and that is not enough: any page in her browser could ask it, and a
name that a stranger's server resolves to this computer ("rebinding") would make its page one of
ours. So the address holds a secret, the Host must be ours to the letter, a request of another page
is refused by Origin and Sec-Fetch-Site, and only JSON is taken.
"""

from __future__ import annotations

import hmac
from collections.abc import Mapping
from importlib.resources import files
from typing import Any

from flask import Flask, Response, abort, jsonify, request

from labelkit.common.errors import LabelkitError
from labelkit.common.messages import Said
from labelkit.desk.actions import Actions
from labelkit.desk.desk import describe_error
from labelkit.desk.presence import Presence
from labelkit.desk.rooms import list_rooms
from labelkit.desk.serve import HOST
from labelkit.desk.window import put_in_window
from labelkit.desk.words import LANGUAGES, Words
from labelkit.desk.workplace import Workplace
from labelkit.report.speech import Speech

MAX_BYTES = 8_000_000
"""Of one request: a logo of five million bytes, as text."""
PAGES = {
    "": ("page.html", "text/html; charset=utf-8"),
    "desk.css": ("desk.css", "text/css; charset=utf-8"),
    "icon.svg": ("icon.svg", "image/svg+xml"),
    **{name: (name, "text/javascript; charset=utf-8")
       for name in ("desk.js", "net.js", "fields.js", "label.js", "parts.js")},
}  # fmt: skip
HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:;"
        " font-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none';"
        " frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
}
SANDBOXED = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; sandbox"
"""The policy of a page that was made to be sent: it has no script, and may have none."""


def make_app(place: Workplace, token: str, port: int, presence: Presence) -> Flask:
    """The server of a workplace, for whoever knows the token."""
    app = Flask(__name__, static_folder=None)
    app.config["MAX_CONTENT_LENGTH"] = MAX_BYTES
    app.json.sort_keys = False  # type: ignore[attr-defined]
    actions = Actions(place)
    origin = f"http://{HOST}:{port}"

    @app.before_request
    def refuse_strangers() -> None:
        if request.host != f"{HOST}:{port}":
            abort(403)
        given = request.path.split("/")[1] if "/" in request.path else ""
        if not hmac.compare_digest(given.encode(), token.encode()):
            abort(404)
        site = request.headers.get("Sec-Fetch-Site")
        if site is not None and site not in ("same-origin", "none"):
            abort(403)
        if request.method == "POST":
            if request.headers.get("Origin") != origin or site == "none":
                abort(403)
            if request.mimetype != "application/json":
                abort(415)
        elif request.method != "GET":
            abort(405)

    @app.after_request
    def guard(response: Response) -> Response:
        for name, value in HEADERS.items():
            response.headers.setdefault(name, value)
        return response

    @app.get(f"/{token}/")
    @app.get(f"/{token}/<name>")
    def serve_page(name: str = "") -> Response:
        if name not in PAGES:
            abort(404)
        file, kind = PAGES[name]
        data = files("labelkit.desk").joinpath(f"page/{file}").read_bytes()
        return Response(data, content_type=kind)

    @app.get(f"/{token}/fonts/<name>")
    def serve_font(name: str) -> Response:
        from labelkit.desk.page_fonts import FONTS, make_page_font

        if name not in FONTS:
            abort(404)
        return Response(make_page_font(name), content_type="font/woff")

    @app.get(f"/{token}/ask/desk")
    def tell_desk() -> Response:
        wanted = request.args.get("language", "")
        settings = place.read_settings()
        place.language = settings.get("language") or (wanted if wanted in LANGUAGES else "en")
        say = Words(place.language)
        return jsonify(
            language=place.language,
            words=say.all(),
            rooms=list_rooms(say),
            settings=settings,
            events=place.list_events(),
            known=actions.list_known(),
            only=place.only is not None,
        )

    @app.get(f"/{token}/ask/alive/<tab>")
    def note_alive(tab: str) -> Response:
        presence.see(tab)
        event = request.args.get("event", "")
        return jsonify(version=actions.find_version(event) if event else "")

    @app.post(f"/{token}/ask/gone/<tab>")
    def note_gone(tab: str) -> Response:
        presence.forget(tab)
        return jsonify({})

    @app.get(f"/{token}/made/<int:number>/<name>")
    def serve_made(number: int, name: str) -> Response:
        made = actions.find_made(number)
        if made is None or made.name != name:
            abort(404)
        response = Response(made.data, content_type=made.kind)
        how = "attachment" if request.args.get("save") else "inline"
        response.headers["Content-Disposition"] = f'{how}; filename="{made.name}"'
        if made.kind.startswith("text/html"):
            response.headers["Content-Security-Policy"] = SANDBOXED
        return response

    @app.post(f"/{token}/do/<action>")
    @app.post(f"/{token}/do/<action>/<event>")
    def act(action: str, event: str = "") -> tuple[Response, int] | Response:
        asked = _read_json()
        found = actions.find(action)
        if found is None:
            abort(404)
        speech = Speech(place.language, place.language)
        try:
            return jsonify(speak_all(found(event, asked), speech))
        except LabelkitError as error:
            return jsonify(describe_error(error, speech)), 422
        except KeyError:
            abort(404)
        except (TypeError, ValueError):
            abort(400)

    return app


def speak_all(answer: Any, speech: Speech) -> Any:
    """An answer with every sentence of other rooms said in the language of the page."""
    if isinstance(answer, Said):
        return speech(put_in_window(answer))
    if isinstance(answer, Mapping):
        return {key: speak_all(one, speech) for key, one in answer.items()}
    if isinstance(answer, list | tuple):
        return [speak_all(one, speech) for one in answer]
    return answer


def _read_json() -> dict[str, Any]:
    """What a request asks: an object."""
    try:
        asked = request.get_json()
    except RecursionError:
        asked = None
    if not isinstance(asked, dict):
        abort(400)
    return asked
