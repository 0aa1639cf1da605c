"""Callbacks: signed, sent again until they arrive, and never to private addresses unasked."""

import base64
import hashlib
import hmac
import json
import re
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, HTTPServer
from typing import Any

import httpx2
import pytest

from api import webhooks
from api.examples import REQUEST
from api.settings import Settings
from cutopt.client import read_callback
from tests.processes import ROOT
from tests.service.conftest import Serve
from tests.service.test_plans import problem_of
from tests.service.test_runs import until

CALLING = (ROOT / "docs" / "calling.md").read_text(encoding="utf-8")
SECRET = "only for these tests, 24 or more"
ON = Settings(callback_secret=SECRET, private_callbacks="yes")


class Receiver(BaseHTTPRequestHandler):
    """Fails the first time, then takes what comes."""

    got: list[tuple[dict[str, str], bytes]]

    def do_POST(self) -> None:
        body = self.rfile.read(int(self.headers["content-length"]))
        self.got.append(({name.lower(): value for name, value in self.headers.items()}, body))
        self.send_response(500 if len(self.got) == 1 else 204)
        self.end_headers()

    def log_message(self, *_: Any) -> None:
        pass


@pytest.fixture
def receiver() -> Iterator[tuple[str, list[tuple[dict[str, str], bytes]]]]:
    class Fresh(Receiver):
        got: list[tuple[dict[str, str], bytes]] = []  # noqa: RUF012

    with HTTPServer(("127.0.0.1", 0), Fresh) as server:
        thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
        thread.start()
        yield f"http://127.0.0.1:{server.server_port}/ended?wall=7", Fresh.got
        server.shutdown()
        thread.join()


@pytest.fixture(autouse=True)
def hasty(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(webhooks, "PAUSES", (0.1, 0.1))
    monkeypatch.setattr(webhooks, "_LOOK_EVERY", 0.05)


def post(client: httpx2.Client, callback: str) -> httpx2.Response:
    return client.post("/v1/plans", params={"callback": callback}, json=REQUEST)


def test_it_is_signed_and_sent_again(
    serve: Serve,
    receiver: tuple[str, list[tuple[dict[str, str], bytes]]],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    url, got = receiver
    answer = post(serve(ON), url)
    assert answer.status_code == 200
    until(lambda: len(got) == 2)
    headers, body = got[1]
    assert got[0][1] == body
    signed = f"{headers['webhook-id']}.{headers['webhook-timestamp']}.".encode() + body
    expected = base64.b64encode(hmac.new(SECRET.encode(), signed, hashlib.sha256).digest())
    assert headers["webhook-signature"] == f"v1,{expected.decode()}"
    news = json.loads(body)
    assert news["type"] == "run.done"
    assert read_callback(SECRET, headers, body).state == "done"
    [example] = re.findall(r"<!-- callback -->\n```python\n(.*?)```", CALLING, re.DOTALL)
    monkeypatch.setenv("CUTOPT_CALLBACK_SECRET", SECRET)
    names: dict[str, Any] = {}
    exec(example, names)
    names["ended"](headers, body)
    assert capsys.readouterr().out == f"{news['data']['id']} done\n"
    later = headers | {"webhook-timestamp": str(int(headers["webhook-timestamp"]) + 1)}
    for wrong in (
        (SECRET + "!", headers, body),
        (SECRET, headers, body + b" "),
        (SECRET, later, body),
        (SECRET, {}, body),
    ):
        with pytest.raises(ValueError, match="this"):
            read_callback(*wrong)
    monkeypatch.setattr("cutopt.client._CALLBACK_SECONDS", -1)
    with pytest.raises(ValueError, match="not just now"):
        read_callback(SECRET, headers, body)
    assert f"/v1/plans/{news['data']['id']}/plan" == answer.headers["content-location"]


def test_the_signature_by_the_definition_of_hmac() -> None:
    """H(key xor opad, H(key xor ipad, text)): RFC 2104, section 2."""
    assert (
        webhooks.sign(b"k", "a", 1, b"b")
        == "v1,"
        + base64.b64encode(
            hashlib.sha256(
                bytes(x ^ 0x5C for x in b"k".ljust(64, b"\0"))
                + hashlib.sha256(bytes(x ^ 0x36 for x in b"k".ljust(64, b"\0")) + b"a.1.b").digest()
            ).digest()
        ).decode()
    )


def test_private_addresses_are_refused(
    serve: Serve, receiver: tuple[str, list[tuple[dict[str, str], bytes]]]
) -> None:
    url, got = receiver
    client = serve(Settings(callback_secret=SECRET))
    deliverer = webhooks.Deliverer(None, b"", False)  # type: ignore[arg-type]
    for host in ("127.0.0.1", "localhost", "10.0.0.1", "169.254.169.254", "[::1]", "0.0.0.0"):
        with pytest.raises(webhooks.NotAllowed):
            deliverer._send(f"http://{host}:{url.split(':')[2]}", "run", b"{}")
    assert post(client, url).status_code == 200
    until(lambda: client.get("/metrics").status_code == 200)
    assert got == []


@pytest.mark.parametrize(
    "url",
    ["ftp://a.example/", "http://", "nowhere", "http://u:p@a.example/", "http://a.example:x/"],
)
def test_what_is_no_callback(client: httpx2.Client, url: str) -> None:
    with pytest.raises((webhooks.NotAllowed, ValueError)):
        webhooks.check_url(url)
    problem = problem_of(post(client, "http://a.example/"), "invalid-input")
    assert problem["faults"][0]["place"] == "?callback"
