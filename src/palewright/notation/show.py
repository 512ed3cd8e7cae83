"""Printing: lengths for a tape, bearings, areas, volumes, masses and money. Rounded once, halves away from zero."""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

__all__ = [
    "show_acres",
    "show_angle",
    "show_area",
    "show_bearing",
    "show_chance",
    "show_dms",
    "show_grade",
    "show_inches",
    "show_length",
    "show_mass",
    "show_money",
    "show_small_angle",
    "show_volume",
]

STYLES = ("feet-inches", "decimal-feet", "metric")
_FRACTIONS = (1, 2, 4, 8, 16, 32, 64)
_INCH = (127, 5000)
_FOOT = (381, 1250)
_FOOT_M = 0.3048
_POUND_KG = 0.45359237
_TIE = 30
_FAINT = 0.001
_FINE_DEG, _NO_DEG = 0.01, 0.00005
_SYMBOLS = {"USD": "$", "EUR": "€", "GBP": "£"}


def _steps(value: float | Fraction, above: int, below: int) -> int:
    """``value / (above / below)`` to the nearest whole number, halves away from zero.

    Within 2^-30 of a half counts as a half, so that a float half an eighth rounds as the exact one does.
    """
    if isinstance(value, float) and not math.isfinite(value):
        raise ValueError("only a finite number can be printed")
    n, d = value.as_integer_ratio()
    n, d = abs(n) * below, d * above
    return (2 * n + d + (d >> _TIE)) // (2 * d)


def show_length(m: float | Fraction, style: str = "feet-inches", fraction: int = 8) -> str:
    """A length as the job prints it.

    m
        length [m], finite; negative keeps its sign in front.
    style
        "feet-inches", "decimal-feet" (hundredths) or "metric" (millimetres below 1 m, metres to the millimetre above).
    fraction
        smallest part of an inch: 1, 2, 4, 8, 16, 32 or 64.
    Raises ValueError for another style or fraction. Twelve inches are carried to a foot.

    >>> show_length(4.9911), show_length(0.0), show_length(3.6576 - 1e-9)
    ('16\\' 4 1/2"', '0"', '12\\' 0"')
    >>> show_length(4.9911, "decimal-feet"), show_length(4.9911, "metric")
    ("16.38'", '4.991 m')
    """
    if style == "feet-inches":
        return _feet_inches(m, fraction, feet=True)
    sign = "-" if m < 0 else ""
    if style == "decimal-feet":
        hundredths = _steps(m, _FOOT[0], _FOOT[1] * 100)
        return f"{sign if hundredths else ''}{hundredths // 100}.{hundredths % 100:02d}'"
    if style != "metric":
        raise ValueError(f"style must be one of {', '.join(STYLES)}")
    mm = _steps(m, 1, 1000)
    if mm < 1000:
        return f"{sign if mm else ''}{mm} mm"
    return f"{sign}{mm // 1000}.{mm % 1000:03d} m"


def show_inches(m: float | Fraction, fraction: int = 8, style: str = "feet-inches") -> str:
    """A length in inches only, however long, as one says a hole; in the metric style whole millimetres.

    m
        length [m], finite. fraction: smallest part of an inch: 1, 2, 4, 8, 16, 32 or 64. Raises ValueError for another.

    >>> show_inches(0.86995), show_inches(1.0922, style="metric")
    ('34 1/4"', '1092 mm')
    """
    if style == "metric":
        mm = _steps(m, 1, 1000)
        return f"{'-' if m < 0 and mm else ''}{mm} mm"
    return _feet_inches(m, fraction, feet=False)


def _feet_inches(m: float | Fraction, fraction: int, feet: bool) -> str:
    if fraction not in _FRACTIONS:
        raise ValueError(f"fraction must be one of {_FRACTIONS}")
    steps = _steps(m, _INCH[0], _INCH[1] * fraction)
    whole, part = divmod(steps, fraction)
    sign = "-" if m < 0 and steps else ""
    lead = ""
    if feet and whole >= 12:
        lead, whole = f"{whole // 12}' ", whole % 12
    if not part:
        return f'{sign}{lead}{whole}"'
    common = math.gcd(part, fraction)
    parts = f"{part // common}/{fraction // common}"
    inches = f"{whole} {parts}" if whole or lead else parts
    return f'{sign}{lead}{inches}"'


def show_bearing(azimuth: float) -> str:
    """An azimuth as a quadrant bearing to the second.

    azimuth
        clockwise from north [rad], finite, any turn. Sixty seconds and minutes are carried.

    >>> show_bearing(math.radians(144.0)), show_bearing(math.radians(359.99999))
    ('S 36°00\\'00" E', 'N 00°00\\'00" W')
    """
    seconds = _seconds(azimuth) % 1_296_000
    quadrant, rest = divmod(seconds, 324_000)
    if quadrant in (1, 3):
        rest = 324_000 - rest
    if azimuth % math.tau > 1.5 * math.pi and seconds == 0:
        quadrant = 3
    first, last = (("N", "E"), ("S", "E"), ("S", "W"), ("N", "W"))[quadrant]
    return f"{first} {_dms(rest)} {last}"


def show_dms(angle: float) -> str:
    """An angle [rad, finite] in degrees, minutes and seconds.

    >>> show_dms(math.radians(89.5))
    '89°30\\'00"'
    """
    sign = "-" if angle < 0 else ""
    return sign + _dms(_seconds(abs(angle)))


