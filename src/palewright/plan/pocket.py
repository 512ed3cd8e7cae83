"""Pocket sums: quick figures of the trade without a job. The functions behind are those that plans use."""

from __future__ import annotations

import itertools
import math
from typing import Any

from palewright.errors import Problem, ProblemError, Where
from palewright.layout.bays_spacing import spacing
from palewright.layout.gates import gate_sizes, leaf_remark
from palewright.notation import show_length
from palewright.record import Record
from palewright.sources import cite
from palewright.stakeout import square
from palewright.supply import BAG_YIELDS_M3, bags_needed, hole_volumes
from palewright.survey import (
    STEEL_PER_K,
    length_correction,
    measured_line,
    pull_correction,
    sag_correction,
    swung_tie,
    temperature_correction,
)
from palewright.tables import gate_allowances

__all__ = [
    "Pocket",
    "pocket_concrete",
    "pocket_gate",
    "pocket_spacing",
    "pocket_square",
    "pocket_step",
    "pocket_tape",
    "pocket_tie",
]

_MOST_PANELS = 1000
_MOST_HANGING = 0.5
"""Weight of a hanging span, as a share of the pull, up to which the parabola stands for the catenary: at this share
the chord is out by 1 in 2,700 of the span, and soon more (catenary hung with the pull at its ends)."""

Value = float | int | str | None | list[Any] | dict[str, Any]


class Pocket(Record):
    """One answer: ``values`` for JSON (SI; keys say the unit), the formula and the source; what to heed, in words."""

    values: dict[str, Value]
    formula: str
    source: str
    cautions: tuple[str, ...] = ()


def pocket_spacing(
    length_m: float,
    longest_m: float,
    shortest_m: float = 0.0,
    rule: str = "even",
    grade: float | None = None,
    slope: float | None = None,
) -> Pocket:
    """Bays between two end posts, centre to centre.

    length_m
        level distance between the centres of the end posts [m], > 0.
    longest_m, shortest_m
        longest and shortest bay [m]; along the slope when ``grade`` (rise / run) is given, level otherwise.
    rule
        "even", "short-last" or "short-both".
    slope
        of the ground (rise / run), to say what each bay measures along it.
    Raises ProblemError when no division keeps the rules. Source: geometry.
    """
    answer = spacing(length_m, longest_m, shortest_m=shortest_m, rule=rule, grade=grade)
    bays = len(answer) - 1
    values: dict[str, Value] = {
        "bays": bays,
        "posts": bays + 1,
        "line_posts": bays - 1,
        "spacing_m": [b - a for a, b in itertools.pairwise(answer)],
        "marks_m": list(answer),
    }
    if slope is not None:
        values["along_m"] = [(b - a) * math.hypot(1.0, slope) for a, b in itertools.pairwise(answer)]
    formulas = {
        "even": "bays = length / longest, rounded up; each bay = length / bays",
        "short-last": "full bays of the longest, the last one what is left",
        "short-both": "full bays of the longest, what is left halved between the two ends",
    }
    along = "; longest level bay = longest along the slope x cos(slope)" if grade is not None else ""
    along += "; along the slope = level x sqrt(1 + grade^2)" if slope is not None else ""
    return Pocket(values, formulas[rule] + along, cite("geometry"))


def pocket_square(leg_a_m: float, leg_b_m: float, angle: float, error_m: float, run_m: float) -> Pocket:
    """Diagonal between the ends of two legs, and what an error in it does.

    leg_a_m, leg_b_m
        legs [m], > 0. angle: between them [rad, 0 to pi]. error_m: how much too long the diagonal was held [m].
    run_m
        how far the second leg runs on [m], >= 0.
    Source: law of cosines.
    """
    answer = square(leg_a_m, leg_b_m, angle, error_m, run_m)
    values: dict[str, Value] = {
        "diagonal_m": answer.diagonal_m,
        "turn_deg": math.degrees(answer.turn),
        "sideways_m": answer.sideways_m,
    }
    return Pocket(
        values,
        "diagonal^2 = a^2 + b^2 - 2 a b cos(angle); turn = angle from the three sides as held - angle; "
        "sideways = run x tan(turn)",
        cite("geometry"),
    )


