"""Adjustment: the minimum of other solvers, covariance of dense algebra, one answer in every unit and datum."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.optimize import least_squares, minimize_scalar
from tests.survey.nets import Model, Places, random_net

from palewright.model import Adjusted, NetPoint, Network, Observation
from palewright.survey import Adjustment, adjust

FEW = settings(max_examples=15, deadline=None)
NUMBERS = st.integers(0, 100_000)


def _places(done: Adjusted) -> Places:
    return {point.name: point.xy for point in done.points}


def _covariances(done: Adjusted) -> np.ndarray:
    return np.array([(p.var_east, p.cov, p.cov, p.var_north) for p in done.points]).reshape(-1, 2, 2)


def _apart(one: Adjusted, two: Adjusted) -> float:
    return max(math.dist(a.xy, b.xy) for a, b in zip(one.points, two.points, strict=True))


# ---------------------------------------------------------------- against other solvers


@FEW
@given(NUMBERS, st.integers(5, 10), st.integers(2, 3))
@example(4059, 6, 2)
def test_same_minimum_as_scipy(number: int, points: int, held: int) -> None:
    """Every kind of reading at once, from rough places 0.2 m off; the model there is written point by point."""
    network = random_net(number, points, held=held)
    done = adjust(network, snooping=False)
    model = Model(network)
    rough = {p.name: p.xy for p in network.points if p.xy}
    found = least_squares(model, model.start(rough), model.slope, x_scale="jac", xtol=1e-14, ftol=1e-14, gtol=1e-14)
    ours = model.start(_places(done))
    polished = least_squares(model, ours, model.slope, x_scale="jac", xtol=1e-15, ftol=1e-15, gtol=1e-15)
    assert done.weighted_squares == pytest.approx(2.0 * polished.cost, rel=1e-9)
    assert np.abs(polished.x[: 2 * len(model.moving)] - ours[: 2 * len(model.moving)]).max() < 1e-6
    assert done.weighted_squares <= 2.0 * found.cost * (1.0 + 1e-9)
    assert done.gradient < 1e-6 * max(1.0, math.sqrt(done.weighted_squares))


@FEW
@given(NUMBERS, st.integers(5, 10))
def test_covariance_is_that_of_the_dense_normal_equations(number: int, points: int) -> None:
    network = random_net(number, points)
    adjustment = Adjustment(network, snooping=False)
    model = Model(network)
    slope = model.slope(_at_minimum(model, adjustment.adjusted))
    inverse = np.linalg.inv(slope.T @ slope)
    names = model.moving
    whole = adjustment.covariance(names)
    assert whole == pytest.approx(inverse[: 2 * len(names), : 2 * len(names)], rel=2e-4, abs=1e-10)
    for k, name in enumerate(names):
        point = next(p for p in adjustment.adjusted.points if p.name == name)
        block = inverse[2 * k : 2 * k + 2, 2 * k : 2 * k + 2]
        assert [point.var_east, point.cov, point.var_north] == pytest.approx(
            block[[0, 0, 1], [0, 1, 1]], rel=2e-4, abs=1e-10
        )
        values = np.linalg.eigvalsh(block)
        assert [point.semi_minor, point.semi_major] == pytest.approx(np.sqrt(values), rel=2e-4)
    share = 1.0 - np.einsum("mi,ij,mj->m", slope, inverse, slope)
    assert [fit.redundancy for fit in adjustment.adjusted.fits] == pytest.approx(share, abs=2e-4)


def _at_minimum(model: Model, done: Adjusted) -> np.ndarray:
    return np.asarray(least_squares(model, model.start(_places(done)), model.slope, x_scale="jac").x)


@FEW
@given(NUMBERS, st.integers(4, 40))
def test_redundancies_add_up_to_the_degrees_of_freedom(number: int, points: int) -> None:
    network = random_net(number, points)
    done = adjust(network, snooping=False)
    assert done.undetermined == ()
    assert sum(fit.redundancy for fit in done.fits) == pytest.approx(done.dof, abs=1e-6)
    squares = sum((fit.residual / o.sigma) ** 2 for fit, o in zip(done.fits, network.observations, strict=True))
    assert squares == pytest.approx(done.weighted_squares, rel=1e-9, abs=1e-12)


@FEW
@given(NUMBERS, st.floats(0.1, 4.0))
@example(79, 3.0)
@example(106, 2.0)
@example(290, 4.0)
@example(337, 3.0)
@example(517, 4.0)
def test_poor_rough_places_settle_at_the_same_minimum(number: int, off: float) -> None:
    """Rough places off by up to a fifth of the usual distance between points.

    Points nearer than that come in the wrong order: going downhill from there ends in other minima (79, 106, 290, 337),
    with sights that miss by a right angle and more, or nowhere (517).
    """
    network = random_net(number, 12, ("direction", "azimuth"))
    draw = np.random.default_rng(number)
    worse = [
        p
        if p.held or p.xy is None
        else replace(p, xy=(p.xy[0] + draw.uniform(-off, off), p.xy[1] + draw.uniform(-off, off)))
        for p in network.points
    ]
    done, again = adjust(network, snooping=False), adjust(replace(network, points=tuple(worse)), snooping=False)
    assert again.weighted_squares == pytest.approx(done.weighted_squares, rel=1e-9)
    assert _apart(done, again) < 1e-6


@pytest.mark.parametrize(("number", "kinds"), [(1923, ("angle",)), (412, ())])
def test_places_as_typed_do_not_lead_the_finder_astray(number: int, kinds: tuple[str, ...]) -> None:
    """As above; built on from the typed places, the figure would end in another minimum once more."""
    network = random_net(number, 12, kinds)
    draw = np.random.default_rng(number)
    off = float(draw.uniform(1.0, 4.0))
    worse = [
        p
        if p.held or p.xy is None
        else replace(p, xy=(p.xy[0] + draw.uniform(-off, off), p.xy[1] + draw.uniform(-off, off)))
        for p in network.points
    ]
    again = adjust(replace(network, points=tuple(worse)), snooping=False)
    assert _apart(adjust(network, snooping=False), again) < 1e-6


def test_a_floating_network_from_poor_places_stays_where_the_datum_has_it() -> None:
    """Two neighbours typed in the wrong order: the figure is that of the readings, and the datum's law holds.

    The first point where it was typed, the second in the direction typed (``least``); no mean shift or turn against the
    places typed (``free``; the conditions of inner constraints, Mikhail 1976).
    """
    network = random_net(79, 12, ("direction",), datum="least")
    draw = np.random.default_rng(79)
    typed = {p.name: (p.xy[0] + draw.uniform(-3, 3), p.xy[1] + draw.uniform(-3, 3)) for p in network.points if p.xy}
    points = tuple(replace(p, xy=typed[p.name]) for p in network.points)
    good = adjust(network, snooping=False)
    least = adjust(replace(network, points=points), snooping=False)
    free = adjust(replace(network, points=points, datum="free"), snooping=False)
    one, two = (_places(least)[name] for name in ("P0", "P1"))
    assert one == pytest.approx(typed["P0"], abs=1e-9)
    turned = complex(*two) - complex(*one), complex(*typed["P1"]) - complex(*typed["P0"])
    assert abs((turned[0] / turned[1]).imag) < 1e-9
    for done in (least, free):
        assert done.weighted_squares == pytest.approx(good.weighted_squares, rel=1e-9)
    moved = {name: complex(*xy) - complex(*typed[name]) for name, xy in _places(free).items()}
    assert abs(sum(moved.values())) < 1e-6
    assert abs(sum((complex(*typed[name]).conjugate() * shift).imag for name, shift in moved.items())) < 1e-4


@pytest.mark.parametrize(("short", "weak"), [(0.03, 1.0), (0.03, 3.0), (0.1, 10.0), (0.3, 1.0)])
@pytest.mark.parametrize("start", [0.5, -3.0])
def test_what_only_residuals_hold_settles(short: float, weak: float, start: float) -> None:
    """Two tapes, both too short for the base: pulled taut they hold P on the line, far more than its weak coordinate.

    To first order the tapes do not notice P moving off the line. By symmetry P is at (100, y): one unknown, minimised by
    a search that uses no derivatives.
    """
    pins = (NetPoint("A", (0.0, 0.0), True), NetPoint("B", (200.0, 0.0), True), NetPoint("P", (100.3, start)))
    tapes = tuple(Observation("distance", (name, "P"), 100.0 - short, 0.003) for name in "AB")
    done = adjust(Network(pins, (*tapes, Observation("north", ("P",), 0.5, weak))), snooping=False)

    def squares(y: float) -> float:
        return float(2.0 * ((math.hypot(100.0, y) - 100.0 + short) / 0.003) ** 2 + ((y - 0.5) / weak) ** 2)

    found = minimize_scalar(squares, bracket=(-0.1, 0.1), tol=1e-12)
    assert done.points[2].xy == pytest.approx((100.0, found.x), abs=1e-6)
    assert done.weighted_squares == pytest.approx(found.fun, rel=1e-12)
    assert done.iterations < 30


@pytest.mark.parametrize(("number", "points"), [(10, 70), (6985, 91)])
def test_large_frames_of_tapes_alone_settle(number: int, points: int) -> None:
    """Some of their motions are held by little but the residuals. From the same places scipy finds nothing lower."""
    network = random_net(number, points, ())
    done, model = adjust(network, snooping=False), Model(network)
    rough = model.start({p.name: p.xy for p in network.points if p.xy})
    found = least_squares(model, rough, model.slope, x_scale="jac", max_nfev=25)
    assert done.gradient < 1e-6 * math.sqrt(done.weighted_squares)
    assert done.weighted_squares <= 2.0 * found.cost
    assert done.weighted_squares == pytest.approx(2.0 * found.cost, rel=0.01)


def test_far_off_places_are_walked_in_from() -> None:
    """A triangle's top thrown 300 m away and near the base line: full steps overshoot, damped ones arrive."""
    pins = (NetPoint("A", (0.0, 0.0), True), NetPoint("B", (100.0, 0.0), True))
    tapes = (Observation("distance", ("A", "P"), 80.0, 0.01), Observation("distance", ("B", "P"), 60.0, 0.01))
    for start in ((400.0, 1.0), (-300.0, 5.0), (64.0, 0.01), (64.0, 900.0)):
        done = adjust(Network((*pins, NetPoint("P", start)), tapes))
        assert done.points[2].xy == pytest.approx((64.0, 48.0), abs=1e-6)


