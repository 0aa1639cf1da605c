"""Each finding with a case that just asks for it and one that just does not."""

from typing import Any

import pytest

from cutopt.layout import Finding, take_off
from tests.layout.jobs import job, surface


def findings(tile: dict[str, Any] | None = None, **fields: Any) -> dict[str, Finding]:
    result = take_off(job(surface(**fields), tile=tile))
    assert len({(f.kind, f.place, f.value, f.rule) for f in result.findings}) == len(
        result.findings
    )
    return {finding.kind: finding for finding in result.findings}


LARGE = {"edge": "rectified", "warp": 0}
THIRD = {"kind": "running", "offset": "1/3"}


@pytest.mark.parametrize(
    ("kind", "asks", "does_not"),
    [
        # Three tiles and joints are 1806; perimeter joints 6; what is left is the last piece.
        ("sliver", {"width": 1821.9}, {"width": 1822}),
        ("under half", {"width": 2111.9}, {"width": 2112}),
        ("thin joint", {"joint": 1.587}, {"joint": 1.588}),
        ("large offset", {"bond": {"kind": "running", "offset": 0.34}}, {"bond": THIRD}),
        ("movement joint", {"width": 7621}, {"width": 7620}),
        (
            "clearance",
            {"holes": [{"kind": "pipe", "x": 300, "y": 150, "diameter": 20, "clearance": 2.9}]},
            {"holes": [{"kind": "pipe", "x": 300, "y": 150, "diameter": 20}]},
        ),
        (
            # 150 less 3 for the perimeter: 147 to the edge below; less 122 is 25.
            "thin web",
            {"holes": [{"kind": "valve", "x": 300, "y": 150, "diameter": 239}]},
            {"holes": [{"kind": "valve", "x": 300, "y": 150, "diameter": 238}]},
        ),
        (
            "hole on joint",
            {"holes": [{"kind": "pipe", "x": 590, "y": 150, "diameter": 22}]},
            {"holes": [{"kind": "pipe", "x": 588, "y": 150, "diameter": 22}]},
        ),
        (
            "cover plate",
            {
                "holes": [
                    {
                        "kind": "pipe",
                        "x": 300,
                        "y": 150,
                        "diameter": 20,
                        "plate": {"diameter": 31.9},
                    }
                ]
            },
            {
                "holes": [
                    {"kind": "pipe", "x": 300, "y": 150, "diameter": 20, "plate": {"diameter": 32}}
                ]
            },
        ),
        (
            "box cut",
            {"holes": [{"kind": "socket", "x": 300, "y": 150, "width": 95, "height": 59}]},
            {"holes": [{"kind": "socket", "x": 300, "y": 150, "width": 94, "height": 59}]},
        ),
        (
            "thin leg",
            {"openings": [{"kind": "door", "x": 55.9, "y": 0, "width": 100, "height": 100}]},
            {"openings": [{"kind": "door", "x": 56, "y": 0, "width": 100, "height": 100}]},
        ),
    ],
)
def test_finding_at_its_limit(kind: str, asks: dict[str, Any], does_not: dict[str, Any]) -> None:
    start = {"start": {"x": 3, "y": 3}}
    assert kind in findings(LARGE, **{**start, **asks})
    assert kind not in findings(LARGE, **{**start, **does_not})


def test_leg_of_a_u_is_found_too() -> None:
    door = {"kind": "door", "x": 200, "y": 0, "width": 200, "height": 200}
    assert findings(openings=[door])["u piece"].labels == ("A1.1",)
    corner = {"kind": "door", "x": 400, "y": 0, "width": 205, "height": 200}
    assert "u piece" not in findings(openings=[corner])


def test_joint_is_three_times_the_spread_of_the_tiles() -> None:
    assert "thin joint" in findings({"spread": 0.7})
    assert "thin joint" not in findings({"spread": 0.666})


@pytest.mark.parametrize(
    ("edge", "warp", "least"),
    [("rectified", 0, 3.175), ("calibrated", 0, 4.763), ("rectified", 0.5, 3.675)],
)
def test_joint_of_large_offset_tiles(edge: str, warp: float, least: float) -> None:
    """1/8 in rectified, 3/16 in calibrated, and the warp: ANSI A108.02 (read second-hand)."""
    tile = {"edge": edge, "warp": warp}
    assert "thin joint" in findings(tile, joint=round(least - 0.001, 3), bond=THIRD)
    assert "thin joint" not in findings(tile, joint=least, bond=THIRD)
    assert "thin joint" not in findings(tile, joint=2, bond="stack")


def test_a_half_offset_is_no_matter_for_tiles_up_to_15_inches() -> None:
    assert "large offset" in findings({"width": 381.001}, bond="running")
    assert "large offset" not in findings({"width": 381}, bond="running")


def test_cuts_under_half_are_excused_in_an_offset_bond() -> None:
    assert findings(width=2000)["under half"].level == "warning"
    assert findings(width=2000, bond="running")["under half"].level == "note"


def test_opposite_ends_are_compared() -> None:
    # Three full tiles with 300 left over, or 450 at both ends.
    wall = 3 * 602 + 300 + 6
    assert "unbalanced" in findings(width=wall, start={"x": 3, "y": 3})
    assert "unbalanced" not in findings(width=wall, start={"x": 3 + 450 - 600, "y": 3})


def test_lippage_is_expected_from_6_inches_on_a_point_drain_only() -> None:
    drain = {"kind": "point", "x": 1200, "y": 1000, "width": 100, "height": 100}
    line = {"kind": "linear", "x": 1200, "y": 1000, "width": 700, "height": 60}
    square = {"width": 152.4, "height": 152.4}
    assert "lippage" in findings(square, kind="floor", drains=[drain])
    smaller = {"width": 152, "height": 152}
    assert "lippage" not in findings(smaller, kind="floor", drains=[drain])
    assert "lippage" not in findings(square, kind="floor", drains=[line])


def test_a_herringbone_that_is_not_modular_closes_and_says_so() -> None:
    assert (
        findings({"width": 210, "height": 100}, bond="herringbone")["not modular"].level == "note"
    )
    assert "not modular" not in findings({"width": 202, "height": 100}, bond="herringbone")


def test_a_finding_names_place_and_pieces() -> None:
    finding = findings(width=1815)["sliver"]
    assert finding.place == "/rooms/0/surfaces/0"
    assert len(finding.labels) == 7
    assert set(finding.labels) == {f"A{course}.4" for course in range(1, 8)}
