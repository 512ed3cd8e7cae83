"""Which levelled reading is wrong, or which given height: one at a time, and who else it might be.

As :mod:`palewright.survey.snooping` does in the plane. The reading with the largest |w| above 3.2905 is dropped, and so
on. Reading j is named beside i where i would pass once j were left out instead, and where leaving out j lowers the sum
of squares nearly as much: w_i^2 - w_j^2 below 6.63 (chi-square, 99 %, one degree of freedom). A given height is judged
alike, by how much the sum falls when that point may move. With one degree of freedom every reading of the loop is
named, and both given heights. Source: Baarda (1968); the comparisons are likelihood ratios.
"""

from __future__ import annotations

import numpy as np

from palewright.model import Suspect
from palewright.record import Record
from palewright.survey.levels_net import LevelNet, SolvedLevels
from palewright.survey.quality import AS_GOOD, CRITICAL
from palewright.survey.rows import Floats

__all__ = ["Snooping", "snoop_levels"]

_MOST_HELD = 40
_MOST_DROPPED = 30


class Snooping(Record):
    """Readings dropped, given heights that may be wrong, and the solution without what was dropped."""

    suspects: tuple[Suspect, ...]
    doubted: tuple[str, ...]
    solved: SolvedLevels


def snoop_levels(net: LevelNet, solved: SolvedLevels) -> Snooping:
    """Drop readings one at a time until no |w| is above CRITICAL, or let go a given height that explains more."""
    suspects: list[Suspect] = []
    doubted: list[str] = []
    most = min(max(3, len(net.value) // 10), _MOST_DROPPED)
    while solved.dof > 0 and len(suspects) < most:
        w = solved.tests()
        worst = int(np.flatnonzero(np.abs(w) >= np.abs(w).max() * (1.0 - 1e-9))[0])
        gain = float(w[worst] ** 2)
        if gain <= CRITICAL**2:
            break
        out = [suspect.index for suspect in suspects]
        held = _held_gains(net, solved, out)
        top = max(held.values(), default=0.0)
        if top > gain + AS_GOOD:
            near = [k for k, t in held.items() if t > top - AS_GOOD]
            freed = net.solve(out, near[0]) if len(near) == 1 and not doubted else solved
            return Snooping(tuple(suspects), (*doubted, *(net.names[k] for k in near)), freed)
        rivals = [net.names[k] for k, t in held.items() if t > gain - AS_GOOD]
        doubted += [name for name in rivals if name not in doubted]
        among = _rivals(solved, w, worst)
        by = -float(solved.residual[worst] / solved.redundancy[worst])
        alone = len(among) == 1 and not rivals
        suspects.append(Suspect(worst, by, alone=alone, among=() if alone else among))
        solved = net.solve([*out, worst])
    return Snooping(tuple(suspects), tuple(doubted), solved)


def _rivals(solved: SolvedLevels, w: Floats, worst: int) -> tuple[int, ...]:
    """Readings that may be the wrong one instead of ``worst``, which is among them."""
    rho = np.clip(solved.correlation(worst), -1.0, 1.0)
    rest = np.sqrt(np.maximum(1.0 - rho**2, 1e-8))
    passes = np.abs(w[worst] - rho * w) <= CRITICAL * rest
    rivals = passes & (w[worst] ** 2 - w**2 < AS_GOOD) & (solved.redundancy > 0.0)
    rivals[worst] = True
    return tuple(int(k) for k in np.flatnonzero(rivals))


def _held_gains(net: LevelNet, solved: SolvedLevels, out: list[int]) -> dict[int, float]:
    """By how much the sum of squares falls if a given height is let go, for each that something checks."""
    found: dict[int, float] = {}
    held = np.flatnonzero(net.held & solved.joined)
    for k in held.tolist() if 1 < len(held) <= _MOST_HELD else ():
        freed = net.solve(out, k)
        if freed.dof < solved.dof and (freed.joined == solved.joined).all():
            found[k] = solved.squares - freed.squares
    return found