# ---------------------------------------------------------------- units, datums, kinds


@FEW
@given(NUMBERS)
def test_feet_and_metres_give_one_answer(number: int) -> None:
    foot = 0.3048
    network = random_net(number, 7)
    lengths = ("distance", "on line", "offset", "along", "east", "north")
    scaled = Network(
        tuple(replace(p, xy=(p.xy[0] / foot, p.xy[1] / foot)) for p in network.points if p.xy),
        tuple(
            replace(o, value=o.value / foot, sigma=o.sigma / foot) if o.kind in lengths else o
            for o in network.observations
        ),
    )
    metres, feet = adjust(network, snooping=False), adjust(scaled, snooping=False)
    assert feet.weighted_squares == pytest.approx(metres.weighted_squares, rel=1e-8)
    assert feet.dof == metres.dof
    for a, b in zip(metres.points, feet.points, strict=True):
        assert (b.xy[0] * foot, b.xy[1] * foot) == pytest.approx(a.xy, abs=1e-7)
        assert b.semi_major * foot == pytest.approx(a.semi_major, rel=1e-6)
    assert [f.redundancy for f in feet.fits] == pytest.approx([f.redundancy for f in metres.fits], abs=1e-7)


@FEW
@given(NUMBERS, st.sampled_from([("angle",), ("direction", "along"), ("offset",)]))
def test_readings_come_out_the_same_in_every_datum(number: int, kinds: tuple[str, ...]) -> None:
    """Held by two points that the readings have exactly there, kept least, and free: adjusted readings, redundancy and
    distances between points are the same; only place and covariance of the points differ."""
    free = random_net(number, 7, kinds, datum="free")
    least = replace(free, datum="least")
    done = [adjust(free, snooping=False), adjust(least, snooping=False)]
    places = _places(done[1])
    points = tuple(NetPoint(p.name, places[p.name], k < 2) for k, p in enumerate(free.points))
    held = adjust(Network(points, free.observations), snooping=False)
    for one, two in ((done[0], done[1]), (done[1], held)):
        assert one.weighted_squares == pytest.approx(two.weighted_squares, rel=1e-9)
        for a, b in zip(one.fits, two.fits, strict=True):
            assert a.adjusted == pytest.approx(b.adjusted, abs=1e-8)
    assert done[0].dof == done[1].dof == held.dof - 1
    assert [f.redundancy for f in done[0].fits] == pytest.approx([f.redundancy for f in done[1].fits], abs=1e-8)
    relative = [Adjustment(net, snooping=False) for net in (free, least)]
    q = [a.covariance(["P1", "P2"]) for a in relative]
    one, two = (x for x in q)
    assert _length_variance(one, done[0]) == pytest.approx(_length_variance(two, done[1]), rel=1e-6)


