"""Memory over many requests: `python -m benchmarks.service_memory [REQUESTS] [CLIENTS]`.

Posts so many small bathrooms (10,000 when not said), no two alike, and looks at the memory of the
server and of its children all the while, and at how `/healthz` answers. What is stored after each
look: the memory, and how much more of it a thousand requests take, by least squares over the
second half of the looks. Stop it at will: what was seen stays, but of health, told at the end.
"""

import json
import statistics
import sys
from concurrent.futures import ThreadPoolExecutor
from itertools import islice

import httpx2

from benchmarks.results import RESULTS
from benchmarks.service import Service, children, circumstances, resident_mib, serving
from benchmarks.service_load import bathrooms, health_watched, post, quantiles

_LOOKS = 20


def memory(service: Service) -> dict[str, float]:
    """Return the memory of the server, and the most that one of its children takes."""
    below = [resident_mib(child) for child in children(service.pid)]
    return {"server": round(resident_mib(service.pid), 1), "largest_child": round(max(below), 1)}


def growth(looks: list[dict[str, float]]) -> dict[str, float]:
    """Return the MiB that a thousand requests more take, over the second half of the looks."""
    late = looks[len(looks) // 2 :]
    if len(late) < 2:
        return {}
    thousands = [look["requests"] / 1000 for look in late]
    return {
        name: round(statistics.linear_regression(thousands, [look[name] for look in late]).slope, 3)
        for name in ("server", "largest_child")
    }


def main(requests: int, clients: int) -> None:
    """Measure, and store after each look, so that an end before the last one costs little."""
    limits, answers, looks = httpx2.Limits(max_connections=clients), list[float](), []
    with (
        serving() as service,
        health_watched(service.address, answers),
        ThreadPoolExecutor(clients) as threads,
        httpx2.Client(base_url=service.address, timeout=120, limits=limits) as client,
    ):
        numbers = iter(range(requests))
        while some := list(islice(numbers, max(requests // _LOOKS, 1))):
            bodies = bathrooms(some, smallest=True)
            list(threads.map(lambda body: post(client, body), bodies))
            looks.append({"requests": some[-1] + 1, **memory(service)})
            print(looks[-1], flush=True)
            store(clients, looks, answers)
    store(clients, looks, answers)


def store(clients: int, looks: list[dict[str, float]], answers: list[float]) -> None:
    """Write down what was seen so far."""
    found: dict[str, object] = {"clients": clients}
    if answers:
        found["healthz_ms"] = quantiles(answers)
    found["mib_per_thousand"] = growth(looks)
    text = json.dumps(found | {"memory_mib": looks} | circumstances(), indent=2) + "\n"
    (RESULTS / "service_memory.json").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    given = [int(text) for text in sys.argv[1:3]]
    main(*(given + [10_000, 64][len(given) :]))
