"""Point lists of surveyors, written: point, northing, easting, elevation, description (PNEZD)."""

from __future__ import annotations

from palewright.exchange.features import spots
from palewright.model import Plan

__all__ = ["to_pnezd"]

_FOOT = 0.3048


def to_pnezd(plan: Plan) -> str:
    """Corners, stakes and posts as PNEZD lines without a header, in international feet (metres in a metric job).

    Points are numbered from 1; the description says what each is. The elevation is empty: level ground is assumed and
    no height is known. No comma stands in a description. A plan without north is local: northing is then its y.
    """
    per_m = 1.0 if plan.settings.print_style == "metric" else 1.0 / _FOOT
    lines = []
    for number, made in enumerate(spots(plan), 1):
        (x, y) = made.points[0]
        words = " ".join(f"{made.what} {made.name}".split()) if made.what == "corner" else made.name
        lines.append(f"{number},{y * per_m:.4f},{x * per_m:.4f},,{_plain(words)}")
    return "\r\n".join(lines) + "\r\n" if lines else ""


def _plain(words: str) -> str:
    """A description without commas, quotes or line ends."""
    return "".join(" " if sign in ',;"' or not sign.isprintable() else sign for sign in words)