def _length_variance(q: np.ndarray, done: Adjusted) -> float:
    (x1, y1), (x2, y2) = (_places(done)[name] for name in ("P1", "P2"))
    u = np.array([x2 - x1, y2 - y1]) / math.dist((x1, y1), (x2, y2))
    row = np.concatenate([-u, u])
    return float(row @ q @ row)


@FEW
@given(NUMBERS, st.integers(4, 9))
def test_least_keeps_the_first_point_and_the_direction_to_the_second(number: int, points: int) -> None:
    network = random_net(number, points, ("angle",), datum="least")
    done = adjust(network, snooping=False)
    first, second = (p.xy for p in network.points[:2])
    assert first is not None
    assert second is not None
    assert done.points[0].xy == pytest.approx(first, abs=1e-9)
    assert (done.points[0].var_east, done.points[0].var_north) == pytest.approx((0.0, 0.0), abs=1e-14)
    d, new = np.subtract(second, first), np.subtract(done.points[1].xy, first)
    assert d[0] * new[1] - d[1] * new[0] == pytest.approx(0.0, abs=1e-6)
    across = np.array([-d[1], d[0]]) / np.hypot(*d)
    assert across @ _covariances(done)[1] @ across == pytest.approx(0.0, abs=1e-12)


@FEW
@given(NUMBERS, st.integers(4, 9), st.sampled_from([("angle",), ("direction",), ("azimuth",), ()]))
def test_free_is_the_pseudo_inverse(number: int, points: int, kinds: tuple[str, ...]) -> None:
    """Inner constraints: covariance is the pseudo-inverse over the coordinates, the moves from the rough places have no
    shift and no turn, and the trace is the smallest of all datums."""
    network = random_net(number, points, kinds, datum="free")
    adjustment = Adjustment(network, snooping=False)
    done = adjustment.adjusted
    model = Model(network)
    slope = model.slope(model.start(_places(done)))
    n = 2 * points
    reduced = slope[:, :n] - slope[:, n:] @ np.linalg.pinv(slope[:, n:]) @ slope[:, :n]
    whole = adjustment.covariance([p.name for p in network.points])
    assert whole == pytest.approx(np.linalg.pinv(reduced.T @ reduced, rcond=1e-9), rel=1e-3, abs=1e-8)
    rough = np.array([p.xy for p in network.points])
    moves = np.array([p.xy for p in done.points]) - rough
    assert moves.mean(axis=0) == pytest.approx([0.0, 0.0], abs=1e-7)
    if kinds != ("azimuth",):
        middle = rough - rough.mean(axis=0)
        assert (middle[:, 0] * moves[:, 1] - middle[:, 1] * moves[:, 0]).sum() == pytest.approx(0.0, abs=1e-5)
    least = adjust(replace(network, datum="least"), snooping=False)
    assert np.trace(_covariances(done), axis1=1, axis2=2).sum() <= np.trace(_covariances(least), axis1=1, axis2=2).sum()


