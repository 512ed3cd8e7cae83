"""What must be said of distances to the line: what corners rest on, remarks and reasons."""

from __future__ import annotations

from collections.abc import Sequence

from palewright.model import (
    CornerBasis,
    CornerPair,
    Job,
    LineDistance,
    Measurement,
    Reason,
    Remark,
    SideMargin,
    Site,
)
from palewright.notation import show_chance
from palewright.plan.line_known import LineKnown, NotKnownError
from palewright.plane import Side, distance
from palewright.survey import record_line_sigma, relative_precision, stated_sigma, tool_accuracy
from palewright.tables import ToolAccuracy

__all__ = ["ABOUT", "pairs", "reasons", "remarks", "rests"]

ABOUT = "distance to the line"
_COARSE = 10.0
"""A position this many times worse than the limit of a licensed survey names the lot only (our own choice)."""


# ---------------------------------------------------------------- corners


def rests(job: Job, site: Site, known: LineKnown) -> tuple[CornerBasis, ...]:
    """What each corner of the boundary rests on, and how good that is beside the limit of a licensed survey.

    A corner with a position is as good as its worst one: a poor position is not made better by a record round it.
    """
    assert site.ring is not None
    positions: dict[str, list[Measurement]] = {}
    for m in job.measured:
        if m.kind == "position":
            positions.setdefault(m.points[0], []).append(m)
    corners, courses = site.ring.corners, site.ring.courses
    found = []
    for k, corner in enumerate(corners):
        limit = record_line_sigma(max(courses[k - 1].length_m, courses[k].length_m))
        rests_on, tool = "record", ""
        sigma = limit if corner.counts else None
        if corner.name in positions:
            rests_on = "position"
            sigma, tool = max(_position(m) for m in positions[corner.name])
        elif known.measured(corner.name):
            rests_on = "measured"
            sigma = _measured(known, (k - 1) % len(corners), k)
        found.append(CornerBasis(corner.name, rests_on, tool, sigma, None if sigma is None else sigma / limit))
    return tuple(found)


def _position(m: Measurement) -> tuple[float, str]:
    """Standard deviation of each coordinate [m], and with what it was taken."""
    if m.within:
        return m.within, m.how
    return stated_sigma(m, "east", 0.0), tool_accuracy(m.how, "position").name


def _measured(known: LineKnown, *sides: int) -> float | None:
    """How well a corner is known as seen from its neighbours, the worse of those that were measured too [m]."""
    both = [side for side in sides if all(known.measured(corner.name) for corner in known.corners(side))]
    try:
        return max((known.sigma_of_side(side) for side in both), default=None)
    except NotKnownError:
        return None


def pairs(site: Site, known: LineKnown) -> tuple[CornerPair, ...]:
    """Relative positional precision of neighbouring found corners that the network has both."""
    assert site.ring is not None
    found = []
    for side in range(len(site.ring.corners)):
        a, b = known.corners(side)
        if not (a.counts and b.counts and known.measured(a.name) and known.measured(b.name)):
            continue
        try:
            answer = relative_precision(a.xy, b.xy, known.covariance((a.name, b.name)))
        except NotKnownError:
            continue
        found.append(CornerPair(a.name, b.name, answer.semi_major_95, answer.limit_2cm, answer.limit_007ft))
    return tuple(found)


# ---------------------------------------------------------------- remarks


def remarks(
    job: Job,
    site: Site,
    distances: Sequence[LineDistance],
    margins: Sequence[SideMargin],
    corners: Sequence[CornerBasis],
    two: Sequence[CornerPair],
    risk: float | None,
) -> tuple[Remark, ...]:
    """What a reader must know: what the numbers leave out, where there are none, whether an inset keeps the risk."""
    rows = []
    if any(not row.why for row in distances):
        rows.append(Remark("wrong-pin-not-counted", "note", "boundary"))
    dark = sorted({row.side for row in distances if row.why})
    if dark:
        args = (("sides", ", ".join(map(str, dark))), ("count", len(dark)))
        rows.append(Remark("chance-not-given", "caution", "boundary", args))
    at = job.boundary.at if job.boundary is not None else site.remarks[0].at
    for corner in corners:
        if corner.rests == "position" and corner.times is not None and corner.times > _COARSE:
            said = (("corner", corner.corner), ("tool", corner.tool), ("sigma_m", corner.sigma_m or 0.0))
            times = (("times", round(corner.times)),)
            rows.append(Remark("corner-by-position", "caution", f"corner {corner.corner}", said + times, at))
    rows += _pairs_said(two)
    if risk is not None:
        rows += _kept(margins, risk)
    return tuple(rows)


