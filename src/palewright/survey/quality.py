"""How good an adjusted network is: chi-square, Baarda's test, smallest blunder found, ellipses. Plain formulas.

Sources: W. Baarda, A testing procedure for use in geodetic networks, Netherlands Geodetic Commission 2/5 (1968);
E. Mikhail, Observations and Least Squares (1976). Numbers of the tests: significance 0.001 and power 0.80 for one
reading (3.2905 and 4.132, Baarda), 95 % for the whole.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

__all__ = [
    "AS_GOOD",
    "CRITICAL",
    "NONCENTRAL",
    "baarda_w",
    "blunder_of",
    "chi_square_limits",
    "chi_square_quantile",
    "chi_square_tail",
    "ellipse",
    "ellipse_factor",
    "least_blunder",
    "residual_limit",
]

CRITICAL = 3.2905
"""|w| above this is held for a blunder (significance 0.001, two-sided normal)."""
AS_GOOD = 6.63
"""Two explanations of one blunder are as good as each other where the sum of squares falls by no more than this less
(chi-square, 99 %, one degree of freedom)."""
NONCENTRAL = 4.132
"""Baarda's delta 0 for significance 0.001 and power 0.80."""


def chi_square_tail(x: float, dof: int) -> float:
    """Chance that chi-square with ``dof`` degrees of freedom [1, 2, ...] exceeds ``x`` [>= 0].

    The finite sums of Abramowitz and Stegun, Handbook of Mathematical Functions, 26.4.4 and 26.4.5.

    >>> round(chi_square_tail(3.841, 1), 4), round(chi_square_tail(18.307, 10), 4)
    (0.05, 0.05)
    """
    h = x / 2.0
    if h <= 0.0:
        return 1.0
    odd = dof % 2
    terms = np.arange(1, (dof + 1) // 2) - 0.5 if odd else np.arange(1, dof // 2)
    head = math.erfc(math.sqrt(h)) if odd else math.exp(-h)
    first = -math.lgamma(0.5) - 0.5 * math.log(h) if odd else 0.0
    logs = first + np.cumsum(np.log(h / terms)) - h
    return min(head + float(np.exp(logs).sum()), 1.0)


def chi_square_quantile(share: float, dof: int) -> float:
    """The value that chi-square with ``dof`` degrees of freedom [1, 2, ...] stays below with chance ``share`` [0 to 1].

    Bisection of :func:`chi_square_tail`, to the last bit.

    >>> round(chi_square_quantile(0.975, 4), 3), round(chi_square_quantile(0.025, 4), 3)
    (11.143, 0.484)
    """
    low, high = 0.0, dof + 10.0 * math.sqrt(2.0 * dof) + 60.0
    for _ in range(200):
        middle = (low + high) / 2.0
        if middle in (low, high):
            break
        low, high = (middle, high) if chi_square_tail(middle, dof) > 1.0 - share else (low, middle)
    return (low + high) / 2.0


@lru_cache(maxsize=256)
def chi_square_limits(dof: int, share: float = 0.95) -> tuple[float, float]:
    """Limits that the sum of weighted squares keeps with chance ``share``, as much left out below as above.

    >>> [round(limit, 3) for limit in chi_square_limits(3)]
    [0.216, 9.348]
    """
    beside = (1.0 - share) / 2.0
    return chi_square_quantile(beside, dof), chi_square_quantile(1.0 - beside, dof)


def baarda_w(residual: float, sigma: float, redundancy: float) -> float:
    """Baarda's w: a residual over its own standard deviation, w = v / (sigma sqrt r).

    residual, sigma
        in one unit, sigma > 0. redundancy: > 0 to 1. Source: Baarda (1968).

    >>> round(baarda_w(0.0055, 0.02, 0.1837), 2)
    0.64
    """
    return residual / (sigma * math.sqrt(redundancy))


def least_blunder(sigma: float, redundancy: float) -> float:
    """The smallest blunder that the test finds with 80 % chance: delta0 sigma / sqrt r, in the unit of sigma.

    >>> round(least_blunder(0.02, 0.0662), 2)
    0.32
    """
    return NONCENTRAL * sigma / math.sqrt(redundancy)


def blunder_of(residual: float, redundancy: float) -> float:
    """How much too long or large a reading is if it alone is wrong: -v / r, in the unit of the residual.

    >>> round(blunder_of(-0.7035, 0.7), 3)
    1.005
    """
    return -residual / redundancy


def ellipse(var_east: float, var_north: float, cov: float) -> tuple[float, float, float]:
    """Standard ellipse of a point, one sigma: semi-axes, and azimuth of the long one.

    var_east, var_north, cov
        variances and covariance of east and north [m2]. Rounding below 0 counts as 0.
    Returns (semi-major [m], semi-minor [m], azimuth [rad, 0 to pi]). The axes are the roots of the eigenvalues.

    >>> a, b, tilt = ellipse(4e-4, 1e-4, 0.0)
    >>> round(a, 4), round(b, 4), round(math.degrees(tilt), 1)
    (0.02, 0.01, 90.0)
    """
    middle, half = (var_east + var_north) / 2.0, math.hypot((var_east - var_north) / 2.0, cov)
    tilt = 0.5 * math.atan2(2.0 * cov, var_north - var_east) % math.pi
    return math.sqrt(max(middle + half, 0.0)), math.sqrt(max(middle - half, 0.0)), tilt


def ellipse_factor(dof: int | None = None, share: float = 0.95) -> float:
    """By what a standard ellipse is enlarged so that the point lies in it with chance ``share`` [0 to 1].

    dof
        None: the sigmas are known beforehand, factor sqrt(-2 ln(1 - share)), 2.4477 for 95 %. Otherwise the ellipse
        was multiplied by sigma0, which was estimated with so many degrees of freedom [1, 2, ...]: sqrt(2 F), where F
        of 2 and dof is written out, F = dof / 2 ((1 - share)^(-2 / dof) - 1).
    Source: Mikhail (1976), confidence regions.

    >>> round(ellipse_factor(), 4), round(ellipse_factor(3), 3), round(ellipse_factor(10), 3)
    (2.4477, 4.371, 2.865)
    """
    if dof is None:
        return math.sqrt(-2.0 * math.log(1.0 - share))
    return math.sqrt(dof * ((1.0 - share) ** (-2.0 / dof) - 1.0))


def residual_limit(sigma: float, dof: int, share: float = 0.95) -> float:
    """The size that a residual keeps below with chance ``share``, its sigma estimated: t sigma, in the unit of sigma.

    sigma
        standard deviation of the residuals [> 0], from ``dof`` degrees of freedom [1, 2, ...]. t: Student's, two-sided.

    >>> round(residual_limit(4.0, 9), 2), round(residual_limit(4.0, 9, 0.99), 1)
    (9.05, 13.0)
    """
    from scipy.special import stdtrit

    return sigma * float(stdtrit(dof, (1.0 + share) / 2.0))
