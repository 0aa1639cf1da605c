"""`cutopt serve`: the HTTP service on one machine, with its embedded defaults."""

import argparse
import os
import socket
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace

import uvicorn

from api import logs, traces
from api.app import Service, create_app
from api.keys import Keys
from api.runs.tables import connect
from api.settings import Settings, from_environment, read_host, read_port
from cutopt.command.options import Parser, bounded
from cutopt.command.refused import DONE, Refused
from cutopt.command.terminal import tell

#: How long running searches get to hand over their best plans when the service is stopped.
_GRACE_SECONDS = 10


class Server(uvicorn.Server):
    """A server that asks the searches for their best plans as soon as it is told to stop."""

    def __init__(self, app: Service) -> None:
        super().__init__(
            uvicorn.Config(
                app,
                lifespan="on",
                server_header=False,
                log_config=None,
                access_log=False,
                timeout_graceful_shutdown=_GRACE_SECONDS,
            )
        )
        self._app = app

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """End the searches, let their answers go out, and close."""
        self._app.desk.leave()
        await super().shutdown(sockets)
        traces.send_the_rest()


def main(argv: Sequence[str]) -> int:
    """Serve until told to stop."""
    options = _parser().parse_args(argv)
    with from_environment("cutopt serve") as read:
        serve(_told(read, options))
    return DONE


def serve(settings: Settings) -> None:
    """Serve until told to stop."""
    _refuse_to_stand_open(settings)
    logs.set_up()
    traces.set_up(os.environ, "serve")
    with listen(settings.listen_host, settings.listen_port) as listener:
        app = create_app(settings)
        tell(f"cutopt serves on {_address(listener)}; Ctrl-C stops it")
        with suppress(KeyboardInterrupt):  # passed on by uvicorn after it closed in good order
            Server(app).run(sockets=[listener])


def _refuse_to_stand_open(settings: Settings) -> None:
    """Refuse to let in everybody, or nobody, where others may reach us."""
    if settings.is_local and not settings.asks_for_keys:
        return
    if not settings.asks_for_keys:
        raise Refused(
            [
                f"cutopt serve: {settings.listen_host} can be reached from elsewhere, so "
                "CUTOPT_KEYS may not be 'off'"
            ]
        )
    engine = connect(settings.database_url)
    try:
        has_keys = Keys(engine).any_valid()
    finally:
        engine.dispose()
    if not has_keys:
        raise Refused(
            ["cutopt serve: no key could let anybody in; make one: cutopt keys make NAME"]
        )


def _parser() -> Parser:
    parser = Parser(
        prog="cutopt serve",
        description="Starts the HTTP service. Environment variables CUTOPT_... set the rest; "
        "docs/service.md lists them.",
        allow_abbrev=False,
    )
    parser.add_argument(
        "--host", type=bounded(read_host), help="where to listen (usually 127.0.0.1)"
    )
    parser.add_argument(
        "--port", type=bounded(read_port), help="the port (usually 8080; 0 takes a free one)"
    )
    return parser


def _told(settings: Settings, options: argparse.Namespace) -> Settings:
    if options.host is not None:
        settings = replace(settings, listen_host=options.host)
    if options.port is not None:
        settings = replace(settings, listen_port=options.port)
    return settings


def listen(host: str, port: int) -> socket.socket:
    """Return a socket that listens there; refuse when there is none to be had."""
    try:
        family, *_, place = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        listener = socket.create_server(place[:2], family=family)
        # Head and body of an answer go out in two writes: without this the second waits for
        # the client to acknowledge the first, 40 ms each time.
        listener.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        return listener
    except (OSError, UnicodeError) as problem:
        reason = getattr(problem, "strerror", None) or problem
        raise Refused([f"cutopt serve: cannot listen on {host}, port {port}: {reason}"]) from None


def _address(listener: socket.socket) -> str:
    host, port = listener.getsockname()[:2]
    return f"http://[{host}]:{port}" if ":" in host else f"http://{host}:{port}"
