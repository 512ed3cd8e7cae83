"""The rules of a job applied to its finished design."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

from palewright.model import (
    Agreement,
    AgreementSpec,
    ArcSide,
    Design,
    Finding,
    Job,
    Kind,
    Permit,
    Reason,
    Remark,
    Rule,
    Setback,
    Site,
)
from palewright.permit.checks import Judge, easements_without_rule, judge_easement, judge_setback, judge_yards
from palewright.permit.fence import Fence
from palewright.permit.findings import ask
from palewright.permit.lot import Lot, candidates_of, front_choices, lot_of, streets_of
from palewright.permit.pool import judge_pool, judge_retaining
from palewright.permit.regions import strip
from palewright.permit.rule_keys import YARDS
from palewright.permit.sight import judge_sight, triangles_of
from palewright.plane import side_distance

if TYPE_CHECKING:
    from palewright.permit.fence import Heights

__all__ = ["judge"]

_BESIDE_M = 3.0
"""A fence that keeps within this of a side stands beside it, for an agreement about that side: our own choice [m]."""
_STALE_DAYS = 365
_MOST_REMARKS = 40


def judge(
    job: Job, site: Site, design: Design, kinds: Mapping[str, Kind], today: date, heights: Heights | None = None
) -> Permit | None:
    """The lot of a job and what its rules say of the design; None where the job says nothing of either.

    kinds
        by the name of the fence. today: a rule looked up more than a year before is called stale. heights: ground
        beside the fence, for rules that measure from there; None where nobody knows it.
    Raises JobError for an easement that cannot be.
    """
    if job.rules is None and not job.agreements and job.lot.at.line == 0 and not _typed(job):
        return None
    lot = lot_of(job, site)
    fence = Fence(design, kinds, job.lot.fences, heights)
    rules = job.rules.rules if job.rules is not None else ()
    findings = [
        replace(finding, number=number)
        for number, rule in enumerate(rules, 1)
        for finding in _judge(rule, job, fence, lot)
    ]
    findings += easements_without_rule(rules, fence, lot)
    stale = tuple(rule.name for rule in rules if date.fromisoformat(rule.checked) < today - timedelta(_STALE_DAYS))
    return Permit(
        today=today.isoformat(),
        rules=job.rules,
        streets=streets_of(lot),
        candidates=candidates_of(lot),
        drives=lot.drives,
        trees=lot.trees,
        easements=tuple(easement for easement, _ in lot.easements),
        setbacks=tuple(line for rule in rules for line in _setbacks(rule, lot)),
        triangles=tuple(
            each for rule in rules if rule.kind.endswith("sight") for each in triangles_of(rule, lot).triangles
        ),
        pools=tuple((name, water) for name, water, _ in lot.pools),
        walls=tuple(wall for wall, _ in lot.walls),
        findings=tuple(findings),
        agreements=tuple(_agreement(spec, fence, lot) for spec in job.agreements),
        stale=stale,
        remarks=_remarks(job, lot, findings, stale),
        reasons=tuple(reason for finding in findings if (reason := _reason(finding, rules)) is not None),
        drawn=site.ring is not None and (job.rules is not None or _typed(job)),
    )


def _typed(job: Job) -> bool:
    """Whether anything of the lot was typed."""
    lot = job.lot
    return bool(lot.streets or lot.drives or lot.trees or lot.easements or lot.pools or lot.walls or lot.front)


def _judge(rule: Rule, job: Job, fence: Fence, lot: Lot) -> list[Finding]:
    """One rule; where it is open which side is front, under every choice: what all of them meet is met."""
    measure = {"setback": f"{rule.word('of')}-to-side", "corner-sight": "sight", "drive-sight": "sight"}
    line = (("line", rule.word("line", "property line")),) if rule.kind == "setback" else ()
    if lot.ring is None and rule.kind not in ("pool", "retaining", "material"):
        return [ask(rule, measure.get(rule.kind, rule.kind), "no-boundary", args=line)]
    gates = {each.gate: each for each in job.lot.gates}
    judges: dict[str, Judge] = {
        "setback": judge_setback,
        "corner-sight": judge_sight,
        "drive-sight": judge_sight,
        "easement": judge_easement,
        "pool": functools.partial(judge_pool, gates=gates),
        "retaining": judge_retaining,
    }
    judged = judges.get(rule.kind, judge_yards)
    choices = front_choices(lot)
    if len(choices) == 1 or not {"front", "street side", "side", "rear"} & set(rule.names("yards")):
        return judged(rule, fence, lot, choices[0])
    made = [judged(rule, fence, lot, choice) for choice in choices]
    if all(finding.verdict == "meets" for findings in made for finding in findings):
        return _whichever(made)
    sides = ", ".join(str(number) for choice in choices for number in choice)
    return [ask(rule, measure.get(rule.kind, rule.kind), "front-not-said", args=(("sides", sides), *line))]


def _setbacks(rule: Rule, lot: Lot) -> list[Setback]:
    """The lines of a setback from the property line, drawn where it is known from which sides it counts."""
    choices, least = front_choices(lot), rule.length("least") or 0.0
    if rule.kind != "setback" or rule.word("line", "property line") != "property line" or least <= 0.0 or not lot.sides:
        return []
    if len(choices) > 1 and rule.names("yards"):
        return []
    wanted, made = rule.names("yards") or YARDS, []
    for number, yard in lot.yards(choices[0], 1.0).sides.items():
        if yard not in wanted and rule.names("yards"):
            continue
        try:
            ring = strip(lot.sides, number - 1, least)
        except ValueError:
            continue
        side = lot.sides[number - 1]
        inner = next(
            (
                edge
                for edge in ring[1:]
                if bool(edge.sweep) == bool(side.sweep) and _along(edge.a, edge.b, side.a, side.b)
            ),
            None,
        )
        if inner is not None:
            length = inner.radius * abs(inner.sweep)
            bow = ArcSide(inner.centre, inner.radius, inner.sweep, length) if inner.sweep else None
            made.append(Setback(rule.name, number, inner.a, inner.b, least, bow))
    return made


def _along(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float]) -> bool:
    """Whether a piece runs against a side."""
    return (b[0] - a[0]) * (d[0] - c[0]) + (b[1] - a[1]) * (d[1] - c[1]) < 0.0


def _agreement(spec: AgreementSpec, fence: Fence, lot: Lot) -> Agreement:
    """An agreement with the fence that stands beside its sides."""
    sides = [lot.sides[number - 1] for number in spec.sides if number <= len(lot.sides)]
    beside = [
        leg
        for leg in fence.design.legs
        if any(max(side_distance(p, side) for p in (leg.start, leg.end)) <= _BESIDE_M for side in sides)
    ]
    return Agreement(
        spec,
        tuple(dict.fromkeys(leg.run for leg in beside)),
        tuple(dict.fromkeys(leg.fence for leg in beside)),
        sum(leg.length_m for leg in beside),
        tuple(dict.fromkeys(leg.good_side for leg in beside)),
    )


def _whichever(made: list[list[Finding]]) -> list[Finding]:
    """Findings that hold whichever side is front: of each run the nearest to the limit, no yard named."""
    worst: dict[tuple[str, str, int], Finding] = {}
    for finding in (finding for findings in made for finding in findings):
        key = (finding.run, finding.measure, finding.side)
        other = worst.get(key)
        if other is None or _nearer(finding, other):
            worst[key] = finding
    rows = list(worst.values())
    if any(finding.measure != "none-there" for finding in rows):
        rows = [finding for finding in rows if finding.measure != "none-there"]
    return [
        replace(finding, yard="", part=(), posts=finding.posts if finding.side else (), bays=(),
                args=(*finding.args, ("whichever", "front")))
        for finding in rows
    ]  # fmt: skip


def _nearer(one: Finding, two: Finding) -> bool:
    """Whether the first of two findings that are met is nearer to its limit."""
    if not isinstance(one.provided, float) or not isinstance(two.provided, float):
        return False
    return one.provided < two.provided if one.bound == "least" else one.provided > two.provided


def _remarks(job: Job, lot: Lot, findings: list[Finding], stale: tuple[str, ...]) -> tuple[Remark, ...]:
    if job.rules is None and not findings:
        return ()
    remarks = [Remark("permit-desk-decides", "caution", "rules")]
    if candidates_of(lot):
        sides = ", ".join(str(number) for number in candidates_of(lot))
        remarks.append(Remark("permit-front-not-said", "ask", "lot", (("sides", sides),), job.lot.at))
    if stale:
        remarks.append(Remark("permit-rules-stale", "caution", "rules", (("rules", ", ".join(stale)),), job.rules_at))
    walls = dict.fromkeys(dict(each.args)["wall"] for each in findings if each.measure == "height-with-wall")
    remarks += [Remark("permit-near-wall", "caution", "rules", (("wall", wall),)) for wall in walls]
    said: set[tuple[str, str, str]] = set()
    for finding in findings:
        key = (finding.verdict, finding.rule, finding.ask)
        if finding.verdict == "meets" or key in said or len(said) >= _MOST_REMARKS:
            continue
        said.add(key)
        level, slug = ("ask", "permit-ask") if finding.verdict == "ask" else ("caution", "permit-not-met")
        args = tuple((name, word) for name, word in (("rule", finding.rule), ("clause", finding.clause)) if word)
        remarks.append(Remark(slug, level, f"rule {finding.rule}".strip(), args, job.rules_at))
    return tuple(remarks)


_FORMULAS = {
    "height": "highest part above level ground, in the yard in which it stands",
    "height-on-ground": "highest part of any bay or post above the ground, as the rule measures it",
    "gap-on-ground": "most room below any bay, anywhere in it",
    "barrier-on-ground": "least height of any bay above the ground, anywhere in it",
    "rails-at-step": "rails apart - step of the fence at the post",
    "sight": "height above level ground of what stands in the triangle",
    "easement": "posts whose holes reach into it",
    "openness": "gap / (board + gap), or as typed",
    "height-with-wall": "height of the fence, and of the wall where the rule counts it",
}


def _reason(finding: Finding, rules: tuple[Rule, ...]) -> Reason | None:
    """How the number of a finding came about; None where there is none."""
    rule = next((rule for rule in rules if rule.name == finding.rule), None)
    if rule is None or finding.provided is None:
        return None
    unit = finding.unit if finding.unit in ("m", "count") else ""
    where: list[tuple[str, float | int | str]] = [("run", finding.run)] if finding.run else []
    where += [("posts", " to ".join(dict.fromkeys(finding.posts[:1] + finding.posts[-1:])))] if finding.posts else []
    where += [("side", str(finding.side))] if finding.side else []
    where += [("yard", finding.yard)] if finding.yard else []
    where += [(name, value) for name, value in finding.args if name in ("ground", "at_m")]
    limit = [(f"at {finding.bound}" if finding.bound in ("least", "most") else "rule", finding.required)]
    inputs = (*where, *((name, value) for name, value in limit if value is not None), ("result", finding.verdict))
    formula = _FORMULAS.get(finding.measure, "least distance, or as the kind of fence or the job file says")
    return Reason(f"rule {rule.name}", finding.measure.replace("-", " "), finding.provided, unit, formula, inputs,
                  f"as typed: {rule.source}, {rule.clause}, checked {rule.checked}")  # fmt: skip
