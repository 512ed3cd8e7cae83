"""What a command prints at its end: length, posts, gates, cautions, open questions; reasons in words."""

from __future__ import annotations

import json
from dataclasses import asdict, replace

from palewright.model import Permit, Plan, Reason, Remark, RuleBook, Settings
from palewright.notation import show_area, show_length, show_money
from palewright.papers.measures import Measures
from palewright.papers.words import has, say, term, text
from palewright.sources import all_sources

__all__ = ["cautions", "open_points", "reason_json", "reason_text", "summary"]


def _english(settings: Settings) -> Settings:
    """The command line speaks English; the papers speak the job's language."""
    return replace(settings, language="en")


def summary(plan: Plan, at_most: bool = False) -> str:
    """The plan in a few lines; ``at_most``: its material was not searched for the best way to cut it."""
    design, settings = plan.design, plan.settings
    dug = {post.label for post in design.posts if post.hole is not None}
    lines = [settings.title]
    for run in design.runs:
        whole = show_length(run.length_m, settings.print_style, settings.fraction)
        posts = {label for leg in run.legs for label in design.legs[leg].posts if label in dug}
        count = sum(gate.run == run.name for gate in design.gates)
        lines.append(f"  run {run.name}: {whole}, {len(posts)} posts, {count} gate{'s' if count != 1 else ''}")
    for line in plan.lines:
        whole = show_length(line.length_m, settings.print_style, settings.fraction)
        gates = f"{len(line.gates)} gate{'s' if len(line.gates) != 1 else ''}"
        stands = f"{line.holes} posts in holes, {line.count('steel')} driven"
        lines.append(f"  run {line.run}: {whole} of wire, {line.count('bay')} bays, {stands}, {gates}")
    if design.runs:
        lines += _in_all(plan)
    elif not plan.lines:
        lines.append("  nothing to lay out yet: the job has no runs")
    if plan.site.ring is not None:
        closure, status = plan.site.ring.closure, plan.site.ring.status
        precision = f"closure 1:{closure.precision:,.0f}, " if closure.precision else ""
        area = show_area(plan.site.ring.area_m2, settings.print_style)
        located = "line located" if status.located else "line not located"
        more = f", {status.more} more not described or not matching the record" if status.more else ""
        found = f"{status.found} of {status.total} corners found{more}"
        lines.append(f"  boundary: {precision}area {area}, {located}: {found}")
    if plan.permit is not None and plan.permit.rules is not None:
        lines.append(_rules(plan.permit, plan.permit.rules))
    if plan.takeoff.total is not None:
        most = "at most " if at_most else ""
        lines.append(f"  material: {most}{show_money(plan.takeoff.total, plan.takeoff.currency, settings.language)}")
    return "\n".join(lines)


def _rules(permit: Permit, book: RuleBook) -> str:
    """How many results meet the rules as typed."""
    verdicts = [finding.verdict for finding in permit.findings]
    counts = [verdicts.count(verdict) for verdict in ("meets", "does-not", "ask")]
    said = f"{counts[0]} meet, {counts[1]} do not, {counts[2]} to ask"
    return f"  rules as typed ({book.place}, looked up {book.checked}): {said}; the building office decides"


def _in_all(plan: Plan) -> list[str]:
    design, settings = plan.design, plan.settings
    holes = sum(post.hole is not None for post in design.posts)
    brackets = len(design.posts) - holes
    total = show_length(sum(run.length_m for run in design.runs), settings.print_style, settings.fraction)
    walls = f" and {brackets} wall bracket{'s' if brackets != 1 else ''}" if brackets else ""
    gates = f"{len(design.gates)} gate{'s' if len(design.gates) != 1 else ''}"
    lines = [f"  in all: {total}, {holes} posts in holes{walls}, {gates}"]
    hand = sum(post.hole is not None and post.hole.hand_dig for post in design.posts)
    if hand:
        lines.append(f"  {hand} hole{'s' if hand != 1 else ''} to be dug by hand")
    return lines


def cautions(plan: Plan) -> list[str]:
    """Assumptions, cautions and open questions that can hurt."""
    settings = _english(plan.settings)
    return [f"  {_mark(remark)} {say(remark, settings)}" for remark in plan.remarks if remark.level != "note"]


def open_points(plan: Plan) -> list[str]:
    """Everything said of the plan, notes too, and the keys typed as ask."""
    lines = [f"  {_mark(remark)} {say(remark, _english(plan.settings))}" for remark in plan.remarks]
    lines += [f"  [ask] line {at.line}: {at.path} is not known yet" for at in plan.asks]
    return lines


def _mark(remark: Remark) -> str:
    return f"[{remark.level}]"


def reason_text(reason: Reason, settings: Settings) -> str:
    """One reason: quantity, value, formula, inputs, source."""
    inputs = ", ".join(_input(name, value, reason.unit, settings) for name, value in reason.inputs)
    lines = [f"{reason.about}: {reason.quantity} = {_value(reason.value, reason.unit, settings)}"]
    lines.append(f"    {reason.formula}")
    if inputs:
        lines.append(f"    with {inputs}")
    lines.append(f"    source: {_source(reason.source)}")
    return "\n".join(lines)


_UNITS = ("m", "m2", "m3", "kg", "rad")
_PURE = ("part", "waste", "bulking")
_NOISE = 1e-9


def _input(name: str, value: float | int | str, unit: str, settings: Settings) -> str:
    """One input; the ending of its name gives a unit of its own."""
    if name in _PURE:
        return f"{name} {value:g}"
    if name == "stopped by" and has(f"stop.{value}"):
        return f"{name} {text(f'stop.{value}')}"
    if name == "why" and isinstance(value, str):
        return f"{name}: {value.replace('-', ' ')}"
    bare, _, ending = name.rpartition("_")
    return (
        f"{bare} {_value(value, ending, settings)}" if ending in _UNITS else f"{name} {_value(value, unit, settings)}"
    )


def _value(value: float | int | str, unit: str, settings: Settings) -> str:
    measures = Measures.of(settings)
    if isinstance(value, str):
        keys = (f"binding.{value}", f"decisions.why_{value.replace('-', '_')}")
        return next((text(key) for key in keys if has(key)), None) or term(value, "en")
    if isinstance(value, int):
        return f"{value:,}"
    if unit == "m":
        shown = measures.length(value)
        return f"under {measures.tolerance(0.0)}" if abs(value) > _NOISE and shown == measures.length(0.0) else shown
    show = {"m2": measures.area, "m3": measures.volume, "kg": measures.mass, "rad": measures.angle}.get(unit)
    return show(value) if show is not None else f"{value:,.6g}"


def _source(key: str) -> str:
    """A source by the title of its document, with the key under which the ledger has it."""
    ledger = all_sources()
    titles = (ledger[one].title if one in ledger else one for one in key.split("; "))
    return "; ".join(
        title if title == one else f"{title} [{one}]" for title, one in zip(titles, key.split("; "), strict=True)
    )


def reason_json(reasons: tuple[Reason, ...]) -> str:
    """Reasons as one JSON list, numbers SI."""
    return json.dumps([asdict(reason) for reason in reasons], ensure_ascii=False, indent=1)
