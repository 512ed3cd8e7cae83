"""The permit plot plan: the lot with what lies on and round it, the fence, and the rules as typed. No survey."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from palewright.draw.board import NOTE_MM, Board
from palewright.draw.fence import Look, draw_fence, draw_posts, label_posts, mark_sides, outward
from palewright.draw.fonts import wrap
from palewright.draw.notes import Notes, plan_notes
from palewright.draw.plot_lot import draw_lot, name_lot, street_lines
from palewright.draw.plot_marks import building_distances, name_arcs, name_dimension, name_gate_short
from palewright.draw.scene import Scene
from palewright.draw.sheets import Draft, boards_for, closest, finish, occupy_heading, wanted
from palewright.draw.site import draw_site, name_site
from palewright.draw.table import Row
from palewright.draw.words import Words, short
from palewright.model import Finding, Permit, Plan

__all__ = ["plot_drafts", "plot_sheets"]

XY = tuple[float, float]

_MOST_ROWS = 14
_LINE_MM = 46.0
_ORDER = {"does-not": 0, "ask": 1, "meets": 2}
_VERDICT = {"does-not": "plot_fails", "ask": "plot_ask", "meets": "plot_meets"}


def plot_sheets(plan: Plan) -> list[Scene]:
    """The plot plan as one sheet; none where the job says nothing of its lot, or has no boundary."""
    words = Words(plan.settings)
    return finish(plot_drafts(plan, words), plan, words)


def plot_drafts(plan: Plan, words: Words) -> list[Draft]:
    """The plot plan as a draft."""
    permit = plan.permit
    if permit is None or not permit.drawn or plan.site.ring is None:
        return []
    shown = _shown(plan)
    notes = _notes(shown, words, permit)
    points = [*wanted(shown), *_extra(shown, permit)]
    choice, _ = closest(shown, notes, points, pad=15.0)
    board = boards_for(choice, notes)[0]
    occupy_heading(board, notes)
    draw_lot(board, shown, permit)
    draw_site(board, shown)
    draw_fence(board, shown, Look())
    draw_posts(board, shown, Look(true_size=True))
    mark_sides(board, shown)
    dimensions = building_distances(board, shown)
    label_posts(board, shown, only=_named_posts(shown, permit))
    name_arcs(board, plan, words)
    name_site(board, shown, words)
    for dimension in dimensions:
        name_dimension(board, dimension, words)
    for gate in shown.design.gates:
        name_gate_short(board, shown, gate, words)
    _name_fence(board, shown, words)
    _mark_findings(board, shown, permit, words)
    name_lot(board, shown, permit, words)
    alt = words("alt_plot", title=plan.settings.title, scale=choice.scale.words,
                length=words.length(sum(run.length_m for run in plan.design.runs)),
                gates=len(plan.design.gates))  # fmt: skip
    return [Draft(board, choice.layout, choice.scale, words("plot"), "plot", notes, alt, plan.settings.north)]


def _shown(plan: Plan) -> Plan:
    """The plan without what has no place here: zones of utilities, and the words of arcs, which are set in lines."""
    ring = plan.site.ring
    assert ring is not None
    courses = tuple(replace(course, text="") if course.arc is not None else course for course in ring.courses)
    return replace(plan, site=replace(plan.site, zones=(), ring=replace(ring, courses=courses)))


def _extra(plan: Plan, permit: Permit) -> Iterable[XY]:
    """World points of the lot's own things that should be on the sheet."""
    for each in permit.triangles:
        yield from each.ring
    for drive in permit.drives:
        yield from drive.points
    yield from (tree.xy for tree in permit.trees)
    for line in street_lines(plan, permit):
        yield from line.points


# ---------------------------------------------------------------- notes and table


def _notes(plan: Plan, words: Words, permit: Permit) -> Notes:
    rows = _rows(words, permit)
    notes = plan_notes(plan, words, "plan", _said(words, permit), table=rows)
    return replace(notes, key=tuple(_key(plan, permit, notes.key)))


def _said(words: Words, permit: Permit) -> Iterable[str]:
    book = permit.rules
    if permit.candidates:
        yield words("plot_front", sides=", ".join(str(number) for number in permit.candidates))
    if book is None:
        yield words("plot_no_rules")
    else:
        yield words("plot_desk", place=short(book.place), checked=book.checked)
    yield words("plot_lines_record")
    yield words("plot_distances")


def _key(plan: Plan, permit: Permit, base: tuple[str, ...]) -> Iterable[str]:
    kept = ("fence", "gate", "good", "boundary", "found", "record", "removal")
    yield from (name for name in base if name.startswith(kept))
    streets = permit.streets
    for name, there in (
        ("easement", permit.easements), ("setback", permit.setbacks), ("sight", permit.triangles),
        ("curb", [s for s in streets if s.curb_m is not None]),
        ("pavement", [s for s in streets if s.pavement_m is not None]), ("drive", permit.drives),
        ("tree", permit.trees), ("retaining", permit.walls),
    ):  # fmt: skip
        if there:
            yield name


