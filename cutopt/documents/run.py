"""A run: one execution of one request by the service, as it crosses the wire."""

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

State = Literal["queued", "running", "done", "failed", "cancelled"]

#: A run in one of these states changes no more.
ENDED: frozenset[State] = frozenset({"done", "failed", "cancelled"})


class Sent(BaseModel):
    """What the service sends: frozen; a reader of today must bear the fields of tomorrow."""

    model_config = ConfigDict(frozen=True, extra="ignore")


class ProblemFault(Sent):
    """One thing that is wrong."""

    place: str = Field(
        description="JSON pointer into the body; `?name` is a parameter of the query."
    )
    value: str = Field(description="What was found there, shortened when long.")
    rule: str = Field(description="What should have been there.")


class Problem(Sent):
    """Why there is no plan (RFC 9457)."""

    type: str = Field(description="Stable name of the kind of problem.")
    title: str
    status: int
    detail: str
    faults: tuple[ProblemFault, ...] = Field(default=(), description="Every place that is wrong.")


class RunProgress(Sent):
    """How far a run is; while several tiles are planned in turn, how far the one in hand is."""

    tile: str = Field(description="The tile that is being planned.")
    step: str = Field(description="What is done now, in a few words.")
    tiles: int | None = Field(default=None, ge=0, description="Tiles of the best plan so far.")
    bound: int = Field(ge=0, description="Tiles that every plan needs at the least.")
    gap: float | None = Field(
        default=None, ge=0, description="(tiles - bound) / tiles: 0 is proven to be the fewest."
    )
    seconds: float = Field(ge=0, description="How long this attempt has searched.")


class PlanRun(Sent):
    """One execution of one request. The plan stands beside it under `plan` once it is there."""

    format: Literal["cutopt.run/1"] = "cutopt.run/1"
    id: str
    state: State
    created: str = Field(description="Date and time (RFC 3339), in UTC, as all times here.")
    started: str | None = Field(default=None, description="When it was first taken up.")
    ended: str | None = None
    expires: str | None = Field(default=None, description="Until when the result is kept.")
    seed: int
    seconds: float = Field(description="How long it may search.")
    deadline: str | None = Field(
        default=None, description="When it has ended, whatever happens to it."
    )
    attempts: Annotated[int, Field(ge=0)] = Field(
        default=0, description="How often it was taken up; more than once after a crash."
    )
    revision: Annotated[int, Field(ge=0)] = Field(
        default=0, description="Grows with every change; the id of its events."
    )
    progress: RunProgress | None = None
    proven_minimal: bool | None = Field(default=None, description="Of every tile of the plan.")
    problem: Problem | None = Field(default=None, description="Why it failed.")

    @property
    def has_ended(self) -> bool:
        """Return whether nothing more will happen."""
        return self.state in ENDED
