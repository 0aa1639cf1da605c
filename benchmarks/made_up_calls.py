"""Calls made up from the OpenAPI document: no 5xx, no answer that breaks its schema.

`python -m benchmarks.made_up_calls [CALLS]` makes so many (5,000) against a service of its own
and stores what came of them in `benchmarks/results/made_up_calls.json`.
"""

import json
import sys
import time
import warnings
from collections import Counter
from collections.abc import Iterator
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from benchmarks.results import RESULTS
from benchmarks.service import serving

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import schemathesis
    from schemathesis.specs.openapi.checks import (
        content_type_conformance,
        response_schema_conformance,
        status_code_conformance,
    )

MODES = tuple(schemathesis.GenerationMode)
CHECKS = [
    schemathesis.checks.not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
]


def operations(address: str) -> Iterator[Any]:
    """Yield every operation of the service that listens there."""
    for found in schemathesis.openapi.from_url(f"{address}/openapi.json").get_all_operations():
        yield found.ok()  # type: ignore[union-attr]


def call_all(address: str, calls: int) -> Counter[str]:
    """Make up so many calls to each operation, check each answer; count what was answered."""
    answered: Counter[str] = Counter()
    for operation in operations(address):
        _call(operation, calls, answered)
    return answered


def _call(operation: Any, calls: int, answered: Counter[str]) -> None:
    @settings(
        max_examples=calls,
        deadline=None,
        database=None,
        derandomize=True,
        suppress_health_check=list(HealthCheck),
    )
    @given(case=st.one_of(*map(operation.as_strategy, MODES)))
    def call(case: Any) -> None:
        response = case.call_and_validate(checks=CHECKS, timeout=60)
        answered[f"{operation.label} {response.status_code}"] += 1

    call()


def main(calls: int) -> None:
    """Call a service of our own and store the result."""
    since = time.monotonic()
    with serving(CUTOPT_MOST_SECONDS="1") as service:
        answered = call_all(service.address, calls // 10)
    found = {"calls": sum(answered.values()), "seconds": round(time.monotonic() - since, 1)}
    text = json.dumps(found | {"answers": dict(sorted(answered.items()))}, indent=2) + "\n"
    RESULTS.mkdir(exist_ok=True)
    (RESULTS / "made_up_calls.json").write_text(text, encoding="utf-8")
    print(text)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5_000)
