"""Calls made up from the OpenAPI document, few enough for every test run."""

from api.settings import Settings
from benchmarks.made_up_calls import call_all
from tests.service.conftest import Serve

#: To each operation; the benchmark makes more than 5,000 in all.
CALLS = 20


def test_made_up_calls(serve: Serve) -> None:
    client = serve(Settings(most_seconds=1))
    answered = call_all(str(client.base_url), CALLS)
    assert answered.total() > 5 * CALLS
    assert {answer.split()[-1] for answer in answered} >= {"200", "404", "422"}
