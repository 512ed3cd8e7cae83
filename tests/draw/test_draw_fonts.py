"""Widths of the table against the font file itself, read with an independent library (fontTools)."""

from __future__ import annotations

from pathlib import Path

import fontpkg_noto_sans
import pytest
from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont
from fontTools.varLib import instancer

from palewright.draw.fonts import CAP, _widths, text_width, wrap


@pytest.mark.parametrize(("weight", "axis"), [("regular", 400), ("bold", 700)])
def test_widths_are_those_of_the_font(weight: str, axis: int) -> None:
    path = Path(fontpkg_noto_sans.ROOT) / "files" / "NotoSans[wdth,wght].ttf"
    with TTFont(path) as font:
        few = Subsetter(Options(layout_features=[]))  # thousands of other glyphs would be worked out as well
        few.populate(text="".join(_widths(weight)))
        few.subset(font)
        fixed = instancer.instantiateVariableFont(font, {"wght": axis, "wdth": 100})
        cmap, widths = fixed.getBestCmap(), fixed["hmtx"]
        assert fixed["head"].unitsPerEm == 1000
        assert fixed["OS/2"].sCapHeight == round(CAP * 1000)
        for char, width in _widths(weight).items():
            # the table is rounded to thousandths of the size
            assert width * 1000 == pytest.approx(widths[cmap[ord(char)]][0], abs=0.51), char


def test_the_table_has_what_english_and_spanish_need() -> None:
    for weight in ("regular", "bold"):
        for char in "ABCÑÁÉÍÓÚÜabcñáéíóúü0123456789'\"/°.,:;()-–+=½¼¾⅛⅜⅝⅞¿¡":
            assert char in _widths(weight), char


def test_wrap_loses_nothing_and_fits() -> None:
    text = "Call the utility locate first. 6' 10 5/8\" is a length, supercalifragilisticexpialidocious is a word."
    for width in (12.0, 20.0, 40.0):
        lines = wrap(text, 2.8, width)
        assert "".join(lines).replace(" ", "") == text.replace(" ", "")
        assert all(text_width(line, 2.8) <= width + 1e-9 for line in lines)