def pocket_concrete(
    hole_m: float,
    depth_m: float,
    post_m: float,
    by_m: float | None,
    is_pipe: bool,
    gravel_m: float,
    holes: int,
    style: str = "feet-inches",
) -> Pocket:
    """Concrete for round holes.

    hole_m, depth_m
        diameter and depth of the hole [m], > 0. post_m: side of the post, or diameter of the pipe [m]; by_m: the
        other side.
    gravel_m
        gravel under the post [m], 0 to depth. holes: how many, >= 1. style: how lengths are written in words.
    Source: geometry; yields of bags by weight as printed in the table of bag yields.
    """
    other = post_m if by_m is None else by_m
    diagonal = post_m if is_pipe else math.hypot(post_m, other)
    _check_holes(hole_m, depth_m, diagonal, gravel_m, holes, style)
    area = math.pi * post_m**2 / 4.0 if is_pipe else post_m * other
    gross, net = hole_volumes(hole_m, depth_m, area, gravel_m)
    values: dict[str, Value] = {
        "gross_m3": gross,
        "net_m3": net,
        "bags": {bag: bags_needed(net, size) for bag, size in BAG_YIELDS_M3.items()},
        "bags_all": {bag: bags_needed(net * holes, size) for bag, size in BAG_YIELDS_M3.items()},
        "holes": holes,
    }
    return Pocket(
        values,
        "net = (hole area - post area) x (depth - gravel); bags rounded up for one hole, and once for all holes",
        cite("bag-yields"),
    )


def _check_holes(hole_m: float, depth_m: float, across_m: float, gravel_m: float, holes: int, style: str) -> None:
    """Refuse holes that leave no room for concrete beside or under the post."""
    across, hole, gravel, depth = (show_length(m, style, 16) for m in (across_m, hole_m, gravel_m, depth_m))
    if across_m >= hole_m:
        raise ProblemError(
            Problem(
                "post-fills-hole",
                "the post does not fit into the hole",
                found=f"post {across} across, hole {hole}",
                allowed="a post smaller than the hole",
                hint="give the diameter of the hole, not its depth",
            )
        )
    if gravel_m >= depth_m or holes < 1:
        raise ProblemError(
            Problem(
                "concrete-not-possible",
                "no concrete can be worked out for this hole",
                found=f"{gravel} of gravel in a depth of {depth}, {holes} holes",
                allowed="gravel less than the depth, and at least one hole",
                hint="the post stands on the gravel; the depth is that of the whole hole",
            )
        )


def pocket_gate(kind: str, opening_m: float, leaves: int, style: str = "feet-inches") -> Pocket:
    """Leaf for an opening, post face to post face, with the hardware allowance of the kind.

    opening_m
        clear opening [m], > 0. leaves: 1 or 2. style: how lengths are written in words.
    Source: by kind, printed with the answer; a leaf wider than its kind carries well is told, table gates.
    """
    sizes = gate_sizes(kind, opening_m, None, leaves, style=style)
    values: dict[str, Value] = {"leaf_m": sizes.leaf_m, "allowance_m": sizes.allowance_m}
    cautions = []
    if leaf_remark("", kind, sizes.leaf_m):
        entry = gate_allowances()[kind]
        widest, leaf = (show_length(m, style, 16) for m in (entry.widest_leaf_m, sizes.leaf_m))
        advice = "two leaves carry better" if leaves == 1 else "choose posts and hinges for the weight"
        cautions = [f"a leaf of {leaf} is wide: over {widest} {advice} ({cite(entry.widest_source)})"]
    return Pocket(values, "leaf = (opening - allowance) / leaves", cite(sizes.source), tuple(cautions))


def pocket_step(fall_m: float, run_m: float, panels: int) -> Pocket:
    """Panels that step down a slope by the same drop.

    fall_m, run_m
        from the first post to the last: down, and level [m], > 0. panels: 1 to 1000.
    Source: geometry.
    """
    if not 1 <= panels <= _MOST_PANELS:
        raise ProblemError(
            Problem(
                "panels-out-of-range",
                "a fence steps down by whole panels",
                where=Where(thing="--panels"),
                found=str(panels),
                allowed=f"1 to {_MOST_PANELS}",
                hint="divide the run by the length of a panel and round up",
            )
        )
    marks = [*(fall_m * k / panels for k in range(panels)), fall_m]
    values: dict[str, Value] = {"step_m": fall_m / panels, "marks_m": [*marks], "spacing_m": run_m / panels}
    return Pocket(values, "drop of a panel = fall / panels; post every run / panels", cite("geometry"))


