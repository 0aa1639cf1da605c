"""Write docs/benchmarks.md and its plots: `python -m benchmarks.report`.

Everything on that page comes out of the results files; the same files give the same bytes. A
section whose file is not there yet is left out.
"""

import argparse
from collections.abc import Iterable, Sequence
from pathlib import Path
from statistics import median

from benchmarks import plots, report_slanted, report_takeoff, report_whole
from benchmarks.baselines import WAYS
from benchmarks.results import HERE, RESULTS, Row, instances, read
from benchmarks.takeoff_scale import read_growth

DOCS = HERE.parent / "docs"
TITLE = """# Benchmarks

*Written by `python -m benchmarks.report`; do not edit. How to measure again, and what the
instances are: [benchmarks/README.md](../benchmarks/README.md).*

Besides: [published instances](benchmarks/published.md), [four ways side by
side](benchmarks/side_by_side.md), [how time grows](benchmarks/growth.md), [large
jobs](benchmarks/large.md)."""
#: What each baseline is called, in the order of the columns.
BASELINES = {
    "one_per_cut_piece": "a tile for every cut piece",
    "area_plus_ten": "area + 10 %",
    "by_hand": "one offcut at hand",
    "largest_first": "largest first",
    "general_packer": "general packer",
}
EDGES = {
    "factory": "Factory edges at every joint",
    "sawn": "Sawn edges allowed everywhere",
}


def main(arguments: list[str] | None = None) -> None:
    """Write the page and the plots."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.report", description=__doc__)
    parser.add_argument("--results", type=Path, default=RESULTS / "rooms.jsonl")
    parser.add_argument("--slanted", type=Path, default=RESULTS / "slanted.jsonl")
    parser.add_argument("--whole", type=Path, default=RESULTS / "whole_rooms.jsonl")
    parser.add_argument("--takeoff", type=Path, default=RESULTS / "takeoff.jsonl")
    parser.add_argument("--docs", type=Path, default=DOCS)
    asked = parser.parse_args(arguments)
    rooms, slanted, takeoff = read(asked.results), read(asked.slanted), read_growth(asked.takeoff)
    whole = read(asked.whole)
    folder = asked.docs / "benchmarks"
    folder.mkdir(parents=True, exist_ok=True)
    parts = [TITLE]
    if rooms:
        parts.append(page(rooms, _missing("rooms", rooms)))
        draw(rooms, folder)
    if whole:
        parts.append(report_whole.section(whole, _missing("whole_rooms", whole)))
        report_whole.draw(whole, folder)
    if slanted:
        parts.append(report_slanted.section(slanted, _missing("slanted", slanted)))
        report_slanted.draw(slanted, folder)
    if takeoff:
        parts.append(report_takeoff.section(takeoff))
        report_takeoff.draw(takeoff, folder)
    if len(parts) == 1:
        raise SystemExit("nothing was measured yet")
    (asked.docs / "benchmarks.md").write_text("\n\n".join(parts) + "\n", encoding="utf-8")


def _missing(group: str, rows: Sequence[Row]) -> list[str]:
    return [path.stem for path in instances(group) if path.stem not in names(rows)]


def draw(rows: Sequence[Row], folder: Path) -> None:
    """Write the plots."""
    groups = by_edges(rows)
    over = {
        title: {
            label: [100 * (row["baselines"][name] / row["tiles"] - 1) for row in group]
            for name, label in BASELINES.items()
            if _comparable(name, group)
        }
        for title, group in groups.items()
    }
    label = "tiles over those of cutopt (each ring a room, the bar their median)"
    plots.strips(over, label, folder / "tiles.svg")
    proven = {
        title: ([row["seconds"] for row in group if row["proven"]], len(group))
        for title, group in groups.items()
    }
    plots.shares(proven, "rooms proven minimal", folder / "seconds.svg")


def _comparable(baseline: str, rows: Sequence[Row]) -> bool:
    """Tell whether a baseline counts what was asked for: the packer knows no factory edges."""
    return baseline != "general_packer" or rows[0]["edges"] == "sawn"


def names(rows: Iterable[Row]) -> set[str]:
    """Return the names of the instances measured."""
    return {row["name"] for row in rows}


def by_edges(rows: Iterable[Row]) -> dict[str, list[Row]]:
    """Return the rows of each group, under the group's title."""
    ordered = sorted(rows, key=lambda row: row["name"])
    groups = {
        title: [row for row in ordered if row["edges"] == edges] for edges, title in EDGES.items()
    }
    return {title: group for title, group in groups.items() if group}


def page(rows: Sequence[Row], missing: Sequence[str]) -> str:
    """Return what concerns the rooms as Markdown."""
    parts = [_head(rows, missing)]
    parts += [_group(title, group) for title, group in by_edges(rows).items()]
    parts += [_notes(rows), _every_room(rows)]
    return "\n\n".join(parts)


