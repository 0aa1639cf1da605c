"""Random small problems for the solver: a few units wide, so that everything can be tried."""

from hypothesis import strategies as st

from cutopt.solver import ALL_SIDES, BOTTOM, LEFT, RIGHT, TOP, Kind, Pocket, Problem, Sheet, Stand

CORNERS = (LEFT | BOTTOM, RIGHT | BOTTOM, LEFT | TOP, RIGHT | TOP)
TURNS = {"none": 1, "half": 2, "quarter": 4}


@st.composite
def problems(draw: st.DrawFn, *, kinds: int = 3, copies: int = 2, pockets: bool = True) -> Problem:
    """Draw a problem with a new sheet and perhaps an offcut; every kind fits the new sheet."""
    new = Sheet(draw(st.integers(3, 8)), draw(st.integers(3, 7)))
    kerf, turn = draw(st.sampled_from([0, 0, 1, 2])), draw(st.sampled_from(sorted(TURNS)))
    found = [
        Kind(turned(draw(stands(new, kerf, pockets)), turn), draw(st.integers(1, copies)))
        for _ in range(draw(st.integers(1, kinds)))
    ]
    sheets = [new]
    if draw(st.booleans()):
        size = draw(st.integers(2, new.width)), draw(st.integers(2, new.height))
        sheets.append(Sheet(*size, draw(st.integers(0, ALL_SIDES)), draw(st.integers(1, 2))))
    return Problem(tuple(found), tuple(sheets), kerf)


@st.composite
def stands(draw: st.DrawFn, sheet: Sheet, kerf: int, with_pockets: bool) -> Stand:
    """Draw a piece as it hangs: it fits the sheet, with up to two notches."""
    width, height = draw(st.integers(1, sheet.width)), draw(st.integers(1, sheet.height))
    wants = draw(st.sampled_from([0, 0, *range(ALL_SIDES + 1)]))
    if width < sheet.width and wants & (LEFT | RIGHT) == LEFT | RIGHT:
        wants &= ~LEFT
    if height < sheet.height and wants & (BOTTOM | TOP) == BOTTOM | TOP:
        wants &= ~TOP
    pockets = []
    if with_pockets and min(width, height) > 2 and draw(st.booleans()):
        corners = draw(st.lists(st.sampled_from(CORNERS), min_size=1, max_size=2, unique=True))
        for sides in sorted(corners):
            # Two notches never meet: each stays within its half, one way or the other.
            notch = draw(st.integers(1, width // 2)), draw(st.integers(1, height - 1))
            if len(corners) == 2 and sides & (LEFT | RIGHT) == corners[0] & corners[1]:
                notch = notch[0], min(notch[1], height // 2)
            pockets.append(Pocket(sides, notch[0] - kerf, notch[1] - kerf, *notch))
    return Stand(width, height, wants, tuple(pockets))


def turned(stand: Stand, turn: str) -> tuple[Stand, ...]:
    """Return the ways that a piece may lie under a turn."""
    quarters = [stand]
    for _ in range(3):
        quarters.append(quarters[-1].turned())
    return tuple(quarters[:: 4 // TURNS[turn]])
