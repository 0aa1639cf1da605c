"""Published instances with published values: `python -m benchmarks.published`.

Each instance is planned as a user's request, replayed by the independent check, and stored as a
line of `results/published.jsonl`; what is stored is not measured again, so it can be stopped and
taken up at will. `--report` writes the page. Two cores work on an instance, a process each that
plans from a seed of its own; the better plan and the better bound count, and as soon as they meet
both end. Seconds are those that the busier process itself worked, limit included.
"""

import argparse
import csv
import json
import platform
import time
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from multiprocessing import Process, Queue
from typing import Any

from benchmarks.results import HERE, read_lines
from cutopt.documents import Request
from cutopt.pipeline import plan
from cutopt.stop import MaxProcessorSeconds
from cutopt.version import MADE_BY

DATA = HERE.parent / "tests" / "data"
RESULTS = HERE / "results" / "published.jsonl"
PAGE = HERE.parent / "docs" / "benchmarks" / "published.md"
TURNS = {"none": "fixed", "quarter": "turned"}
SETS = {
    "bin2d": "bin2d_odd_classes.json",
    "gcut": "gcut_demands.json",
    "workshop": "cutting2d_a01_a22.json",
}
Row = dict[str, Any]
#: Searches of one instance, side by side, a core for each.
SEEDS = 2
#: A search that has no answer after so many times its seconds has failed.
PATIENCE = 10


