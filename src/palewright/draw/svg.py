"""The scene as SVG: a standalone file, text as text, units in millimetres."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable

from palewright.draw.scene import Arc, Circle, Line, Polygon, Polyline, Primitive, Scene, Text, hatch_lines

__all__ = ["to_svg"]

_BAD = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff\ud800-\udfff]")


def _n(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _safe(text: str) -> str:
    """A text as XML content: without characters that XML forbids, markup escaped."""
    return _BAD.sub("\ufffd", text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _attr(text: str) -> str:
    """A text as a quoted attribute."""
    return '"' + _safe(text).replace('"', "&quot;") + '"'


def _stroke(p: Line | Polyline | Polygon | Circle | Arc, fill: str = "none") -> str:
    parts = [f'fill="{fill}"']
    if p.stroke_mm > 0.0:
        parts.append(f'stroke="{p.colour}" stroke-width="{_n(p.stroke_mm)}"')
        if p.dash:
            parts.append(f'stroke-dasharray="{" ".join(_n(d) for d in p.dash)}"')
    return " ".join(parts)


def _points(points: Iterable[tuple[float, float]]) -> str:
    return " ".join(f"{_n(x)},{_n(y)}" for x, y in points)


def _arc_path(p: Arc) -> str:
    def at(angle: float) -> tuple[float, float]:
        return (p.centre[0] + p.radius_mm * math.cos(angle), p.centre[1] - p.radius_mm * math.sin(angle))

    a, b = at(p.start), at(p.start + p.sweep)
    r = _n(p.radius_mm)
    large, way = int(abs(p.sweep) > math.pi), int(p.sweep < 0)
    return f"M{_n(a[0])} {_n(a[1])}A{r} {r} 0 {large} {way} {_n(b[0])} {_n(b[1])}"


def _text(p: Text) -> str:
    x, y = p.at
    turn = f' transform="rotate({_n(-math.degrees(p.angle))} {_n(x)} {_n(y)})"' if p.angle else ""
    bold = ' font-weight="700"' if p.weight == "bold" else ""
    fit = f' textLength="{_n(p.width_mm)}" lengthAdjust="spacingAndGlyphs"' if p.width_mm > 0.0 else ""
    halo = ' stroke="#ffffff" stroke-width="0.8" stroke-linejoin="round" paint-order="stroke"' if p.halo else ""
    return (
        f'<text x="{_n(x)}" y="{_n(y)}" font-size="{_n(p.size_mm)}" text-anchor="{p.anchor}" fill="{p.colour}"'
        f"{bold}{fit}{halo}{turn}>{_safe(p.text)}</text>"
    )


def _shape(p: Primitive) -> str:
    match p:
        case Line():
            return f'<line x1="{_n(p.a[0])}" y1="{_n(p.a[1])}" x2="{_n(p.b[0])}" y2="{_n(p.b[1])}" {_stroke(p)}/>'
        case Polyline():
            return f'<polyline points="{_points(p.points)}" {_stroke(p)}/>'
        case Polygon():
            shape = f'<polygon points="{_points(p.points)}" {_stroke(p, p.fill or "none")}/>'
            if p.hatch is None:
                return shape
            path = "".join(f"M{_n(a[0])} {_n(a[1])}L{_n(b[0])} {_n(b[1])}" for a, b in hatch_lines(p.points, p.hatch))
            return f'<path d="{path}" fill="none" stroke="{p.colour}" stroke-width="{_n(p.hatch.stroke_mm)}"/>{shape}'
        case Circle():
            cx, cy = p.centre
            return f'<circle cx="{_n(cx)}" cy="{_n(cy)}" r="{_n(p.radius_mm)}" {_stroke(p, p.fill or "none")}/>'
        case Arc():
            return f'<path d="{_arc_path(p)}" {_stroke(p)}/>'
        case Text():
            return _text(p)


def _ids(primitives: Iterable[Primitive]) -> list[str]:
    """A unique id for each primitive that has one: layer-id, then layer-id-2, ..."""
    used: dict[str, int] = {}
    out = []
    for p in primitives:
        if not p.id:
            out.append("")
            continue
        stem = re.sub(r"[^A-Za-z0-9_.-]+", "-", f"{p.layer}-{p.id}")
        used[stem] = used.get(stem, 0) + 1
        out.append(stem if used[stem] == 1 else f"{stem}-{used[stem]}")
    return out


def to_svg(scene: Scene) -> str:
    """The scene as a standalone SVG document (SVG 1.1 with ``viewBox`` in millimetres).

    One group a layer run, in drawing order; ``title`` and ``desc`` say what it shows; ids name posts ("post-7").

    >>> from palewright.draw.scene import Line
    >>> svg = to_svg(Scene(20.0, 10.0, "a < b", (Line(layer="sheet", a=(1.0, 2.0), b=(3.0, 4.0)),)))
    >>> "<title id=\\"t\\">a &lt; b</title>" in svg
    True
    """
    w, h = _n(scene.width_mm), _n(scene.height_mm)
    out = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}" role="img"'
        f' aria-labelledby="t d" xml:lang={_attr(scene.language)}'
        ' font-family="&quot;Noto Sans&quot;, &quot;Open Sans&quot;, Arial, sans-serif">',
        f'<title id="t">{_safe(scene.title)}</title>',
        f'<desc id="d">{_safe(scene.alt)}</desc>',
        f'<rect width="{w}" height="{h}" fill="#ffffff"/>',
    ]
    layer = ""
    for p, name in zip(scene.primitives, _ids(scene.primitives), strict=True):
        if p.layer != layer:
            if layer:
                out.append("</g>")
            layer = p.layer
            out.append(f'<g class="{layer}">')
        shape = _shape(p)
        out.append(f'<g id="{name}">{shape}</g>' if name else shape)
    if layer:
        out.append("</g>")
    out.append("</svg>")
    return "\n".join(out) + "\n"
