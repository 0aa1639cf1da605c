"""Content negotiation (RFC 9110, 12.5.1): which form of an answer the client likes best."""

from collections.abc import Sequence


def preferred(accept: str, offers: Sequence[str]) -> str | None:
    """Return the offered media type that the client likes best, or None when it takes none.

    Among equals the first offer wins; without a wish any offer will do.
    """
    wishes = [_wish(part) for part in accept.split(",") if part.strip()]
    if not wishes:
        return offers[0]
    liked = {offer: _liking(offer, wishes) for offer in offers}
    best = max(offers, key=lambda offer: liked[offer])
    return best if liked[best] > 0 else None


def _wish(part: str) -> tuple[str, float]:
    media_range, *parameters = (item.strip().lower() for item in part.split(";"))
    quality = next((item[2:] for item in parameters if item.startswith("q=")), "1")
    try:
        return media_range, min(max(float(quality), 0.0), 1.0)
    except ValueError:
        return media_range, 0.0


def _liking(offer: str, wishes: Sequence[tuple[str, float]]) -> float:
    """Return the quality of the most specific wish that the offer meets."""
    kind = offer.partition("/")[0]
    for media_range in (offer, f"{kind}/*", "*/*"):
        found = [quality for wished, quality in wishes if wished == media_range]
        if found:
            return max(found)
    return 0.0
