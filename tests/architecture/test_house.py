"""The shape of the house, as tests: a failure names the file and the rule that it breaks."""

import ast
import re
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]

#: Every layer of cutopt, low to high, with the layers that it may import besides itself.
#: `cutopt` stands for `cutopt/__init__.py`, what the library offers.
LAYERS: dict[str, str] = {
    "errors": "",
    "units": "",
    "plane": "",
    "version": "",
    "stop": "",
    "effort": "",
    "documents": "errors units plane",
    "geometry": "errors units plane",
    "layout": "errors units plane documents geometry",
    "solver": "errors stop",
    "planning": "errors units plane version stop documents solver",
    "check": "errors units plane documents",
    "buying": "errors units plane version stop documents layout solver",
    "reports": "errors units plane version documents layout",
    "sequence": "errors units plane version documents solver reports",
    "papers": "errors units documents reports",
    "exchange": "errors units plane documents reports",
    "formats": "errors documents layout",
    "pipeline": "errors version stop effort documents layout planning check reports",
    "comparing": "errors stop documents formats pipeline",
    "setting_out": "errors units plane stop documents geometry layout solver planning pipeline",
    "progress": "errors units plane version stop effort documents planning check buying sequence",
    "cutopt": "errors version documents layout check pipeline",
    "command": "errors units version stop effort documents layout check reports sequence "
    "papers exchange buying formats pipeline comparing setting_out progress cutopt",
    "client": "documents",
    "__main__": "command",
}
#: Where each third-party library lives. Shapely hands out arrays, so geometry knows numpy too.
HOMES: dict[str, tuple[str, ...]] = {
    "ortools": ("cutopt/solver",),
    "typst": ("cutopt/papers",),
    "ezdxf": ("cutopt/exchange",),
    "segno": ("cutopt/papers",),
    "numpy": ("cutopt/solver", "cutopt/geometry"),
    "shapely": ("cutopt/geometry",),
    "pydantic": ("cutopt/documents", "api"),
    "fastapi": ("api",),
    "uvicorn": ("api",),
    "jinja2": ("api/page",),
    "dbos": ("api",),
    "opentelemetry": ("api",),
}
#: What comes with a library and has no line of its own among the dependencies.
COMES_WITH = {"pydantic_core": "pydantic", "starlette": "fastapi", "sqlalchemy": "dbos"}
MOST_LINES, LONGEST_FUNCTION, MOST_ARGUMENTS = 400, 60, 6

#: Written apart, so that this file does not hold them itself.
UNWANTED = [
    re.compile("pypi" + r"\.org"),
    re.compile("python" + "hosted"),
    re.compile(r"(?<![\w.])/" + "work/"),
    re.compile(r"(?<![\w.])/" + "root/"),
    re.compile("trans" + "cript", re.IGNORECASE),
]