@FEW
@given(NUMBERS)
def test_angles_are_pairs_of_directions(number: int) -> None:
    """An angle of sigma sqrt 2 s says what two directions of sigma s on a circle of their own say."""
    network = random_net(number, 7, ("angle",))
    angles = [o for o in network.observations if o.kind == "angle"]
    others = tuple(o for o in network.observations if o.kind != "angle")
    clockwise, pairs = [], []
    for k, o in enumerate(angles):
        value = o.value if o.side else _turn(network, o)
        clockwise.append(replace(o, value=value, side="clockwise", sigma=o.sigma * math.sqrt(2.0)))
        for name, at in ((o.points[0], 0.4), (o.points[2], 0.4 + value)):
            pairs.append(Observation("direction", (o.points[1], name), at, o.sigma, group=f"set {k}"))
    one = adjust(replace(network, observations=(*others, *clockwise)), snooping=False)
    two = adjust(replace(network, observations=(*others, *pairs)), snooping=False)
    assert one.dof == two.dof
    assert one.weighted_squares == pytest.approx(two.weighted_squares, rel=1e-8)
    assert _apart(one, two) < 1e-6
    assert _covariances(one) == pytest.approx(_covariances(two), rel=1e-5, abs=1e-12)


def _turn(network: Network, o: Observation) -> float:
    """The clockwise angle nearest to one whose side is not said."""
    from tests.survey.nets import reading

    places = {p.name: p.xy for p in network.points if p.xy}
    seen = reading("angle", o.points, places, "clockwise")
    return (
        o.value
        if abs(math.remainder(seen - o.value, math.tau)) < abs(math.remainder(seen + o.value, math.tau))
        else math.tau - o.value
    )


