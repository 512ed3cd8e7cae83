"""What is written of a fit, in a plane or of heights alike."""

from __future__ import annotations

import numpy as np

from palewright.model import ObservationFit
from palewright.survey.quality import NONCENTRAL, chi_square_limits
from palewright.survey.rows import Flags, Floats

__all__ = ["fit_test", "observation_fits"]


def fit_test(squares: float, dof: int) -> tuple[float, int, float | None, float | None, float | None, bool | None]:
    """Sum of squares, degrees of freedom, sigma0, both limits at 95 %, and whether the sum is between them."""
    if dof <= 0:
        return squares, dof, None, None, None, None
    low, high = chi_square_limits(dof)
    return squares, dof, (squares / dof) ** 0.5, low, high, low <= squares <= high


def observation_fits(
    value: Floats, residual: Floats, sigma: Floats, redundancy: Floats, checked: Flags
) -> tuple[ObservationFit, ...]:
    """A record for each observation: all arrays (m,), value, residual and sigma in its own unit.

    checked
        where the rest says anything of it; elsewhere test, least blunder and blunder are None.
    """
    share = np.clip(redundancy, 0.0, 1.0)
    root = sigma * np.sqrt(np.where(checked, share, 1.0))
    test, blunder = residual / root, -residual / np.where(checked, share, 1.0)
    least = NONCENTRAL * root / np.where(checked, share, 1.0)
    columns = (value + residual, residual, share, test, least, blunder, checked)
    return tuple(
        ObservationFit(k, adjusted, v, r, w, small, size)
        if known
        else ObservationFit(k, adjusted, v, r, None, None, None)
        for k, (adjusted, v, r, w, small, size, known) in enumerate(zip(*(c.tolist() for c in columns), strict=True))
    )