def name(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def modules(*folders: str) -> list[Path]:
    return sorted(path for folder in folders for path in (ROOT / folder).rglob("*.py"))


def parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def imported(path: Path) -> Iterator[str]:
    """Yield the dotted name of every import, also of those inside functions."""
    package = name(path).split("/")[:-1]
    for node in ast.walk(parsed(path)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else []
            stem = ".".join([*base, *([node.module] if node.module else [])])
            whole = stem in ("cutopt", "api")
            yield from (f"{stem}.{alias.name}" if whole else stem for alias in node.names)


def layer_of(dotted: str) -> str:
    """Return the layer of a dotted name in cutopt; a name of the package itself is the top."""
    parts = dotted.split(".")
    inner = parts[1] if len(parts) > 1 else ""
    folder = ROOT / "cutopt" / inner
    is_module = inner and (folder.is_dir() or folder.with_suffix(".py").is_file())
    return inner if is_module and inner != "__init__" else "cutopt"


HOUSE = modules("cutopt", "api")
CUTOPT = modules("cutopt")


def test_layers_point_down() -> None:
    for place, (layer, below) in enumerate(LAYERS.items()):
        assert set(below.split()) <= set(list(LAYERS)[:place]), f"{layer} imports upwards"


def test_every_layer_has_its_place() -> None:
    unknown = {layer_of(name(path).removesuffix(".py").replace("/", ".")) for path in CUTOPT}
    assert unknown <= set(LAYERS), "a new package needs a line in LAYERS"


@pytest.mark.parametrize("path", CUTOPT, ids=name)
def test_imports_point_down(path: Path) -> None:
    layer = layer_of(name(path).removesuffix(".py").replace("/", "."))
    for target in imported(path):
        root = target.split(".")[0]
        assert root not in ("api", "tests", "benchmarks"), f"{name(path)} imports {target}"
        if root == "cutopt":
            allowed = {layer, *LAYERS[layer].split()}
            assert layer_of(target) in allowed, f"{layer} may not import {target}"


def test_setting_out_knows_only_the_face_of_the_solver() -> None:
    for path in modules("cutopt/setting_out"):
        inner = [target for target in imported(path) if target.startswith("cutopt.solver.")]
        assert not inner, f"{name(path)} imports {inner}"


@pytest.mark.parametrize("path", HOUSE, ids=name)
def test_third_party_stays_at_home(path: Path) -> None:
    for target in imported(path):
        root = target.split(".")[0]
        if root in ("cutopt", "api") or root in sys.stdlib_module_names:
            continue
        homes = HOMES.get(COMES_WITH.get(root, root))
        assert homes, f"{name(path)} imports {root}, which has no home"
        assert name(path).startswith(tuple(f"{home}/" for home in homes)), (
            f"{root} lives in {homes}"
        )


def test_every_library_is_declared_and_used() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    names = (re.split(r"[^\w-]", line)[0] for line in project["dependencies"])
    declared = {name.removesuffix("-api") for name in names}  # opentelemetry's own way to say it
    used = {target.split(".")[0] for path in HOUSE for target in imported(path)}
    assert declared == set(HOMES)
    assert declared <= used


@pytest.mark.parametrize("path", modules("cutopt", "api", "benchmarks"), ids=name)
def test_sizes(path: Path) -> None:
    tree = parsed(path)
    assert path.read_text(encoding="utf-8").count("\n") <= MOST_LINES, f"{name(path)} is too long"
    assert ast.get_docstring(tree), f"{name(path)} says nothing of itself"
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            lines = (node.end_lineno or 0) - node.lineno + 1
            arguments = node.args.posonlyargs + node.args.args + node.args.kwonlyargs
            assert lines <= LONGEST_FUNCTION, f"{node.name} has {lines} lines"
            count = len([one for one in arguments if one.arg not in ("self", "cls")])
            assert count <= MOST_ARGUMENTS, f"{node.name} takes {count} arguments"


@pytest.mark.parametrize("path", modules("tests"), ids=name)
def test_tests_are_small_too(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.count("\n") <= MOST_LINES, f"{name(path)} is too long"
    assert not text or ast.get_docstring(ast.parse(text)), f"{name(path)} says nothing of itself"


@pytest.mark.parametrize("path", [p for p in HOUSE if p.name != "__main__.py"], ids=name)
def test_nothing_happens_at_import(path: Path) -> None:
    for node in parsed(path).body:
        calls = isinstance(node, ast.Expr) and not isinstance(node.value, ast.Constant)
        runs = isinstance(node, ast.If | ast.For | ast.While | ast.With | ast.Try)
        assert not calls, f"{name(path)}:{node.lineno} runs at import"
        assert not runs, f"{name(path)}:{node.lineno} runs at import"


def written() -> Iterator[Path]:
    """Yield what is written by hand: the files of the root and of our folders."""
    for path in ROOT.iterdir():
        if path.is_file() and path.name != ".git" and not path.name.startswith(".coverage"):
            yield path
    for folder in ("cutopt", "api", "tests", "benchmarks", "docs", ".ci"):
        for path in (ROOT / folder).rglob("*"):
            if path.is_file() and "__pycache__" not in path.parts:
                yield path


def test_no_file_tells_of_the_machine_it_was_made_on() -> None:
    found = []
    for path in written():
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue
        found += [f"{name(path)}: {what.pattern}" for what in UNWANTED if what.search(text)]
    assert not found
