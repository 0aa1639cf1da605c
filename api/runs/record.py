"""A run as the service holds it, and how it looks from outside."""

import secrets
import time
import uuid
from dataclasses import dataclass
from datetime import UTC, datetime

from cutopt.documents.run import ENDED, PlanRun, Problem, RunProgress, State

#: Who calls when nobody has to say who they are.
ANYBODY = "anybody"


@dataclass(frozen=True, slots=True)
class Order:
    """What is asked for, read and found right.

    Attributes
    ----------
    request, digest : str
        The request as our own text, and what stands for its content, seed and version.
    seed, seconds : int, float
        How the search is done.
    tenant : str
        Who asks.
    key, fingerprint : str or None
        The idempotency key, and what stands for all that was sent with it.
    callback : str or None
        Whom to tell when it has ended.
    deadline : float or None
        When it has to have ended, whatever happened to it.
    trace : str or None
        The trace that the request belongs to.
    """

    request: str
    digest: str
    seed: int
    seconds: float
    tenant: str = ANYBODY
    key: str | None = None
    fingerprint: str | None = None
    callback: str | None = None
    deadline: float | None = None
    trace: str | None = None


@dataclass(frozen=True, slots=True)
class Ending:
    """How a run ended; `reusable` when its plan answers the same request from now on."""

    state: State
    plan: str | None = None
    proven: bool | None = None
    problem: str | None = None
    reusable: bool = False


@dataclass(frozen=True, slots=True)
class Record:
    """A row of `cutopt_runs`."""

    id: str
    tenant: str
    state: State
    request: str
    digest: str
    seed: int
    seconds: float
    created: float
    started: float | None = None
    ended: float | None = None
    expires: float | None = None
    owner: str | None = None
    attempts: int = 0
    submissions: int = 0
    submitted: bool = False
    cancel: bool = False
    revision: int = 0
    progress: str | None = None
    plan: str | None = None
    proven: bool | None = None
    problem: str | None = None
    callback: str | None = None
    key: str | None = None
    fingerprint: str | None = None
    deadline: float | None = None
    reusable: bool | None = None
    trace: str | None = None

    @property
    def has_ended(self) -> bool:
        """Return whether nothing more will happen."""
        return self.state in ENDED

    @property
    def seconds_left(self) -> float:
        """Return how long a search that begins now may take."""
        left = float("inf") if self.deadline is None else self.deadline - time.time()
        return min(self.seconds, left)

    def run(self) -> PlanRun:
        """Return the run as its callers see it."""
        return PlanRun(
            id=self.id,
            state=self.state,
            created=_date(self.created) or "",
            started=_date(self.started),
            ended=_date(self.ended),
            expires=_date(self.expires),
            seed=self.seed,
            seconds=self.seconds,
            deadline=_date(self.deadline),
            attempts=self.attempts,
            revision=self.revision,
            progress=RunProgress.model_validate_json(self.progress) if self.progress else None,
            proven_minimal=self.proven,
            problem=Problem.model_validate_json(self.problem) if self.problem else None,
        )

    def text(self) -> str:
        """Return the run as JSON, its plan byte for byte as it was made."""
        head = self.run().model_dump_json(indent=2, exclude_none=True)
        if self.plan is None:
            return head + "\n"
        # The text of a tower's plan is long: it is not indented anew, but goes out as it is.
        return f'{head[:-2]},\n  "plan": {self.plan.rstrip()}\n}}\n'


def ordered(order: Order) -> Record:
    """Return the new record of an order."""
    return Record(
        id=new_id(),
        tenant=order.tenant,
        state="queued",
        request=order.request,
        digest=order.digest,
        seed=order.seed,
        seconds=order.seconds,
        created=time.time(),
        callback=order.callback,
        key=order.key,
        fingerprint=order.fingerprint,
        deadline=order.deadline,
        trace=order.trace,
    )


def new_id() -> str:
    """Return an id that sorts by time and that nobody guesses (UUID version 7, RFC 9562)."""
    bits = time.time_ns() // 1_000_000 << 80 | secrets.randbits(80)
    bits = bits & ~(0xF << 76) | 0x7 << 76
    bits = bits & ~(0x3 << 62) | 0x2 << 62
    return str(uuid.UUID(int=bits))


def _date(seconds: float | None) -> str | None:
    if seconds is None:
        return None
    return datetime.fromtimestamp(seconds, UTC).isoformat(timespec="milliseconds")
