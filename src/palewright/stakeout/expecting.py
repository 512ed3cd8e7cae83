"""What the figure that a tape must read is itself worth, by how well the points are known that it hangs on."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from palewright.model import CornerCheck, Job, Reason, Site, Tie
from palewright.plane import XY, distance, dot, left_of, sub, unit
from palewright.stakeout.line import Line
from palewright.stakeout.moves import Base, Moves, UnknownMoveError, along

if TYPE_CHECKING:
    from palewright.survey import Adjustment

__all__ = ["expectations", "most_off"]

_SAME_M = 0.0005
_NOISE_M = 1e-9
_K = 2.0
"""So many standard deviations are said: 95 of 100 errors are smaller."""
_FORMULA = "2 x standard deviation of the length as those points move; a post moves so that its tapes keep their length"

Row = dict[Base, XY]


def most_off(tolerance: float, known: float) -> float:
    """The largest difference that careful taping and the measuring of the site together explain.

    tolerance
        of the tape [m], >= 0. known: how far the expected length itself may be off [m], >= 0.
    Returns sqrt(tolerance^2 + known^2) [m]. Raises ValueError for a negative one. Source: propagation of variance; both
    are taken to hold as many of 100.

    >>> most_off(0.003, 0.004)
    0.005
    """
    if tolerance < 0.0 or known < 0.0:
        raise ValueError("a tolerance is not negative")
    return math.hypot(tolerance, known)


def expectations(
    job: Job, site: Site, lines: list[Line], ties: list[Tie], checks: list[CornerCheck],
    adjustment: Adjustment | None, reasons: list[Reason],
) -> tuple[list[Tie], list[CornerCheck]]:  # fmt: skip
    """Ties and corner checks, each with what its figure is worth where something says so.

    adjustment
        of what was measured, or None. Corners of the record are known to each other as the standard of land title
        surveys asks; what was typed as coordinates counts as exact, and where nothing else is known nothing is said.
    """
    work = _Work(job, site, lines, ties, adjustment)
    told, proved = [], []
    for tie in ties:
        worth = work.worth(work.tie, tie, tie.length_m)
        most = 0.0 if worth is None else most_off(tie.tolerance_m, worth[0])
        told.append(tie if worth is None else replace(tie, known_m=worth[0], most_off_m=most))
        reasons.extend(_reasons(f"tape {tie.start} to {tie.end}", tie.tolerance_m, worth))
    for check in checks:
        worth = work.worth(work.corner, check, check.diagonal_m)
        most = 0.0 if worth is None else most_off(check.tolerance_m, worth[0])
        proved.append(check if worth is None else replace(check, known_m=worth[0], most_off_m=most))
        reasons.extend(_reasons(f"corner {check.post}", check.tolerance_m, worth))
    return told, proved


def _reasons(about: str, tolerance: float, worth: tuple[float, str] | None) -> list[Reason]:
    """Why a figure is worth no more; nothing where it is as good as exact."""
    if worth is None or worth[0] < _SAME_M:
        return []
    known, points = worth
    hangs, most = (("hangs on", points), ("standard deviation", known / _K)), most_off(tolerance, known)
    both = (("tolerance", tolerance), ("expected length", known))
    return [
        Reason(about, "expected length known to", known, "m", _FORMULA, hangs),
        Reason(about, "stop above", most, "m", "root of the sum of the squares", both),
    ]


class _Work:
    """The moves of a stake-out, and the covariance of what they hang on."""

    def __init__(self, job: Job, site: Site, lines: list[Line], ties: list[Tie], adjustment: Adjustment | None) -> None:
        self._adjustment, self._lines = adjustment, {line.name: line for line in lines}
        self._held = adjustment is None or adjustment.network.datum == "held"
        points = adjustment.network.points if adjustment is not None else ()
        loose = set(adjustment.adjusted.undetermined) if adjustment is not None else set()
        measured = {point.name for point in points if not point.held} - loose
        self._moves = Moves(job, site, lines, ties, measured, loose)

    def worth(self, row: Callable[[Any], Row], check: Tie | CornerCheck, length: float) -> tuple[float, str] | None:
        """Two standard deviations of an expected length [m] and the points it hangs on; None where nobody can say."""
        try:
            rows = row(check)
            variance = self._variance(rows, length)
        except UnknownMoveError:
            return None
        names = ", ".join(dict.fromkeys(name for _, name in rows if name))
        known = _K * math.sqrt(variance)
        return (known if known > _NOISE_M else 0.0, names) if names else None

    def _variance(self, rows: Row, length: float) -> float:
        """Of a length whose derivatives by its bases are ``rows`` [m2]."""
        kinds = {kind for kind, _ in rows}
        from palewright.survey import record_line_sigma

        net = self._adjustment
        if net is not None and "network" in kinds and (net.disagrees or (len(kinds) > 1 and not self._held)):
            raise UnknownMoveError("the net floats, or its readings disagree")
        pin = record_line_sigma(length) ** 2 / 2.0
        total = sum(pin * dot(row, row) for (kind, _), row in rows.items() if kind == "pin")
        names = [name for kind, name in rows if kind == "network"]
        if net is not None and names:
            flat = [x for name in names for x in rows["network", name]]
            q = net.covariance(names, net.cleared)
            total += max(0.0, float(q.dot(flat).dot(flat)))
        return total

    def tie(self, tie: Tie) -> Row:
        """How the length of a tape moves."""
        (a, one), (b, two) = self._moves.place(tie.start), self._moves.place(tie.end)
        u = unit(sub(b, a))
        return _plus((1.0, along(two, u)), (-1.0, along(one, u)))

    def corner(self, check: CornerCheck) -> Row:
        """How the diagonal of a triangle moves: a b sin(angle) / c times the turn of one string from the other."""
        a, b = check.legs_m
        by = a * b * math.sin(check.angle) / check.diagonal_m
        turns = [self._turn(self._lines[name]) for name in check.strings]
        return _plus((by, turns[1]), (-by, turns[0]))

    def _turn(self, line: Line) -> Row:
        """How the direction of a string moves with its end posts [rad / m]."""
        (a, one), (b, two) = (self._moves.place(post.label) for post in (line.posts[0], line.posts[-1]))
        n, k = left_of(unit(sub(b, a))), 1.0 / distance(a, b)
        return _plus((k, along(two, n)), (-k, along(one, n)))


def _plus(*parts: tuple[float, Row]) -> Row:
    total: Row = {}
    for k, row in parts:
        for base, (x, y) in row.items():
            o = total.get(base, (0.0, 0.0))
            total[base] = (o[0] + k * x, o[1] + k * y)
    return total
