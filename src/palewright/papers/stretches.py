"""The stretch sheet of a run of wire as data: rules, braced assemblies, stretches of equal bays, running stations."""

from __future__ import annotations

import itertools
import math
from typing import Any

from palewright.model import (
    Assembly,
    LineCurve,
    LineGate,
    LineLeg,
    LinePlan,
    Plan,
    PostMove,
    Remark,
    Running,
    Stretch,
    WireRule,
)
from palewright.notation import show_inches
from palewright.papers.clean import short
from palewright.papers.digs import dig_rows
from palewright.papers.sheet import Sheet
from palewright.papers.stock import size_words
from palewright.papers.words import say, table, whose

__all__ = ["running_station", "stretches_data"]

_SHOWN = (
    "longest bay", "longest pull", "brace", "stiff over", "anchor over", "corner from", "curve turn", "wood every",
    "post pulled", "post gate", "post brace", "post line", "post steel", "stays", "mesh", "strands", "heights",
    "top least", "set first", "depth line", "depth steel", "depth pulled", "span", "rail below top", "dip", "tie",
    "splice",
)  # fmt: skip
_TERMS = {"tie": "tie-off"}
_STOPS = {"line-posts-in-zone": "stretches.stop_zone", "line-posts-hand-dig": "stretches.stop_hand"}
_MOST_SIGHTS = 6
_ROLES = ("end", "corner", "anchor", "gate", "pull", "brace", "stiff", "low", "high")


def stretches_data(plan: Plan) -> dict[str, Any]:
    """Everything that the stretch sheet prints, as plain data."""
    sheet = Sheet.of(plan)
    return sheet.head("stretches.document") | {
        "w": table("stretches", sheet.language),
        "notes": list(plan.settings.notes),
        "miles_head": sheet("stretches.kilometres" if sheet.measures.style == "metric" else "stretches.miles"),
        "cautions": [sheet(f"stretches.caution_{name}") for name in ("locate", "wire", "stretch", "agency")],
        "lines": [_line(sheet, line) for line in plan.lines],
    }


def _line(sheet: Sheet, line: LinePlan) -> dict[str, Any]:
    show = sheet.measures
    holes, driven, slope = line.holes, line.count("steel"), line.profile is not None
    facts = [
        *((("level", line.length_m), ("slope", line.along_m), ("wire_slope", line.wire_m)) if slope
          else (("length", line.length_m), ("wire", line.wire_m))),
    ]  # fmt: skip
    counts = (("bays", line.count("bay")), ("holes", holes), ("driven", driven), ("rails", line.count("rail")))
    shown = [*((name, show.length(value)) for name, value in facts), *((name, f"{n:,}") for name, n in counts)]
    return {
        "run": short(line.run, 60),
        "kind": sheet.term(line.rules.kind),
        "facts": [{"what": sheet(f"stretches.fact_{name}"), "value": value} for name, value in shown],
        "stop": _stop(sheet, line),
        "wires": _strands(sheet, line),
        "side": _side(sheet, line),
        "ground": sheet("stretches.on_ground" if slope else "stretches.on_level"),
        "off_ground": [_off_ground(sheet, remark) for remark in line.remarks if remark.slug == "line-ground-unknown"],
        "col_length": sheet("stretches.col_slope" if slope else "stretches.col_length"),
        "labels": _labels(sheet, line),
        "fixed": _fixed(sheet, line),
        "order": [sheet(f"stretches.order_{k}") for k in range(1, 6)],
        "sights": _sights(sheet, line),
        "assemblies": [_assembly(sheet, one) for one in line.assemblies],
        "braces": _braces(sheet, line),
        "gates": [_gate(sheet, gate) for gate in line.gates],
        "stretches": [_stretch(sheet, one, _known(line, one)) for one in line.stretches],
        "curves": [_curve(sheet, one) for one in line.curves],
        "moved": [_moved(sheet, line, move) for move in line.moves],
        "digs_total": sheet("stretches.digs_total", holes=f"{holes:,}", driven=f"{driven:,}"),
        "digs": dig_rows(sheet, line),
        "rolls": _rolls(sheet, line),
        "miles": _miles(sheet, line),
        "rules": [_rule(sheet, rule) for key in _SHOWN if (rule := line.rules.rule(key)) is not None],
        "documents": ", ".join(line.rules.documents) or sheet("stretches.no_documents"),
        "silent": ", ".join(sheet.term(key) for key in line.rules.silent),
    }


