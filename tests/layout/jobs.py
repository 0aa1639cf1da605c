"""Jobs for the tests: small ones by hand, and random ones that are right by construction."""

from typing import Any

from hypothesis import strategies as st

from cutopt.documents import Job


def surface(**fields: Any) -> dict[str, Any]:
    """Return a surface of 2400 x 2100 with 2 mm joints, changed by fields."""
    plain = {"id": "A", "width": 2400, "height": 2100, "joint": 2}
    if {"outline", "bottom"} & set(fields):
        del plain["width"], plain["height"]
    return {**plain, **fields}


def job_data(
    *surfaces: dict[str, Any], tile: dict[str, Any] | None = None, **fields: Any
) -> dict[str, Any]:
    """Return the data of a job with one room and one tile, 600 x 300 unless said."""
    size = {"id": "field", "width": 600, "height": 300, "turn": "half"}
    return {
        "format": "cutopt.job/1",
        "tiles": [{**size, **(tile or {})}],
        "rooms": [{"name": "room", "surfaces": list(surfaces or (surface(),))}],
        **fields,
    }


def job(*surfaces: dict[str, Any], tile: dict[str, Any] | None = None, **fields: Any) -> Job:
    """Return the job of `job_data`."""
    return Job.of(job_data(*surfaces, tile=tile, **fields))


ANGLES = st.sampled_from([0, 0, 0, 90, -90, 45, 30, -12.5, 0.3])
MEETS = st.sampled_from(
    ["inside corner", "outside corner", "profile", "floor", "ceiling", "frame", "fixture", "open"]
)


@st.composite
def outlines(draw: st.DrawFn) -> dict[str, Any]:
    """Return a shape: rectangle, out of square, raked, L, triangle."""
    width, height = draw(st.integers(700, 2600)), draw(st.integers(700, 2600))
    shape = draw(st.sampled_from(["rectangle", "out of square", "raked", "ell", "triangle"]))
    if shape == "rectangle":
        return {"width": width, "height": height}
    if shape == "out of square":
        skew = st.integers(-25, 25)
        return {
            "bottom": width,
            "top": width + draw(skew),
            "left": height,
            "right": height + draw(skew),
        }
    if shape == "raked":
        low = draw(st.integers(200, height))
        return {"outline": [[0, 0], [width, 0], [width, low], [0, height]]}
    if shape == "triangle":
        return {"outline": [[0, 0], [width, 0], [draw(st.integers(0, width)), height]]}
    x, y = draw(st.integers(200, width - 200)), draw(st.integers(200, height - 200))
    corners = [[0, 0], [width, 0], [width, y], [x, y], [x, height], [0, height]]
    return {"outline": corners if draw(st.booleans()) else corners[::-1]}


BONDS = st.one_of(
    st.just({"kind": "stack"}),
    st.builds(
        lambda offset, along: {"kind": "running", "offset": offset, "along": along},
        st.sampled_from(["1/2", "1/3", "1/4", 0.2]),
        st.sampled_from(["rows", "columns"]),
    ),
    st.just({"kind": "herringbone"}),
    st.just({"kind": "basket weave"}),
    st.just({"kind": "planks", "stagger": 60}),
    st.just({"kind": "planks", "starts": [0, 130.5, 40]}),
)


def _extent(fields: dict[str, Any]) -> tuple[int, int]:
    corners = fields.get("outline", [[0, 0]])
    return (
        fields.get("width") or fields.get("bottom") or max(x for x, _ in corners),
        fields.get("height") or fields.get("left") or max(y for _, y in corners),
    )


@st.composite
def parts(draw: st.DrawFn, width: int, height: int) -> dict[str, Any]:
    """Return openings, a column on its corner, and holes, most of them within the surface."""

    def between(low: float, high: float, extent: int) -> int:
        return draw(st.integers(int(low * extent), int(high * extent)))

    found: dict[str, Any] = {}
    if draw(st.booleans()):
        found["openings"] = [
            {
                "kind": draw(st.sampled_from(["window", "door", "niche"])),
                "x": between(0, 0.3, width),
                "y": between(0, 0.2, height),
                "width": between(0.1, 0.3, width),
                "height": between(0.1, 0.25, height),
                "edges": {"all": {"meets": draw(MEETS)}},
            }
        ]
    if draw(st.booleans()):
        x, y, r = between(0.1, 0.3, width), between(0.5, 0.6, height), draw(st.integers(20, 70))
        found["obstacles"] = [
            {"kind": "column", "outline": [[x, y - r], [x + r, y], [x, y + r], [x - r, y]]}
        ]
    if draw(st.booleans()):
        x, y = between(0.6, 0.7, width), between(0.05, 0.2, height)
        found["holes"] = [
            {"kind": "pipe", "x": x, "y": y, "diameter": draw(st.integers(8, 60))},
            {"kind": "socket", "x": x, "y": y + 120, "width": 68, "height": 68},
        ]
    return found


@st.composite
def jobs(draw: st.DrawFn) -> dict[str, Any]:
    """Return the data of a random job with one surface; some are refused, with faults."""
    joint = draw(st.sampled_from([2, 3, 1.5]))
    bond = {**draw(BONDS), "angle": draw(ANGLES)}
    if bond["kind"] == "basket weave":
        side = draw(st.integers(60, 200))
        tile = {"width": 2 * side + joint, "height": side}
    else:
        tile = {"width": draw(st.integers(130, 700)), "height": draw(st.integers(40, 600))}
    if draw(st.booleans()):
        tile = {"width": tile["height"], "height": tile["width"]}
    if bond["kind"] == "planks":
        bond["along"] = "rows" if tile["width"] >= 120 else "columns"
    fields: dict[str, Any] = {**draw(outlines()), "joint": joint, "bond": bond}
    fields["edges"] = {"all": {"meets": draw(MEETS)}}
    if draw(st.booleans()):
        fields["edges"]["1" if "outline" in fields else "left"] = {"meets": draw(MEETS)}
    fields.update(draw(parts(*_extent(fields))))
    if draw(st.booleans()):
        fields["start"] = {
            "x": draw(st.integers(-40, 39)),
            "y": draw(st.integers(-39, 39)),
            "of": draw(st.sampled_from(["corner", "centre"])),
            "point": [draw(st.integers(0, 200)), draw(st.integers(0, 200))],
        }
    data = surface(**fields)
    return job_data(data, tile=tile)
