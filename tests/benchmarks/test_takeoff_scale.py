"""How the take-off grows: halls of the size they say, a power fitted right, nothing twice."""

from pathlib import Path

import pytest

from benchmarks import report_takeoff, takeoff_scale
from benchmarks.takeoff_scale import BONDS, Growth, exponent, hall, measure, read_growth, sizes_of
from cutopt.documents import Job
from cutopt.documents.job import MOST_CELLS, cells_of


@pytest.mark.parametrize("power", [0.5, 1.0, 2.0])
def test_the_power_of_a_power_law_is_found(power: float) -> None:
    assert exponent([(n, 3 * n**power) for n in (10, 100, 1_000)]) == pytest.approx(power)


@pytest.mark.parametrize("bond", BONDS)
def test_a_hall_has_about_the_cells_it_says(bond: str) -> None:
    found = measure(bond, 3_000)
    assert found["cells"] == pytest.approx(3_000, rel=0.1)
    assert found["seconds"] > 0


@pytest.mark.parametrize("bond", BONDS)
def test_the_largest_hall_is_within_what_a_job_may_ask_for(bond: str) -> None:
    job = Job.of(hall(bond, sizes_of(bond)[-1]))
    ((_, surface),) = job.surfaces
    assert 900_000 < cells_of(surface, job.tiles[0]) <= MOST_CELLS


def test_what_is_measured_is_stored_and_not_measured_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[tuple[str, int]] = []

    def child(bond: str, wanted: int) -> Growth:
        asked.append((bond, wanted))
        return grown(bond, wanted)

    monkeypatch.setattr(takeoff_scale, "_in_child", child)
    out = tmp_path / "takeoff.jsonl"
    for most in ("1000", "3000"):
        takeoff_scale.main(["--out", str(out), "--most", most])
    assert len(asked) == len(set(asked)) == 2 * len(BONDS)
    assert [(item["bond"], item["wanted"]) for item in read_growth(out)] == asked


def grown(bond: str, cells: int) -> Growth:
    return Growth(
        bond=bond,
        wanted=cells,
        cells=cells,
        cut_pieces=9,
        seconds=cells / 1e6,
        peak_mib=90,
        machine="a machine",
    )


def test_the_section_names_the_power() -> None:
    bond = next(iter(BONDS))
    page = report_takeoff.section([grown(bond, n) for n in (1_000, 100_000, 1_000_000)])
    told = "100,000 cells: 0.10 s, 90 MiB | 1,000,000 cells: 1.00 s, 90 MiB"
    assert f"| {bond} | 1.00 | 1.00 | {told} |" in page
