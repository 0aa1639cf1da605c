"""Templates to answers: headers that let a page load nothing from elsewhere, and our own files."""

import gzip
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

import jinja2
from starlette.requests import Request as HttpRequest
from starlette.responses import Response

from api.problems import KINDS, Refused, problem_of
from cutopt.reports.words import counted, money
from cutopt.version import VERSION

#: All that a page needs comes from the service itself; its scripts are files, never inline.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "connect-src 'self'; manifest-src 'self'; form-action 'self'; base-uri 'none'; "
    "frame-ancestors 'none'"
)
#: Bytes; a phone at the saw is often far from its mast.
_WORTH_PACKING = 2_000
_HEADERS = {"Content-Security-Policy": POLICY, "Cross-Origin-Opener-Policy": "same-origin"}
_KINDS = {"css": "text/css", "js": "text/javascript", "svg": "image/svg+xml"}


@cache
def _templates() -> jinja2.Environment:
    found = jinja2.Environment(
        loader=jinja2.PackageLoader("api.page"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    found.globals |= {"version": VERSION, "counted": counted}
    found.filters |= {"money": money, "minutes": _minutes}
    return found


def _minutes(seconds: float) -> str:
    minutes = round(seconds / 60)
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest:02} min" if hours else f"{minutes} min"


def page(name: str, status: int = 200, /, **matter: Any) -> Response:
    """Return a page."""
    text = _templates().get_template(f"{name}.html").render(**matter)
    return Response(text, status, _HEADERS, "text/html")


def error_page(refused: Refused) -> Response:
    """Return a page that says why there is none."""
    problem = problem_of(refused)
    return page("error", KINDS[refused.kind][0], problem=problem)


@cache
def _file(name: str) -> bytes | None:
    folder = files("api.page").joinpath("static")
    known = {entry.name: entry for entry in folder.iterdir()}
    return known[name].read_bytes() if name in known else None


def packed(http: HttpRequest, answer: Response) -> Response:
    """Return an answer compressed, where the browser takes that and it is worth it."""
    if len(answer.body) > _WORTH_PACKING and "gzip" in http.headers.get("accept-encoding", ""):
        answer.body = gzip.compress(bytes(answer.body), 5, mtime=0)
        answer.headers["Content-Encoding"] = "gzip"
        answer.headers["Content-Length"] = str(len(answer.body))
        answer.headers["Vary"] = "Accept-Encoding"
    return answer


def own_file(name: str) -> Response:
    """Return a style sheet, a script or a picture of ours."""
    content = _file(name)
    kind = _KINDS.get(name.rpartition(".")[2])
    if content is None or kind is None:
        raise Refused("unknown-path", f"/page/{name} is not there.")
    return Response(content, headers={"Cache-Control": "no-cache"}, media_type=kind)


def moved_to(where: str, headers: Mapping[str, str] | None = None) -> Response:
    """Return that the browser goes on elsewhere, asking for it anew."""
    return Response(status_code=303, headers={"Location": where, **(headers or {})})
