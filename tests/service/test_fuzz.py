"""Random bytes and mutated documents: each is refused with a problem or planned, never a 5xx."""

import json
from typing import Any

import httpx2
import jsonschema
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from api.examples import JOB, REQUEST
from tests.service.test_plans import JSON, problem_schema  # noqa: F401 - a fixture

_VALUES: st.SearchStrategy[Any] = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner),
    max_leaves=8,
)


def places(node: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Return the path of everything in a document, itself left out."""
    inner = node.items() if isinstance(node, dict) else enumerate(node)
    found = []
    for name, value in inner:
        found.append((*path, name))
        if isinstance(value, dict | list):
            found += places(value, (*path, name))
    return found


@st.composite
def mutated(draw: st.DrawFn) -> bytes:
    """Return a good document with up to three values replaced, or bytes put in or left out."""
    document = json.loads(json.dumps(draw(st.sampled_from([REQUEST, JOB]))))
    for path in draw(st.lists(st.sampled_from(places(document)), max_size=3)):
        node = document
        try:
            for name in path[:-1]:
                node = node[name]
            node[path[-1]] = draw(_VALUES)
        except (KeyError, IndexError, TypeError):
            continue  # replaced by an earlier change
    text = json.dumps(document).encode()
    at = draw(st.integers(0, len(text)))
    left_out = draw(st.sampled_from([0, 0, 0, 1, 5]))
    return (
        text[:at] + draw(st.sampled_from([b"", b"", b"\x00", b"9", b"}"])) + text[at + left_out :]
    )


@settings(max_examples=150, suppress_health_check=list(HealthCheck))
@given(body=st.binary(max_size=200) | mutated() | mutated() | mutated())
def test_whatever_is_sent(
    client: httpx2.Client,
    problem_schema: jsonschema.Draft202012Validator,  # noqa: F811
    body: bytes,
) -> None:
    answer = client.post("/v1/plans?seconds=0.5", content=body, headers=JSON)
    assert answer.status_code in (200, 400, 409, 422)
    if answer.status_code != 200:
        problem_schema.validate(answer.json())