def _head(rows: Sequence[Row], missing: Sequence[str]) -> str:
    allowed = ", ".join(sorted({f"{row['seconds_allowed']:g}" for row in rows}))
    made = "; ".join(sorted({row["made_by"] for row in rows}))
    machines = "; ".join(sorted({row["machine"] for row in rows}))
    rooms = {row["name"].rpartition("-")[0] for row in rows}
    lost = f"**Not measured ({len(missing)}):** {', '.join(missing)}.\n\n" if missing else ""
    return f"""## Against naive counting

{len(rows)} requests for {len(rooms)} invented rooms: each room once with factory edges wanted
at every joint, once without. {allowed} s allowed for each, one at a time.
Measured with {made}, on {machines}.

{lost}![Tiles of each baseline over the tiles of cutopt](benchmarks/tiles.svg)

![Share of rooms proven within a time](benchmarks/seconds.svg)"""


def _group(title: str, rows: Sequence[Row]) -> str:
    total = sum(row["tiles"] for row in rows)
    lines = [
        f"### {title}",
        "",
        _outcome(rows),
        "",
        "| counted by | tiles | to cutopt | rooms with more | same | fewer | short [^short] |",
        "|---|---:|---:|---:|---:|---:|---:|",
    ]
    lines += [_against(name, rows, total) for name in BASELINES]
    lines += [
        f"| **cutopt** | **{total}** | | | | | 0 |",
        f"| lower bound | {sum(row['bound'] for row in rows)} | | | | | |",
    ]
    return "\n".join(lines)


def _outcome(rows: Sequence[Row]) -> str:
    proven = sum(row["proven"] for row in rows)
    gap = max(row["tiles"] - row["bound"] for row in rows)
    times = [row["seconds"] for row in rows]
    slowest = max(rows, key=lambda row: row["seconds"])
    rest = "" if proven == len(rows) else f" (largest gap {gap} tiles)"
    return (
        f"{len(rows)} requests, {sum(row['cut_pieces'] for row in rows)} cut pieces. "
        f"Proven minimal: **{proven} of {len(rows)}**{rest}. "
        f"Seconds: median {median(times):.2f}, slowest {slowest['seconds']:.2f} "
        f"(`{slowest['name']}`). Largest peak memory: {max(row['peak_mib'] for row in rows)} MiB."
    )


def _against(name: str, rows: Sequence[Row], total: int) -> str:
    counts = [row["baselines"][name] for row in rows]
    over = [count - row["tiles"] for count, row in zip(counts, rows, strict=True)]
    missing = [row["bound"] - count for count, row in zip(counts, rows, strict=True)]
    short = sum(each > 0 for each in missing)
    most = f" (up to {max(missing)})" if short else ""
    share = 100 * (sum(counts) - total) / total
    sums = f"{sum(counts)} | {share:+.1f} %"
    signs = [sum(each > 0 for each in over), over.count(0), sum(each < 0 for each in over)]
    label = BASELINES[name] + ("" if _comparable(name, rows) else " [^easier]")
    return f"| {label} | {sums} | {' | '.join(map(str, signs))} | {short}{most} |"


def _notes(rows: Sequence[Row]) -> str:
    packers = "; ".join(sorted({row["packer"] for row in rows}))
    return f"""\
[^short]: Rooms where this count is below the proven lower bound, so that who orders so many runs
    out; in brackets by how many tiles at the most.

[^easier]: The general packer knows no factory edges, so here it answers an easier question; its
    tiles cannot be cut as wanted, and fewer tiles than cutopt are no better plan.

What is comparable:

- *Area + 10 %* and *a tile for every cut piece* are counts, not plans. The area is that of the
  pieces, joints and openings left out; with the joints it would be 0.5 to 4 % more.
- *One offcut at hand* and *largest first* obey every rule of the [cutting model](model.md): kerf,
  turns, factory edges, straight cuts. They do not use what a notch leaves, which cutopt may.
- *General packer* is {packers} from the Python registry, the best of the {len(WAYS)} ways in which
  it parts rectangles from edge to edge (free rectangles never merged, which would break that).
  Kerf is added to piece and tile. It knows neither factory edges nor notches.
- Offcuts on the shelf are used by all but the two counts. Full tiles are in every number.
- The lower bound holds for every plan under the rules of the cutting model."""


def _every_room(rows: Sequence[Row]) -> str:
    titles = " | ".join(BASELINES.values())
    lines = [
        "### Every room",
        "",
        f"| request | cut pieces | sizes | {titles} | cutopt | bound | s | MiB |",
        "|---|" + "---:|" * (len(BASELINES) + 6),
    ]
    for row in sorted(rows, key=lambda row: row["name"]):
        counts = " | ".join(str(row["baselines"][name]) for name in BASELINES)
        found = f"{row['tiles']} | {row['bound']} | {row['seconds']:.2f} | {row['peak_mib']}"
        lines.append(
            f"| {row['name']} | {row['cut_pieces']} | {row['sizes']} | {counts} | {found} |"
        )
    return "\n".join(lines)


if __name__ == "__main__":
    main()
