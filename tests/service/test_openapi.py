"""The OpenAPI document: as committed, and kept to by whatever calls can be made up from it."""

import json

import httpx2

from api.app import create_app
from api.runs.engine import MemoryEngine
from api.settings import Settings
from tests.processes import ROOT

COMMITTED = ROOT / "docs" / "schemas" / "openapi.json"


def test_it_is_the_committed_one(client: httpx2.Client) -> None:
    """Renew it: python -m tests.service.test_openapi."""
    assert client.get("/openapi.json").json() == json.loads(COMMITTED.read_text(encoding="utf-8"))


def text() -> str:
    """Return the document as it is committed."""
    settings = Settings(database=":memory:")
    document = create_app(settings, MemoryEngine(1)).openapi()
    return json.dumps(document, indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    COMMITTED.write_text(text(), encoding="utf-8")
