"""The model part of a scene as DXF: at true size in feet or metres, a layer a class, texts as written."""

from __future__ import annotations

import importlib
import math
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from palewright.draw.board import Board
from palewright.draw.fence import Look
from palewright.draw.notes import plan_notes
from palewright.draw.plan_sheet import draw_plan
from palewright.draw.scene import LAYERS, Arc, Circle, Line, Polygon, Polyline, Primitive, Scene, Text, View
from palewright.draw.sheets import choose, wanted
from palewright.draw.string_marks import draw_strings
from palewright.draw.view import Field, extent_of
from palewright.draw.words import Words
from palewright.model import Plan

__all__ = ["dxf_text", "model_scene", "to_dxf"]

XY = tuple[float, float]

_FOOT = 0.3048
_MARGIN_MM = 40.0
_WEIGHTS = (0, 5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50, 53, 60, 70, 80, 90, 100, 120, 140, 200)
_ACI = {
    "fence": 32,
    "gate": 32,
    "hole": 8,
    "dimension": 8,
    "zone-gas": 2,
    "zone-electric": 1,
    "zone-water": 5,
    "zone-sewer": 3,
    "zone-communication": 30,
    "zone-reclaimed": 6,
}


def model_scene(plan: Plan) -> Scene:
    """Plan and strings on one page as large as it takes, posts at their true size, at the scale of the plan sheets.

    Made for model-space exchange: no frame and no tiles; the page has no limit, the view is true.
    """
    words = Words(plan.settings)
    scale = choose(plan, plan_notes(plan, words, "plan")).scale
    points = [*wanted(plan, strings=True), *(p for zone in plan.site.zones for p in zone.points)]
    extent = extent_of(points)
    if extent is None:
        raise ValueError("a plan without a point cannot be drawn")
    k = 1000.0 / scale.denominator
    width, height = extent.width * k + 2 * _MARGIN_MM, extent.height * k + 2 * _MARGIN_MM
    view = View(scale.denominator, extent.centre, 0.0, (width / 2, height / 2), scale.words)
    board = Board(Field(0.0, 0.0, width, height), view, clipped=False)
    draw_strings(board, plan)
    draw_plan(board, plan, words, Look(true_size=True))
    return Scene(
        width,
        height,
        plan.settings.title,
        tuple(board.primitives),
        view,
        "plan",
        "",
        words.language,
        not plan.settings.north,
    )


def _weight(stroke_mm: float) -> int:
    return min(_WEIGHTS, key=lambda w: abs(w - stroke_mm * 100.0))


def _rgb(colour: str) -> tuple[int, int, int]:
    return (int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16))


def _plain(text: str) -> str:
    """A text without control characters and without the codes that DXF texts obey."""
    kept = "".join(c if c >= " " else " " for c in text)
    return kept.replace("%%", "% %").replace("^", "^ ")


