"""Small sites and jobs built in Python for the tests of the layout."""

from __future__ import annotations

from dataclasses import replace

from palewright.layout.laying import lay_out
from palewright.model import (
    Closure,
    Corner,
    Course,
    Design,
    Embedment,
    FenceSpec,
    GateSpec,
    HoleRule,
    InsetSpec,
    Job,
    Kind,
    LineStatus,
    PointRef,
    PostSize,
    Ring,
    RunSpec,
    Site,
    SitePoint,
    Zone,
)
from palewright.plane import area, azimuth, distance, signed_area

FT = 0.3048
IN = 0.0254


def kind(name="fence", *, longest=8 * FT, family="boards", module=None, **change) -> Kind:
    """Boards on 4x4 posts with 6x6 gate posts, 10 in holes (14 in at gates): sizes from memory, for geometry only."""
    line = PostSize("4x4", 3.5 * IN, 3.5 * IN, False, (8 * FT, 10 * FT))
    gate = PostSize("6x6", 5.5 * IN, 5.5 * IN, False, (8 * FT, 10 * FT))
    hole = HoleRule(10 * IN, 30 * IN, 4 * IN)
    base = Kind(
        name=name,
        kind="boards",
        family=family,
        pattern="solid",
        good_side="neighbour",
        two_faced=True,
        height_m=74 * IN,
        height_words=(("board", 72 * IN), ("bottom gap", 2 * IN)),
        bottom_gap_m=2 * IN,
        infill_m=72 * IN,
        top_m=74 * IN,
        longest_m=longest,
        shortest_m=longest / 3,
        module_m=module,
        front_m=1.75 * IN + 2.125 * IN,
        back_m=1.75 * IN,
        posts=(("line", line), ("end", line), ("gate", gate)),
        post_top_m=(("line", 74 * IN),),
        holes=(("line", hole), ("gate", replace(hole, diameter_m=14 * IN))),
        rails=3,
        rail_heights_m=(0.2, 0.9, 1.6),
        rail_stock_m=16 * FT,
        board_width_m=5.5 * IN,
        board_gap_m=0.0,
        board_overlap_m=0.0,
    )
    return replace(base, **change)


def embed(kind: Kind, role: str) -> Embedment:
    """The kind's own depth, gravel taken out of it."""
    hole = kind.hole(role)
    return Embedment(hole.depth_m, hole.depth_m - hole.gravel_m, hole.gravel_m, "kind")


def points(**places) -> tuple[SitePoint, ...]:
    """Named points, given in feet."""
    return tuple(SitePoint(name, (x * FT, y * FT), "coordinates") for name, (x, y) in places.items())


def refs(*names) -> tuple[PointRef, ...]:
    return tuple(
        PointRef(name) if isinstance(name, str) else PointRef("", (name[0] * FT, name[1] * FT)) for name in names
    )


def run(name, *through, fence="fence", **more) -> RunSpec:
    more.setdefault("yard", "left")
    return RunSpec(name, fence, refs(*through), **more)


def gate(name, opening_ft, starts_ft, point, **more) -> GateSpec:
    more.setdefault("hinges", "near")
    more.setdefault("swings", "yard")
    return GateSpec(name, opening_ft * FT, None, starts_ft * FT, point, **more)


def ring(corners_ft, located=False, names=None) -> Ring:
    """A boundary through corners in feet."""
    xy = [(x * FT, y * FT) for x, y in corners_ft]
    names = names or [f"corner {k + 1}" for k in range(len(xy))]
    courses = tuple(
        Course(k + 1, names[k], names[(k + 1) % len(xy)], azimuth(a, b), distance(a, b), "")
        for k, (a, b) in enumerate(zip(xy, xy[1:] + xy[:1], strict=True))
    )
    return Ring(
        tuple(Corner(n, p) for n, p in zip(names, xy, strict=True)),
        courses,
        Closure(sum(c.length_m for c in courses), 0.0, 0.0, 0.0, 0.0),
        area(xy),
        signed_area(xy) < 0,
        LineStatus(0, len(xy), located, "none-found"),
    )


def inset(of, inches) -> InsetSpec:
    return InsetSpec(of, inches * IN)


def zone(name, *path_ft, half_in=12.0, kind="no hole", utility="gas", closed=False) -> Zone:
    return Zone(name, tuple((x * FT, y * FT) for x, y in path_ft), half_in * IN, kind, utility, 1 * IN, closed)


def lay(
    runs, places=(), *, kinds=None, boundary=None, zones=(), falls=(), buildings=(), removals=(), job=None, ground=None,
    heights=None, limits=None,
) -> Design:  # fmt: skip
    kinds = kinds or {"fence": kind()}
    fences = tuple(FenceSpec(name, k.kind) for name, k in kinds.items())
    job = job or Job("test", fences=fences, runs=tuple(runs), falls=tuple(falls))
    site = Site(tuple(places), boundary, tuple(zones), tuple(removals), tuple(buildings), False)
    return lay_out(job, site, kinds, embed, ground, heights, limits)


def posts_by_role(design: Design) -> dict[str, int]:
    counts: dict[str, int] = {}
    for post in design.posts:
        role = "bracket" if post.number == 0 else post.role
        counts[role] = counts.get(role, 0) + 1
    return counts
