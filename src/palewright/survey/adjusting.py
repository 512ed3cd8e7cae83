"""Adjusting a network by weighted least squares, and saying how good every point and reading is."""

from __future__ import annotations

from copy import copy
from dataclasses import fields, replace

import numpy as np

from palewright.errors import Problem, ProblemError
from palewright.model import Adjusted, NetFit, Network, ObservationFit, PointFit, Suspect
from palewright.record import Record
from palewright.survey.beginning import Rough, first_fit
from palewright.survey.findings import cautions_of
from palewright.survey.fitting import Fitting, fit, labels
from palewright.survey.network_arrays import Arrays, let_go, read_network
from palewright.survey.network_checks import check_network
from palewright.survey.quality import ellipse
from palewright.survey.recheck import recheck
from palewright.survey.reporting import fit_test, observation_fits
from palewright.survey.rows import Floats
from palewright.survey.snooping import Contradiction, snoop, w_tests

__all__ = ["Adjustment", "adjust"]


def adjust(network: Network, rough: Rough | None = None, snooping: bool = True) -> Adjusted:
    """The most likely places of the points of a network, and what the readings say of each other.

    network
        points and observations [m, rad], each with its standard deviation.
    rough
        finds approximate places where the network has none, or where those given lead nowhere good; None: the finder of
        this room.
    snooping
        whether readings that the rest do not allow are looked for (one at a time).
    Returns an :class:`palewright.model.Adjusted`; points that nothing fixes are named in it, never an error.
    Covariance is with the sigmas as given (not scaled by sigma0).
    Raises ProblemError: everything wrong with the network as written, or ``network-does-not-settle``.
    Minimises the sum of (residual / sigma)^2. Source: Mikhail, Observations and Least Squares (1976).

    >>> from palewright.model import NetPoint, Observation
    >>> pins = (NetPoint("A", (0.0, 0.0), True), NetPoint("B", (200.0, 0.0), True), NetPoint("C", (60.0, 150.0), True))
    >>> tapes = [("A", 114.03), ("B", 130.40), ("C", 85.42)]
    >>> read = tuple(Observation("distance", (name, "P"), value, 0.03) for name, value in tapes)
    >>> done = adjust(Network((*pins, NetPoint("P", (90.0, 70.0))), read))
    >>> [round(number, 4) for number in done.points[3].xy], done.dof
    ([89.9972, 70.0221], 1)
    """
    return Adjustment(network, rough, snooping).adjusted


class Adjustment:
    """An adjusted network that can be asked for the covariance of any of its points.

    adjusted
        the result. network: as adjusted, with approximate places.
    """

    def __init__(self, network: Network, rough: Rough | None = None, snooping: bool = True) -> None:
        problems = check_network(network)
        if problems:
            raise ProblemError(problems)
        self.network, self._whole = first_fit(network, rough)
        self._number = {name: k for k, name in enumerate(self._whole.arrays.names)}
        found = _snooped(self.network, self._whole) if snooping else _Found()
        self._cleared = found.cleared
        self.adjusted = _result(self.network, self._whole, found)

    @property
    def cleared(self) -> bool:
        """Whether it is known which readings are wrong, so that the fit without them is the one to go by."""
        return self.adjusted.without is not None and all(suspect.alone for suspect in self.adjusted.suspects)

    @property
    def disagrees(self) -> bool:
        """Whether the readings scatter more than their tools explain, and it is not known which are wrong."""
        over = self.adjusted.chi_high is not None and self.adjusted.weighted_squares > self.adjusted.chi_high
        return over and not self.cleared

    def put_right(self, suspects: tuple[Suspect, ...], cleared: Fitting | None) -> Adjustment:
        """The same adjustment with other suspects, and the fit without them; None: it is not known which are wrong."""
        other = copy(self)
        other._cleared = cleared
        without = net_fit(cleared) if cleared else None
        other.adjusted = replace(self.adjusted, suspects=suspects, without=without)
        return other

    def covariance(self, names: tuple[str, ...] | list[str], cleared: bool = False) -> Floats:
        """Covariance of some points [m2]: (2 k, 2 k), east and north of each in turn.

        cleared
            of the fit without the suspects, if there is one. Raises ProblemError ``network-point-unknown`` for a point
            that is not in the network or not determined.
        """
        fitting = self._cleared if cleared and self._cleared else self._whole
        points = []
        for name in names:
            number = self._number.get(name, -1)
            if number < 0 or fitting.loose[number]:
                what = "a point is not in the network, or nothing fixes it"
                raise ProblemError(Problem("network-point-unknown", what, found=name))
            points.append(number)
        if fitting.covariance is None:
            return np.zeros((2 * len(points), 2 * len(points)))
        return fitting.covariance.between(np.array(points, dtype=np.int64))

    def relative_ellipse(self, one: str, two: str, cleared: bool = False) -> tuple[float, float, float]:
        """Standard ellipse of where ``two`` is as seen from ``one``: semi-axes [m], azimuth of the long one [rad].

        Errors as :meth:`covariance`. The covariance of the difference: Q11 + Q22 - Q12 - Q21.
        """
        q = self.covariance((one, two), cleared)
        d = q[:2, :2] + q[2:, 2:] - q[:2, 2:] - q[2:, :2]
        return ellipse(float(d[0, 0]), float(d[1, 1]), float(d[0, 1]))


