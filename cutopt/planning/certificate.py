"""From the solver's proof to the certificate in the plan: the simplest prices that still do."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from cutopt.documents import Certificate
from cutopt.planning.pose import Posed
from cutopt.solver import Cutters, Proof, Solution, solve
from cutopt.stop import Stop

#: Up to this scale every one is tried, beyond it each a quarter larger than the last.
EVERY_SCALE = 100


def certificate_of(posed: Posed, proof: Proof | None) -> Certificate | None:
    """Return the prices of pieces and offcuts by name, and the new tiles that they prove.

    Full tiles straight out of the box need no price: each is a tile. Who verifies a certificate
    lets every cut be made, so the proof must be one for any saw: see `for_any_saw`.
    """
    straight = sum(piece.quantity for piece in posed.full)
    if proof is None or not proof.proves:
        return Certificate(scale=1, proves=straight, pieces={})
    rounded = next(
        found
        for scale in scales_up_to(proof.of_sheet[0])
        if (found := _Rounded(posed, proof, scale)).proves >= proof.proves
    )
    return Certificate(
        scale=rounded.scale,
        proves=straight + rounded.proves,
        pieces={
            member.piece.id: price
            for members, price in zip(posed.members, rounded.of_kind, strict=True)
            for member in members
            if price
        },
        offcuts={
            offcut.id: price
            for offcuts, price in zip(posed.stock, rounded.of_sheet, strict=True)
            for offcut in offcuts
            if price
        },
    )


def for_any_saw(
    posed: Posed, solution: Solution, stop: Stop, seed: int
) -> tuple[int, Proof | None]:
    """Return the bound of a solution, and a proof that lets every cut be made.

    What no saw can do, one with a greatest cut cannot do either: so this proof holds for it as
    well, and where it says more than was known, the bound is raised.
    """
    if posed.problem.cutters.longest is None:
        return solution.bound, solution.proof
    free = solve(replace(posed.problem, cutters=Cutters()), stop, seed, posed.tile.id)
    return max(solution.bound, free.bound), free.proof


def scales_up_to(exact: int) -> Iterator[int]:
    """Yield scales from 1 upwards; the last is the exact one."""
    scale = 1
    while scale < exact:
        yield scale
        scale = scale + 1 if scale < EVERY_SCALE else scale * 5 // 4
    yield exact


@dataclass(frozen=True)
class _Rounded:
    """A proof in parts of another scale: pieces rounded down and offcuts up, so that it holds."""

    posed: Posed
    proof: Proof
    scale: int

    @property
    def of_kind(self) -> list[int]:
        exact = self.proof.of_sheet[0]
        return [price * self.scale // exact for price in self.proof.of_kind]

    @property
    def of_sheet(self) -> list[int]:
        exact = self.proof.of_sheet[0]
        return [-(-price * self.scale // exact) for price in self.proof.of_sheet]

    @property
    def proves(self) -> int:
        problem = self.posed.problem
        wanted = sum(map(int.__mul__, self.of_kind, problem.demands))
        given = sum(
            (sheet.limit or 0) * price
            for sheet, price in zip(problem.sheets, self.of_sheet, strict=True)
        )
        return -(-(wanted - given) // self.scale)
