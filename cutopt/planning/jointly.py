"""The certificate of tiles that are planned together: prices of pieces, and of each tile."""

from dataclasses import dataclass
from fractions import Fraction

from cutopt.documents import JointCertificate
from cutopt.planning.certificate import scales_up_to
from cutopt.planning.pose import Posed
from cutopt.solver import Proof

#: Simpler prices are looked for up to this scale.
_SIMPLE = 10**9
#: No price in a document is larger.
_LARGEST = 10**18


def joint_certificate_of(posed: Posed, proof: Proof | None) -> JointCertificate | None:
    """Return prices by name that prove what the proof does, the simplest that still do.

    None where saw and snap cutter do not reach everywhere: who verifies lets every cut be made.
    """
    if posed.problem.cutters.longest is not None:
        return None
    if proof is None or not proof.proves:
        return JointCertificate(scale=1, tiles={}, pieces={})
    exact = _exact(posed, proof)
    for scale in scales_up_to(_SIMPLE):
        if (found := exact.rounded(Fraction(scale))).proves >= exact.proves:
            return found.named()
    whole = exact.whole()
    return whole.named() if max(whole.scale, *whole.of_sheet) <= _LARGEST else None


def _exact(posed: Posed, proof: Proof) -> "_Prices":
    """Return the prices at the scale at which they prove most."""
    problem = posed.problem
    sheets = list(zip(problem.sheets, problem.costs, proof.of_sheet, strict=False))
    scales = {Fraction(worth, cost) for _, cost, worth in sheets if cost and worth}
    endless = (Fraction(worth, cost) for one, cost, worth in sheets if one.limit is None)
    least = max(endless, default=Fraction(0))
    worths = [Fraction(worth) for _, _, worth in sheets]
    of_kind = [Fraction(price) for price in proof.of_kind]
    found = (_Prices(posed, scale, of_kind, worths) for scale in scales if scale >= least)
    return max(found, key=lambda one: one.proves)


@dataclass(frozen=True)
class _Prices:
    """Prices of kinds, and what no pattern of each sheet is worth more than.

    `scale` is what a step of the objective is worth.
    """

    posed: Posed
    scale: Fraction
    of_kind: list[Fraction]
    of_sheet: list[Fraction]

    @property
    def proves(self) -> int:
        """Return the least cost that follows, in steps."""
        problem = self.posed.problem
        left = sum(map(Fraction.__mul__, self.of_kind, map(Fraction, problem.demands)), Fraction(0))
        for sheet, cost, worth in zip(problem.sheets, problem.costs, self.of_sheet, strict=True):
            left -= (sheet.limit or 0) * max(Fraction(0), worth - cost * self.scale)
        return -(-left // self.scale)

    def rounded(self, scale: Fraction) -> "_Prices":
        """Return whole prices at a scale: pieces rounded down, sheets up, so that they hold."""
        share = scale / self.scale
        return _Prices(
            self.posed,
            scale,
            [Fraction(price * share // 1) for price in self.of_kind],
            [
                cost * scale if sheet.limit is None else Fraction(-(-worth * share // 1))
                for sheet, cost, worth in zip(
                    self.posed.problem.sheets,
                    self.posed.problem.costs,
                    self.of_sheet,
                    strict=True,
                )
            ],
        )

    def whole(self) -> "_Prices":
        """Return the same prices in whole numbers."""
        return self.rounded(Fraction(self.scale.numerator))

    def named(self) -> JointCertificate:
        """Return them by name."""
        new = len(self.posed.tiles)
        return JointCertificate(
            scale=int(self.scale),
            tiles={
                tile.id: int(worth)
                for tile, worth in zip(self.posed.tiles, self.of_sheet[:new], strict=True)
            },
            pieces={
                member.piece.id: int(price)
                for members, price in zip(self.posed.members, self.of_kind, strict=True)
                for member in members
                if price
            },
            offcuts={
                offcut.id: int(price)
                for offcuts, price in zip(self.posed.stock, self.of_sheet, strict=True)
                for offcut in offcuts
                if price
            },
        )