@FEW
@given(NUMBERS)
def test_order_of_points_and_readings_does_not_matter(number: int) -> None:
    network = random_net(number, 9)
    draw = np.random.default_rng(number)
    points = [network.points[k] for k in draw.permutation(len(network.points))]
    read = [network.observations[k] for k in draw.permutation(len(network.observations))]
    one, two = adjust(network, snooping=False), adjust(Network(tuple(points), tuple(read)), snooping=False)
    places = _places(one)
    assert max(math.dist(places[p.name], p.xy) for p in two.points) < 1e-7


# ---------------------------------------------------------------- what comes with it


def test_relative_ellipse_is_that_of_the_difference() -> None:
    """Two points tied to pins far away and taped to each other: the tape is good along their line, whatever the pins."""
    pins = (NetPoint("A", (0.0, 0.0), True), NetPoint("B", (1000.0, 0.0), True), NetPoint("C", (500.0, 900.0), True))
    new = (NetPoint("P", (480.0, 300.0)), NetPoint("Q", (520.0, 300.0)))
    ties = [
        Observation("distance", (pin, p.name), math.dist(at, p.xy), 1.0)
        for pin, at in (("A", (0.0, 0.0)), ("B", (1000.0, 0.0)), ("C", (500.0, 900.0)))
        for p in new
        if p.xy
    ]
    adjustment = Adjustment(Network((*pins, *new), (*ties, Observation("distance", ("P", "Q"), 40.0, 0.01))))
    major, minor, tilt = adjustment.relative_ellipse("P", "Q")
    assert minor == pytest.approx(0.01, rel=1e-3)
    assert major > 0.5
    assert math.degrees(tilt) == pytest.approx(0.0, abs=1.0) or math.degrees(tilt) == pytest.approx(180.0, abs=1.0)
    q = adjustment.covariance(["P", "A"])
    assert q[2:] == pytest.approx(np.zeros((2, 4)))


def test_two_ties_prove_nothing() -> None:
    pins = (NetPoint("A", (0.0, 0.0), True), NetPoint("B", (100.0, 0.0), True))
    tapes = (Observation("distance", ("A", "P"), 80.0, 0.01), Observation("distance", ("B", "P"), 60.0, 0.02))
    done = adjust(Network((*pins, NetPoint("P", (60.0, 50.0))), tapes))
    assert (done.dof, done.sigma0, done.passes, done.suspects) == (0, None, None, ())
    assert [(f.redundancy < 1e-9, f.test, f.least_blunder, f.blunder) for f in done.fits] == [
        (True, None, None, None)
    ] * 2


def test_only_held_points() -> None:
    pins = (NetPoint("A", (0.0, 0.0), True), NetPoint("B", (100.0, 0.0), True))
    done = adjust(Network(pins, (Observation("distance", ("A", "B"), 100.01, 0.01),)))
    assert done.dof == 1
    assert done.fits[0].residual == pytest.approx(-0.01)
    assert done.fits[0].redundancy == 1.0
    assert done.points[0].semi_major == 0.0


def test_rough_places_are_asked_for_where_one_is_missing() -> None:
    pins = (NetPoint("A", (0.0, 0.0), True), NetPoint("B", (100.0, 0.0), True))
    tapes = (Observation("distance", ("A", "P"), 80.0, 0.01), Observation("distance", ("B", "P"), 60.0, 0.02))
    network = Network((*pins, NetPoint("P")), tapes)
    asked: list[Network] = []

    def finder(given: Network) -> dict[str, tuple[float, float]]:
        asked.append(given)
        return {"P": (60.0, -50.0)}

    assert adjust(network, finder).points[2].xy == pytest.approx((64.0, -48.0), abs=1e-9)
    assert asked == [network]


def test_two_points_on_one_spot_hold_no_direction() -> None:
    """Tapes of 10 ft from L and from R to both ends of a tape of 12 ft, L and R begun on one spot: a figure as good as
    any, 8 ft square off the middle of the tape (3-4-5), and a datum that another point's direction holds."""
    points = (("L", (0.0, 0.0)), ("R", (0.0, 0.0)), ("A", (6.0, 8.0)), ("B", (-6.0, 8.0)))
    tapes = (("L", "A", 10.0), ("R", "A", 10.0), ("L", "B", 10.0), ("R", "B", 10.0), ("A", "B", 12.0))
    network = Network(
        tuple(NetPoint(name, xy) for name, xy in points),
        tuple(Observation("distance", (a, b), length, 0.01) for a, b, length in tapes),
        "least",
    )
    adjusted = adjust(network, snooping=False)
    at = {point.name: point.xy for point in adjusted.points}
    assert adjusted.weighted_squares == pytest.approx(0.0, abs=1e-12)
    assert at == {name: pytest.approx(xy, abs=1e-9) for name, xy in points}
