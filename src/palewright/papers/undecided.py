"""What nobody has answered, as the crew must read it: ASK, never as a fact. Remarks of the plan say what was taken."""

from __future__ import annotations

from palewright.model import Gate, Leg, Run, StringLine
from palewright.papers.clean import short
from palewright.papers.sheet import Sheet

__all__ = [
    "any_open",
    "gate_open",
    "hinges_open",
    "hung_words",
    "run_asks",
    "run_facts",
    "stops_open",
    "string_asks",
    "swing_words",
]


_SLUGS = ("good-side-not-said", "fabric-side-not-said", "yard-not-said", "gate-hinges-not-said", "gate-swings-not-said")


def any_open(sheet: Sheet) -> bool:
    """Whether anything that the crew would read is not decided."""
    return any(sheet.plan.open(slug) for slug in _SLUGS)


def _legs(sheet: Sheet, run: Run) -> list[Leg]:
    return [sheet.plan.design.legs[k] for k in run.legs]


def _walk(sheet: Sheet, key: str, side: str, labels: list[str]) -> str:
    return sheet(f"crew.{key}", side=sheet.term(side), first=labels[0], last=labels[min(1, len(labels) - 1)])


def _fences(sheet: Sheet, run: Run, slug: str) -> list[str]:
    """The fences of a run of which a remark asks."""
    asked = sheet.plan.open(slug)
    return [name for name in dict.fromkeys(leg.fence for leg in _legs(sheet, run)) if name in asked]


def run_facts(sheet: Sheet, run: Run, labels: list[str]) -> list[str]:
    """Good side and yard side as they were answered; nothing of a fence that is the same on both sides."""
    legs, asked = _legs(sheet, run), sheet.plan.open("fabric-side-not-said")
    sides = dict.fromkeys(leg.good_side for leg in legs if leg.fence not in asked)
    facts = [sheet("crew.good_side", side=sheet.term(side)) for side in sides if side not in ("", "both")]
    if legs and legs[0].yard and run.name not in sheet.plan.open("yard-not-said"):
        facts.append(_walk(sheet, "yard_side", legs[0].yard, labels))
    return facts


def run_asks(sheet: Sheet, run: Run, labels: list[str]) -> list[str]:
    """What of a run and of its gates nobody has answered."""
    asks = []
    for slug, key in (("good-side-not-said", "ask_good_side"), ("fabric-side-not-said", "ask_fabric_side")):
        asks += [sheet(f"crew.{key}", fence=short(name, 40)) for name in _fences(sheet, run, slug)]
    if run.name in sheet.plan.open("yard-not-said"):
        asks.append(_walk(sheet, "ask_yard", _legs(sheet, run)[0].yard, labels))
    for gate in sheet.plan.design.gates:
        words = [sheet(f"crew.ask_what_{what}") for what in gate_open(sheet, gate)] if gate.run == run.name else []
        if words:
            what = words[0] if len(words) == 1 else sheet("crew.ask_and", one=words[0], two=words[1])
            asks.append(sheet("crew.ask_gate", gate=short(gate.name, 40), what=what))
    return asks


def gate_open(sheet: Sheet, gate: Gate) -> list[str]:
    """What of a gate is not decided: "hinges", "swings"."""
    return [what for what in ("hinges", "swings") if gate.name in sheet.plan.open(f"gate-{what}-not-said")]


def hinges_open(sheet: Sheet, names: tuple[str, ...]) -> bool:
    """Whether a gate of these has no post yet that carries its hinges."""
    return not sheet.plan.open("gate-hinges-not-said").isdisjoint(names)


def hung_words(sheet: Sheet, gate: Gate) -> list[str]:
    """On which posts a gate hangs and latches, or that it was only drawn so."""
    hinges, latches = [label for label in gate.hinge if label], [label for label in gate.latch if label]
    if hinges_open(sheet, (gate.name,)):
        return [sheet("crew.ask_hinges", post=", ".join(hinges), latch=", ".join(latches))]
    one = len(hinges) == 1
    hung = sheet("crew.gate_hinge", post=hinges[0]) if one else sheet("crew.gate_hinges", posts=", ".join(hinges))
    return [hung, *(sheet("crew.gate_latch", post=label) for label in latches)]


def swing_words(sheet: Sheet, gate: Gate) -> list[str]:
    """Which way a gate opens, or that it was only drawn so; and that nobody said where its yard is."""
    way = "yard" if gate.swings == "yard" else "out"
    said = f"crew.{'ask' if 'swings' in gate_open(sheet, gate) else 'gate'}_swing_{way}"
    yard = [sheet("crew.ask_gate_yard")] if gate.run in sheet.plan.open("yard-not-said") else []
    return [sheet(said), *yard]


def string_asks(sheet: Sheet, string: StringLine) -> list[str]:
    """That the side on which a string runs was only taken."""
    if string.run not in sheet.plan.open("yard-not-said"):
        return []
    leg = sheet.plan.design.legs[string.leg]
    side = leg.yard if string.side == "yard" else {"left": "right", "right": "left"}[leg.yard]
    return [_walk(sheet, "ask_string", side, [leg.posts[0], leg.posts[-1]])]


def stops_open(sheet: Sheet) -> list[str]:
    """What must be answered before a hole or a post: where strings stand, what keeps the distance, heights of gates."""
    design, lines = sheet.plan.design, []
    yards = sheet.plan.open("yard-not-said")
    strung = [short(run.name, 40) for run in design.runs if run.name in yards]
    if strung:
        lines.append(sheet("crew.stop_side", runs=", ".join(strung)))
    for run in design.runs:
        name = short(run.name, 40)
        if run.inside == "face" and _fences(sheet, run, "good-side-not-said"):
            lines.append(sheet("crew.stop_face", run=name))
        if run.inside == "face" and _fences(sheet, run, "fabric-side-not-said"):
            lines.append(sheet("crew.stop_fabric", run=name))
    grounds = {met.bay for meeting in design.meetings for met in meeting.bays if met.known}
    unsure = [gate for gate in design.gates if gate.bay in grounds and gate_open(sheet, gate)]
    return lines + [sheet("crew.stop_gate", gate=short(gate.name, 40)) for gate in unsure]
