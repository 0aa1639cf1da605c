"""Every stored instance planned, and its bound verified by the certificate: how many, how long.

    python -m benchmarks.certificates  # writes results/certificates.jsonl, prints totals

The check has nothing to do with the solver (docs/certificate.md), so this also tests the solver.
"""

import argparse
import json
import statistics
import time
from collections.abc import Iterator
from pathlib import Path
from typing import TypedDict

from benchmarks import published
from benchmarks.results import RESULTS, instances, write_lines
from cutopt.check import check_bound
from cutopt.documents import Plan, Request
from cutopt.pipeline import plan
from cutopt.stop import MaxProcessorSeconds

GROUPS = ("rooms", "slanted", "workshop")


class Row(TypedDict):
    """The bound of one tile of an instance.

    Seconds are those of the processor, for the whole instance.
    """

    group: str
    name: str
    tile: str
    tiles: int
    claimed: int
    proven: int | None
    certified: bool
    why_not: str
    scale: int | None
    seconds_to_plan: float
    seconds_to_verify: float
    bytes: int
    bytes_without: int


def requests(group: str) -> Iterator[tuple[str, Request]]:
    """Yield the instances of a group with their names; those of the workshop are published."""
    if group in published.SETS:
        for of, one, turn in published.instances():
            if of == group:
                yield f"{one['name']}-{turn}", published.request_of(one, turn)
    else:
        for path in instances(group):
            yield path.stem, Request.read(path.read_bytes())


def measured(group: str, name: str, request: Request, seconds: float) -> Iterator[Row]:
    """Plan an instance, verify its certificates and yield a row for each tile."""
    begun = time.process_time()
    made = plan(request, MaxProcessorSeconds(seconds))
    planned = time.process_time() - begun
    begun = time.process_time()
    verdicts = check_bound(request, made)
    verified = time.process_time() - begun
    alone = [total for total in made.totals if total.tile in {one.tile for one in verdicts}]
    for total, verdict in zip(alone, verdicts, strict=True):
        yield {
            "group": group,
            "name": name,
            "tile": total.tile,
            "tiles": total.tiles_needed,
            "claimed": verdict.claimed,
            "proven": verdict.proven,
            "certified": verdict.fault is None,
            "why_not": verdict.fault.rule if verdict.fault else "",
            "scale": total.certificate.scale if total.certificate else None,
            "seconds_to_plan": round(planned, 3),
            "seconds_to_verify": round(verified, 3),
            "bytes": len(made.text()),
            "bytes_without": len(_without_certificates(made).text()),
        }


def _without_certificates(made: Plan) -> Plan:
    bare = (total.model_copy(update={"certificate": None}) for total in made.totals)
    return made.model_copy(update={"totals": tuple(bare)})


def summary(group: str, rows: list[Row]) -> str:
    """Return what came of a group, in a few lines."""
    seconds = {row["name"]: row["seconds_to_verify"] for row in rows}
    certified = [row for row in rows if row["certified"]]
    sizes = {row["name"]: row["bytes"] / row["bytes_without"] for row in rows}
    lines = [
        f"{group}: {len(certified)} of {len(rows)} bounds certified "
        f"({sum(row['claimed'] == row['tiles'] for row in certified)} of them minimal)",
        f"  processor seconds to verify: {sum(seconds.values()):.1f} in all, "
        f"median {statistics.median(seconds.values()):.3f}, most {max(seconds.values()):.2f}",
        f"  a plan grows by {statistics.mean(sizes.values()) - 1:.1%} on average",
    ]
    lines += [
        f"  not certified: {row['name']}: {row['claimed']} claimed: {row['why_not']}"
        for row in rows
        if not row["certified"]
    ]
    return "\n".join(lines)


def main() -> None:
    """Measure all groups, one instance after the other."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=20.0)
    parser.add_argument("--out", type=Path, default=RESULTS / "certificates.jsonl")
    options = parser.parse_args()
    found: list[Row] = []
    for group in GROUPS:
        rows = [row for one in requests(group) for row in measured(group, *one, options.seconds)]
        print(summary(group, rows), flush=True)
        found += rows
    write_lines(options.out, found)
    print(json.dumps({"rows": len(found), "out": options.out.name}))


if __name__ == "__main__":
    main()
