"""Prices that bound at once, without any search: products of dual feasible functions.

A function f from 0..W to 0..top is dual feasible when sizes that come to no more than W are worth
no more than `top`. With another one, g, for the heights, no packing of a W x H sheet is worth more
than top(f) x top(g) when a piece is worth f(width) x g(height) (Fekete, Schepers, Mathematical
Methods of Operations Research 60, 2004). The functions used are superadditive, so that a smaller
sheet w x h is worth no more than f(w) x g(h). They come from Carlier, Clautiaux, Moukrim,
Computers & Operations Research 34 (2007), and Fekete, Schepers:

    small      sizes above W - t count as W, those below t as 0
    halved     counted in steps of t: from below up to W/2, from above beyond it
    beside     sizes of t to W/2 count as 1, those beyond W/2 as many as they keep out
    rounded    rounded down to multiples of W/(k+1), those that are multiples kept as they are

Pieces are no boxes where notches host others or edges slant: there is no such bound for them.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cutopt.solver.master import proven_by
from cutopt.solver.problem import Problem, Proof

Ints = NDArray[np.int64]
#: Products of all functions with all, for all stands: more steps are not tried.
MOST_PRODUCTS = 30_000_000
#: Products that are reckoned with exactly, the most promising ones.
PROVEN = 8
#: Rounded to parts of at most so many.
MOST_PARTS = 20
#: Worths above this are not counted: they would not fit 64 bits, added up.
MOST_TOP = 10**6


@dataclass(frozen=True)
class Counted:
    """A dual feasible function at some sizes.

    Attributes
    ----------
    top : int
        Its value for the whole side.
    values : array of int
        Its value for each size.
    """

    top: int
    values: Ints


def functions(whole: int, sizes: Ints, times: Ints) -> list[Counted]:
    """Return dual feasible functions of sizes, without those that say the same.

    Parameters
    ----------
    sizes, times : array of int
        Each 0..whole, and how often there are pieces of it; 0 for sheets.
    """
    found: dict[bytes, Counted] = {}
    for one in _functions(whole, sizes, times):
        if 0 < one.top <= MOST_TOP:
            found.setdefault((one.values / one.top).round(12).tobytes(), one)
    return list(found.values())


def _functions(whole: int, sizes: Ints, times: Ints) -> Iterator[Counted]:
    yield Counted(whole, sizes)
    for step in _steps(whole, sizes):
        yield small(whole, step, sizes)
        yield halved(whole, step, sizes)
        yield beside(whole, step, sizes, times)
    for parts in range(1, MOST_PARTS):
        yield rounded(whole, parts, sizes)


def _steps(whole: int, sizes: Ints) -> list[int]:
    """Return where the functions change: at a size, beyond the largest ones; few enough."""
    near = np.concatenate([sizes, sizes + 1, whole - sizes, whole - sizes + 1])
    steps = np.unique(near[(near > 0) & (2 * near <= whole)])
    most = max(1, int(math.sqrt(MOST_PRODUCTS / len(sizes)) - MOST_PARTS) // 3)
    return [int(step) for step in steps[:: max(1, -(-len(steps) // most))]]


def small(whole: int, step: int, sizes: Ints) -> Counted:
    """Return the function that leaves out sizes below a step, at most half of the whole."""
    return Counted(whole, np.where(sizes > whole - step, whole, np.where(sizes < step, 0, sizes)))


def halved(whole: int, step: int, sizes: Ints) -> Counted:
    """Return the function that counts in steps, twice each."""
    top = 2 * (whole // step)
    above = top - 2 * ((whole - sizes) // step)
    values = np.where(2 * sizes > whole, above, 2 * (sizes // step))
    return Counted(top, np.where(2 * sizes == whole, top // 2, values))


def beside(whole: int, step: int, sizes: Ints, times: Ints) -> Counted:
    """Return the function that counts pieces of a step to W/2, by how many fit beside others.

    It holds for these pieces only, so a sheet, even a smaller one, is worth all of it.
    """
    counts = (sizes >= step) & (2 * sizes <= whole)
    lengths = np.sort(sizes[counts].repeat(np.minimum(times[counts], whole // step)))
    sums = np.cumsum(lengths)
    top, fit = (np.searchsorted(sums, room, side="right") for room in (whole, whole - sizes))
    values = np.where(2 * sizes > whole, top - fit, counts.astype(np.int64))
    return Counted(int(top), np.where(times > 0, values, top))


def rounded(whole: int, parts: int, sizes: Ints) -> Counted:
    """Return the function that rounds down to multiples of whole / (parts + 1)."""
    times = (parts + 1) * sizes
    kept = times % whole == 0
    return Counted(parts * whole, np.where(kept, sizes * parts, times // whole * whole))


def proof_by_functions(problem: Problem) -> Proof | None:
    """Return the best bound that products of two functions prove; None where pieces are no boxes.

    Notes
    -----
    A piece that may be turned is worth the less of both ways. On a square sheet the product with
    both sides exchanged bounds as well, and so does the sum of both, which is the same for a
    piece and for the piece turned.
    """
    stands = [stand for kind in problem.kinds for stand in kind.stands]
    if any(stand.pockets or stand.hull for stand in stands):
        return None
    turned = [len(kind.stands) > 1 for kind in problem.kinds]
    square = all(sheet.width == sheet.height for sheet in problem.sheets)
    proofs = list(_Products(problem, both=True).proofs()) if square and any(turned) else []
    if not square or not all(turned):
        proofs += _Products(problem, both=False).proofs()
    return max(proofs, key=lambda proof: proof.proves)


class _Products:
    """Each function of the widths times each of the heights, for all stands and sheets.

    Attributes
    ----------
    both : bool
        Whether each product is a sum of two, with both sides exchanged; for square sheets only.
    across, upwards : array of int
        Values of the functions (rows) for all stands, as many for each kind, then all sheets.
    """

    def __init__(self, problem: Problem, *, both: bool) -> None:
        self.problem, self.both = problem, both
        most = max(len(kind.stands) for kind in problem.kinds)
        looks = [(kind.stands + kind.stands[-1:] * most)[:most] for kind in problem.kinds]
        self.shape = -1, len(looks), most
        boxes = [(look.width, look.height) for row in looks for look in row]
        sheets = [(sheet.width, sheet.height) for sheet in problem.sheets]
        sizes = np.array(boxes + sheets, np.int64).T + problem.kerf
        wholes = sizes[:, len(boxes) :].max(axis=1)
        sizes = np.minimum(sizes, wholes[:, None])
        times = np.array([kind.demand for kind in problem.kinds]).repeat(most)
        times = np.concatenate([times, np.zeros(len(sheets), np.int64)])
        if both:
            values = _values(functions(int(wholes[0]), sizes.ravel(), np.tile(times, 2)))
            self.across, self.upwards = values.reshape(-1, *sizes.shape).transpose(1, 0, 2)
        else:
            self.across = _values(functions(int(wholes[0]), sizes[0], times))
            self.upwards = _values(functions(int(wholes[1]), sizes[1], times))

    def proofs(self) -> Iterator[Proof]:
        """Yield what the most promising products prove."""
        demands = np.array(self.problem.demands, float)
        free = np.array(
            [
                float(sheet.limit or 0) if not cost else 0.0
                for sheet, cost in zip(self.problem.sheets, self.problem.costs, strict=True)
            ]
        )
        base = self.problem.to_buy[0]
        promises = []
        for one in range(len(self.across)):
            pieces, sheets = self._worths(one)
            promises.append((pieces @ demands - sheets @ free) / sheets[:, base])
        best = np.argsort(-np.concatenate(promises), kind="stable")[:PROVEN]
        for one, other in zip(*np.divmod(best, len(promises[0])), strict=True):
            pieces, sheets = self._worths(int(one))
            of_kind, of_sheet = tuple(pieces[other].tolist()), tuple(sheets[other].tolist())
            yield Proof(of_kind, of_sheet, proven_by(self.problem, of_kind, of_sheet))

    def _worths(self, one: int) -> tuple[Ints, Ints]:
        """Return what kinds and sheets are worth by a function of widths and all of heights."""
        worth = self.across[one] * self.upwards
        if self.both:
            worth = worth + self.upwards[one] * self.across
        stands = self.shape[1] * self.shape[2]
        return worth[:, :stands].reshape(self.shape).min(axis=2), worth[:, stands:]


def _values(functions: Sequence[Counted]) -> Ints:
    return np.stack([one.values for one in functions])
