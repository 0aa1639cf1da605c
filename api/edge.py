"""The outermost layer: headers on every answer, a count, and our own faults kept inside."""

import logging

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.metrics import Metrics
from api.problems import Refused, answer

_log = logging.getLogger("cutopt.api")

_HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    # An SVG opened by itself is a document that could run scripts; this one has none.
    "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'",
    "Cache-Control": "no-store",
}


class Edge:
    """ASGI middleware around the whole service."""

    def __init__(self, app: ASGIApp, metrics: Metrics) -> None:
        self._app = app
        self._metrics = metrics

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one connection."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        started = False
        if scope["method"] == "HEAD":  # what GET answers, less the body: the server drops that
            scope = {**scope, "method": "GET"}

        async def send_with_headers(message: Message) -> None:
            nonlocal started
            if message["type"] == "http.response.start":
                started = True
                self._metrics.count_request(message["status"])
                headers = MutableHeaders(scope=message)
                for name, value in _HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        try:
            await self._app(scope, receive, send_with_headers)
        except Exception:
            _log.exception("a request failed: %s %s", scope["method"], scope["path"])
            if started:
                raise
            refused = Refused("own-fault", "Sorry, this is a fault of ours. It was logged.")
            await answer(refused)(scope, receive, send_with_headers)
