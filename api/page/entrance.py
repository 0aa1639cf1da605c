"""Who comes in with a browser: a key typed once, kept in a cookie that no script can read."""

from http.cookies import CookieError, SimpleCookie
from urllib.parse import quote, urlsplit

from starlette.datastructures import Headers
from starlette.requests import Request as HttpRequest

COOKIE = "cutopt_key"
_DAYS = 30
_SAFE = ("GET", "HEAD", "OPTIONS")


def key_in_cookie(headers: Headers) -> str | None:
    """Return the key that a browser sends by itself."""
    cookies: SimpleCookie = SimpleCookie()
    try:
        cookies.load(headers.get("cookie", ""))
    except CookieError:
        return None
    found = cookies.get(COOKIE)
    return found.value if found is not None and found.value else None


def is_forged(method: str, headers: Headers) -> bool:
    """Tell whether another site may have sent this: what changes something comes from our pages.

    Browsers say where a request comes from (Fetch Metadata, or the older `Origin`); one with our
    cookie that says neither is taken for forged. Programs send neither, and no cookie.
    """
    if method in _SAFE or "authorization" in headers:
        return False
    site, origin = headers.get("sec-fetch-site"), headers.get("origin")
    if site is not None:
        return site not in ("same-origin", "none")
    if origin is not None:
        return urlsplit(origin).netloc != headers.get("host")
    return key_in_cookie(headers) is not None


def wants_page(method: str, headers: Headers) -> bool:
    """Tell whether somebody opens a page, so that they are shown the entrance and no problem."""
    return method in ("GET", "HEAD") and "text/html" in headers.get("accept", "")


def entrance(path: str, query: str) -> str:
    """Return where the entrance is, and where to go on from there."""
    back = path + (f"?{query}" if query else "")
    return f"/enter?next={quote(back, safe='')}"


def inside(where: str) -> str:
    """Return where to go on; never to another site."""
    parts = urlsplit(where)
    is_ours = where.startswith("/") and not where.startswith(("//", "/\\"))
    return where if is_ours and not parts.netloc and where.isprintable() else "/"


def cookie(http: HttpRequest, key: str) -> str:
    """Return the header that sets the cookie; an empty key takes it away."""
    secure = "; Secure" if http.url.scheme == "https" else ""
    age = _DAYS * 86_400 if key else 0
    return f"{COOKIE}={key}; Path=/; Max-Age={age}; HttpOnly; SameSite=Strict{secure}"
