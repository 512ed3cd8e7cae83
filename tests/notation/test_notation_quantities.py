"""Forces, pressures, areas, weights and temperatures; values by the definitions of the units."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from palewright.errors import NotationError
from palewright.notation import parse_quantity

KINDS = ("force", "pressure", "area", "weight per length", "temperature", "expansion")

#: SI values by the definitions: pound 0.45359237 kg, standard gravity 9.80665 m/s2, inch 0.0254 m
LBF = 0.45359237 * 9.80665
SAID = [
    ("15 lbf", "force", 15 * LBF),
    ("15lb", "force", 15 * LBF),
    ("1,500 pounds", "force", 1500 * LBF),
    ("1/2 lbf", "force", 0.5 * LBF),
    ("7 kgf", "force", 7 * 9.80665),
    ("65 N", "force", 65.0),
    ("29e6 psi", "pressure", 29e6 * LBF / 0.0254**2),
    ("29,000,000 lb/in^2", "pressure", 29e6 * LBF / 0.0254**2),
    ("200 GPa", "pressure", 200e9),
    (".004 sq. in.", "area", 0.004 * 0.0254**2),
    ("2.6 mm²", "area", 2.6e-6),
    ("0.0216 lb per ft", "weight per length", 0.0216 * LBF / 0.3048),
    ("0.3 N/m", "weight per length", 0.3),
    ("50°F", "temperature", 10.0),
    ("-40 F", "temperature", -40.0),
    ("−5 °C", "temperature", -5.0),
    ("293.15 K", "temperature", 20.0),
    ("6.45e-6 /F", "expansion", 6.45e-6 * 1.8),
    ("11.6e-6 per C", "expansion", 11.6e-6),
]


@pytest.mark.parametrize(("text", "kind", "si"), SAID)
def test_values(text: str, kind: str, si: float) -> None:
    assert parse_quantity(text, kind) == pytest.approx(si, rel=1e-12, abs=1e-12)


BAD = [
    ("15", "force", "unit-missing"),
    ("15 ft", "force", "unit-unknown"),
    ("lbf", "force", "quantity-unreadable"),
    ("", "area", "quantity-unreadable"),
    ("-15 lbf", "force", "quantity-out-of-range"),
    ("1/0 lbf", "force", "quantity-out-of-range"),
    ("1e999 Pa", "pressure", "quantity-out-of-range"),
    ("-300 C", "temperature", "quantity-out-of-range"),
    ("nan F", "temperature", "quantity-unreadable"),
    ("1" * 201, "force", "text-too-long"),
]


@pytest.mark.parametrize(("text", "kind", "slug"), BAD)
def test_problems(text: str, kind: str, slug: str) -> None:
    with pytest.raises(NotationError) as caught:
        parse_quantity(text, kind)
    (problem,) = caught.value.problems
    assert problem.slug == slug
    assert problem.where.column >= 1
    assert problem.render()


@given(
    st.one_of(st.text(max_size=60), st.text(alphabet="0123456789.,/-+eE lbfNpsiFC°²^", max_size=30)),
    st.sampled_from(KINDS),
)
def test_anything_gives_a_number_or_a_problem(text: str, kind: str) -> None:
    try:
        value = parse_quantity(text, kind)
    except NotationError:
        return
    assert value >= (-273.15 if kind == "temperature" else 0.0)
