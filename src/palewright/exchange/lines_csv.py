"""Every post of the runs of wire as a table for a spreadsheet or a receiver: driven ones too, for the locate."""

from __future__ import annotations

import csv
import io

from palewright.exchange.tables_csv import safe_cell
from palewright.layout.line import NAMES, Role
from palewright.layout.line_posts import post_table
from palewright.layout.line_records import relaid
from palewright.model import Plan

__all__ = ["line_posts_csv"]


def line_posts_csv(plan: Plan) -> str:
    """Run, number along it, role, station, place, ground [m], length and depth of each post, and dug or driven.

    ``ground_m`` is empty where no height reaches.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(["run", "number", "role", "station_m", "along_m", "x_m", "y_m", "ground_m", "length_m", "depth_m",
                     "into_the_ground"])  # fmt: skip
    for line in plan.lines:
        table = post_table(relaid(line), line.rules, moves=line.moves)
        gaps = [(0.0, line.length_m)] if line.profile is None else [(u.from_m, u.to_m) for u in line.profile.unknown]
        unknown = [(a - (a <= 0.0), b + (b >= line.length_m)) for a, b in gaps]
        columns = [table[name].tolist() for name in table.dtype.names or ()]
        for k, (station, along, x, y, ground, length, depth, role) in enumerate(zip(*columns, strict=True), 1):
            how = "driven" if role == Role.STEEL else "dug"
            height = "" if any(a < station < b for a, b in unknown) else f"{ground:.3f}"
            numbers = [f"{value:.3f}" for value in (station, along, x, y)]
            row = [safe_cell(line.run), str(k), NAMES[role], *numbers, height, f"{length:.3f}", f"{depth:.3f}", how]
            writer.writerow(row)
    return out.getvalue()
