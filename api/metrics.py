"""Counters of the service in the Prometheus text format, version 0.0.4."""

import threading
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from cutopt.documents.run import State

MEDIA_TYPE = "text/plain; version=0.0.4; charset=utf-8"
_STATES: tuple[State, ...] = ("queued", "running", "done", "failed", "cancelled")
#: Upper ends of the classes in which run times and gaps are counted.
SECONDS_UP_TO = (0.01, 0.03, 0.1, 0.3, 1.0, 3.0, 10.0, 30.0, 100.0, 300.0, 1000.0, 3600.0)
GAPS_UP_TO = (0.0, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5)


@dataclass
class Histogram:
    """How often values came in each class."""

    ends: tuple[float, ...]
    counts: Counter[float] = field(default_factory=Counter)
    total: float = 0.0

    def add(self, value: float) -> None:
        """Count a value."""
        self.counts[next((end for end in self.ends if value <= end), float("inf"))] += 1
        self.total += value

    def lines(self, name: str) -> Iterator[str]:
        """Yield the lines of the histogram."""
        below = 0
        for end in (*self.ends, float("inf")):
            below += self.counts[end]
            label = "+Inf" if end == float("inf") else f"{end:g}"
            yield f'{name}_bucket{{le="{label}"}} {below}'
        yield f"{name}_sum {self.total}"
        yield f"{name}_count {below}"


@dataclass
class Metrics:
    """What was asked and answered by this process since its start."""

    requests: Counter[int] = field(default_factory=Counter)
    runs: Counter[str] = field(default_factory=Counter)
    plans: Counter[bool] = field(default_factory=Counter)
    seconds: Histogram = field(default_factory=lambda: Histogram(SECONDS_UP_TO))
    gaps: Histogram = field(default_factory=lambda: Histogram(GAPS_UP_TO))
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def count_request(self, status: int) -> None:
        """Count one answered request."""
        with self._lock:
            self.requests[status] += 1

    def count_run(self, state: str, seconds: float) -> None:
        """Count one run that has ended here, and how long its last attempt took."""
        with self._lock:
            self.runs[state] += 1
            self.seconds.add(seconds)

    def count_plan(self, proven: bool, gap: float) -> None:
        """Count one plan: whether it is proven minimal, and how far from its bound it is."""
        with self._lock:
            self.plans[proven] += 1
            self.gaps.add(gap)

    def text(self, states: Mapping[str, int]) -> str:
        """Return the counters as text; `states` are those of all runs that are kept."""
        with self._lock:
            return "\n".join(self._lines(states)) + "\n"

    def _lines(self, states: Mapping[str, int]) -> Iterator[str]:
        yield from _head("cutopt_requests_total", "counter", "Requests answered, by status.")
        for status, count in sorted(self.requests.items()):
            yield f'cutopt_requests_total{{status="{status}"}} {count}'
        yield from _head("cutopt_ended_total", "counter", "Runs that ended here, by state.")
        for state in _STATES[2:]:
            yield f'cutopt_ended_total{{state="{state}"}} {self.runs[state]}'
        yield from _head("cutopt_plans_total", "counter", "Plans made: proven minimal or not.")
        for proven in (True, False):
            yield f'cutopt_plans_total{{proven="{str(proven).lower()}"}} {self.plans[proven]}'
        yield from _head("cutopt_run_seconds", "histogram", "Time that the runs took.")
        yield from self.seconds.lines("cutopt_run_seconds")
        yield from _head("cutopt_plan_gap", "histogram", "(tiles - bound) / tiles of the plans.")
        yield from self.gaps.lines("cutopt_plan_gap")
        yield from _head("cutopt_runs", "gauge", "Runs that are kept, of all processes, by state.")
        for state in _STATES:
            yield f'cutopt_runs{{state="{state}"}} {states.get(state, 0)}'


def _head(name: str, kind: str, help_text: str) -> Iterator[str]:
    yield f"# HELP {name} {help_text}"
    yield f"# TYPE {name} {kind}"
