"""Jobs that tests of the drawing table work on."""

from __future__ import annotations

ROWS = """\
palewright: 1
job: {title: Rows of fence}   # each row a corner; some near each other

points:
POINTS
  house left: {at: [10 ft, -30 ft]}

buildings:
  shed: [[20 ft, -20 ft], [32 ft, -20 ft], [32 ft, -12 ft], [20 ft, -12 ft]]

fences:
  privacy: {kind: boards, board: 6 ft, longest bay: 8 ft, good side: neighbour}
  mesh: {kind: chain-link}

runs:
RUNS

clear of:
  - {name: gas service, through: [[46 ft, -40 ft], [48 ft, 300 ft]], width: 1 in, each side: 24 in, inside it: hand dig,
     utility: gas}
  - {name: oak, at: [60 ft, 20 ft], each side: 4 ft, inside it: no hole}

site: {frost: 30 in}
"""


def rows(count: int, apart_ft: float = 40.0) -> str:
    """Rows of fence, each an L of 100 and 30 ft; every third has a gate, every fifth is of mesh."""
    points, runs = [], []
    for k in range(count):
        y = k * apart_ft
        points += [
            f"  A{k}: {{at: [0 ft, {y:g} ft]}}",
            f"  B{k}: {{at: [100 ft, {y + 3:g} ft]}}",
            f"  C{k}: {{at: [104 ft, {y + 30:g} ft]}}",
        ]
        runs += [
            f"  - name: row {k}",
            f"    fence: {'mesh' if k % 5 == 4 else 'privacy'}",
            f"    through: [A{k}, B{k}, C{k}]",
            "    yard: left",
            "    follows: racked",
        ]
        if k % 3 == 0:
            runs.append(
                f"    gates: [{{name: gate {k}, opening: 4 ft, starts: 22 ft from A{k}, hinges: near A{k}, swings: out}}]"
            )
    return ROWS.replace("POINTS", "\n".join(points)).replace("RUNS", "\n".join(runs))


SAW = """palewright: 1
job: {title: Saw}
points:
POINTS
fences:
  field: {kind: post-and-rail, longest bay: 8 ft, rails: 3}
runs:
  - name: saw
    fence: field
    through: [NAMES]
    yard: left
    gates: [{name: far, opening: 4 ft, starts: 10 ft from P9, hinges: near P9}]
APART
clear of:
  - {name: rock, through: [[30 ft, 12 ft], [31 ft, 12 ft]], width: 2 ft, each side: 6 in, inside it: no hole}
"""


def saw(alone: bool) -> str:
    """A run of eleven legs to and fro with a rock between two of them; not alone: and a run far away."""
    points = "\n".join(f"  P{k}: {{at: [{25 * k} ft, {20 * (k % 2)} ft]}}" for k in range(12))
    apart = "" if alone else "  - {name: apart, fence: field, through: [[900 ft, 0 ft], [940 ft, 0 ft]], yard: left}"
    names = ", ".join(f"P{k}" for k in range(12))
    return SAW.replace("POINTS", points).replace("NAMES", names).replace("APART", apart)
