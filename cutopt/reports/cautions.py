"""What whoever cuts must be told, said once for every document.

Sources: silica dust and water on the blade, 29 CFR 1926.1153; the blade's guard, 29 CFR
1926.702(i); noise, 29 CFR 1926.52; protected outlets, 29 CFR 1926.404(b)(1). Measuring again
and drying a piece before it is set: common practice, no source.
"""

from typing import NamedTuple


class Caution(NamedTuple):
    """One caution: in a few words for a drawing, in a sentence for a text."""

    brief: str
    full: str


CAUTIONS: tuple[Caution, ...] = (
    Caution(
        "Measure the tile in hand first.",
        "Measure the tile in hand and the wall once more before the first cut: a plan is no "
        "better than the sizes it was made from.",
    ),
    Caution(
        "Cut wet, or with dust extraction.",
        "Cut wet, or with dust extraction: tile and stone dust holds silica, which ruins lungs.",
    ),
    Caution("Protect eyes and ears.", "Protect eyes and ears, also of those who stand near."),
    Caution("Keep the guard on.", "Keep the guard on the blade and the hands out of its line."),
    Caution(
        "Use a protected outlet.",
        "Run the saw from an outlet with residual-current (ground-fault) protection, and let "
        "the cord hang in a loop, so that water drips off before the plug.",
    ),
    Caution(
        "Dry each piece before it is set.",
        "Wipe and dry what was cut wet before it is set: a film of water on the back keeps "
        "adhesive from holding.",
    ),
)

#: Said wherever a number of tiles is named.
NO_RESERVE = "Without any reserve for breakage, and without spares: order more than this."
