"""When to stop, and who is told how far it is: one interface for time, cancelling and progress.

A `Stop` is asked again and again while something runs. It sees the `Progress` made so far and
answers with a reason to stop, or None to go on. Several make one with `first_of`.
"""

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal, Protocol

Reason = Literal["time", "cancelled"]


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a run is.

    Attributes
    ----------
    tile : str
        The tile being planned.
    step : str
        What is done now, in a few words.
    tiles : int or None
        Tiles of the best plan so far; None before there is one.
    bound : int
        Tiles that every plan needs at the least, as far as is proven.
    """

    tile: str
    step: str
    tiles: int | None = None
    bound: int = 0


class Stop(Protocol):
    """A criterion that ends a search."""

    def reason(self, progress: Progress) -> Reason | None:
        """Return why to stop now, or None to go on."""

    def seconds_left(self) -> float:
        """Return how long a step may take at the most; infinity when time does not matter."""


@dataclass(frozen=True)
class MaxSeconds:
    """Stop when so many seconds have passed since it was made."""

    seconds: float
    since: float = field(default_factory=time.monotonic)

    def reason(self, progress: Progress) -> Reason | None:
        """Return "time" when the time is over."""
        del progress
        return None if self.seconds_left() > 0 else "time"

    def seconds_left(self) -> float:
        """Return the seconds that are left."""
        return self.since + self.seconds - time.monotonic()


@dataclass(frozen=True)
class MaxProcessorSeconds:
    """Stop when this process has worked for so many seconds since it was made.

    What else the machine does is not counted, so measurements and tests can be repeated.
    """

    seconds: float
    since: float = field(default_factory=time.process_time)

    def reason(self, progress: Progress) -> Reason | None:
        """Return "time" when the time is over."""
        del progress
        return None if self.seconds_left() > 0 else "time"

    def seconds_left(self) -> float:
        """Return the seconds that are left."""
        return self.since + self.seconds - time.process_time()


@dataclass(frozen=True)
class Cancelled:
    """Stop when the event is set, from whichever thread."""

    event: threading.Event

    def reason(self, progress: Progress) -> Reason | None:
        """Return "cancelled" once the event is set."""
        del progress
        return "cancelled" if self.event.is_set() else None

    def seconds_left(self) -> float:
        """Return infinity, or nothing once cancelled."""
        return 0.0 if self.event.is_set() else float("inf")


@dataclass(frozen=True)
class Told:
    """Never stop, but tell somebody of each step."""

    tell: Callable[[Progress], None]

    def reason(self, progress: Progress) -> Reason | None:
        """Tell, and go on."""
        self.tell(progress)
        return None

    def seconds_left(self) -> float:
        """Return infinity."""
        return float("inf")


@dataclass(frozen=True)
class FirstOf:
    """Stop as soon as one of several criteria says so."""

    stops: tuple[Stop, ...]

    def reason(self, progress: Progress) -> Reason | None:
        """Return the first reason that any criterion gives; all are asked."""
        reasons = [stop.reason(progress) for stop in self.stops]
        return next((reason for reason in reasons if reason), None)

    def seconds_left(self) -> float:
        """Return the least that any criterion leaves."""
        return min((stop.seconds_left() for stop in self.stops), default=float("inf"))


def first_of(*stops: Stop) -> Stop:
    """Return the criterion that stops as soon as one of these does."""
    return FirstOf(stops)
