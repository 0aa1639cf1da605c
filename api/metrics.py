"""Counters of the service in the Prometheus text format, version 0.0.4."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

MEDIA_TYPE = "text/plain; version=0.0.4; charset=utf-8"


@dataclass
class Metrics:
    """What was asked and answered since the start; used on the event loop only."""

    requests: Counter[int] = field(default_factory=Counter)
    plans: Counter[bool] = field(default_factory=Counter)
    seconds: float = 0.0

    def count_request(self, status: int) -> None:
        """Count one answered request."""
        self.requests[status] += 1

    def count_plan(self, proven: bool, seconds: float) -> None:
        """Count one plan: whether it is proven minimal, and how long it took."""
        self.plans[proven] += 1
        self.seconds += seconds

    def text(self, running: int) -> str:
        """Return the counters as text."""
        return "\n".join(self._lines(running)) + "\n"

    def _lines(self, running: int) -> Iterator[str]:
        yield from _head("cutopt_requests_total", "counter", "Requests answered, by status.")
        for status, count in sorted(self.requests.items()):
            yield f'cutopt_requests_total{{status="{status}"}} {count}'
        yield from _head("cutopt_plans_total", "counter", "Plans made: proven minimal or not.")
        for proven in (True, False):
            yield f'cutopt_plans_total{{proven="{str(proven).lower()}"}} {self.plans[proven]}'
        yield from _head("cutopt_plan_seconds", "summary", "Time that the plans took.")
        yield f"cutopt_plan_seconds_sum {self.seconds}"
        yield f"cutopt_plan_seconds_count {self.plans.total()}"
        yield from _head("cutopt_searches_running", "gauge", "Searches that run now.")
        yield f"cutopt_searches_running {running}"


def _head(name: str, kind: str, help_text: str) -> Iterator[str]:
    yield f"# HELP {name} {help_text}"
    yield f"# TYPE {name} {kind}"
