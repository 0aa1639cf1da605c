"""The section of docs/benchmarks.md about the time and memory of the take-off."""

from collections.abc import Sequence
from pathlib import Path

from benchmarks import plots
from benchmarks.takeoff_scale import Growth, by_bond, exponent

LARGE = 100_000


def section(rows: Sequence[Growth]) -> str:
    """Return the section as Markdown."""
    machines = "; ".join(sorted({row["machine"] for row in rows}))
    lines = [
        "## Take-off of large floors",
        "",
        "Halls of 3 : 2 with a column, tiles of 80 mm (joint included; herringbone 160 x 40 mm),",
        "each taken off in a process of its own: seconds of the take-off alone, peak memory of the",
        f"process with Python and libraries. On {machines}. Again with",
        "`python -m benchmarks.takeoff_scale`.",
        "",
        "![Seconds and memory over cells](benchmarks/takeoff.svg)",
        "",
        "| bond | power | from 100,000 cells on | at about 100,000 cells | largest |",
        "|---|---:|---:|---:|---:|",
        *(_line(bond, group) for bond, group in by_bond(rows).items()),
        "",
        "Seconds grow as the cells to this *power*, fitted by least squares of the logarithms",
        "over the whole range, and over the halls from 100,000 cells on. It lies under 1 because",
        "border pieces, which take longest, grow with the square root of the area.",
    ]
    return "\n".join(lines)


def _line(bond: str, group: Sequence[Growth]) -> str:
    middle = min(group, key=lambda row: abs(row["cells"] - 100_000))
    large = [row for row in group if row["cells"] >= LARGE]
    powers = f"{power(group):.2f} | {power(large):.2f}" if len(large) > 1 else "| "
    return f"| {bond} | {powers} | {_told(middle)} | {_told(group[-1])} |"


def power(group: Sequence[Growth]) -> float:
    """Return the power of the cells with which the seconds grow."""
    return exponent([(row["cells"], row["seconds"]) for row in group])


def _told(row: Growth) -> str:
    return f"{row['cells']:,} cells: {row['seconds']:.2f} s, {row['peak_mib']} MiB"


def draw(rows: Sequence[Growth], folder: Path) -> None:
    """Write the plot."""
    groups = by_bond(rows)
    seconds = {
        f"{bond} (power {power(group):.2f})": [(row["cells"], row["seconds"]) for row in group]
        for bond, group in groups.items()
    }
    memory = {
        bond: [(row["cells"], float(row["peak_mib"])) for row in group]
        for bond, group in groups.items()
    }
    panels = {"seconds": seconds, "peak memory, MiB": memory}
    plots.growth(panels, "cells", folder / "takeoff.svg")
