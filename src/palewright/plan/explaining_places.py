"""What is said of corners of the boundary and of points: the pin, the sides that meet there, where they stand."""

from __future__ import annotations

from palewright.model import Corner, Plan, Reason, SitePoint

__all__ = ["other_name", "place_names", "place_reasons"]

_SORTS = ("corner", "point")


def place_names(plan: Plan) -> list[str]:
    """Corners of the boundary, and points that are none, as :func:`palewright.plan.explain` names them."""
    corners = {corner.name: "corner" for corner in plan.site.ring.corners} if plan.site.ring else {}
    names = corners | {point.name: "point" for point in plan.site.points if point.name not in corners}
    return [f"{sort} {name.removeprefix(f'{sort} ')}" for name, sort in names.items()]


def other_name(name: str) -> str:
    """The other name of a place: "point NE" for "corner NE"; "" for what is no place.

    >>> other_name("corner NE"), other_name("post 7")
    ('point NE', '')
    """
    sort, _, label = name.partition(" ")
    return f"{_SORTS[1 - _SORTS.index(sort)]} {label}" if sort in _SORTS and label else ""


def place_reasons(plan: Plan, name: str) -> tuple[Reason, ...]:
    """What the records themselves say of a corner or a point; nothing where the plan has none of this name."""
    label, ring = name.partition(" ")[2] if other_name(name) else "", plan.site.ring
    corner = next((one for one in ring.corners if one.name in (label, name)), None) if ring is not None else None
    if corner is not None:
        return _corner(plan, name, corner)
    point = next((one for one in plan.site.points if one.name == label), None)
    return (_point(name, point),) if point is not None else ()


def _corner(plan: Plan, name: str, corner: Corner) -> tuple[Reason, ...]:
    assert plan.site.ring is not None
    why = (("why", ", ".join(corner.weak)),) if corner.weak else ()
    counts = "it holds a line where it is described, like the record, and at the corner itself"
    found = [Reason(name, "pin", corner.found or "none found", "", counts, why, "as typed")]
    for side in plan.site.ring.courses:
        if corner.name in (side.start, side.end):
            source = "as typed" if side.text else "geometry"
            said = f"called: {side.text}" if side.text else f"from {side.start} to {side.end}, both by their places"
            found.append(Reason(name, f"side {side.number}", side.length_m, "m", said, (), source))
    return tuple(found)


def _point(name: str, point: SitePoint) -> Reason:
    x, y = point.xy
    source = "as typed" if point.how == "coordinates" else "geometry"
    formula = "x along the first axis of the job, y to the left of it, from where both are 0"
    return Reason(name, "place by", point.how, "", formula, (("x_m", x), ("y_m", y)), source)