def _pairs_said(two: Sequence[CornerPair]) -> list[Remark]:
    """The widest of the pairs that keep the figure of the standard, and the widest of those that do not."""
    rows = []
    for within in (False, True):
        alike = [pair for pair in two if (pair.semi_major_95 <= pair.limit_2cm) is within]
        if not alike:
            continue
        pair = max(alike, key=lambda pair: pair.semi_major_95 / pair.limit_2cm)
        names = (("start", pair.start), ("end", pair.end), ("count", len(alike)))
        limits = (("ellipse_m", pair.semi_major_95), ("first_m", pair.limit_2cm), ("second_m", pair.limit_007ft))
        slug = "relative-precision" if within else "relative-precision-over"
        rows.append(Remark(slug, "note", "boundary", names + limits))
    return rows


def _kept(margins: Sequence[SideMargin], risk: float) -> list[Remark]:
    """For each run and side, whether the distance there keeps the risk: the worse of face and footing is told."""
    worst: dict[tuple[str, int], SideMargin] = {}
    for margin in margins:
        if margin.needed_m is not None:
            key = (margin.run, margin.side)
            other = worst.get(key)
            if other is None or _short(margin) > _short(other):
                worst[key] = margin
    rows = []
    for (run, side), margin in worst.items():
        args: list[tuple[str, float | int | str]] = [("run", run), ("side", side), ("risk", f"{risk * 100:g}%")]
        if _short(margin) <= 0.0:
            rows.append(Remark("risk-kept", "note", f"run {run}", tuple(args)))
            continue
        args += [("what", margin.of), ("post", margin.post), ("distance_m", margin.distance_m)]
        args += [("chance", show_chance(margin.chance or 0.0)), ("needed_m", margin.needed_m or 0.0)]
        if margin.least_inset_m is not None:
            args += [("least_m", margin.least_inset_m), ("inset_of", margin.inset_of)]
        rows.append(Remark("risk-not-kept", "caution", f"run {run}", tuple(args)))
    return rows


def _short(margin: SideMargin) -> float:
    return (margin.needed_m or 0.0) - margin.distance_m


# ---------------------------------------------------------------- reasons


def reasons(
    known: LineKnown, sides: Sequence[Side], distances: Sequence[LineDistance], tape: ToolAccuracy, risk: float | None
) -> tuple[Reason, ...]:
    """What the parts of a standard deviation rest on; the parts of each post stand in its own record."""
    used = sorted({row.side - 1 for row in distances if not row.why})
    if not used:
        return ()
    rows = []
    for side in used:
        a, b = known.corners(side)
        if known.measured(a.name) and known.measured(b.name):
            continue
        length = distance(sides[side].a, sides[side].b)
        formula = "(0.07 ft + 50 ppm of the side) / 2.4477: found corners taken as no better than that; may be worse"
        rows.append(
            Reason(ABOUT, f"line, side {side + 1}", record_line_sigma(length), "m", formula,
                   (("side", length), ("from", a.name), ("to", b.name)), "alta-nsps-2021")
        )  # fmt: skip
    formula = f"{tape.name}: fixed part of its standard deviation, to which length / {tape.per:g} adds"
    rows.append(Reason(ABOUT, "tape", tape.fixed, "m", formula, (), tape.source))
    for what, kind, words in (
        ("string", "line", "a taut string, its distance taken at the post"),
        ("post", "setting", "the face of a post against its string, at the ground; the post is plumb"),
        ("hole", "setting", "the middle of a hole against its mark"),
    ):
        tool = tool_accuracy(what, kind)
        rows.append(Reason(ABOUT, what, tool.sigma(), "m", words, (), tool.source))
    if risk is not None:
        formula = "chance that you accept that measuring error alone puts it over the line; a wrong pin is not in it"
        rows.append(Reason(ABOUT, "risk", f"{risk * 100:g}%", "", formula, (), "as typed"))
    return tuple(rows)
