"""Runs along boundary sides that are arcs: posts on the offset arc, straight bays between them, the inset kept."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.layout.yard_builder import FT, IN, inset, kind, lay, points, refs

from palewright.boundary import build_ring, ring_sides
from palewright.errors import JobError
from palewright.jobfile import read_deed
from palewright.layout.frame import Outline
from palewright.layout.inside import Boundary
from palewright.model import BoundarySpec, Design, GateSpec, PointRef, Ring, RunSpec
from palewright.plane import path_of_sides, side_between

ALL = (1, 2, 3, 4, 5)


def lot(curve: str, size: float = 100.0, cut: float = 20.0) -> Ring:
    """A square lot in feet, clockwise from the south-west; ``curve`` takes the place of the north-east corner."""
    calls = f"N {size}\nE {size - cut}\n{curve}\nS {size - cut}\nW {size}"
    spec = BoundarySpec(PointRef(), read_deed(calls, unit="ft"), names=("SW", "NW", "C1", "C2", "SE"))
    return build_ring(spec, (0.0, 0.0), (), {})[0]


def rounded(radius: float = 20.0) -> Ring:
    return lot(f"curve right, radius {radius}, delta 90°, tangent", cut=radius)


def scooped(radius: float = 20.0) -> Ring:
    return lot(f"curve left, radius {radius}, delta 90°, chord S 45° E, non-tangent", cut=radius)


def walk(ring: Ring, sides: tuple[int, ...] = ALL, how: str = "face", inches: float = 8.0, longest: float = 8.0,
         **more: object) -> Design:  # fmt: skip
    spec = RunSpec("round", "fence", sides=sides, inset=inset(how, inches), follows="racked", **more)  # type: ignore[arg-type]
    return lay([spec], kinds={"fence": kind(longest=longest * FT)}, boundary=ring)


def shape(ring: Ring) -> shapely.Polygon:
    return shapely.Polygon(path_of_sides(ring_sides(ring), 1e-6))


def on_curve(design: Design, centre: tuple[float, float], radius: float) -> list[tuple[float, float]]:
    """Posts on the offset arc, in order."""
    return [post.xy for post in design.posts if abs(math.dist(post.xy, centre) - radius) < 1e-6]


def test_posts_stand_on_the_offset_arc_at_even_chords() -> None:
    design = walk(rounded())
    (said,) = [dict(r.args) for r in design.remarks if r.slug == "arc-side-chords"]
    posts = on_curve(design, (80.0 * FT, 80.0 * FT), said["radius_m"])
    assert len(posts) == said["count"] + 1
    chords = [math.dist(a, b) for a, b in itertools.pairwise(posts)]
    assert chords == pytest.approx([said["chord_m"]] * said["count"])
    assert max(chords) <= 8.0 * FT + 1e-9
    half = chords[0] / 2.0
    assert said["middle_m"] == pytest.approx(said["radius_m"] - math.sqrt(said["radius_m"] ** 2 - half**2))
    roles = {post.role for post in design.posts if post.xy in posts[1:-1]}
    assert roles == {"line"}


@settings(max_examples=25)
@given(
    st.sampled_from([rounded, scooped]), st.floats(12.0, 60.0), st.sampled_from(["face", "post", "footing"]),
    st.floats(0.0, 24.0), st.floats(5.0, 10.0), st.booleans(),
)  # fmt: skip
def test_the_inset_is_kept_along_arcs(make, radius, how, inches, longest, backward) -> None:
    """Every face, post and hole keeps the distance asked for: measured with shapely on a ring of tiny chords."""
    ring = make(round(radius, 2))
    sides = tuple(reversed(ALL)) if backward else ALL
    design = walk(ring, sides, how, inches, longest)
    edge, asked = shape(ring), inches * IN
    boards = kind()
    for post in design.posts:
        at = shapely.Point(post.xy)
        assert edge.contains(at)
        w = 1.75 * IN
        section = shapely.Polygon([_turned(post.xy, post.axis, (w, w)), _turned(post.xy, post.axis, (-w, w)),
                                   _turned(post.xy, post.axis, (-w, -w)), _turned(post.xy, post.axis, (w, -w))])  # fmt: skip
        far = edge.exterior.distance(section)
        if how == "footing":
            assert edge.exterior.distance(at) - 5 * IN >= asked - 1e-5
        else:
            assert far >= asked - 1e-5
        assert dict(post.inset)["post"] == pytest.approx(far, abs=1e-5)
    if how == "face":
        for leg in design.legs:
            out = -boards.front_m if leg.yard == "left" else boards.front_m
            angle = math.atan2(leg.end[1] - leg.start[1], leg.end[0] - leg.start[0])
            middle = ((leg.start[0] + leg.end[0]) / 2.0, (leg.start[1] + leg.end[1]) / 2.0)
            face = shapely.Point(_turned(middle, angle, (0.0, out)))
            assert edge.exterior.distance(face) >= asked - 1e-5


def _turned(at: tuple[float, float], angle: float, by: tuple[float, float]) -> tuple[float, float]:
    c, s = math.cos(angle), math.sin(angle)
    return (at[0] + c * by[0] - s * by[1], at[1] + s * by[0] + c * by[1])


def test_a_run_along_the_arc_alone() -> None:
    design = walk(rounded(), (3,))
    assert len(design.posts) == len(design.bays) + 1
    assert {leg.yard for leg in design.legs} == {"right"}
    assert sum(leg.length_m for leg in design.legs) < 10.0 * math.pi * FT


def test_two_arcs_meet_at_a_corner() -> None:
    """A lens of two arcs of 120 degrees: the offset arcs meet inside their corners."""
    calls = "curve left, radius 40, delta 120°, chord E\ncurve left, radius 40, delta 120°, chord W"
    spec = BoundarySpec(PointRef(), read_deed(calls, unit="ft"), names=("W", "E"))
    lens = build_ring(spec, (0.0, 0.0), (), {})[0]
    design = lay([RunSpec("round", "fence", sides=(1, 2), inset=inset("post", 8.0), follows="racked")], boundary=lens)
    edge = shape(lens)
    assert min(edge.exterior.distance(shapely.Point(post.xy)) for post in design.posts) > 8.0 * IN
    assert all(edge.contains(shapely.Point(post.xy)) for post in design.posts)


def test_the_yard_is_inside_an_arc() -> None:
    """A run close to the bulge of the arc, outside the chord of its corners: still inside the lot."""
    ring = rounded(40.0)
    at = math.radians(45.0)
    far = 39.0 * FT
    middle = (60.0 * FT + far * math.cos(at), 60.0 * FT + far * math.sin(at))
    ends = [(middle[0] + d * FT, middle[1] - d * FT) for d in (-3.0, 3.0)]
    places = points(A=tuple(c / FT for c in ends[0]), B=tuple(c / FT for c in ends[1]))
    run = RunSpec("r", "fence", through=refs("A", "B"), follows="racked")
    design = lay([run], places, boundary=ring)
    assert design.legs[0].yard == "right"
    assert all(dict(post.inset)["post"] > 0.0 for post in design.posts)


@pytest.mark.parametrize(
    ("sides", "key", "ring"),
    [
        ((3, 4), "begins", rounded()),
        ((2, 3), "finishes", rounded()),
        ((4, 3), "finishes", rounded()),
        ((3, 2), "begins", rounded()),
        ((3, 4), "begins", lot("curve right, radius 20, delta 270°, chord S 45° E, non-tangent")),
    ],
)
def test_a_run_begins_and_ends_abreast_of_a_point_beside_an_arc(sides: tuple[int, ...], key: str, ring: Ring) -> None:
    """Abreast of a point is where the radius through it meets the offset arc; here the middle of the arc."""
    side = ring_sides(ring)[2]
    middle = math.atan2(side.a[1] - side.centre[1], side.a[0] - side.centre[0]) + side.sweep / 2.0
    beside = (side.centre[0] + 2.0 * math.cos(middle), side.centre[1] + 2.0 * math.sin(middle))
    design = walk(ring, sides, **{key: PointRef("", beside)})
    end = (design.posts[0] if key == "begins" else design.posts[-1]).xy
    assert math.atan2(end[1] - side.centre[1], end[0] - side.centre[0]) == pytest.approx(middle, abs=1e-9)
    (said,) = [dict(r.args) for r in design.remarks if r.slug == "arc-side-chords"]
    assert math.dist(end, side.centre) == pytest.approx(said["radius_m"], abs=1e-9)
    whole = 2.0 * math.asin(said["chord_m"] / (2.0 * said["radius_m"])) * said["count"]
    assert whole == pytest.approx(abs(side.sweep) / 2.0, abs=0.12)  # the corner at its other end takes the inset
    assert min(shape(ring).exterior.distance(shapely.Point(post.xy)) for post in design.posts) > 8.0 * IN


def test_a_gate_wider_than_a_bay_of_a_curve_is_told_where_it_can_stand() -> None:
    with pytest.raises(JobError) as caught:
        walk(rounded(), (3,), call=("A", "B"), gates=(GateSpec("drive", 12.0 * FT, None, 1.0, "A"),))
    (problem,) = caught.value.problems
    assert problem.slug == "gate-wider-than-leg"
    assert "`ends abreast of`" in problem.hint


def test_what_an_arc_cannot_do() -> None:
    ring = rounded()
    for sides, key in (((3, 4), "begins"), ((2, 3), "finishes")):
        with pytest.raises(JobError) as caught:
            walk(ring, sides, **{key: PointRef("", (70.0 * FT, 70.0 * FT))})
        assert [problem.slug for problem in caught.value.problems] == ["abreast-not-possible"]
    with pytest.raises(JobError) as caught:
        walk(rounded(5.0), inches=72.0)
    assert "inset-collapses" in [problem.slug for problem in caught.value.problems]


def test_names_are_called_at_corners_and_not_at_every_post() -> None:
    design = walk(rounded(), (2, 3, 4), call=("A", "B", "C", "D"))
    assert len(design.posts) > 20
    with pytest.raises(JobError) as caught:
        walk(rounded(), (2, 3, 4), call=("A", "B", "C"))
    assert [problem.slug for problem in caught.value.problems] == ["call-count"]


@settings(max_examples=150)
@given(
    st.floats(-3.0, 3.0).filter(lambda s: abs(s) > 0.05), st.floats(-12, 12), st.floats(-12, 12), st.floats(0.05, 1.0),
    st.floats(0.05, 1.0), st.floats(-3, 3),
)  # fmt: skip
def test_distances_of_points_and_sections_to_arcs(sweep, x, y, w, h, axis) -> None:
    """Against shapely on a ring of tiny chords."""
    corners = [(-8.0, -8.0), (8.0, -8.0), (8.0, 8.0), (-8.0, 8.0)]
    sides = [side_between(corners[k], corners[(k + 1) % 4], sweep if k == 1 else 0.0) for k in range(4)]
    ring = shapely.Polygon(path_of_sides(sides, 1e-6))
    if not ring.is_valid:
        return
    boundary = Boundary.of(sides)
    at = shapely.Point(x, y)
    signed = ring.exterior.distance(at) * (1.0 if ring.contains(at) else -1.0)
    assert boundary.distance((x, y)) == pytest.approx(signed, abs=1e-5)
    section = shapely.Polygon([_turned((x, y), axis, (i * w, j * h)) for i, j in ((-1, -1), (1, -1), (1, 1), (-1, 1))])
    found = boundary.section((x, y), Outline(w, h), axis, signed)
    if ring.contains(section):
        assert found == pytest.approx(ring.exterior.distance(section), abs=1e-4)
    elif ring.exterior.intersects(section.buffer(-1e-4)):
        assert found <= 1e-4
    replaced = replace(boundary, curved=())
    assert replaced.sides == boundary.sides
