"""Lengths and places as a person types them: to what a tape can measure."""

from __future__ import annotations

from fractions import Fraction

from palewright.notation import parse_length

__all__ = ["exact_text", "finer_text", "length_text", "mark_m", "metres"]

_INCH = 0.0254
_FOOT = 0.3048
_METRIC_M = 0.005
_EIGHTHS = 8
_HELD_M = 2e-5
"""How exactly a place is held that fell on something; what is drawn is told to 0.1 mm."""


def mark_m(style: str, fraction: int = _EIGHTHS) -> float:
    """The mark of a tape [m] to which a length is typed: a part of an inch, 5 mm, or 0.01 ft.

    >>> mark_m("metric"), round(mark_m("feet-inches", 16), 7)
    (0.005, 0.0015875)
    """
    return {"metric": _METRIC_M, "decimal-feet": _FOOT / 100}.get(style, _INCH / fraction)


def length_text(m: float, style: str = "feet-inches", steps: int = _EIGHTHS) -> str:
    """A length [m] as it would be typed: to 1/8 in, to 5 mm where the job prints metric, to 0.01 ft in decimal feet.

    steps
        of an inch; 1 for whole inches, and 2 cm.

    >>> length_text(12.6619), length_text(6.096), length_text(0.165), length_text(-1.0, "metric")
    ('41\\' 6 1/2"', '20 ft', '6 1/2 in', '-1 m')
    """
    if style == "metric":
        step = _METRIC_M if steps > 1 else 4 * _METRIC_M
        return f"{round(round(m / step) * step, 3) + 0.0:g} m"
    if style == "decimal-feet":
        places = 2 if steps > 1 else 1
        return f"{round(m / _FOOT, places) + 0.0:.{places}f}".rstrip("0").rstrip(".") + " ft"
    parts = Fraction(round(abs(m) / _INCH * steps), steps)
    sign = "-" if m < 0 and parts else ""
    feet, inches = divmod(parts, 12)
    whole, rest = divmod(inches, 1)
    words = " ".join([*([str(whole)] if whole or feet or not rest else []), *([f"{rest}"] if rest else [])])
    if not inches:
        return f"{sign}{feet} ft"
    return f"{sign}{feet}' {words}\"" if feet else f"{sign}{words} in"


def finer_text(m: float, style: str) -> str:
    """The same to 1 mm or a thousandth of a foot, where a typed length hangs on it.

    >>> finer_text(3.05, "feet-inches"), finer_text(3.0507, "metric")
    ('10.007 ft', '3.051 m')
    """
    value, unit = (m, "m") if style == "metric" else (m / _FOOT, "ft")
    return f"{round(value, 3) + 0.0:.3f}".rstrip("0").rstrip(".") + f" {unit}"


def exact_text(m: float, style: str, steps: int = _EIGHTHS) -> str:
    """The same to a mark of a tape where one holds it to 0.02 mm, else to four decimals.

    >>> exact_text(3.048, "feet-inches"), exact_text(0.7096125, "feet-inches"), exact_text(3.05, "feet-inches")
    ('10 ft', '2\\' 3 15/16"', '10.0066 ft')
    """
    unit, name = (1.0, "m") if style == "metric" else (_FOOT, "ft")
    finer = (steps, 16) if style == "feet-inches" else (steps,)
    marks = (length_text(m, style, step) for step in finer)
    held = (text for text in marks if abs((metres(text) or 0.0) - m) <= _HELD_M)
    return next(held, f"{round(m / unit, 4) + 0.0:.4f}".rstrip("0").rstrip(".") + f" {name}")


def metres(text: str) -> float | None:
    """The length of a text [m]; None for one that is none, or has no unit."""
    try:
        return float(parse_length(text, signed=True).m)
    except ValueError:
        return None