def _stop(sheet: Sheet, line: LinePlan) -> list[str]:
    """Posts that stand where nothing may go into the ground, or where it is opened by hand only."""
    said = [say(one, sheet.plan.settings) for one in sheet.plan.locate.remarks if one.slug == "locate-expired"]
    for remark in line.remarks:
        if remark.slug in _STOPS:
            args = dict(remark.args)
            said.append(sheet(_STOPS[remark.slug], zone=short(str(args["zone"]), 60), posts=args["posts"]))
    return said


def _strands(sheet: Sheet, line: LinePlan) -> str:
    """What wires there are and how high above the ground each stands, or that nobody said it."""
    rules, show = line.rules, sheet.measures
    mesh, strands, heights = rules.number("mesh"), int(rules.number("strands")), rules.rule("heights")
    said = [sheet("stretches.wires_mesh", mesh=show.inches(mesh))] if mesh else []
    said += [sheet(f"stretches.wires_strand{'' if strands == 1 else 's'}", count=strands)] if strands else []
    if heights is not None and heights.row:
        said.append(sheet("stretches.wires_heights", heights=", ".join(show.inches(one) for one in heights.row)))
    elif strands:
        said.append(sheet("stretches.wires_ask"))
    return "; ".join(said)


def _side(sheet: Sheet, line: LinePlan) -> str:
    side = line.rules.wire_side
    return sheet("stretches.side", side=short(sheet.term(side), 80)) if side else sheet("stretches.side_ask")


def running_station(sheet: Sheet, metres: float, coarse: bool = False) -> str:
    """A running station: 9+00 (hundreds of feet), or kilometres and metres; between two of them the rest as well.

    Where the job prints feet and inches the rest is told in them, as its tape is marked: 5+99' 8". ``coarse``: to the
    nearest foot or metre.
    """
    metric = sheet.measures.style == "metric"
    whole, unit, digits = (1000, 1.0, 3) if metric else (100, 0.3048, 2)
    if coarse:
        metres = round(metres / unit) * unit
    if sheet.measures.style == "feet-inches":
        eighths = round(metres / 0.0254 * 8.0)
        hundreds, rest = divmod(eighths, whole * 96)
        feet, inches = divmod(rest, 96)
        return f"{hundreds}+{feet:02d}" + (f"' {show_inches(inches / 8.0 * 0.0254)}" if inches else "")
    hundreds, rest = divmod(round(metres / unit * 100.0), whole * 100)
    return f"{hundreds}+{rest / 100.0:0{digits + 3}.2f}".removesuffix(".00")


def _assembly(sheet: Sheet, one: Assembly) -> dict[str, Any]:
    what = sheet(f"stretches.role_{one.role}")
    if abs(one.turn) > 1e-6:
        inside = sheet.measures.angle(math.pi - abs(one.turn))
        what = sheet(f"stretches.angle_{'left' if one.turn > 0.0 else 'right'}", what=what, angle=inside)
    brace = sheet(f"stretches.brace_{one.brace}")
    return {
        "label": one.label,
        "at": running_station(sheet, one.station_m),
        "what": what,
        "brace": brace,
        "posts": [f"{post.label} {running_station(sheet, post.station_m)}" for post in one.posts],
        "rails": str(one.rails) if one.rails else "",
        "wires": _wires(sheet, one),
    }


def _labels(sheet: Sheet, line: LinePlan) -> str:
    """What each letter of a label means, of those that are used."""
    posts = [post for one in line.assemblies for post in one.posts]
    roles = {post.role for post in (*posts, *line.fixed)}
    return "; ".join(sheet(f"stretches.label_{role}") for role in _ROLES if role in roles)