def _seconds(angle: float) -> int:
    if not math.isfinite(angle):
        raise ValueError("only a finite angle can be printed")
    return _steps(math.degrees(angle % math.tau if angle < 0 else angle), 1, 3600)


def _dms(seconds: int) -> str:
    minutes, s = divmod(seconds, 60)
    d, m = divmod(minutes, 60)
    return f"{d:02d}°{m:02d}'{s:02d}\""


def show_angle(angle: float) -> str:
    """An angle [rad, finite] in degrees, to a hundredth, without trailing zeros.

    >>> show_angle(math.radians(89.5)), show_angle(math.pi / 2)
    ('89.5°', '90°')
    """
    return f"{_trim(math.degrees(angle), 2)}°"


def show_small_angle(angle: float) -> str:
    """How far an angle may be off [rad, 0 or more, finite]: to a hundredth of a degree, finer where it is small.

    >>> show_small_angle(math.radians(0.254)), show_small_angle(math.radians(5 / 3600)), show_small_angle(0.0)
    ('0.25°', '0.0014°', '0.00°')
    """
    degrees = math.degrees(angle)
    return f"{_fixed(degrees, 4 if _NO_DEG <= degrees < _FINE_DEG else 2)}°"


def show_grade(grade: float) -> str:
    """A slope, rise / run (finite), in percent to a tenth.

    >>> show_grade(1 / 12)
    '8.3%'
    """
    return f"{_trim(grade * 100.0, 1)}%"


def _trim(value: float, places: int) -> str:
    text = _fixed(value, places)
    return text.rstrip("0").rstrip(".") if "." in text else text


def _fixed(value: float, places: int) -> str:
    """Decimal with thousands commas, halves away from zero."""
    steps = _steps(value, 1, 10**places)
    whole, part = divmod(steps, 10**places)
    sign = "-" if value < 0 and steps else ""
    return f"{sign}{whole:,}.{part:0{places}d}" if places else f"{sign}{whole:,}"


def show_area(m2: float, style: str = "feet-inches") -> str:
    """An area [m2, finite] in square feet, or square metres in the metric style; a decimal below 100.

    >>> show_area(565.2), show_area(565.2, "metric")
    ('6,084 sq ft', '565 m²')
    """
    value, unit = (m2, "m²") if style == "metric" else (m2 / _FOOT_M**2, "sq ft")
    return f"{_fixed(value, 0 if abs(value) >= 99.95 else 1)} {unit}"


def show_acres(m2: float) -> str:
    """An area [m2, finite] in acres, to a thousandth.

    >>> show_acres(4046.8564224)
    '1.000 acres'
    """
    return f"{_fixed(m2 / (43_560 * _FOOT_M**2), 3)} acres"


def show_volume(m3: float, style: str = "feet-inches") -> str:
    """A volume [m3, finite] in cubic feet (cubic yards from 27 cubic feet up), or cubic metres in the metric style.

    >>> show_volume(0.65), show_volume(1.0), show_volume(0.65, "metric")
    ('23.0 cu ft', '1.31 cu yd', '0.65 m³')
    """
    if style == "metric":
        return f"{_fixed(m3, 2)} m³"
    feet = m3 / _FOOT_M**3
    if abs(feet) >= 27.0:
        return f"{_fixed(feet / 27.0, 2)} cu yd"
    return f"{_fixed(feet, 1 if abs(feet) >= 9.995 else 2)} cu ft"


def show_chance(chance: float) -> str:
    """A chance [0 to 1] as a percentage, with no more figures than it can bear.

    Chances below one in a thousand, and above all but that, are not told apart: nobody knows the tails of real errors.

    >>> show_chance(0.31), show_chance(0.0123), show_chance(0.0049), show_chance(1e-9), show_chance(0.9999)
    ('31%', '1.2%', '0.5%', '< 0.1%', '> 99.9%')
    """
    if chance < _FAINT:
        return f"< {_FAINT * 100:g}%"
    if chance > 1.0 - _FAINT:
        return f"> {100 - _FAINT * 100:g}%"
    return f"{_fixed(chance * 100, 0 if 0.1 <= chance <= 0.9 else 1)}%"


def show_mass(kg: float, style: str = "feet-inches") -> str:
    """A mass [kg, finite] in whole pounds, or kilograms in the metric style.

    >>> show_mass(36.287), show_mass(36.287, "metric")
    ('80 lb', '36 kg')
    """
    if style == "metric":
        return f"{_fixed(kg, 0)} kg"
    return f"{_fixed(kg / _POUND_KG, 0)} lb"


def show_money(amount: Decimal, currency: str = "USD", language: str = "en") -> str:
    """A sum to the cent, halves up.

    amount
        finite. currency: three letters, or "" for none. language: "en" or "es"; Spanish writes euros as 1.234,50 €.
    Raises ValueError when the amount is not finite.

    >>> show_money(Decimal("1234.5")), show_money(Decimal("1234.5"), "EUR", "es"), show_money(Decimal("3"), "CAD")
    ('$1,234.50', '1.234,50 €', '3.00 CAD')
    """
    if not amount.is_finite():
        raise ValueError("only a finite sum can be printed")
    cents = amount.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)
    text = f"{abs(cents):,.2f}"
    sign = "-" if cents < 0 else ""
    if currency == "EUR" and language == "es":
        return f"{sign}{text.translate(str.maketrans(',.', '.,'))} €"
    if currency in _SYMBOLS:
        return f"{sign}{_SYMBOLS[currency]}{text}"
    return f"{sign}{text} {currency}".rstrip()