class _Writer:
    """Puts primitives into a modelspace at true size; ``per_m``: drawing units in a metre."""

    def __init__(self, doc: Any, view: View, per_m: float) -> None:
        self.doc, self.msp, self.view, self.per_m = doc, doc.modelspace(), view, per_m
        self._types: dict[tuple[float, ...], str] = {}

    def at(self, q: XY) -> XY:
        x, y = self.view.to_world(q)
        return (x * self.per_m, y * self.per_m)

    def size(self, mm: float) -> float:
        return mm * self.view.denominator / 1000.0 * self.per_m

    def _linetype(self, dash: tuple[float, ...]) -> str:
        if not dash:
            return "CONTINUOUS"
        if dash not in self._types:
            name = f"PALE{len(self._types) + 1}"
            run = dash if len(dash) % 2 == 0 else dash * 2
            parts = [self.size(d) * (1 if k % 2 == 0 else -1) for k, d in enumerate(run)]
            self.doc.linetypes.add(name, pattern=[sum(abs(p) for p in parts), *parts])
            self._types[dash] = name
        return self._types[dash]

    def look(self, p: Primitive) -> dict[str, Any]:
        attributes: dict[str, Any] = {"layer": p.layer}
        if p.colour == "#000000":
            attributes["color"] = 7
        else:
            red, green, blue = _rgb(p.colour)
            attributes["true_color"] = red << 16 | green << 8 | blue
        if not isinstance(p, Text):
            attributes["lineweight"] = _weight(p.stroke_mm)
            attributes["linetype"] = self._linetype(p.dash)
        return attributes

    def put(self, p: Primitive) -> None:
        """One primitive as DXF entities."""
        turn = self.view.rotation
        match p:
            case Line():
                self.msp.add_line(self.at(p.a), self.at(p.b), dxfattribs=self.look(p))
            case Polyline():
                self.msp.add_lwpolyline([self.at(q) for q in p.points], dxfattribs=self.look(p))
            case Polygon():
                self._polygon(p)
            case Circle():
                self.msp.add_circle(self.at(p.centre), self.size(p.radius_mm), dxfattribs=self.look(p))
            case Arc():
                a, b = p.start - turn, p.start + p.sweep - turn
                if p.sweep < 0:
                    a, b = b, a
                ends = (math.degrees(a) % 360.0, math.degrees(b) % 360.0)
                self.msp.add_arc(self.at(p.centre), self.size(p.radius_mm), *ends, dxfattribs=self.look(p))
            case Text():
                self._text(p)

    def _polygon(self, p: Polygon) -> None:
        points = [self.at(q) for q in p.points]
        solid = p.fill not in ("", "#ffffff")
        if solid or p.hatch is not None:
            look = {k: v for k, v in self.look(p).items() if k in ("layer", "color", "true_color")}
            hatch = self.msp.add_hatch(dxfattribs=look)
            if p.hatch is not None:
                hatch.set_pattern_fill("PALEWRIGHT", definition=self._pattern(p))
            elif p.fill != "#000000":
                hatch.rgb = _rgb(p.fill)
            hatch.paths.add_polyline_path(points, is_closed=True)
        if p.stroke_mm > 0.0:
            self.msp.add_lwpolyline(points, close=True, dxfattribs=self.look(p))

    def _pattern(self, p: Polygon) -> list[Any]:
        assert p.hatch is not None
        gap = self.size(p.hatch.gap_mm)
        angles = [p.hatch.angle, p.hatch.angle + math.pi / 2] if p.hatch.cross else [p.hatch.angle]
        return [[math.degrees(a), (0.0, 0.0), (-gap * math.sin(a), gap * math.cos(a)), []] for a in angles]

    def _text(self, p: Text) -> None:
        enums = importlib.import_module("ezdxf.enums").TextEntityAlignment
        align = {"start": enums.LEFT, "middle": enums.CENTER, "end": enums.RIGHT}[p.anchor]
        look = self.look(p) | {
            "style": "PALEWRIGHT",
            "height": self.size(p.size_mm * 0.714),
            "rotation": math.degrees(p.angle - self.view.rotation),
        }
        self.msp.add_text(_plain(p.text), dxfattribs=look).set_placement(self.at(p.at), align=align)


def _document(metric: bool, layers: Iterable[str]) -> Any:
    ezdxf = importlib.import_module("ezdxf")
    doc = ezdxf.new("R2010", setup=False)
    doc.header["$INSUNITS"] = 6 if metric else 2
    doc.header["$MEASUREMENT"] = 1 if metric else 0
    doc.header["$LUNITS"] = 2
    doc.header["$LTSCALE"] = 1.0
    doc.styles.add("PALEWRIGHT", font="NotoSans-Regular.ttf")
    for name in layers:
        doc.layers.add(name, color=_ACI.get(name, 7)).description = LAYERS[name]
    return doc


def _titles(plan: Plan, words: Words) -> list[str]:
    notes = plan_notes(plan, words, "plan")
    title = plan.settings.title if plan.settings.north else f"LOCAL: {plan.settings.title} ({words('no_north')})"
    unit = words("dxf_metres" if plan.settings.print_style == "metric" else "dxf_feet")
    return [title, words("not_survey"), unit, *([notes.trial] if notes.trial else []), notes.locate_head, *notes.notes]


def dxf_text(plan: Plan) -> str:
    """The plan as the text of a DXF file (R2010): true coordinates in feet (metric jobs: metres), the same every time.

    Layers are the classes of the scene; posts are closed polylines at true size, gate swings arcs, dimensions lines and
    texts as written. ``LOCAL`` heads the title where the job has no north.
    """
    ezdxf = importlib.import_module("ezdxf")
    io = importlib.import_module("io")
    scene, words = model_scene(plan), Words(plan.settings)
    assert scene.view is not None
    metric = plan.settings.print_style == "metric"
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        used = {p.layer for p in scene.primitives} | {"sheet"}
        doc = _document(metric, [name for name in LAYERS if name in used])
        writer = _Writer(doc, scene.view, 1.0 if metric else 1.0 / _FOOT)
        for p in scene.primitives:
            writer.put(p)
        for k, line in enumerate(_titles(plan, words)):
            size = 4.2 if k == 0 else 2.8
            at = (0.0, scene.height_mm + 6.0 + 5.0 * k)
            writer.put(Text(layer="sheet", text=line, at=at, size_mm=size, role="title", space="sheet"))
        middle = writer.at((scene.width_mm / 2, scene.height_mm / 2))
        doc.set_modelspace_vport(writer.size(scene.height_mm), middle)
        for name in sorted(doc.entitydb.dxf_types_in_use()):  # else they follow the order of a set
            doc.classes.add_class(name)
        stream = io.StringIO()
        doc.write(stream)
        return str(stream.getvalue())
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def to_dxf(plan: Plan, path: str | Path) -> None:
    """Write :func:`dxf_text` to a file."""
    Path(path).write_text(dxf_text(plan), encoding="utf-8", newline="\n")