def _braces(sheet: Sheet, line: LinePlan) -> list[dict[str, str]]:
    """How many assemblies of each sort there are, and the rule that asks for them with its source."""
    rows = []
    for role, key in (("end", ""), ("corner", "corner from"), ("anchor", "anchor over"), ("gate", ""),
                      ("pull", "longest pull")):  # fmt: skip
        count = sum(one.role == role for one in line.assemblies)
        if count:
            rows.append(_asked(sheet, line, count, sheet(f"stretches.role_{role}"), key or f"stretches.asked_{role}"))
    for brace in ("single", "double", "strut", "none"):
        count = sum(one.brace == brace for one in line.assemblies)
        if count:
            rows.append(_asked(sheet, line, count, sheet(f"stretches.brace_{brace}"), "brace"))
    double = line.rules.rule("double over")
    if double is not None and line.rules.word("brace") == "by pull":
        said = _rule(sheet, double)
        rows.append(said | {"count": "", "what": "", "rule": said["what"]})
    return rows


def _asked(sheet: Sheet, line: LinePlan, count: int, what: str, key: str) -> dict[str, str]:
    rule = line.rules.rule(key)
    asked = {"what": sheet(key), "value": "", "source": ""} if rule is None else _rule(sheet, rule)
    return {
        "rule": asked["what"],
        "value": asked["value"],
        "source": asked["source"],
        "count": f"{count:,}",
        "what": what,
    }


def _fixed(sheet: Sheet, line: LinePlan) -> list[dict[str, Any]]:
    """Posts that stand first within stretches, role by role: what to do, and where each stands."""
    depths = {dig.label: dig.depth_m for dig in sheet.plan.locate.digs if dig.run == line.run}
    made = []
    for role in ("low", "high", "stiff"):
        posts = [post for post in line.fixed if post.role == role]
        if posts:
            what = sheet(f"stretches.do_{role}", depth=sheet.measures.length(depths[posts[0].label]))
            at = [{"label": post.label, "at": running_station(sheet, post.station_m)} for post in posts]
            made.append({"what": what, "posts": at})
    return made


def _wires(sheet: Sheet, one: Assembly) -> str:
    both = {(head, foot) for foot, head in one.diagonals} == set(one.diagonals)
    if both and one.diagonals:
        return sheet("stretches.both_ways")
    return "; ".join(sheet("stretches.foot_head", foot=foot, head=head) for foot, head in one.diagonals)


def _gate(sheet: Sheet, gate: LineGate) -> str:
    args = {
        "name": short(gate.name, 40),
        "opening": sheet.measures.length(gate.opening_m),
        "first": gate.posts[0],
        "last": gate.posts[1],
    }
    key = (gate.what or ("gate_pair" if gate.leaves == 2 else "gate")).replace(" ", "_")
    swing = f" {sheet(f'crew.gate_swing_{gate.swings}')}" if gate.swings and not gate.what else ""
    return sheet(f"stretches.{key}", **args) + swing


def _off_ground(sheet: Sheet, remark: Remark) -> str:
    """Which stretches lie on ground that no height reaches."""
    args: dict[str, Any] = dict(remark.args)
    key = "off_stretch" if args["count"] == 1 else "off_stretches"
    stretches = sheet(f"stretches.{key}", first=args["first"], last=args["last"])
    ends = {"start": running_station(sheet, args["from_m"]), "end": running_station(sheet, args["to_m"])}
    return sheet("stretches.off_ground", stretches=stretches, **ends)


def _known(line: LinePlan, one: Stretch) -> bool:
    """Whether the ground of a stretch is known, or none at all: then the sheet says so above."""
    gaps = line.profile.unknown if line.profile is not None else ()
    return not any(gap.from_m < one.to_m and gap.to_m > one.from_m for gap in gaps)


def _stretch(sheet: Sheet, one: Stretch, known: bool) -> dict[str, Any]:
    show = sheet.measures
    start = sheet(f"stretches.from_{'brace' if one.start.startswith('B') else 'post'}", label=one.start)
    key = "stretches.bays" if one.bays > 1 else "stretches.one_bay"
    return {
        "number": str(one.number),
        "text": f"{start}, {sheet(key, bays=one.bays, length=show.length(one.spacing_m))}",
        "end": sheet("stretches.to", label=one.end),
        "length": show.length(one.along_m),
        "unknown": "" if known else sheet("stretches.ground_unknown"),
        "from": running_station(sheet, one.from_m),
        "posts": _posts(sheet, one),
        "running": "; ".join(_running(sheet, one, at) for at in one.running),
    }


