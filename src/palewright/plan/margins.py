"""Run by run, side by side: where measuring error most easily puts a fence over the line, and the inset for a risk."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from palewright.model import Design, InsetSpec, Job, LineDistance, SideMargin
from palewright.survey import inset_for_risk

__all__ = ["side_margins"]


def side_margins(
    job: Job, design: Design, distances: Sequence[LineDistance], risk: float | None
) -> tuple[SideMargin, ...]:
    """For each run and side: one margin above the ground (face or post, whichever is nearer the line) and one of the
    footings, each at the post that is most easily put over the line.

    risk
        chance that the person accepts, or None. Needed distance: z sigma, z the point of the normal distribution that
        is passed with that chance. The least inset moves the whole run along until no post needs more.
    """
    asked = {spec.name: spec.inset for spec in job.runs}
    groups: dict[tuple[str, int], list[LineDistance]] = {}
    for row in distances:
        groups.setdefault((row.run, row.side), []).append(row)
    order = {run.name: k for k, run in enumerate(design.runs)}
    rows: list[SideMargin] = []
    for (run, side), group in sorted(groups.items(), key=lambda item: (order[item[0][0]], item[0][1])):
        rows += _margins(run, side, group, asked.get(run), risk)
    return tuple(rows)


def _margins(
    run: str, side: int, group: list[LineDistance], inset: InsetSpec | None, risk: float | None
) -> Iterator[SideMargin]:
    known = [row for row in group if not row.why]
    least = None
    if risk is not None and inset is not None and known:
        short = max(_short(row, of, risk) for row in known for of in ("face", "post", "footing"))
        least = max(0.0, inset.distance_m + short)
    asked, asked_of = (inset.distance_m, inset.of) if inset is not None else (None, "")
    for footing in (False, True):
        cells = [(row, "footing" if footing else _upper(row)) for row in known or group]
        row, of = max(cells, key=lambda cell: _worst(cell[0], cell[1], risk))
        far, sigma = _distance(row, of), _sigma(row, of)
        chance = dict(row.chance).get(of)
        needed = inset_for_risk(risk, sigma) if risk is not None and sigma is not None else None
        yield SideMargin(run, side, of, row.post, far, sigma, chance, needed, asked, asked_of, least, row.why)


def _upper(row: LineDistance) -> str:
    return "face" if row.face_m <= row.post_m else "post"


def _distance(row: LineDistance, of: str) -> float:
    return {"face": row.face_m, "post": row.post_m, "footing": row.footing_m}[of]


def _sigma(row: LineDistance, of: str) -> float | None:
    return row.footing_sigma_m if of == "footing" else row.sigma_m


def _short(row: LineDistance, of: str, risk: float) -> float:
    """How much more distance it needs [m]; minus: how much it could give away."""
    return inset_for_risk(risk, _sigma(row, of) or 0.0) - _distance(row, of)


def _worst(row: LineDistance, of: str, risk: float | None) -> tuple[float, float]:
    """Larger is worse; without a standard deviation the nearest counts."""
    far, sigma = _distance(row, of), _sigma(row, of)
    if sigma is None:
        return -far, 0.0
    return (_short(row, of, risk) if risk is not None else -far / sigma), -far
