"""How the papers print numbers: lengths for a tape, small lengths in inches, areas, volumes, masses."""

from __future__ import annotations

import math

from palewright.model import Settings
from palewright.notation import show_angle, show_area, show_inches, show_length, show_mass, show_volume
from palewright.record import Record

__all__ = ["Measures"]

_SMALL = 0.6
_HUNDREDTH = 0.003048
_NOTHING = 1e-6


class Measures(Record):
    """Prints in the style of the job: ``style`` "feet-inches", "decimal-feet" or "metric"; ``fraction`` of an inch.

    Areas and volumes name their units in the ``language``.
    """

    style: str = "feet-inches"
    fraction: int = 8
    language: str = "en"

    @classmethod
    def of(cls, settings: Settings) -> Measures:
        """As the job prints."""
        return cls(settings.print_style, settings.fraction, settings.language)

    def length(self, m: float) -> str:
        """A length [m] as it is read on a tape.

        >>> Measures().length(0.86995)
        '2\\' 10 1/4"'
        """
        return show_length(m, self.style, self.fraction)

    def small(self, m: float) -> str:
        """A length [m]; under 0.6 m in inches, as one says a hole or a gap.

        >>> Measures().small(0.254), Measures().small(0.86995), Measures("metric").small(0.254)
        ('10"', '2\\' 10 1/4"', '254 mm')
        """
        return self.inches(m) if abs(m) < _SMALL else self.length(m)

    def taped(self, m: float) -> str:
        """A length [m] to be set out or read with the tape, however small: a tape in tenths of a foot has no inches.

        >>> Measures().taped(0.254), Measures("decimal-feet").taped(0.254), Measures("metric").taped(0.254)
        ('10"', "0.83'", '254 mm')
        """
        return self.length(m) if self.style == "decimal-feet" else self.small(m)

    def spread(self, m: float) -> str:
        """How far something is off, or may be [m]: hundredths of a foot where the job prints feet so, else as a small
        length; one too small to show says so.

        >>> Measures().spread(0.0254), Measures("decimal-feet").spread(0.0254), Measures("metric").spread(0.0254)
        ('1"', "0.08'", '25 mm')
        >>> Measures("decimal-feet").spread(0.001), Measures().spread(0.0), Measures().spread(0.001)
        ("under 0.01'", '0"', 'under 1/16"')
        """
        if abs(m) > _NOTHING and self.taped(m) == self.taped(0.0):
            from palewright.papers.words import text

            least = self.length(_HUNDREDTH) if self.style == "decimal-feet" else self.tolerance(0.0)
            return text("common.under", self.language, length=least)
        return self.taped(m)

    def inches(self, m: float) -> str:
        """A length [m] in inches, however long; millimetres in the metric style.

        >>> Measures().inches(0.86995), Measures("metric").inches(0.86995)
        ('34 1/4"', '870 mm')
        >>> Measures("metric").inches(1.0922), Measures("metric").inches(0.0)
        ('1092 mm', '0 mm')
        """
        return show_inches(m, self.fraction, self.style)

    def area(self, m2: float) -> str:
        """An area [m2].

        >>> Measures().area(10.0), Measures(language="es").area(10.0)
        ('108 sq ft', '108 pies cuadrados')
        """
        return self._worded(show_area(m2, self.style))

    def volume(self, m3: float) -> str:
        """A volume [m3]; metric ones under a tenth of a cubic metre in litres.

        >>> Measures().volume(0.017), Measures("metric").volume(0.017), Measures("metric").volume(1.667)
        ('0.60 cu ft', '17 L', '1.67 m³')
        """
        if self.style == "metric" and abs(m3) < 0.09995:
            return f"{m3 * 1000:.{0 if abs(m3) >= 0.00995 else 1}f} L"
        return self._worded(show_volume(m3, self.style))

    def _worded(self, shown: str) -> str:
        """The unit of an area or a volume in the language; signs of the metric style are the same in all."""
        from palewright.papers.words import term

        number, _, unit = shown.partition(" ")
        return f"{number} {term(unit, self.language)}"

    def mass(self, kg: float) -> str:
        """A mass [kg]."""
        return show_mass(kg, self.style)

    def angle(self, rad: float) -> str:
        """An angle [rad] in degrees."""
        return show_angle(rad)

    def down(self, m: float) -> str:
        """A length [m], at least 0, rounded down to the mark of the tape, so that a limit is never passed.

        >>> Measures().down(0.1), Measures().down(1.0), Measures("metric").down(0.0999)
        ('3 7/8"', '3\\' 3 1/4"', '99 mm')
        >>> Measures("decimal-feet").down(0.1)
        "0.32'"
        """
        step = {"metric": 0.001, "decimal-feet": _HUNDREDTH}.get(self.style, 0.0254 / self.fraction)
        return self.taped(math.floor(m / step + 1e-6) * step)

    def up(self, m: float) -> str:
        """A length [m], at least 0, rounded up to the mark; small ones in inches.

        >>> Measures().up(0.1), Measures().up(0.0254), Measures("metric").up(0.0991)
        ('4"', '1"', '100 mm')
        """
        step = 0.001 if self.style == "metric" else 0.0254 / self.fraction
        if self.style == "decimal-feet" and abs(m) >= _SMALL:
            step = _HUNDREDTH
        return self.small(math.ceil(m / step - 1e-6) * step)

    def sigma(self, m: float) -> str:
        """A standard deviation [m]: as a tolerance, or in hundredths of a foot where the job prints feet so.

        >>> Measures().sigma(0.0127), Measures("decimal-feet").sigma(0.0127)
        ('1/2"', "0.04'")
        """
        return self.spread(m) if self.style == "decimal-feet" else self.tolerance(m)

    def tolerance(self, m: float) -> str:
        """A tolerance [m], rounded down to 1/16 in (1 mm) and never shown as nothing.

        >>> Measures().tolerance(0.0127), Measures().tolerance(0.0005), Measures("metric").tolerance(0.0127)
        ('1/2"', '1/16"', '12 mm')
        """
        step = 0.001 if self.style == "metric" else 0.0254 / 16
        steps = max(1, math.floor(m / step + 1e-6))
        return self.length(steps * step) if self.style == "metric" else show_inches(steps * step, 16)
