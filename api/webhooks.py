"""Callbacks: a signed message to whoever asked to be told when a run ends, until it arrives.

The signature is that of the Standard Webhooks scheme, version 1: HMAC-SHA-256 over `id.time.body`.
"""

import base64
import hashlib
import hmac
import http.client
import json
import logging
import socket
import ssl
import threading
import time
from collections.abc import Iterator
from contextlib import closing
from ipaddress import ip_address
from urllib.parse import SplitResult, urlsplit

import sqlalchemy as sa

from api.runs.records import Records
from api.runs.tables import DELIVERIES

#: Seconds after which a delivery that failed is tried again; after the last it is given up.
PAUSES = (2, 10, 60, 300, 1800, 7200, 21600)
_TIMEOUT_SECONDS = 10
_LOOK_EVERY = 1.0
#: While one process delivers, no other does.
_CLAIM_SECONDS = 60

_log = logging.getLogger("cutopt.webhooks")


class NotAllowed(Exception):  # noqa: N818 - it says what it is
    """Messages are not sent to such an address."""


def check_url(url: str) -> None:
    """Raise `NotAllowed` when a callback could never go there, whatever its name stands for."""
    parts = urlsplit(url)
    port = parts.port  # raises ValueError when it is no number
    if parts.scheme not in ("http", "https") or not parts.hostname or parts.username or port == 0:
        raise NotAllowed("a callback is an http or https address without a user name")


def sign(secret: bytes, identity: str, sent: int, body: bytes) -> str:
    """Return the signature of a message."""
    digest = hmac.digest(secret, f"{identity}.{sent}.".encode() + body, hashlib.sha256)
    return f"v1,{base64.b64encode(digest).decode()}"


class Deliverer:
    """Sends what is due, in a thread."""

    def __init__(self, records: Records, secret: bytes, private: bool) -> None:
        self._records = records
        self._secret = secret
        self._private = private
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._deliver, name="webhooks", daemon=True)

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def close(self) -> None:
        """End; what is not delivered is delivered later, or by another process."""
        self._ended.set()
        self._thread.join()

    def _deliver(self) -> None:
        while not self._ended.wait(_LOOK_EVERY):
            try:
                for run, url, attempts in self._due():
                    self._try(run, url, attempts)
            except Exception:
                _log.exception("delivering failed, and will be tried again")

    def _due(self) -> Iterator[tuple[str, str, int]]:
        """Yield the deliveries that are due, each claimed for this process."""
        now = time.time()
        waits = DELIVERIES.c.outcome.is_(None) & (DELIVERIES.c.due <= now)
        with self._records.engine.connect() as db:
            found = db.execute(sa.select(DELIVERIES).where(waits).limit(20)).all()
        for row in found:
            mine = waits & (DELIVERIES.c.run == row.run) & (DELIVERIES.c.due == row.due)
            claim = sa.update(DELIVERIES).where(mine).values(due=now + _CLAIM_SECONDS)
            with self._records.engine.begin() as db:
                claimed = db.execute(claim).rowcount
            if claimed:
                yield row.run, row.url, row.attempts

    def _try(self, run: str, url: str, attempts: int) -> None:
        record = self._records.find(run)
        if record is None:
            return
        news = record.run().model_dump(mode="json", exclude_none=True)
        body = json.dumps({"type": f"run.{record.state}", "data": news}).encode()
        try:
            outcome = self._send(url, run, body)
        except (OSError, http.client.HTTPException, NotAllowed, ValueError) as problem:
            outcome = type(problem).__name__
        _log.info("callback: %s", outcome, extra={"run": run, "attempts": attempts + 1})
        arrived = outcome.startswith("2")
        given_up = attempts >= len(PAUSES)
        values: dict[str, object] = {"attempts": attempts + 1}
        values["outcome"] = outcome if arrived or given_up else None
        if not given_up:
            values["due"] = time.time() + PAUSES[attempts]
        with self._records.engine.begin() as db:
            db.execute(sa.update(DELIVERIES).where(DELIVERIES.c.run == run).values(values))

    def _send(self, url: str, run: str, body: bytes) -> str:
        parts, sent = urlsplit(url), int(time.time())
        headers = {
            "Content-Type": "application/json",
            "webhook-id": run,
            "webhook-timestamp": str(sent),
            "webhook-signature": sign(self._secret, run, sent, body),
        }
        with closing(self._connection(parts)) as connection:
            path = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
            connection.request("POST", path, body, headers)
            # Redirects are not followed: they could lead where callbacks may not go.
            return str(connection.getresponse().status)

    def _connection(self, parts: SplitResult) -> http.client.HTTPConnection:
        """Return a connection to an address that was checked, not to a name that may change."""
        host = parts.hostname or ""
        port = parts.port or (443 if parts.scheme == "https" else 80)
        places = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
        for *_, place in places:
            if not self._private and not ip_address(str(place[0])).is_global:
                raise NotAllowed("callbacks do not go to private addresses")
        connection = http.client.HTTPConnection(host, port, timeout=_TIMEOUT_SECONDS)
        connection.sock = socket.create_connection((str(places[0][4][0]), port), _TIMEOUT_SECONDS)
        if parts.scheme == "https":
            context = ssl.create_default_context()
            connection.sock = context.wrap_socket(connection.sock, server_hostname=host)
        return connection
