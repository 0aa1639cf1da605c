"""The door: who calls, whether they may, and how often; before anything is read."""

import asyncio

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.keys import Key, Keys
from api.limits import Limits
from api.page.entrance import entrance, is_forged, key_in_cookie, wants_page
from api.page.render import moved_to
from api.problems import Refused, answer
from api.runs.record import ANYBODY

#: Open to all: they say nothing of anybody's runs, and probes have no keys.
_OPEN = ("/healthz", "/readyz", "/openapi.json", "/enter", "/leave")
_OPEN_FOLDER = "/page/"
_CHALLENGE = {"WWW-Authenticate": 'Bearer realm="cutopt"'}


class Door:
    """ASGI middleware that lets in who has a key; everybody, when none is asked for."""

    def __init__(self, app: ASGIApp, keys: Keys | None, limits: Limits) -> None:
        self._app = app
        self._keys = keys
        self._limits = limits

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one connection."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        if is_forged(scope["method"], headers):
            forged = Refused("not-allowed", "This was sent by a page of another site.")
            await answer(forged)(scope, receive, send)
            return
        if scope["path"] in _OPEN or scope["path"].startswith(_OPEN_FOLDER):
            await self._app(scope, receive, send)
            return
        try:
            scope["cutopt.tenant"] = await self._tenant(scope)
        except Refused as refused:
            shown = answer(refused)
            if refused.kind == "no-key" and wants_page(scope["method"], headers):
                shown = moved_to(entrance(scope["path"], scope["query_string"].decode("latin-1")))
            await shown(scope, receive, send)
            return
        allowed, told = self._limits.take(scope["cutopt.tenant"])
        if not allowed:
            detail = "This is more than was agreed; ask again later."
            await answer(Refused("too-many", detail, (), told))(scope, receive, send)
            return

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(told)
            await send(message)

        await self._app(scope, receive, send_with_headers)

    async def _tenant(self, scope: Scope) -> str:
        if self._keys is None:
            return ANYBODY
        headers = Headers(scope=scope)
        text = _given(headers) or key_in_cookie(headers)
        if text is None:
            raise Refused("no-key", "Send Authorization: Bearer KEY.", (), _CHALLENGE)
        key = await asyncio.to_thread(self._keys.who, text)
        if key is None:
            raise Refused("no-key", "This key is not, or no longer, good.", (), _CHALLENGE)
        _check_scope(key, scope)
        return key.tenant


def _given(headers: Headers) -> str | None:
    scheme, _, text = headers.get("authorization", "").partition(" ")
    return text.strip() if scheme.lower() == "bearer" and text.strip() else None


def _check_scope(key: Key, scope: Scope) -> None:
    needed = "read" if scope["method"] in ("GET", "HEAD", "OPTIONS") else "plan"
    if needed not in key.scopes:
        raise Refused("not-allowed", f"This key lacks the scope '{needed}'.")
