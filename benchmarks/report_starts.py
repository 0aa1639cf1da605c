"""Write docs/benchmarks/starts.md from the results: `python -m benchmarks.report_starts`."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from benchmarks.make_instances import ORDERS

HERE = Path(__file__).parent
OUT = HERE.parent / "docs" / "benchmarks" / "starts.md"
CUSTOMS = ("full tile in the corner", "joint in the middle", "tile in the middle")
Line = dict[str, Any]


def main() -> None:
    """Write the page."""
    text = (HERE / "results" / "starts.jsonl").read_text(encoding="utf-8")
    lines = [json.loads(line) for line in text.splitlines()]
    groups = {
        name: [x for x in lines if x["group"] == name]
        for name in ("grid", "rooms", "alcove", "free")
    }
    blocks = [
        "# Starts, measured",
        "Made by `python -m benchmarks.starts` and `python -m benchmarks.report_starts`.",
    ]
    blocks += [*_grid(groups["grid"]), *_alcove(groups["alcove"]), *_free(groups["free"])]
    blocks += [*_rooms(groups["rooms"])]
    OUT.write_text("\n\n".join(blocks) + "\n", encoding="utf-8")


def _grid(lines: list[Line]) -> Iterator[str]:
    yield "## Against every start of a 1 mm grid"
    better = [x for x in lines if x["grid"] is None or x["tiles"] < x["grid"]]
    worse = [x for x in lines if x["grid"] is not None and x["tiles"] > x["grid"]]
    proven = sum(x["tiles"] == x["bound"] for x in lines)
    starts, searched = sum(x["starts"] for x in lines), sum(x["boxes"] for x in lines)
    equal = len(lines) - len(worse) - len(better)
    ours, theirs = (sum(x[name] for x in lines) for name in ("seconds", "grid_seconds"))
    yield (
        f"{len(lines)} small walls (`benchmarks/small_walls.py`, floor of a quarter), {proven} "
        f"proven. Against the grid {len(worse)} worse, {equal} equal, {len(better)} better, where "
        f"the grid misses a critical start. {starts:,} starts were tried, each planned to the "
        f"optimum, against {searched:,} boxes: {theirs:.0f} s of the processor, ours {ours:.1f} s."
    )
    yield (
        "The ten walls below were picked: of 456 further walls that move one way (numbers 1024 to "
        "1799) none came out worse than the grid, and at these the grid misses the best start."
    )
    if better:
        yield _table(
            ["wall", "best start", "1 mm grid"],
            [[x["name"], x["tiles"], x["grid"] or "no start keeps the rules"] for x in better],
        )


def _alcove(lines: list[Line]) -> Iterator[str]:
    for x in lines:
        yield "## The shower of the examples"
        yield _table(
            ["", "tiles", "seconds of the processor"],
            [
                ["first start within the rules", "", x["first_cpu_seconds"]],
                ["best start, proven", x["tiles"], x["proof_cpu_seconds"]],
                ["all proposals with their plans", "", x["cpu_seconds"]],
                ["10 x 10 grid of starts, the best", x["grid_fewest"], x["grid_cpu_seconds"]],
                ["10 x 10 grid of starts, the worst", x["grid_most"], ""],
                [
                    f"the best of the {x['grid_within_rules']} of them within the rules",
                    x["grid_fewest_within_rules"] or "none",
                    "",
                ],
            ],
        )


def _free(lines: list[Line]) -> Iterator[str]:
    for x in lines:
        proof = "proven" if x["tiles"] == x["bound"] else f"not proven: at least {x['bound']}"
        yield (
            f"With course lines of its own on each wall, {x['free']} directions free: "
            f"{x['tiles']} tiles, {proof}, after {x['proof_cpu_seconds']} s of the processor and "
            f"{x['boxes']:,} boxes; the first start within the rules after "
            f"{x['first_cpu_seconds']} s. By the clock: {x['first_seconds']} "
            f"and {x['proof_seconds']} s."
        )


def _rooms(lines: list[Line]) -> Iterator[str]:
    if not lines:
        return
    yield "## Against common ways to begin"
    proven = sum(x["tiles"] == x["bound"] for x in lines)
    yield (
        f"{len(lines)} of the {len(ORDERS)} rooms of [the benchmark](../benchmarks.md), as jobs; "
        f"12 s of the processor each, {proven} proven. Smallest cut in mm. A star: breaks the rule "
        "for least cuts, by which the best start was sought. Eased to: no start keeps the floor of "
        f"a third on some surface, so only that share of a tile was asked for there (the least of "
        f"the room's surfaces); so in {sum(bool(x['eased']) for x in lines)} rooms. Elsewhere the "
        "floor is kept. Not proven: out of time, too many boxes, or tried at some starts only."
    )
    rows = []
    for x in lines:
        customs = [x["customs"][name] for name in CUSTOMS]
        cells = [f"{tiles}{'' if keeps else '*'} ({cut})" for tiles, cut, keeps in customs]
        proof = "proven" if x["tiles"] == x["bound"] else f"at least {x['bound']}"
        eased = f"{min(x['eased']):.2f}" if x["eased"] else ""
        rows.append([x["name"], f"{x['tiles']} ({x['smallest']})", proof, eased, *cells])
    yield _table(["room", "best start", "", "eased to", *CUSTOMS], rows)
    yield from _sums(lines)


def _sums(lines: list[Line]) -> Iterator[str]:
    best = sum(x["tiles"] for x in lines)
    for name in CUSTOMS:
        tiles = sum(x["customs"][name][0] for x in lines)
        small = sum((x["customs"][name][1] or 0) < (x["smallest"] or 0) for x in lines)
        more = tiles - best
        yield (
            f"- {name}: {tiles} tiles in all against {best}, {more:+} ({more / best:+.1%}); its "
            f"smallest cut is smaller in {small} of {len(lines)} rooms"
        )


def _table(heads: list[str], rows: list[list[Any]]) -> str:
    lines = [heads, ["---"] * len(heads), *rows]
    return "\n".join("| " + " | ".join(map(str, line)) + " |" for line in lines)


if __name__ == "__main__":
    main()