def _rows(words: Words, permit: Permit) -> tuple[Row, ...]:
    """One row for each rule with the worst of its results, those that are not met first."""
    book = permit.rules
    if book is None:
        return ()
    judged = []
    for number, rule in enumerate(book.rules, 1):
        mine = [finding for finding in permit.findings if finding.rule == rule.name]
        worst = min(mine, key=lambda finding: _ORDER[finding.verdict], default=None)
        if worst is not None:
            judged.append((number, rule, worst))
    judged.sort(key=lambda row: (_ORDER[row[2].verdict] if len(judged) > _MOST_ROWS else 0, row[0]))
    rows = []
    for number, rule, worst in judged[:_MOST_ROWS]:
        lines = wrap(short(rule.name, 48), NOTE_MM, _LINE_MM - 16.0)
        for text in (short(rule.clause, 60), _numbers(words, worst)):
            lines += wrap(text, NOTE_MM, _LINE_MM) if text else []
        rows.append(Row(words("plot_rules"), str(number), tuple(lines), words(_VERDICT[worst.verdict])))
    if len(judged) > _MOST_ROWS:
        more = words("plot_more", count=len(judged) - _MOST_ROWS)
        rows.append(Row(words("plot_rules"), "+", tuple(wrap(more, NOTE_MM, _LINE_MM)), ""))
    return tuple(rows)


def _numbers(words: Words, finding: Finding) -> str:
    """What there is and what is asked for, where both are lengths or shares."""
    key = {"least": "plot_least", "most": "plot_most"}.get(finding.bound)
    if key is None or not isinstance(finding.required, float):
        return ""
    shown = [
        "?" if not isinstance(value, float) else f"{value:.0%}" if finding.unit == "share" else words.length(value)
        for value in (finding.provided, finding.required)
    ]
    return words(key, is_=shown[0], limit=shown[1])


# ---------------------------------------------------------------- the fence and the rules on the drawing


def _named_posts(plan: Plan, permit: Permit) -> set[str]:
    """Posts that the rules page speaks of: ends of stretches and corners of runs."""
    named = {post.label for post in plan.design.posts if post.role in ("end", "corner", "tee") and post.number}
    for finding in permit.findings:
        named |= {*finding.posts[:1], *finding.posts[-1:]}
    return named


_FAMILIES = {
    "boards": "plot_boards",
    "panels": "plot_panels",
    "post and rail": "plot_rails",
    "chain link": "plot_mesh",
}


def _name_fence(board: Board, plan: Plan, words: Words) -> None:
    """Kind, height and length of each run inside its longest leg with room, else on a leader."""
    kinds = {kind.name: kind for kind in plan.kinds}
    for run in plan.design.runs:
        kind = kinds[run.fence]
        what = words(_FAMILIES[kind.family]) if kind.family in _FAMILIES else kind.family
        lines = [
            words("plot_fence", run=short(run.name, 24), kind=what),
            words("plot_height", height=words.length(kind.height_m), length=words.length(run.length_m)),
        ]
        half, rise = board.block(lines, 3.0, "bold")
        spots: list[tuple[XY, float]] = []
        legs = sorted((plan.design.legs[k] for k in run.legs), key=lambda leg: -leg.length_m)
        for n, leg in enumerate(legs[:3]):
            out = outward(leg)
            a, b = board.at(leg.start), board.at(leg.end)
            o, q = board.view.to_page((0.0, 0.0)), board.view.to_page(out)
            size = math.dist(o, q)
            c, s = (o[0] - q[0]) / size, (o[1] - q[1]) / size
            for share in (0.5, 0.35, 0.65, 0.25, 0.75):
                for m, away in enumerate((2.5, 6.0, 10.0, 15.0)):
                    reach = away + half * abs(c) + rise * abs(s)
                    x, y = a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share
                    spots.append(((x + c * reach, y + s * reach), 3.0 * n + 2.0 * m + abs(share - 0.5)))
        spots.sort(key=lambda spot: spot[1])
        mid = board.at(((legs[0].start[0] + legs[0].end[0]) / 2, (legs[0].start[1] + legs[0].end[1]) / 2))
        board.label(lines, mid, spots, 3.0, "bold", "run", 0.8, id=run.name)


def _mark_findings(board: Board, plan: Plan, permit: Permit, words: Words) -> None:
    """The number of a rule beside the stretch that does not meet it."""
    numbers = {rule.name: k for k, rule in enumerate(permit.rules.rules, 1)} if permit.rules is not None else {}
    posts = {post.label: post.xy for post in plan.design.posts}
    for finding in permit.findings:
        ends = [posts[label] for label in (*finding.posts[:1], *finding.posts[-1:]) if label in posts]
        if finding.verdict != "does-not" or not ends:
            continue
        middle = board.at((sum(p[0] for p in ends) / len(ends), sum(p[1] for p in ends) / len(ends)))
        text = words("plot_rule_at", number=numbers.get(finding.rule, "?"))
        half, rise = board.block([text], NOTE_MM, "bold")
        spots = [
            ((middle[0] + math.cos(t) * (half + r), middle[1] + math.sin(t) * (rise + r)), r / 4)
            for r in (2.5, 5.0, 8.0)
            for t in (math.pi / 2, -math.pi / 2, 0.0, math.pi, math.pi / 4, -math.pi / 4)
        ]
        board.label([text], middle, spots, weight="bold", role="rule", pad=0.8)
