"""Spots and files of ground as surfaces."""

from __future__ import annotations

from dataclasses import replace

from palewright.errors import ProblemError, Where
from palewright.ground import Floats, Grid, Surface, tin
from palewright.model import Remark, Terrain
from palewright.plan.ground_datum import height_sigma

__all__ = ["file_surface", "spot_surface"]


def spot_surface(spots: Floats, at: Where) -> tuple[Surface | None, list[Remark]]:
    """Triangles over spots; None where there are too few, or all on a line."""
    try:
        return tin(spots[:, :3], spots[:, 3]), []
    except ProblemError as error:
        if error.problems[0].slug not in ("spots-too-few", "spots-on-a-line"):
            raise _placed(error, at) from error
        slug = error.problems[0].slug
        return None, [Remark(slug, "note", "heights", (("count", len(spots)),))] if len(spots) else []


def file_surface(terrain: Terrain) -> Surface:
    """A file of ground as a surface, as good as the person says, or as a contour map."""
    spec = terrain.spec
    sigma = height_sigma(spec.how or "contour map", spec.within, 0.0, spec.at)
    try:
        if spec.kind == "grid":
            assert terrain.affine is not None
            return Grid(terrain.values, terrain.affine, sigma, terrain.to_plane)
        return tin(terrain.points, sigma, terrain.faces, "surface")
    except ProblemError as error:
        raise _placed(error, replace(spec.at, thing=spec.file)) from error


def _placed(error: ProblemError, where: Where) -> ProblemError:
    """The problem at the place in the job that names what is wrong."""
    return ProblemError(*(replace(p, where=p.where if p.where.line else where) for p in error.problems))