class _Found(Record):
    """What snooping found; ``cleared``: the fit without the suspects, None where there is nothing to leave out."""

    cleared: Fitting | None = None
    suspects: tuple[Suspect, ...] = ()
    contradictions: tuple[tuple[Arrays, Contradiction], ...] = ()
    stopped: bool = False


def _snooped(network: Network, whole: Fitting) -> _Found:
    """Snoop, letting held points go that the readings contradict, as long as the rest still checks them."""
    contradictions: list[tuple[Arrays, Contradiction]] = []
    fitting = whole
    while True:
        found = snoop(fitting)
        held = found.contradiction
        if held is None:
            break
        contradictions.append((fitting.arrays, held))
        if held.rank < 2 or held.rivals:
            break
        network = let_go(network, {fitting.arrays.names[held.point]})
        arrays = read_network(network)
        fitting = fit(arrays, np.where(arrays.out, 0.0, 1.0), whole.begun)
    if not contradictions:
        found = recheck(network, whole, found)
    changed = bool(found.suspects) or fitting is not whole
    return _Found(found.fitting if changed else None, found.suspects, tuple(contradictions), found.stopped)


def _result(network: Network, whole: Fitting, found: _Found) -> Adjusted:
    main, arrays = net_fit(whole), whole.arrays
    label = labels(arrays, whole.use)
    members: dict[int, list[str]] = {}
    for name, piece in zip(arrays.names, label.tolist(), strict=True):
        members.setdefault(piece, []).append(name)
    pieces = tuple(tuple(names) for names in members.values()) + tuple((name,) for name in arrays.unplaced)
    undetermined = tuple(name for name, loose in zip(arrays.names, whole.loose, strict=True) if loose) + arrays.unplaced
    return Adjusted(
        **{field.name: getattr(main, field.name) for field in fields(NetFit)},
        iterations=whole.settled.steps,
        datum=network.datum,
        undetermined=undetermined,
        pieces=pieces,
        suspects=found.suspects,
        gradient=whole.settled.gradient,
        leaned_on=whole.leaned,
        without=net_fit(found.cleared) if found.cleared else None,
        cautions=cautions_of(network, whole, undetermined, pieces, found.contradictions, found.stopped),
    )


def net_fit(fitting: Fitting) -> NetFit:
    """The record of one fit: points, observations, and the test of the whole."""
    return NetFit(_points(fitting), _fits(fitting), *fit_test(fitting.settled.squares, fitting.dof))


def _points(fitting: Fitting) -> tuple[PointFit, ...]:
    cov = fitting.point_cov
    rows = zip(
        fitting.arrays.names,
        fitting.loose.tolist(),
        fitting.settled.state.places.tolist(),
        cov[:, 0, 0].tolist(),
        cov[:, 1, 1].tolist(),
        cov[:, 0, 1].tolist(),
        strict=True,
    )
    return tuple(
        PointFit(name, (x, y), e, n, c, *ellipse(e, n, c)) for name, loose, (x, y), e, n, c in rows if not loose
    )


def _fits(fitting: Fitting) -> tuple[ObservationFit, ...]:
    """Every observation in its order; one left out is tested against the rest, which check it wholly."""
    arrays, v = fitting.arrays, fitting.residual
    left = (fitting.use == 0.0) & ~arrays.out & ~arrays.assumed
    sigma = np.where(left, np.sqrt(arrays.sigma**2 + fitting.spread), arrays.sigma)
    r = np.where(left, 1.0, fitting.redundancy)
    checked = left | np.isfinite(w_tests(fitting))
    return observation_fits(arrays.value, v, sigma, r, checked)