def main(arguments: list[str] | None = None) -> None:
    """Measure what is not stored yet, or write the page."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=20)
    parser.add_argument("--report", action="store_true")
    options = parser.parse_args(arguments)
    if options.report:
        PAGE.write_text("\n".join(page_of(read_lines(RESULTS))) + "\n", encoding="utf-8")
        return
    stored = {(row["set"], row["name"], row["turn"]) for row in read_lines(RESULTS)}
    for group, one, turn in instances():
        if (group, one["name"], turn) not in stored:
            row = measure(group, one, turn, options.seconds)
            with RESULTS.open("a", encoding="utf-8") as file:
                file.write(json.dumps(row) + "\n")


def instances() -> Iterator[tuple[str, Row, str]]:
    """Yield every instance, fixed and turned, the small ones first."""
    found = [
        (group, one, turn)
        for group, file in SETS.items()
        for one in json.loads((DATA / file).read_text(encoding="utf-8"))["instances"]
        for turn in TURNS
    ]
    yield from sorted(found, key=lambda each: (each[0] == "bin2d", each[1].get("n", 0)))


def request_of(one: Row, turn: str) -> Request:
    """Return an instance as a request, without kerf."""
    if "stock" in one:
        width, height = one["stock"][0]["W"], one["stock"][0]["H"]
        items: Counter[tuple[int, int]] = Counter()
        for item in one["items"]:
            items[item["w"], item["h"]] += item["demand"]
    else:
        width, height = one["W"], one["H"]
        items = Counter((w, h) for w, h in one["items"])
    return Request.of(
        {
            "tiles": [{"id": "sheet", "width": width, "height": height, "turn": turn}],
            "saw": {"kerf": 0},
            "pieces": [
                {"id": f"p{number}", "width": w, "height": h, "quantity": quantity}
                for number, ((w, h), quantity) in enumerate(items.items(), start=1)
            ],
        }
    )


def measure(group: str, one: Row, turn: str, seconds: float) -> Row:
    """Plan one instance from each seed, on as many cores."""
    results: Queue[Row] = Queue()
    searches = [
        Process(target=search, args=(request_of(one, turn), seed, seconds, results), daemon=True)
        for seed in range(SEEDS)
    ]
    for process in searches:
        process.start()
    found = [results.get(timeout=PATIENCE * seconds)]
    while len(found) < SEEDS and found[-1]["sheets"] > found[-1]["bound"]:
        found.append(results.get(timeout=PATIENCE * seconds))
    for process in searches:
        process.terminate()
        process.join()
    sheets, bound = min(each["sheets"] for each in found), max(each["bound"] for each in found)
    return {
        "set": group,
        "name": one["name"],
        "class": one.get("class"),
        "n": one.get("n"),
        "turn": turn,
        "sheets": sheets,
        "bound": bound,
        "proven": sheets == bound,
        "seconds": max(each["seconds"] for each in found),
        "allowed": seconds,
        "seeds": SEEDS,
        "made_by": MADE_BY,
        "python": platform.python_version(),
    }


def search(request: Request, seed: int, seconds: float, results: "Queue[Row]") -> None:
    """Plan once; `plan` raises when the independent check refuses the plan."""
    since = time.process_time()
    (total,) = plan(request, MaxProcessorSeconds(seconds), seed).totals
    worked = round(time.process_time() - since, 2)
    results.put({"sheets": total.tiles_needed, "bound": total.lower_bound, "seconds": worked})


def page_of(rows: Iterable[Row]) -> Iterator[str]:
    """Yield the lines of the page."""
    rows = list(rows)
    yield "# Published instances"
    yield ""
    yield "*Written by `python -m benchmarks.published --report`; do not edit. What the sets are"
    yield "and where their values come from: [tests/data/README.md](../../tests/data/README.md).*"
    yield ""
    yield (
        "Kerf 0, no factory edges, cuts from edge to edge in any number of stages. Each plan was "
        f"replayed by the independent check. {SEEDS} searches, each from a seed of its own, side "
        "by side on a machine of 2 cores; the better plan and the better bound count. Seconds are "
        "processor seconds of the busier one, at most "
        f"{max((row['allowed'] for row in rows), default=0):.0f} allowed for each instance."
    )
    yield ""
    yield from _bin2d([row for row in rows if row["set"] == "bin2d"])
    for group, title in (("gcut", "Demands of Cintra et al."), ("workshop", "A wood workshop")):
        yield from _single(title, [row for row in rows if row["set"] == group])


def _bin2d(rows: list[Row]) -> Iterator[str]:
    path = DATA / "bin2d_odd_classes_best_known.csv"
    with path.open(encoding="utf-8") as file:
        known = {(int(row["cls"]), int(row["n"])): row for row in csv.DictReader(file)}
    for turn, column, least in (("none", "UB_OG", "LB_O_best"), ("quarter", "UB_RG", "LB_R_best")):
        cells: dict[tuple[int, int], list[Row]] = defaultdict(list)
        for row in rows:
            if row["turn"] == turn:
                cells[row["class"], row["n"]].append(row)
        yield f"## Two-dimensional bin packing, pieces {TURNS[turn]}"
        yield ""
        yield (
            "| class | pieces | measured | sheets | best published | our bound | best bound known "
            "| proven | seconds, median | slowest |"
        )
        yield "|---:|---:|---:|---:|---:|---:|---:|---:|---:|---:|"
        for cell, mine in sorted(cells.items()):
            yield _cell(cell, mine, int(known[cell][column]), int(known[cell][least]))
        whole = {cell: mine for cell, mine in cells.items() if len(mine) == 10}
        sheets = sum(row["sheets"] for mine in whole.values() for row in mine)
        best = sum(int(known[cell][column]) for cell in whole)
        proven = sum(row["proven"] for mine in cells.values() for row in mine)
        count = sum(map(len, cells.values()))
        yield ""
        yield (
            f"{count} of 250 instances measured, {proven} proven minimal. Over the "
            f"{len(whole)} of 25 cells that are measured whole: {sheets} sheets, best published "
            f"{best}."
        )
        yield ""


def _cell(cell: tuple[int, int], mine: list[Row], best: int, least: int) -> str:
    seconds = sorted(row["seconds"] for row in mine)
    sheets, bound = (sum(row[name] for row in mine) for name in ("sheets", "bound"))
    published, known = (str(best), str(least)) if len(mine) == 10 else ("", "")
    return (
        f"| {cell[0]} | {cell[1]} | {len(mine)} | {sheets} | {published} | {bound} | {known} | "
        f"{sum(row['proven'] for row in mine)} | {seconds[len(seconds) // 2]:.1f} | "
        f"{seconds[-1]:.1f} |"
    )


def _single(title: str, rows: list[Row]) -> Iterator[str]:
    yield f"## {title}"
    yield ""
    yield "| instance | pieces | sheets | bound | proven | seconds |"
    yield "|---|---|---:|---:|---|---:|"
    for row in sorted(rows, key=lambda row: (row["name"], row["turn"])):
        proven = "yes" if row["proven"] else "no"
        yield (
            f"| {row['name']} | {TURNS[row['turn']]} | {row['sheets']} | {row['bound']} | "
            f"{proven} | {row['seconds']:.1f} |"
        )
    yield ""


if __name__ == "__main__":
    main()
