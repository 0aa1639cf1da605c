"""What a client prefers (RFC 7240), and the key that makes its request one and the same."""

from starlette.datastructures import Headers

from api.problems import Refused
from api.settings import Settings

_LONGEST_KEY = 255


def wait_of(headers: Headers, settings: Settings) -> float:
    """Return how many seconds the answer may wait for the plan.

    A preference that is not understood is left alone, as the RFC has it.
    """
    usual = min(settings.wait_seconds, settings.most_wait_seconds)
    preferences = ",".join(headers.getlist("prefer")).split(",")
    for preference in preferences:
        name, _, value = preference.split(";")[0].partition("=")
        seconds = value.strip().strip('"')
        if name.strip().lower() == "wait" and seconds.isascii() and seconds.isdigit():
            return min(float(seconds[:9]), settings.most_wait_seconds)
        if name.strip().lower() == "respond-async":
            usual = 0.0
    return usual


def key_of(headers: Headers) -> str | None:
    """Return the idempotency key; raises `Refused` when it is none."""
    key = headers.get("idempotency-key")
    if key is None:
        return None
    if not (0 < len(key) <= _LONGEST_KEY and key.isascii() and key.isprintable()):
        rule = f"An Idempotency-Key has 1 to {_LONGEST_KEY} printable ASCII characters."
        raise Refused("bad-header", rule)
    return key