def _curve(sheet: Sheet, one: LineCurve) -> str:
    show = sheet.measures
    key = f"stretches.curve_{one.outside}"
    return sheet(key, start=running_station(sheet, one.from_m), end=running_station(sheet, one.to_m),
                 radius=show.length(one.radius_m), bay=show.length(one.bay_m),
                 middle=show.length(one.middle_m))  # fmt: skip


def _moved(sheet: Sheet, line: LinePlan, move: PostMove) -> str:
    show, one = sheet.measures, line.stretches[move.stretch - 1]
    return sheet("stretches.moved", post=move.post, start=one.start, end=one.end, by=show.length(abs(move.by_m)),
                 way=sheet(f"stretches.{'onward' if move.by_m > 0.0 else 'backward'}"), zone=short(move.zone, 60),
                 before=show.length(move.before_m), after=show.length(move.after_m))  # fmt: skip


def _posts(sheet: Sheet, one: Stretch) -> str:
    if one.bays == 1:
        return ""
    if one.steel and one.wood:
        return sheet("stretches.mixed", steel=one.steel, wood=one.wood, every=one.wood_every)
    many = "one" if one.bays == 2 else "all"
    return sheet(f"stretches.{many}_{'steel' if one.steel else 'wood'}", count=one.bays - 1)


def _running(sheet: Sheet, one: Stretch, at: Running) -> str:
    past = sheet.measures.length(at.past_m)
    if at.post:
        return sheet("stretches.running", station=running_station(sheet, at.station_m), past=past, post=at.post)
    return sheet("stretches.running_first", station=running_station(sheet, at.station_m), past=past, label=one.start)


def _sights(sheet: Sheet, line: LinePlan) -> list[str]:
    return [_sight(sheet, leg) for leg in line.legs if leg.sights_m]


def _sight(sheet: Sheet, leg: LineLeg) -> str:
    ends = {"start": running_station(sheet, leg.from_m), "end": running_station(sheet, leg.to_m)}
    if len(leg.sights_m) > _MOST_SIGHTS:
        every = min(after - before for before, after in itertools.pairwise(leg.sights_m))
        key = (
            "stretches.sights_open"
            if len(leg.sights_m) + 1.5 < (leg.to_m - leg.from_m) / every
            else "stretches.sights_many"
        )
        return sheet(key, count=len(leg.sights_m), every=sheet.measures.length(every), **ends)
    return sheet("stretches.sights", at=", ".join(running_station(sheet, sight) for sight in leg.sights_m), **ends)


def _rolls(sheet: Sheet, line: LinePlan) -> list[dict[str, Any]]:
    """Rolls of each wire, and the stations where they are dropped; in brackets how many, where there are several."""
    kinds = dict.fromkeys(roll.what for roll in line.rolls)
    rows: list[dict[str, Any]] = []
    for what in kinds:
        rolls = [roll for roll in line.rolls if roll.what == what]
        places: dict[str, int] = {}
        for roll in rolls:
            place = running_station(sheet, roll.station_m, coarse=True)
            places[place] = places.get(place, 0) + 1
        said = [place if n == 1 else f"{place} ({n})" for place, n in places.items()]
        rows.append({"what": sheet(f"item.{what}"), "count": f"{len(rolls):,}", "at": said})
    return rows


def _miles(sheet: Sheet, line: LinePlan) -> str:
    return ", ".join(f"{k}: {running_station(sheet, at)}" for k, at in enumerate(line.miles_m, 1))


def _rule(sheet: Sheet, rule: WireRule) -> dict[str, str]:
    show = sheet.measures
    if rule.key.startswith("post "):
        value = size_words(sheet, rule.value if isinstance(rule.value, str) else f"{rule.value:g}")
    elif isinstance(rule.value, str):
        value = sheet(f"stretches.brace_{rule.value.replace(' ', '_')}") if rule.key == "brace" else rule.value
    elif rule.row:
        value = ", ".join(show.inches(one) for one in rule.row)
    elif rule.unit == "m":
        value = show.inches(rule.value) if rule.key == "mesh" else show.length(rule.value)
    elif rule.unit == "rad":
        value = show.angle(rule.value)
    else:
        value = f"{rule.value:g}"
    source = whose(rule.source, sheet.language)
    return {"what": sheet.term(_TERMS.get(rule.key, rule.key)), "value": value, "source": source, "words": rule.words}
