"""What whoever orders and sets must be told, besides what is said of cutting.

Sources, all read second-hand: inside corners and perimeters, TCNA Handbook EJ171; the wet slip of
a floor, ANSI A326.3-2021; contact of adhesive and tile, ANSI A108.5. What wall boards carry: UK
trade tables. The rest is common practice, no source.
"""

ORDER_CAUTIONS: tuple[str, ...] = (
    "The reserve rests on chances that are assumptions: it is no guarantee.",
    "Order one shade and one calibre at once, and compare the boxes before the first cut: a later "
    "delivery may be another shade or size.",
    "Open boxes only as they are needed, and put tiles with visible faults to where they are cut.",
    "Slope, curb, drain and waterproofing follow local code and the maker of the membrane: nothing "
    "here designs or approves them.",
    "Wiring and heated floors are for licensed trades; never cut or drill above a laid cable.",
    "Find pipes and cables before a wall is drilled; in old houses think of asbestos and lead.",
    "Check the weight of tile, adhesive and grout against what the wall may carry.",
    "Check that the floor tile is rated for walking on it wet.",
    "Inside corners and perimeters take sealant, not grout.",
    "Lift a tile now and then: dry rooms want 80 % contact with the adhesive, wet ones 95 %.",
    "Cement is caustic: wear gloves, and wash off at once what gets on the skin.",
)
