"""What must be said of a legal description that was read: the area that it calls for, and whether it comes back."""

from __future__ import annotations

from palewright.model import DeedProse, Remark

__all__ = ["prose_remarks"]


def prose_remarks(prose: DeedProse, area_m2: float) -> list[Remark]:
    """Remarks on a description whose calls enclose an area [m2].

    An area that is called agrees when it is the computed one to half a unit of its last digit. Area is the last of the
    calls in weight, and an area that differs is told and never used.

    >>> from palewright.model import CalledArea
    >>> area = CalledArea("0.14 of an acre", 566.56, 20.23, True)
    >>> [remark.slug for remark in prose_remarks(DeedProse((), areas=(area,)), 565.21)]
    ['area-called-agrees']
    """
    made = []
    for area in prose.areas:
        off = area_m2 - area.m2
        args = (("text", area.text), ("computed_m2", area_m2))
        if abs(off) <= area.within_m2 * (1.0 + 1e-9):
            made.append(Remark("area-called-agrees", "note", "boundary", args))
        else:
            share = ("percent", f"{100.0 * abs(off) / area.m2:.2g}")
            slug = "area-called-smaller" if off > 0.0 else "area-called-larger"
            made.append(Remark(slug, "caution", "boundary", (*args, share)))
    if not prose.comes_back:
        made.append(Remark("deed-not-coming-back", "caution", "boundary"))
    return made
