"""Measuring and reporting: a run goes on where it stopped, a report is the same every time."""

import subprocess
from pathlib import Path

import pytest

from benchmarks import report
from benchmarks.baselines import ALL
from benchmarks.results import INSTANCES, Row, instances, read
from benchmarks.run import measure, measure_all

COUNTS = {"area_plus_ten": 9, "one_per_cut_piece": 14, "by_hand": 12, "largest_first": 11}


def row(name: str, tiles: int = 10, bound: int = 10, packer: int = 10) -> Row:
    return Row(
        name=name,
        edges=name.rpartition("-")[2],
        pieces=14,
        cut_pieces=12,
        sizes=8,
        baselines=COUNTS | {"general_packer": packer},
        tiles=tiles,
        bound=bound,
        proven=tiles == bound,
        stopped="done",
        seconds=0.25,
        seconds_allowed=20,
        peak_mib=90,
        made_by="cutopt",
        packer="rectpack",
        machine="a machine",
    )


PATHS = [Path("one-factory.json"), Path("one-sawn.json"), Path("two-factory.json")]


def test_a_run_goes_on_where_it_stopped(tmp_path: Path) -> None:
    out, asked = tmp_path / "out.jsonl", list[str]()

    def measured(path: Path, seconds: float) -> Row:
        asked.append(path.stem)
        if path.stem == "two-factory" and len(asked) == 3:
            raise KeyboardInterrupt
        return row(path.stem)

    with pytest.raises(KeyboardInterrupt):
        measure_all(PATHS, out, 1, measured)
    assert [each["name"] for each in read(out)] == ["one-factory", "one-sawn"]
    assert measure_all(PATHS, out, 1, measured) == []
    assert asked == ["one-factory", "one-sawn", "two-factory", "two-factory"]
    assert [each["name"] for each in read(out)] == [path.stem for path in PATHS]


def test_what_fails_is_named_and_tried_again(tmp_path: Path) -> None:
    def failing(path: Path, seconds: float) -> Row:
        if path.stem == "one-sawn":
            raise subprocess.CalledProcessError(1, "plan")
        return row(path.stem)

    out = tmp_path / "out.jsonl"
    assert measure_all(PATHS, out, 1, failing) == ["one-sawn"]
    assert len(read(out)) == 2
    assert measure_all(PATHS, out, 1, lambda path, _: row(path.stem)) == []
    assert len(read(out)) == 3


def test_a_line_cut_off_is_left_out(tmp_path: Path) -> None:
    out = tmp_path / "out.jsonl"
    measure_all(PATHS[:1], out, 1, lambda path, _: row(path.stem))
    out.write_text(out.read_text() + '{"name": "one-sa')
    assert [each["name"] for each in read(out)] == ["one-factory"]


@pytest.mark.parametrize("quick", [True, False])
def test_a_quick_run_leaves_out_the_general_packer_only(quick: bool) -> None:
    path = INSTANCES / "rooms" / "kitchen-1200x600-sawn.json"
    found = measure(path, 20, quick)
    assert set(found["baselines"]) == set(ALL) - ({"general_packer"} if quick else set())
    assert 0 < found["processor_seconds"] < 20


ROWS = [
    row("a-factory", tiles=11, bound=10, packer=9),
    row("b-factory", tiles=8, bound=8, packer=8),
    row("a-sawn", packer=9),
]


def test_the_page_sets_baselines_against_cutopt_group_by_group() -> None:
    page = report.page(ROWS, missing=[])
    assert "| area + 10 % | 18 | -5.3 % | 1 | 0 | 1 | 1 (up to 1) |" in page
    assert "| largest first | 22 | +15.8 % | 1 | 1 | 0 | 0 |" in page
    assert "| general packer [^easier] | 17 | -10.5 % | 0 | 1 | 1 | 1 (up to 1) |" in page
    assert "| general packer | 9 | -10.0 % | 0 | 0 | 1 | 1 (up to 1) |" in page
    assert "Proven minimal: **1 of 2** (largest gap 1 tiles)" in page
    assert "Proven minimal: **1 of 1**." in page
    assert "Not measured" not in page


def test_the_page_names_what_was_not_measured() -> None:
    assert "**Not measured (1):** b-sawn." in report.page(ROWS, missing=["b-sawn"])


def test_page_and_plots_are_the_same_bytes_every_time(tmp_path: Path) -> None:
    results = tmp_path / "rooms.jsonl"
    names = [path.stem for path in instances("rooms")]
    measure_all([Path(name) for name in names], results, 1, lambda path, _: row(path.stem))
    for folder in ("one", "two"):
        report.main(["--results", str(results), "--docs", str(tmp_path / folder)])
    for name in ("benchmarks.md", "benchmarks/tiles.svg", "benchmarks/seconds.svg"):
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()
