"""What the readings do not fix is named, with the reason; the rest stands. Assumed readings fill gaps and prove nothing."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from tests.survey.nets import Model, misfit, random_net

from palewright.errors import ProblemError
from palewright.model import Adjusted, NetPoint, Network, Observation
from palewright.survey import Adjustment, adjust

FEW = settings(max_examples=15, deadline=None)
CORNERS = {"A": (0.0, 0.0), "B": (100.0, 0.0), "C": (100.0, 60.0), "D": (0.0, 60.0)}
SIDES = {"AB": 100.02, "BC": 60.01, "CD": 99.98, "DA": 60.03}
DIAGONALS = {"AC": 116.65, "BD": 116.60}


def _points(held: str = "", **more: tuple[float, float]) -> tuple[NetPoint, ...]:
    return tuple(NetPoint(name, xy, name in held) for name, xy in (CORNERS | more).items())


def _tapes(tapes: dict[str, float], sigma: float = 0.02) -> tuple[Observation, ...]:
    return tuple(Observation("distance", (pair[0], pair[1]), value, sigma) for pair, value in tapes.items())


def _said(done: Adjusted, slug: str) -> str:
    return next(caution.found for caution in done.cautions if caution.slug == slug)


def _squares(corners: str = "ABCD") -> tuple[Observation, ...]:
    arms = {"A": "DAB", "B": "ABC", "C": "BCD", "D": "CDA"}
    return tuple(Observation("angle", tuple(arms[c]), math.pi / 2, math.radians(1.0), "assumed") for c in corners)


# ---------------------------------------------------------------- named, not refused


def test_one_tie_leaves_one_point_loose_and_changes_nothing_else() -> None:
    base = Network(_points("AB"), _tapes(SIDES | DIAGONALS))
    whole = Network(_points("AB", X=(20.0, 20.0)), (*base.observations, *_tapes({"XA": 28.3})))
    one, two = adjust(base), adjust(whole)
    assert two.undetermined == ("X",)
    assert _said(two, "network-points-loose") == "X: one reading only"
    assert [p.name for p in two.points] == ["A", "B", "C", "D"]
    assert (two.dof, two.weighted_squares) == (one.dof, pytest.approx(one.weighted_squares))
    for a, b in zip(one.points, two.points, strict=True):
        assert b.xy == pytest.approx(a.xy, abs=1e-9)
        assert b.semi_major == pytest.approx(a.semi_major)
    assert (two.fits[-1].test, two.fits[-1].blunder) == (None, None)
    assert two.fits[-1].redundancy == pytest.approx(0.0, abs=1e-9)


def test_a_chain_that_hangs_on_one_tie_is_loose_to_its_end() -> None:
    tapes = SIDES | DIAGONALS | {"CX": 30.0, "XY": 30.0}
    done = adjust(Network(_points("AB", X=(130.0, 60.0), Y=(130.0, 90.0)), _tapes(tapes)))
    assert done.undetermined == ("X", "Y")


@pytest.mark.parametrize("along", [0.0, 1e-7, 1e-3])
@pytest.mark.parametrize("turn", [0.0, 0.7, math.pi / 2])
def test_two_ties_in_one_line_do_not_fix_a_point(along: float, turn: float) -> None:
    """The tapes to P are together shorter than the base: P comes to lie on it, and nothing says how far beside."""
    c, s = math.cos(turn), math.sin(turn)
    at = lambda x, y: (x * c - y * s, x * s + y * c)  # noqa: E731
    pins = (NetPoint("A", at(0.0, 0.0), True), NetPoint("B", at(200.0, 0.0), True))
    done = adjust(Network((*pins, NetPoint("P", at(90.0, along))), _tapes({"AP": 90.02, "BP": 109.9}, 0.03)))
    assert done.undetermined == ("P",)
    assert _said(done, "network-points-loose") == "P: its two ties lie in one line"


def test_nearly_in_line_is_determined_and_its_ellipse_says_how_badly() -> None:
    pins = (NetPoint("A", (0.0, 0.0), True), NetPoint("B", (200.0, 0.0), True))
    done = adjust(Network((*pins, NetPoint("P", (90.0, 3.0))), _tapes({"AP": 90.02, "BP": 110.1}, 0.03)))
    assert done.undetermined == ()
    assert done.points[2].semi_major > 15 * done.points[2].semi_minor


@pytest.mark.parametrize(("held", "loose"), [("", "ABCD"), ("A", "BCD")])
def test_too_few_held_points(held: str, loose: str) -> None:
    done = adjust(Network(_points(held), _tapes(SIDES | DIAGONALS)))
    assert done.undetermined == tuple(loose)
    assert "free to turn" in _said(done, "network-points-loose")
    assert done.weighted_squares == pytest.approx(0.04675, abs=1e-4)
    assert done.dof == 1


def test_one_held_point_and_an_azimuth_are_enough() -> None:
    azimuth = Observation("azimuth", ("A", "B"), math.pi / 2, 1e-4)
    done = adjust(Network(_points("A"), (*_tapes(SIDES | DIAGONALS), azimuth)))
    assert done.undetermined == ()
    assert done.dof == 1


def test_two_pieces_are_listed() -> None:
    far = {"E": (300.0, 0.0), "F": (340.0, 0.0), "G": (320.0, 30.0)}
    tapes = SIDES | DIAGONALS | {"EF": 40.0, "FG": 36.0, "EG": 36.0}
    held = adjust(Network(_points("AB", **far), _tapes(tapes)))
    assert held.pieces == (("A", "B", "C", "D"), ("E", "F", "G"))
    assert held.undetermined == ("E", "F", "G")
    assert _said(held, "network-in-pieces") == "A, B, C, D; E, F, G"
    assert _said(held, "network-points-loose") == "E, F, G: no reading joins it to the rest"
    for datum in ("least", "free"):
        done = adjust(Network(_points(**far), _tapes(tapes), datum))
        assert done.undetermined == ("E", "F", "G")
        assert [p.name for p in done.points] == ["A", "B", "C", "D"]


def test_pieces_with_pins_of_their_own_are_one_network() -> None:
    far = (NetPoint("E", (300.0, 0.0), True), NetPoint("F", (340.0, 0.0), True), NetPoint("G", (320.0, 30.0)))
    tapes = _tapes(SIDES | DIAGONALS | {"FG": 36.0, "EG": 36.0})
    done = adjust(Network((*_points("AB"), *far), tapes))
    assert (done.undetermined, len(done.pieces), done.cautions) == ((), 1, ())


def test_a_point_that_no_reading_names() -> None:
    done = adjust(Network(_points("AB", X=(1.0, 1.0)), _tapes(SIDES | DIAGONALS)))
    assert done.undetermined == ("X",)
    assert _said(done, "network-points-loose") == "X: no reading names it"


def test_a_point_without_a_place_is_left_out_with_its_readings() -> None:
    network = Network((*_points("AB"), NetPoint("X")), _tapes(SIDES | DIAGONALS | {"XA": 20.0}))
    done = adjust(network, rough=lambda _: {})
    assert done.undetermined == ("X",)
    assert done.pieces == (("A", "B", "C", "D"), ("X",))
    assert done.fits[-1].adjusted == 20.0
    assert adjust(Network((NetPoint("X"), NetPoint("Y")), _tapes({"XY": 5.0})), rough=lambda _: {}).points == ()


@FEW
@given(st.integers(0, 10_000), st.integers(60, 120))
@example(1039, 97)
@example(3401, 114)
def test_loose_points_are_found_in_larger_networks(number: int, points: int) -> None:
    """Three new points hung on a sound network by one tape each, among fronts of every shape.

    Where two points are so near that the rough place of one is on the other's wrong side (an angle 40 degrees off),
    the network is not sound to begin with.
    """
    network = random_net(number, points, ("angle",))
    draw = np.random.default_rng(number)
    hung = [str(name) for name in draw.choice([p.name for p in network.points], 3, replace=False)]
    places = {p.name: p.xy for p in network.points if p.xy}
    assume(all(abs(misfit(o, places)) * o.sigma < 0.7 for o in network.observations if o.kind == "angle"))
    new = tuple(NetPoint(f"X{k}", (places[name][0] + 5.0, places[name][1])) for k, name in enumerate(hung))
    tapes = tuple(Observation("distance", (name, f"X{k}"), 5.0, 0.01) for k, name in enumerate(hung))
    sound = adjust(network, snooping=False)
    done = adjust(Network((*network.points, *new), (*network.observations, *tapes)), snooping=False)
    assert set(done.undetermined) == {"X0", "X1", "X2", *sound.undetermined}
    assert done.dof == sound.dof
    assert sum(fit.redundancy for fit in done.fits) == pytest.approx(done.dof, abs=1e-6)


def test_a_direction_that_only_rounding_keeps_is_not_counted() -> None:
    """Seven points of this network turn as one body about another. Their pivot comes after one of 8e-7, which leaves
    5e-12 of nothing; numpy has one singular value of 1e-13 after 2.7, so the rank is one less than the unknowns."""
    network = random_net(3401, 114, ("angle",))
    done = adjust(network, snooping=False)
    slope = Model(network).slope(Model(network).start({p.name: p.xy for p in (*network.points, *done.points)}))
    assert np.linalg.matrix_rank(slope, rtol=1e-8) == slope.shape[1] - 1
    assert done.dof == len(network.observations) - slope.shape[1] + 1
    assert sum(fit.redundancy for fit in done.fits) == pytest.approx(done.dof, abs=1e-6)


def _strip(count: int, held: tuple[str, ...], datum: str = "held") -> Network:
    """A fence line of points in two near rows, each taped to the next three."""
    xy = {f"P{k}": (5.0 * (k // 2), 2.0 * (k % 2)) for k in range(count)}
    names = list(xy)
    tapes = [(names[k], names[k + j]) for k in range(count) for j in (1, 2, 3) if k + j < count]
    read = tuple(Observation("distance", pair, math.dist(xy[pair[0]], xy[pair[1]]), 0.003) for pair in tapes)
    return Network(tuple(NetPoint(name, at, name in held) for name, at in xy.items()), read, datum)


def test_a_long_narrow_network_is_not_called_loose() -> None:
    done = adjust(_strip(1000, ("P0", "P1")))
    assert done.undetermined == ()
    assert done.dof == len(done.fits) - 2 * 998
    assert done.points[-1].semi_major > 1000 * done.points[2].semi_major


@pytest.mark.parametrize(
    ("held", "datum", "loose", "rank"),
    [((), "held", 1000, 1997), (("P500",), "held", 999, 1997), ((), "free", 0, 1997)],
)
def test_a_long_narrow_network_that_floats_is_counted_right(
    held: tuple[str, ...], datum: str, loose: int, rank: int
) -> None:
    done = adjust(_strip(1000, held, datum))
    assert len(done.undetermined) == loose
    assert done.dof == len(done.fits) - rank


def test_covariance_of_a_loose_point_is_refused() -> None:
    adjustment = Adjustment(Network(_points("AB", X=(20.0, 20.0)), _tapes(SIDES | DIAGONALS | {"XA": 28.3})))
    for name in ("X", "Nobody"):
        with pytest.raises(ProblemError) as caught:
            adjustment.covariance([name])
        assert caught.value.problems[0].slug == "network-point-unknown"


# ---------------------------------------------------------------- assumed readings


def test_four_sides_need_one_right_angle_and_take_only_one() -> None:
    done = adjust(Network(_points("A"), (*_tapes(SIDES), *_squares()), "least"))
    assert (done.dof, done.undetermined, done.leaned_on) == (0, (), (4,))
    assert [fit.redundancy for fit in done.fits] == pytest.approx([0.0] * 8, abs=1e-9)
    assert all(fit.test is None for fit in done.fits)
    assert done.fits[4].residual == pytest.approx(0.0, abs=1e-9)
    assert max(abs(fit.residual) for fit in done.fits[5:]) > 1e-4
    c = done.points[2]
    assert c.var_east**0.5 == pytest.approx(60.01 * math.radians(1.0), rel=0.35)


def test_where_measured_readings_fix_the_shape_assumed_ones_say_nothing() -> None:
    bare = adjust(Network(_points(), _tapes(SIDES | DIAGONALS), "least"))
    full = adjust(Network(_points(), (*_tapes(SIDES | DIAGONALS), *_squares()), "least"))
    assert (full.dof, full.leaned_on) == (bare.dof, ())
    assert [f.redundancy for f in full.fits[:6]] == pytest.approx([f.redundancy for f in bare.fits], abs=1e-12)
    assert [p.xy for p in full.points] == [p.xy for p in bare.points]
    assert all(fit.test is None and fit.blunder is None for fit in full.fits[6:])
    right = full.fits[7]
    assert right.adjusted == pytest.approx(
        math.acos((100.018**2 + 60.01**2 - 116.65**2) / (2 * 100.018 * 60.01)), abs=2e-3
    )


def test_a_wrong_assumption_is_never_a_suspect() -> None:
    wrong = replace(_squares("B")[0], value=math.radians(80.0), sigma=math.radians(0.01))
    done = adjust(Network(_points(), (*_tapes(SIDES | DIAGONALS), wrong), "least"))
    assert done.suspects == ()
    assert done.passes


@FEW
@given(st.integers(0, 10_000), st.floats(0.5, 20.0))
def test_what_is_assumed_never_raises_the_redundancy_of_others(number: int, degrees: float) -> None:
    """A walk along a fence hung on a sound network: its corners are assumed, its legs measured."""
    network = random_net(number, 8, ("angle",))
    places = {p.name: p.xy for p in network.points}
    (x, y), legs = places["P7"], []
    points, before, here = [], "P6", "P7"
    for k in range(4):
        x, y = (x + 10.0, y) if k % 2 else (x, y + 12.0)
        name = f"W{k}"
        points.append(NetPoint(name, (x, y)))
        legs.append(Observation("distance", (here, name), 10.0 if k % 2 else 12.0, 0.01))
        legs.append(Observation("angle", (before, here, name), math.pi / 2, math.radians(degrees), "assumed"))
        before, here = here, name
    one = adjust(network, snooping=False)
    two = adjust(Network((*network.points, *points), (*network.observations, *legs)), snooping=False)
    count = len(network.observations)
    assert two.undetermined == ()
    assert two.dof == one.dof
    assert two.leaned_on == tuple(count + k for k in (1, 3, 5, 7))
    assert [f.redundancy for f in two.fits[:count]] == pytest.approx([f.redundancy for f in one.fits], abs=1e-7)
    assert [f.redundancy for f in two.fits[count:]] == pytest.approx([0.0] * 8, abs=1e-7)
