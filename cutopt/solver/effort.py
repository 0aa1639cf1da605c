"""How much of each step of the search is done: counts, and parts of the time there is."""

#: With many kinds plunges fix such a part of the columns at once.
AT_ONCE = 0.2
#: What part of the time is kept for choosing among the patterns; with many kinds, for rounding.
CHOOSING, ROUNDING = 0.3, 0.2
#: What part is kept as long as the relaxation leaves no room for a better plan.
DIGGING = 0.1
#: Plunges go into so many columns for each kind; after so many plunges these are chosen anew.
NEAREST, AFRESH = 12, 20
#: Plunges into the relaxation in vain until something else is tried, and what part of the time
#: that is then left they leave; the first ones, where all patterns were found by lot, leave more.
PLUNGES, DIVING, GLANCING = 80, 0.5, 0.85
#: What part of it is kept while the relaxation is solved only to leave more room.
DOUBTFUL = 0.75
#: What part of the time the integer program leaves where the relaxation is not solved.
LEFT_TO_RELAX = 0.5
#: With many kinds chance decides which columns are left out, so often.
ROUNDINGS = 3
#: Nodes of integer programs: for the fewest sheets, for fewer cuts, for what a plunge leaves.
NODES_FEWEST, NODES_PREFERRED, NODES_REST = 20_000, 300, 300
#: The preference is no proof: it gets this long at the most.
SECONDS_PREFERRED = 5.0
#: Patterns of one sheet beyond this many are priced from the table instead of all being columns.
MOST_COLUMNS = 40_000
#: With more patterns than this the preference for few cuts is not looked after.
MOST_PREFERRED = 20_000
