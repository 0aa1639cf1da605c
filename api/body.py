"""The body of a request: JSON, within bounds, read by cutopt's own reader."""

from starlette.requests import Request as HttpRequest

from api.problems import Refused

_RULE = "send Content-Type: application/json, in UTF-8 and not compressed"


async def read_body(http: HttpRequest, most_bytes: int) -> bytes:
    """Return the body of a request that says it is JSON and is not too large."""
    _check_type(http)
    _check_size(int(http.headers.get("content-length", 0)), most_bytes)
    body = bytearray()
    async for chunk in http.stream():
        body += chunk
        _check_size(len(body), most_bytes)
    return bytes(body)


def _check_size(size: int, most_bytes: int) -> None:
    if size > most_bytes:
        raise Refused("too-large", f"A body has at most {most_bytes} bytes.")


def _check_type(http: HttpRequest) -> None:
    media_type, *parameters = (
        part.strip().lower() for part in http.headers.get("content-type", "").split(";")
    )
    is_json = media_type == "application/json" or (
        media_type.startswith("application/") and media_type.endswith("+json")
    )
    charsets = [part[8:].strip('"') for part in parameters if part.startswith("charset=")]
    coding = http.headers.get("content-encoding", "identity").strip().lower()
    if not is_json or any(name != "utf-8" for name in charsets) or coding != "identity":
        raise Refused("wrong-type", _RULE)
