"""The calls of a deed made complete: curves given their chords one after another, and what is missing solved."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from palewright.boundary.curves import (
    PARTS_SHARE,
    CurveShape,
    Difference,
    curve_from_parts,
    radius_of_degree,
)
from palewright.boundary.missing import Solved, solve_calls
from palewright.errors import Problem, ProblemError, Where
from palewright.model import Call, CurveCall, Remark
from palewright.notation import show_dms, show_length
from palewright.record import Record

__all__ = ["JOINS_WITHIN", "Deed", "run_deed"]

JOINS_WITHIN = math.radians(0.05)
"""A curve is tangent to the course before it within 3 minutes: chord bearings to a minute, rounded (our own choice)."""
_NORTHS = ("magnetic", "grid", "true", "assumed", "record")


class Deed(Record):
    """Calls with none missing.

    calls
        (azimuth [rad], length [m]) of each call; of a curve its chord.
    sweeps
        how far the direction turns along each [rad, left positive]; 0 for a line.
    lengths_m
        along each: of a curve its arc.
    gaps
        which calls were solved (0-based), and for what: "length", "direction" or "both".
    other_side
        for curves placed by the course before them: the chord azimuth if they turned the other way (0-based, [rad]).
    north
        what the bearings are counted from, as far as it is said.
    """

    calls: tuple[tuple[float, float], ...]
    sweeps: tuple[float, ...]
    lengths_m: tuple[float, ...]
    gaps: tuple[tuple[int, str], ...] = ()
    other_side: tuple[tuple[int, float], ...] = ()
    north: str = ""
    remarks: tuple[Remark, ...] = ()


def run_deed(calls: Sequence[Call], style: str = "decimal-feet", bearings: str = "") -> Deed:
    """The calls of a boundary, complete.

    calls
        in order, three at least (two where one is a curve). style: how lengths are printed in problems.
    bearings
        what the whole deed says its bearings are counted from.
    A curve is made from two of its parts (:func:`palewright.boundary.curve_from_parts`); its chord runs from the
    tangent at its beginning by half its central angle (right positive). The tangent comes from the chord bearing, else
    the radial bearing, else the course before it. A curve of which only radius or central angle is known is solved as
    a call that lacks its length.
    Returns the deed with what must be said of it: parts that differ, a curve called tangent that is not, ...
    Raises ProblemError with every problem.
    """
    curves = sum(call.curve is not None for call in calls)
    if len(calls) < (2 if curves else 3):
        raise ProblemError(
            Problem(
                "boundary-too-short",
                "a boundary needs at least three sides, or two where one is a curve",
                where=calls[0].at if calls else Where(),
                found=f"{len(calls)} calls",
                hint="give every call or corner in order; the first is not repeated at the end",
            )
        )
    work = _Work(calls, style)
    for k, call in enumerate(calls[:-1]):
        if call.closing:
            work.wrong(k, "calls-after-beginning", f"call {k + 1} goes to the beginning, and more calls follow it",
                       hint="the call to beginning is the last one")  # fmt: skip
    north = work.north(bearings)
    work.shape_curves()
    work.place_curves()
    if work.problems:
        raise ProblemError(work.problems)
    return replace(work.solve(), north=north)


@dataclass(slots=True)
class _Leg:
    """One call while it is worked out: chord azimuth and length, shape of a curve, how it got its direction."""

    azimuth: float | None
    length_m: float | None
    shape: CurveShape | None = None
    by: str = ""


@dataclass(slots=True)
class _Work:
    calls: Sequence[Call]
    style: str
    problems: list[Problem] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)
    legs: list[_Leg] = field(default_factory=list)

    def wrong(self, k: int, slug: str, what: str, **more: str) -> None:
        more.setdefault("found", self.calls[k].text)
        self.problems.append(Problem(slug, what, where=self.calls[k].at, **more))

    def say(self, k: int, slug: str, level: str, **args: float | str) -> None:
        self.remarks.append(Remark(slug, level, "boundary", (("call", k + 1), *args.items()), self.calls[k].at))

    def show(self, length_m: float) -> str:
        return show_length(length_m, "metric" if self.style == "metric" else "decimal-feet")

    def north(self, bearings: str) -> str:
        """What the bearings are counted from; more than one north is a problem, since none is ever turned."""
        first = bearings.split(maxsplit=1)[0].lower() if bearings else ""
        seen = first if first in _NORTHS else ""
        for k, call in enumerate(self.calls):
            if call.north and seen and call.north != seen:
                self.wrong(k, "bearings-mixed", f"a bearing from {call.north} north stands among bearings from {seen}"
                           " north", allowed="one north for the whole boundary",
                           hint="bearings are never turned here: let a surveyor bring them to one north")  # fmt: skip
                break
            seen = seen or call.north
        return bearings or seen

    # ------------------------------------------------------------ shapes

    def shape_curves(self) -> None:
        for k, call in enumerate(self.calls):
            if call.length_m is not None and not (math.isfinite(call.length_m) and call.length_m > 0.0):
                self.wrong(k, "call-without-length", f"call {k + 1} has no length to go")
            leg = _Leg(call.azimuth, call.length_m)
            self.legs.append(leg)
            if call.curve is not None:
                try:
                    self._shape(k, call, call.curve, leg)
                except ProblemError as error:
                    self.problems += [replace(p, where=call.at, found=p.found or call.text) for p in error.problems]

    def _shape(self, k: int, call: Call, curve: CurveCall, leg: _Leg) -> None:
        if curve.side not in ("left", "right"):
            self.wrong(k, "curve-side-missing", f"call {k + 1} does not say to which side the curve goes",
                       allowed="left or right", hint="as one walks along it")  # fmt: skip
            return
        by_degree = None
        if curve.degree is not None:
            by_degree = radius_of_degree(curve.degree, curve.degree_by, curve.station_m)
        parts = (curve.radius_m or by_degree, curve.delta, curve.arc_m, call.length_m, curve.tangent_m)
        if sum(part is not None for part in parts) == 1 and (parts[0] is not None or parts[1] is not None):
            leg.length_m = None
            return
        leg.shape, differences = curve_from_parts(
            curve.radius_m, curve.delta, curve.arc_m, call.length_m, curve.tangent_m, by_degree
        )
        leg.length_m = leg.shape.chord_m
        for difference in differences:
            self._differs(k, leg.shape, difference)

    def _differs(self, k: int, shape: CurveShape, d: Difference) -> None:
        def show(value: float) -> str:
            return show_dms(value) if d.part == "central angle" else self.show(value)

        if d.off_m > PARTS_SHARE * shape.arc_m:
            what = "the radius by the degree of curve" if d.part == "degree of curve" else f"the {d.part}"
            self.wrong(
                k, "curve-parts-disagree", f"{what} of call {k + 1} does not go with the rest of the curve",
                found=f"{show(d.given)}, and by the rest {show(d.computed)}",
                allowed=f"apart by a fiftieth of the arc, {self.show(PARTS_SHARE * shape.arc_m)}, or less",
                hint="a figure of the curve is mistyped: read them again",
            )  # fmt: skip
        else:
            self.say(k, "curve-parts-differ", "caution", part=d.part, given=show(d.given), computed=show(d.computed),
                     off_m=d.off_m)  # fmt: skip

    # ------------------------------------------------------------ directions

    def place_curves(self) -> None:
        """Directions of the curves, going round from a call whose own direction is known."""
        n = len(self.legs)
        own = [leg.azimuth is not None or self._radial(k) is not None for k, leg in enumerate(self.legs)]
        first = own.index(True) if True in own else 0
        for step in range(n):
            k = (first + step) % n
            if self.calls[k].curve is not None:
                self._place(k, self._end(k - 1) if step else None)
        for k, leg in enumerate(self.legs):
            curve, incoming = self.calls[k].curve, self._end(k - 1)
            if curve is not None and leg.by == "own" and leg.shape and leg.azimuth is not None and incoming is not None:
                self._joins(k, leg.azimuth - self._sign(k) * leg.shape.delta / 2.0 - incoming, curve)

    def _radial(self, k: int) -> float | None:
        curve = self.calls[k].curve
        return curve.radial if curve is not None else None

    def _sign(self, k: int) -> float:
        curve = self.calls[k].curve
        return 1.0 if curve is not None and curve.side == "right" else -1.0

    def _end(self, k: int) -> float | None:
        """Azimuth at the end of a call, where it is known by now."""
        leg = self.legs[k]
        if leg.azimuth is None or (self.calls[k].curve is not None and leg.shape is None):
            return None
        return leg.azimuth + (self._sign(k) * leg.shape.delta / 2.0 if leg.shape else 0.0)

    def _place(self, k: int, incoming: float | None) -> None:
        leg, call = self.legs[k], self.calls[k]
        curve = call.curve
        if curve is None or leg.shape is None:
            return  # of an open curve the chord is solved first
        half = self._sign(k) * leg.shape.delta / 2.0
        tangent = None if curve.radial is None else curve.radial - self._sign(k) * math.pi / 2.0
        if leg.azimuth is not None:
            if tangent is not None:
                self._bearings_differ(k, leg.azimuth - (tangent + half), leg.shape)
            leg.by = "own"
        elif tangent is not None:
            leg.azimuth, leg.by = tangent + half, "own"
        elif incoming is not None and curve.joins != "non-tangent":
            leg.azimuth, leg.by = incoming + half, "incoming"
            if not curve.joins:
                self.say(k, "curve-taken-tangent", "assumption")
        elif not call.closing:
            self.wrong(
                k, "curve-bearing-missing", f"nothing says in which direction the curve of call {k + 1} begins",
                allowed="a chord bearing, a radial bearing to the centre, or a course before it to which it is tangent",
                hint="take the chord bearing from the deed or the plat",
            )  # fmt: skip

    def _bearings_differ(self, k: int, off: float, shape: CurveShape) -> None:
        off = abs(math.remainder(off, 2.0 * math.pi))
        if off > PARTS_SHARE:
            self.wrong(k, "curve-parts-disagree", f"chord and radial bearing of call {k + 1} do not go together",
                       found=f"{show_dms(off)} apart", hint="the radial bearing is taken from the beginning of the"
                       " curve to its centre")  # fmt: skip
        elif off > JOINS_WITHIN:
            self.say(k, "curve-bearings-differ", "caution", off_rad=off, off_m=off * shape.chord_m)

    def _joins(self, k: int, off: float, curve: CurveCall) -> None:
        """Say a curve called tangent that is not, and one that is not and does not say so."""
        off = abs(math.remainder(off, 2.0 * math.pi))
        if off <= JOINS_WITHIN or curve.joins == "non-tangent" or (not curve.joins and k == 0):
            return
        slug = "curve-not-tangent" if curve.joins == "tangent" else "curve-not-labelled"
        self.say(k, slug, "caution", off_rad=off)

    # ------------------------------------------------------------ solving

    def solve(self) -> Deed:
        """Solve what is missing, then the curves that waited for it."""
        try:
            solved = solve_calls([(leg.azimuth, leg.length_m) for leg in self.legs], self.style)
        except ProblemError as error:
            open_at = next((c.at for c, leg in zip(self.calls, self.legs, strict=True) if _open(leg)), self.calls[0].at)
            raise ProblemError([replace(problem, where=open_at) for problem in error.problems]) from None
        for k, _ in solved.gaps:
            self._close_curve(k, *solved.calls[k])
        if self.problems:
            raise ProblemError(self.problems)
        return self._deed(solved)

    def _close_curve(self, k: int, azimuth: float, chord_m: float) -> None:
        """The shape of a curve whose chord was solved, and whether it is tangent to the course before it."""
        curve, leg = self.calls[k].curve, self.legs[k]
        if curve is None:
            return
        if leg.shape is None:
            radius = curve.radius_m
            if radius is None and curve.degree is not None:
                radius = radius_of_degree(curve.degree, curve.degree_by, curve.station_m)
            try:
                leg.shape, _ = curve_from_parts(radius, curve.delta, chord_m=chord_m)
            except ProblemError as error:
                self.problems += [replace(p, where=self.calls[k].at, found=f"a chord of {self.show(chord_m)}")
                                  for p in error.problems]  # fmt: skip
                return
        leg.azimuth = azimuth
        incoming = self._end(k - 1)
        if incoming is not None:
            self._joins(k, azimuth - self._sign(k) * leg.shape.delta / 2.0 - incoming, curve)

    def _deed(self, solved: Solved) -> Deed:
        sweeps, lengths, other = [], [], []
        for k, (leg, (azimuth, length)) in enumerate(zip(self.legs, solved.calls, strict=True)):
            sweeps.append(-self._sign(k) * leg.shape.delta if leg.shape else 0.0)
            lengths.append(leg.shape.arc_m if leg.shape else length)
            if leg.by == "incoming" and leg.shape:
                other.append((k, azimuth - self._sign(k) * leg.shape.delta))
        turn = 2.0 * math.pi
        return Deed(
            tuple((azimuth % turn, length) for azimuth, length in solved.calls),
            tuple(sweeps), tuple(lengths), solved.gaps, tuple(other), remarks=tuple(self.remarks),
        )  # fmt: skip


def _open(leg: _Leg) -> bool:
    return leg.azimuth is None or leg.length_m is None
