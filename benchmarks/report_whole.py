"""The section of docs/benchmarks.md about whole rooms."""

import math
from collections.abc import Sequence
from pathlib import Path
from statistics import median

from benchmarks import plots
from benchmarks.results import Row

EDGES = {"factory": "factory edges", "sawn": "sawn edges allowed"}
#: What is named one by one: not proven, or slower than this.
SLOW = 1.0
#: The counts that are set against cutopt; the general packer knows no factory edges.
COUNTS = {
    "one_per_cut_piece": "a tile for every cut piece",
    "area_plus_ten": "area + 10 %",
    "by_hand": "one offcut at hand",
    "largest_first": "largest first",
}


def seconds(row: Row) -> float:
    """Return what the process worked, or wall time where that was not stored."""
    return row.get("processor_seconds", row["seconds"])


def percentile(values: Sequence[float], share: int) -> float:
    """Return the least value that so many of a hundred do not exceed."""
    return sorted(values)[math.ceil(len(values) * share / 100) - 1]


def groups(rows: Sequence[Row]) -> dict[str, list[Row]]:
    """Return the rooms of each kind of edges by name, under the group's title."""
    ordered = sorted(rows, key=lambda row: row["name"])
    found = {
        title: [row for row in ordered if row["name"].endswith(f"-{edges}")]
        for edges, title in EDGES.items()
    }
    return {title: group for title, group in found.items() if group}


def section(rows: Sequence[Row], missing: Sequence[str]) -> str:
    """Return the section as Markdown."""
    allowed = ", ".join(sorted({f"{row['seconds_allowed']:g}" for row in rows}))
    made = "; ".join(sorted({row["made_by"] for row in rows}))
    machines = "; ".join(sorted({row["machine"] for row in rows}))
    rooms = {row["name"].rpartition("-")[0] for row in rows}
    lost = f"**Not measured ({len(missing)}):** {', '.join(missing)}.\n\n" if missing else ""
    return f"""## Whole rooms

{len(rows)} requests for {len(rooms)} invented rooms, each a floor and one to four walls with their
windows, niches, doors and pipes, taken off by cutopt: once with the factory edges that the
take-off asks for, once with sawn edges allowed everywhere. {allowed} s of the processor allowed
for each. Seconds are those that the process worked. Measured with {made}, on {machines}.

{lost}![Share of whole rooms proven within a time](benchmarks/whole_rooms.svg)

{_outcome(rows)}

{_against(rows)}

{_open(rows)}"""


def _outcome(rows: Sequence[Row]) -> str:
    head = "rooms | cut pieces | proven minimal | tiles | bound | median s | 95th % | slowest | MiB"
    lines = [f"| | {head} |", "|---|" + "---:|" * 9]
    for title, group in (groups(rows) | {"all": list(rows)}).items():
        times = [seconds(row) for row in group]
        cut, tiles, bound = (
            sum(row["cut_pieces"] for row in group),
            sum(row["tiles"] for row in group),
            sum(row["bound"] for row in group),
        )
        proven = f"**{sum(row['proven'] for row in group)} of {len(group)}**"
        spread = f"{median(times):.2f} | {percentile(times, 95):.2f} | {max(times):.2f}"
        peak = max(row["peak_mib"] for row in group)
        lines.append(
            f"| {title} | {len(group)} | {cut} | {proven} | {tiles} | {bound} | {spread} | {peak} |"
        )
    return "\n".join(lines)


def _against(rows: Sequence[Row]) -> str:
    found = groups(rows)
    lines = [
        f"| tiles over cutopt's | {' | '.join(found)} |",
        "|---|" + "---:|" * len(found),
    ]
    for name, label in COUNTS.items():
        over = [
            100 * (sum(row["baselines"][name] for row in group) / _tiles(group) - 1)
            for group in found.values()
        ]
        lines.append(f"| {label} | {' | '.join(f'{each:+.1f} %' for each in over)} |")
    return "\n".join(lines)


def _tiles(rows: Sequence[Row]) -> int:
    return sum(row["tiles"] for row in rows)


def _open(rows: Sequence[Row]) -> str:
    named = [row for row in rows if not row["proven"] or seconds(row) > SLOW]
    if not named:
        return f"All are proven within {SLOW:g} s."
    lines = [
        f"Not proven, or slower than {SLOW:g} s:",
        "",
        "| request | cut pieces | sizes | tiles | bound | gap | s |",
        "|---|---:|---:|---:|---:|---:|---:|",
    ]
    for row in sorted(named, key=lambda row: row["name"]):
        lines.append(
            f"| {row['name']} | {row['cut_pieces']} | {row['sizes']} | {row['tiles']} | "
            f"{row['bound']} | {row['tiles'] - row['bound']} | {seconds(row):.2f} |"
        )
    return "\n".join(lines)


def draw(rows: Sequence[Row], folder: Path) -> None:
    """Write the plot."""
    proven = {
        title: ([seconds(row) for row in group if row["proven"]], len(group))
        for title, group in groups(rows).items()
    }
    plots.shares(proven, "whole rooms proven minimal", folder / "whole_rooms.svg")
