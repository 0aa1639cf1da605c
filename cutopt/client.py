"""A small client of the service, with nothing but the standard library.

>>> client = Client("http://127.0.0.1:8080")              # doctest: +SKIP
>>> plan = client.plan(request, seconds=20)               # doctest: +SKIP
"""

import base64
import hashlib
import hmac
import json
import time
import urllib.error
import urllib.request
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from http.client import HTTPResponse
from typing import Any
from urllib.parse import urlencode, urljoin, urlsplit

from cutopt.documents import Job, Plan, Request
from cutopt.documents.run import PlanRun, Problem


class Refused(Exception):  # noqa: N818 - reads as the sentence it is
    """The service refused; `problem` says why."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(f"{problem.title}: {problem.detail}")
        self.problem = problem


#: A callback that says it was sent longer ago than this may be one that somebody sends again.
_CALLBACK_SECONDS = 300


def read_callback(secret: str, headers: Mapping[str, str], body: bytes) -> PlanRun:
    """Return the run that a callback tells of.

    Parameters
    ----------
    secret : str
        What the service signs its callbacks with (its `CUTOPT_CALLBACK_SECRET`).
    headers : mapping
        The headers of the request, in any spelling.
    body : bytes
        Its body, as it came.

    Raises
    ------
    ValueError
        When the service did not send it, or not just now.
    """
    named = {name.lower(): value for name, value in headers.items()}
    try:
        run, sent = named["webhook-id"], named["webhook-timestamp"]
        old = abs(time.time() - int(sent)) > _CALLBACK_SECONDS
        given = named["webhook-signature"].split()
    except (KeyError, ValueError):
        raise ValueError("this is no callback") from None
    digest = hmac.digest(secret.encode(), f"{run}.{sent}.".encode() + body, hashlib.sha256)
    expected = f"v1,{base64.b64encode(digest).decode()}"
    if old or not any(hmac.compare_digest(expected.encode(), one.encode()) for one in given):
        raise ValueError("the service did not send this, or not just now")
    return PlanRun.model_validate(json.loads(body)["data"])


@dataclass(frozen=True)
class Client:
    """Calls one service.

    Attributes
    ----------
    address : str
        Where it listens, as `http://127.0.0.1:8080`.
    key : str, optional
        The key that lets us in.
    timeout : float
        How long a connection may be silent, in seconds.
    """

    address: str
    key: str | None = None
    timeout: float = 150.0

    def __post_init__(self) -> None:
        if urlsplit(self.address).scheme not in ("http", "https"):
            raise ValueError("the address of a service begins with http:// or https://")

    def plan(
        self,
        asked: Request | Job,
        seconds: float | None = None,
        key: str | None = None,
        deadline: float | None = None,
    ) -> Plan:
        """Return the plan of a request or a job, however long it takes.

        Parameters
        ----------
        asked : Request or Job
            What is to be planned.
        seconds : float, optional
            How long the service may search.
        key : str, optional
            An idempotency key: after a broken connection, call again with the same.
        deadline : float, optional
            How many seconds from now the run has to have ended, whatever happens.

        Raises
        ------
        Refused
            When the service says why not.
        """
        query = {"seconds": seconds, "deadline": deadline}
        answer = self._post(asked, query, key, prefer="wait=60")
        if answer.status == 200:
            return Plan.read(answer.body)
        return self.plan_of(self.wait(PlanRun.model_validate_json(answer.body).id))

    def start(
        self,
        asked: Request | Job,
        seconds: float | None = None,
        key: str | None = None,
        deadline: float | None = None,
        callback: str | None = None,
    ) -> str:
        """Start a run and return its id without waiting for it; `callback` is told of its end."""
        query = {"seconds": seconds, "deadline": deadline, "callback": callback}
        answer = self._post(asked, query, key, prefer="respond-async")
        if answer.status == 200:  # the service had the plan already
            return answer.headers["content-location"].split("/")[3]
        return PlanRun.model_validate_json(answer.body).id

    def run(self, run: str) -> PlanRun:
        """Return a run as it is now."""
        return PlanRun.model_validate_json(self._call("GET", f"/v1/plans/{run}").body)

    def plan_of(self, run: str) -> Plan:
        """Return the plan of a run."""
        return Plan.read(self._call("GET", f"/v1/plans/{run}/plan").body)

    def cancel(self, run: str) -> PlanRun:
        """Cancel a run; the best plan so far stays readable."""
        return PlanRun.model_validate_json(self._call("DELETE", f"/v1/plans/{run}").body)

    def wait(self, run: str) -> str:
        """Return the id of the run once it has ended; raise `Refused` if it failed."""
        for news in self.follow(run):
            if news.problem is not None:
                raise Refused(news.problem)
        return run

    def follow(self, run: str) -> Iterator[PlanRun]:
        """Yield the run at each change until it has ended, across broken connections."""
        last = ""
        while True:
            with self._opened("GET", f"/v1/plans/{run}/events", {"Last-Event-ID": last}) as lines:
                if lines.status == 204:
                    return
                for name, value in _fields(lines):
                    if name == "data":
                        news = PlanRun.model_validate_json(value)
                        last = str(news.revision)
                        yield news
                        if news.has_ended:
                            return
            time.sleep(0.5)

    def _post(
        self, asked: Request | Job, said: Mapping[str, object], key: str | None, prefer: str
    ) -> "_Answer":
        given = {name: value for name, value in said.items() if value is not None}
        query = "?" + urlencode(given) if given else ""
        headers = {"Content-Type": "application/json", "Prefer": prefer}
        if key is not None:
            headers["Idempotency-Key"] = key
        return self._call("POST", f"/v1/plans{query}", headers, asked.text().encode())

    def _call(
        self,
        method: str,
        path: str,
        headers: Mapping[str, str] | None = None,
        body: bytes | None = None,
    ) -> "_Answer":
        with self._opened(method, path, headers or {}, body) as answer:
            named = {name.lower(): value for name, value in answer.headers.items()}
            return _Answer(answer.status, named, answer.read())

    def _opened(
        self, method: str, path: str, headers: Mapping[str, str], body: bytes | None = None
    ) -> HTTPResponse:
        own = {} if self.key is None else {"Authorization": f"Bearer {self.key}"}
        sent = {name: value for name, value in {**headers, **own}.items() if value}
        asked = urllib.request.Request(
            urljoin(self.address, path), data=body, headers=sent, method=method
        )
        try:
            answer: HTTPResponse = urllib.request.urlopen(asked, timeout=self.timeout)
        except urllib.error.HTTPError as problem:
            with problem:
                raise Refused(_problem(problem)) from None
        return answer


@dataclass(frozen=True)
class _Answer:
    status: int
    headers: Mapping[str, str]
    body: bytes


def _fields(lines: HTTPResponse) -> Iterator[tuple[str, str]]:
    for line in lines:
        name, _, value = line.decode().rstrip("\r\n").partition(":")
        yield name, value.removeprefix(" ")


def _problem(answer: urllib.error.HTTPError) -> Problem:
    try:
        data: Any = json.loads(answer.read())
        return Problem.model_validate(data)
    except ValueError:  # something in between answered, not the service
        return Problem(
            type="about:blank",
            title=answer.reason,
            status=answer.code,
            detail="no problem document",
        )
