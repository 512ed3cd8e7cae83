"""The boundary page as data: what the line rests on, record beside measured, the calls and what closing proves."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from palewright.boundary import LEAST_PRECISION, TAPE_FIXED_M, CurveShape
from palewright.model import Corner, Course, Plan, ProseLine, RecordCheck, Ring
from palewright.notation import show_bearing, show_dms, show_length
from palewright.papers.clean import short
from palewright.papers.names import call_words
from palewright.papers.sheet import Sheet
from palewright.papers.words import say, table
from palewright.sources import source

__all__ = ["boundary_data", "rests_words"]

_RESTS = {
    "": "record_only",
    "monument": "monument",
    "record only": "record_only",
    "map": "map",
    "gnss": "gnss",
    "neighbour's fence": "fence",
    "owner's word": "word",
}
_WEAK = {"map": "lot", "gnss": "lot", "neighbour's fence": "lot", "owner's word": "lot"}
_PHONE_M, _MAP_M = 4.9, 1.524
"""How far a phone fix and a county map may be off: GPS.gov; a county mapping office (5 ft)."""
_SAID = frozenset(
    {
        "closes-exactly", "closes-arithmetic-only", "closes-poorly", "boundary-by-points", "line-located",
        "line-not-located", "corner-tape-disagrees",
    }
)  # fmt: skip
"""Remarks on the boundary that this page says in its own words."""
_SOURCES = ("law-dictionary-boundary", "tiffany-444", "ca-ccp-2077")


def boundary_data(plan: Plan, ring: Ring) -> dict[str, Any]:
    """Everything that the boundary page prints, as plain data."""
    sheet = Sheet.of(plan)
    evidence = plan.site.evidence
    checks = evidence.checks if evidence else ()
    return sheet.head("boundary.document") | {
        "w": table("boundary", sheet.language),
        "located": ring.status.located,
        "status": _status(sheet, ring),
        "record": _record(sheet, ring),
        "corners": [_corner(sheet, corner) for corner in ring.corners],
        "positions": _positions(sheet),
        "checks": [_check(sheet, check) for check in checks],
        "laid": _laid(sheet, ring),
        "courses": [_course(sheet, course) for course in ring.courses],
        **_prose(sheet, ring),
        "curves": [_curve(sheet, course) for course in ring.courses if course.arc is not None],
        "closure": _closure(sheet, ring),
        "remarks": list(
            dict.fromkeys(
                say(r, plan.settings) for r in plan.site.remarks if r.about == "boundary" and r.slug not in _SAID
            )
        ),
        "sources": sheet("boundary.weight_sources", sources="; ".join(_named(sheet, key) for key in _SOURCES)),
    }


def _named(sheet: Sheet, key: str) -> str:
    entry = source(key)
    return f"{entry.title} ({sheet.source(entry.edition)})" if entry.edition == "from memory" else entry.title


def _status(sheet: Sheet, ring: Ring) -> list[str]:
    status, closure = ring.status, ring.closure
    lines = [
        sheet.corners_found("boundary.found_of", status),
        sheet(f"boundary.why_{status.why}", off=sheet.measures.spread(TAPE_FIXED_M)),
    ]
    evidence = sheet.plan.site.evidence
    if evidence is not None and any(check.beyond for check in evidence.checks):
        lines.append(sheet("boundary.why_beyond"))
    if not status.located:
        lines.append(sheet("boundary.trial"))
    args = {"precision": f"{closure.precision:,.0f}", "limit": f"{LEAST_PRECISION:,.0f}"}
    if not _called(ring):
        lines.append(sheet("boundary.by_points"))
    elif not closure.precision:
        lines.append(sheet("boundary.closes_exactly"))
    else:
        lines.append(sheet(f"boundary.closes{'_poorly' if closure.precision < LEAST_PRECISION else ''}", **args))
    return lines


def _called(ring: Ring) -> bool:
    return any(course.text for course in ring.courses)


def _record(sheet: Sheet, ring: Ring) -> list[str]:
    lines = [sheet("boundary.record", record=short(ring.record, 160))] if ring.record else []
    basis = ring.bearings or (sheet.plan.settings.north_basis if sheet.plan.settings.north else "")
    return [*lines, sheet("boundary.bearings", bearings=_basis(sheet, basis))] if basis else lines


def _basis(sheet: Sheet, basis: str) -> str:
    """What the bearings are counted from: our own words in the language, what was typed as it is."""
    known, comma, typed = basis.partition(", ")
    return short(sheet.term(known) + comma + typed, 80)


def rests_words(sheet: Sheet, corner: Corner) -> str:
    """What a corner rests on, in words; a pin that was found is one unless something else is said."""
    rests = corner.evidence.rests_on or ("monument" if corner.found else "")
    if "no pin" in corner.weak:
        rests = ""
    return sheet(f"boundary.rests_{_RESTS[rests]}")


def _corner(sheet: Sheet, corner: Corner) -> dict[str, Any]:
    said = corner.evidence
    parts = [short(corner.found or said.seen, 100)]
    if said.cap and said.cap not in corner.found:
        parts.append(sheet("boundary.cap_of", cap=short(said.cap, 40)))
    if said.stamp and said.stamp not in corner.found:
        parts.append(sheet("boundary.stamp_of", stamp=short(said.stamp, 40)))
    if said.stands_off_m:
        parts.append(sheet("boundary.stands_off", offset=sheet.measures.small(said.stands_off_m)))
    words = corner.weak or (() if corner.found else ("record only",))
    weak = [sheet("boundary.weak_" + _WEAK.get(word, word).replace(" ", "_")) for word in words]
    return {
        "name": short(corner.name, 40),
        "rests": rests_words(sheet, corner),
        "seen": ", ".join(part for part in parts if part) or sheet("boundary.nothing_seen"),
        "record": short(said.record, 60),
        "who": ", ".join(short(part, 40) for part in (said.who, said.when) if part),
        "counts": list(dict.fromkeys(weak)) or [sheet("boundary.counts")],
        "holds": not weak,
    }


def _positions(sheet: Sheet) -> str:
    show = sheet.measures
    return sheet(
        "boundary.positions",
        gps=sheet("boundary.position_gps", far=_about(sheet, _PHONE_M)),
        map=sheet("boundary.position_map", far=show.length(_MAP_M)),
    )


def _about(sheet: Sheet, m: float) -> str:
    """A length to the foot or the metre."""
    return f"{m:.0f} m" if sheet.measures.style == "metric" else f"{m / 0.3048:.0f} {sheet.term('ft')}"


def _check(sheet: Sheet, check: RecordCheck) -> dict[str, Any]:
    show = sheet.measures
    if check.kind == "place":
        what = sheet("boundary.place_of", corner=short(check.points[0], 30))
        record, value = "", ""
        sigma = _within(sheet, check.sigma)
    else:
        what = sheet("boundary.from_to", start=short(check.points[0], 30), end=short(check.points[1], 30))
        if check.kind == "direction":
            what = sheet("boundary.direction_of", what=what)
            record, value = show_bearing(check.record), show_bearing(check.measured)
            sigma = show.angle(check.sigma)
        else:
            what = sheet("boundary.chord_of", what=what) if check.chord else what
            record, value = show.length(check.record), show.length(check.measured)
            sigma = _within(sheet, check.sigma)
    return {
        "what": what,
        "by": ", ".join(part for part in (sheet(f"boundary.by_{check.by}"), short(check.how, 40)) if part),
        "record": record,
        "measured": value,
        "sigma": sheet("common.tolerance", tolerance=sigma),
        "difference": _difference(sheet, check),
        "verdict": sheet("boundary.beyond" if check.beyond else "boundary.within"),
        "beyond": check.beyond,
    }


def _within(sheet: Sheet, sigma: float) -> str:
    return sheet.measures.sigma(sigma) if sigma < 0.6 else sheet.measures.length(sigma)


def _difference(sheet: Sheet, check: RecordCheck) -> str:
    off = abs(check.difference)
    if check.kind == "direction":
        key = "turned_right" if check.difference > 0.0 else "turned_left"
        return sheet(f"boundary.{key}", angle=sheet.measures.angle(off))
    length = sheet.measures.spread(off)
    if sheet.measures.small(off) == sheet.measures.small(0.0):
        return sheet("boundary.same")
    if check.kind == "distance":
        return sheet("boundary.longer" if check.difference > 0.0 else "boundary.shorter", length=length)
    if check.toward is None or not sheet.plan.settings.north:
        return sheet("boundary.apart", length=length)
    return sheet("boundary.apart_toward", length=length, bearing=_rough_bearing(check.toward))


def _rough_bearing(azimuth: float) -> str:
    """A bearing to the degree, as precise as a small difference allows.

    >>> _rough_bearing(math.radians(159.3))
    'S 21° E'
    """
    degrees = round(math.degrees(azimuth)) % 360
    sharp = degrees if degrees <= 90 else abs(180 - degrees) if degrees <= 270 else 360 - degrees
    return f"{'N' if degrees <= 90 or degrees >= 270 else 'S'} {sharp}° {'E' if degrees < 180 else 'W'}"


def _laid(sheet: Sheet, ring: Ring) -> list[str]:
    evidence = sheet.plan.site.evidence
    if evidence is None or not evidence.base or not any(check.by == "adjusted" for check in evidence.checks):
        return []
    one, two = evidence.base
    lines = [
        sheet(
            "boundary.laid_held" if evidence.held else "boundary.laid",
            one=short(one, 30),
            two=short(two, 30),
            dof=evidence.dof,
        )
    ]
    if any(corner.weak or not corner.found for corner in ring.corners if corner.name in evidence.base):
        lines.append(sheet("boundary.laid_weak"))
    return lines


def _course(sheet: Sheet, course: Course) -> dict[str, str]:
    read = sheet.measures.length(course.length_m)
    if sheet.plan.settings.north:
        read = f"{show_bearing(course.azimuth)}  {read}"
    return {
        "side": str(course.number),
        "from": sheet("boundary.from_to", start=short(course.start, 30), end=short(course.end, 30)),
        "typed": short(call_words(course.text, sheet.language), 200) or sheet("boundary.corner_points"),
        "read": sheet("boundary.chord_of", what=read) if course.arc is not None else read,
        "yard": sheet.term(short(course.yard, 30)),
    }


def _prose(sheet: Sheet, ring: Ring) -> dict[str, Any]:
    """A pasted description call by call: its words, what was read of them, what stands beside it and around."""
    prose = ring.prose
    if prose is None:
        return {"prose": [], "prose_around": []}
    rows = [
        _prose_line(sheet, sheet("boundary.prose_tie", number=k), line, strong=False)
        for k, line in enumerate(prose.ties, 1)
    ]
    for line, course in zip(prose.lines, ring.courses, strict=True):
        rows.append(_prose_line(sheet, str(course.number), line, course=course))
    said = (("begins", (prose.begins,)), ("noted", prose.noted), ("passed", prose.passed))
    around = [sheet(f"boundary.prose_{key}", what=_listed(words)) for key, words in said if any(words)]
    return {"prose": rows, "prose_around": around}


def _prose_line(
    sheet: Sheet, name: str, line: ProseLine, strong: bool = True, course: Course | None = None
) -> dict[str, Any]:
    """One call; its length in tenths and hundredths, as deeds have it, whatever the job prints."""
    style = "metric" if sheet.measures.style == "metric" else "decimal-feet"
    parts = [] if line.azimuth is None else [show_bearing(line.azimuth)]
    parts += [] if line.length_m is None else [show_length(line.length_m, style)]
    if course is not None and course.arc is not None:
        curve = _curve(sheet, course)
        parts = [sheet("boundary.chord_of", what="  ".join(parts)) if parts else sheet("boundary.prose_curve", **curve)]
    said = (("monument", (line.monument,)), ("along", line.along), ("noted", line.noted), ("passed", line.passed))
    return {
        "side": name,
        "words": short(line.source, 500),
        "read": "  ".join(parts) or ("" if line.text else sheet("boundary.prose_to_beginning")),
        "beside": [sheet(f"boundary.prose_{key}", what=_listed(words)) for key, words in said if any(words)],
        "strong": strong,
    }


def _listed(words: Sequence[str]) -> str:
    return "; ".join(short(word, 160) for word in words)


def _curve(sheet: Sheet, course: Course) -> dict[str, str]:
    assert course.arc is not None
    show, shape = sheet.measures, CurveShape(course.arc.radius_m, abs(course.arc.sweep))
    chord = show.length(shape.chord_m)
    tangent = show.length(shape.tangent_m) if math.isfinite(shape.tangent_m) else sheet("boundary.no_tangent")
    return {
        "side": str(course.number),
        "turns": sheet("boundary.turns_left" if course.arc.sweep > 0.0 else "boundary.turns_right"),
        "radius": show.length(shape.radius_m),
        "delta": show_dms(shape.delta),
        "arc": show.length(shape.arc_m),
        "chord": f"{show_bearing(course.azimuth)}  {chord}" if sheet.plan.settings.north else chord,
        "tangent": tangent,
        "middle": show.length(shape.middle_m),
    }


def _closure(sheet: Sheet, ring: Ring) -> list[dict[str, str]]:
    show, closed = sheet.measures, ring.closure
    rows = [("perimeter", show.length(closed.perimeter_m))]
    if _called(ring):
        exact = not closed.precision
        rows += [
            ("misclosure", sheet("boundary.exact") if exact else _fine(sheet, closed.misclosure_m)),
            ("precision", sheet("boundary.exact") if exact else f"1:{closed.precision:,.0f}"),
            ("latitude", _fine(sheet, closed.latitude_error_m)),
            ("departure", _fine(sheet, closed.departure_error_m)),
        ]
    rows.append(("area", show.area(ring.area_m2)))
    areas = {reason.quantity: float(reason.value) for reason in sheet.plan.site.reasons if reason.unit == "m2"}
    for rule in ("compass", "transit"):
        if f"area by the {rule} rule" in areas:
            rows.append((f"area_{rule}", show.area(areas[f"area by the {rule} rule"])))
    return [{"what": sheet(f"boundary.{key}"), "value": value} for key, value in rows]


def _fine(sheet: Sheet, m: float) -> str:
    """A small length of the arithmetic: feet to the thousandth, metres to the millimetre."""
    metric = sheet.measures.style == "metric"
    value = round(m * 1000, 1) if metric else round(m / 0.3048, 3)
    value += 0.0  # a minus before nothing goes
    return f"{value:.1f} mm" if metric else f"{value:.3f} {sheet.term('ft')}"
