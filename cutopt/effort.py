"""How much a search may take: the bounds that the command and the service share."""

#: The search ends after so many seconds when nobody says otherwise.
USUAL_SECONDS = 60.0
LONGEST_SECONDS = 3600.0
LARGEST_SEED = 2**31 - 1

SECONDS_RULE = "seconds are more than 0 and at most 3600"
SEED_RULE = f"a seed is a whole number from 0 to {LARGEST_SEED}"


def read_seconds(text: str) -> float:
    """Return how long a search may take; raises `ValueError` with the rule."""
    try:
        seconds = float(text)
    except ValueError:
        raise ValueError(SECONDS_RULE) from None
    if not 0 < seconds <= LONGEST_SECONDS:
        raise ValueError(SECONDS_RULE)
    return seconds


def read_seed(text: str) -> int:
    """Return the seed of a search; raises `ValueError` with the rule."""
    if not (text.isascii() and text.isdigit() and len(text) <= 10 and int(text) <= LARGEST_SEED):
        raise ValueError(SEED_RULE)
    return int(text)