def pocket_tie(
    base_m: float, a_m: float, b_m: float, sigma_m: float | None = None, style: str = "feet-inches"
) -> Pocket:
    """Point by two tapes from the ends of a base line.

    base_m, a_m, b_m
        base and the tapes from its start and its end [m], > 0. sigma_m: standard deviation of each tape [m], > 0.
    style
        how lengths are written in words.
    Raises ProblemError when the tapes do not meet. Source: geometry; two equal variances.
    """
    tie = swung_tie(base_m, a_m, b_m, sigma_m, style)
    values: dict[str, Value] = {
        "along_m": tie.along,
        "off_m": tie.off,
        "crossing_deg": math.degrees(tie.crossing),
        "semi_major_m": tie.semi_major,
        "semi_minor_m": tie.semi_minor,
    }
    return Pocket(
        values,
        "along = (a^2 - b^2 + base^2) / (2 base); off = sqrt(a^2 - along^2), to either side; ellipse: "
        "sigma / sqrt(1 - |cos g|) by sigma / sqrt(1 + |cos g|), g = angle between the tapes",
        cite("geometry"),
    )


def pocket_tape(
    read_m: float,
    *,
    compared: tuple[float, float] | None = None,
    rise_m: float = 0.0,
    temperatures: tuple[float, float] | None = None,
    per_k: float = STEEL_PER_K,
    pulls: tuple[float, float] | None = None,
    ribbon: tuple[float, float] | None = None,
    hung: tuple[float, float, int] | None = None,
) -> Pocket:
    """True length of a line measured with a steel tape; each correction that is given is applied and named.

    read_m
        as read [m], > 0. compared: nominal and true length of the tape [m]. rise_m: between the ends of a slope [m].
    temperatures
        of the tape and its standard [C]. per_k: expansion [1/K].
    pulls, ribbon
        pull and standard pull [N]; cross section [m2] and modulus [Pa].
    hung
        weight per length [N/m], pull [N], number of equal spans >= 1.
    Raises ProblemError when the corrections leave nothing, or less than the rise. Source: taping corrections.
    """
    added: dict[str, float] = {}
    if compared:
        added["length_m"] = length_correction(read_m, *compared)
    if temperatures:
        added["temperature_m"] = temperature_correction(read_m, *temperatures, per_k)
    if pulls and ribbon:
        added["pull_m"] = pull_correction(read_m, *pulls, *ribbon)
    if hung:
        weight, pull, spans = hung
        _check_hanging(weight * read_m / spans, pull)
        added["sag_m"] = sag_correction([read_m / spans] * spans, weight, pull)
    line = measured_line(read_m, added, rise_m)
    corrections = {name.replace("slope", "slope_m"): value for name, value in line.corrections.items()}
    values: dict[str, Value] = {"true_m": line.true_m, "read_m": read_m, "corrections": corrections}
    formulas = {
        "length_m": "length = (true - nominal) / nominal x read",
        "temperature_m": "temperature = k (T - T0) x read",
        "pull_m": "pull = (P - P0) x read / (A E)",
        "sag_m": "sag = -w^2 L^3 / (24 P^2) for each span",
        "slope_m": "slope = sqrt(s^2 - h^2) - s, last",
    }
    used = "; ".join(["true = read + corrections", *(formulas[name] for name in corrections)])
    return Pocket(values, used, cite("mahun-distances"))


def _check_hanging(weight_n: float, pull_n: float) -> None:
    """Refuse a span that hangs too deep for the sag correction: its weight against the pull at its ends [N]."""
    if weight_n > _MOST_HANGING * pull_n * (1.0 + 1e-9):
        raise ProblemError(
            Problem(
                "quantity-out-of-range",
                "the tape hangs too deep for the sag correction",
                where=Where(thing="--pull"),
                found=f"a span that weighs {weight_n / pull_n:.2f} of the pull",
                allowed=f"up to {_MOST_HANGING:g} of the pull",
                hint="pull harder, or hold the tape up at more places (--spans)",
            )
        )
