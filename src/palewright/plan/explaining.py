"""How a number came about: the reasons that the rooms gave, found by the name of a thing."""

from __future__ import annotations

import difflib
from itertools import groupby

from palewright.errors import Problem, ProblemError
from palewright.model import Bay, Gate, Item, Leg, Plan, Post, Reason, StringLine
from palewright.notation import show_chance
from palewright.plan.explaining_ground import bay_on_ground, deeper, gate_on_ground, post_on_ground
from palewright.plan.explaining_places import other_name, place_names, place_reasons

__all__ = ["explain", "things"]


def things(plan: Plan) -> tuple[str, ...]:
    """Every name that :func:`explain` knows in this plan, in the order of the plan."""
    design = plan.design
    names = [f"post {post.label}" for post in design.posts]
    names += [f"bay {bay.number}" for bay in design.bays]
    names += [f"gate {gate.name}" for gate in design.gates]
    names += [f"run {run.name}" for run in design.runs]
    names += [f"string {string.name}" for string in plan.stakeout.strings]
    names += [item.code for item in plan.takeoff.items]
    names += [reason.about for reason in plan.reasons]
    names += [name for name in place_names(plan) if other_name(name) not in names]
    return tuple(dict.fromkeys(names))


def explain(plan: Plan, thing: str) -> tuple[Reason, ...]:
    """The reasons behind one thing: "post 7", "bay 3", "gate side", "run rear", "corner NE", a take-off code.

    A name without its sort ("rear", "W1") will do where only one thing bears it. A post is also explained by the
    stretches it stands in and by its hole. Raises ProblemError for an unknown name, with the nearest.
    """
    wanted = " ".join(thing.split()).casefold()
    known = {name.casefold(): name for name in things(plan)}
    bearing = [name for folded, name in known.items() if folded.partition(" ")[2] == wanted]
    name = known.get(wanted) or known.get(other_name(wanted)) or (bearing[0] if len(bearing) == 1 else "")
    if not name:
        near = bearing[:5] or _near(wanted, list(known.values()))
        raise ProblemError(
            Problem(
                "unknown-thing",
                "more than one thing in the plan is called so" if bearing else "there is no such thing in the plan",
                found=thing,
                allowed="post 1, bay 1, gate NAME, run NAME, string A, corner NAME, point NAME, boundary, or a code of "
                "the material list",
                hint=f"{'one of' if bearing else 'nearest'}: {', '.join(near)}"
                if near
                else "`palewright explain JOB` alone lists every name",
            )
        )
    own, relatives = _own(plan, name)
    said = tuple(reason for reason in plan.reasons if reason.about in (name, other_name(name)))
    return own + said + tuple(reason for reason in plan.reasons if reason.about in relatives)


def _near(wanted: str, names: list[str]) -> list[str]:
    """Names that are spelled like one, the nearest first; a corner by either of its names."""
    spelled = {name.casefold(): name for name in (*names, *filter(None, map(other_name, names)))}
    return [spelled[one] for one in difflib.get_close_matches(wanted, list(spelled), n=3, cutoff=0.5)]


def _own(plan: Plan, name: str) -> tuple[tuple[Reason, ...], list[str]]:
    """What the records themselves say of a thing, and the things whose reasons explain it too."""
    sort, _, label = name.partition(" ")
    design = plan.design
    if sort == "post":
        post = next(post for post in design.posts if post.label == label)
        legs = [design.legs[leg] for leg in post.legs]
        stretches = [about for leg in legs for about, bays in _stretches(plan, leg) if any(label in b for b in bays)]
        near, said = _inside(plan, label)
        return _post(post) + post_on_ground(plan, label) + near + _hole(plan, post), stretches + said
    if sort == "bay":
        bay = next(bay for bay in design.bays if str(bay.number) == label)
        ends = (bay.start, bay.end)
        stretches = [about for about, bays in _stretches(plan, design.legs[bay.leg]) if ends in bays]
        gates = [gate for gate in design.gates if gate.bay == bay.number]
        hung = tuple(reason for gate in gates for reason in _gate(gate) + gate_on_ground(plan, gate))
        return _bay(bay) + bay_on_ground(plan, bay.number) + hung, stretches
    if sort == "gate":
        gate = next(gate for gate in design.gates if gate.name == label)
        return _gate(gate) + gate_on_ground(plan, gate), []
    if sort == "run":
        legs = [leg for leg in design.legs if leg.run == label]
        return (), [about for leg in legs for about, _ in _stretches(plan, leg)]
    if sort == "string":
        return _string(next(string for string in plan.stakeout.strings if string.name == label)), []
    return place_reasons(plan, name) + tuple(_item(item) for item in plan.takeoff.items if item.code == name), []


def _stretches(plan: Plan, leg: Leg) -> list[tuple[str, list[tuple[str, str]]]]:
    """The stretches of a leg between gates: what their reasons are about, and both posts of each of their bays."""
    bays = [plan.design.bays[number - 1] for number in leg.bays]
    found = []
    for door, between in groupby(bays, key=lambda bay: bay.kind == "gate"):
        ends = [(bay.start, bay.end) for bay in between]
        if not door:
            found.append((f"run {leg.run}, post {ends[0][0]} to post {ends[-1][1]}", ends))
    return found


def _post(post: Post) -> tuple[Reason, ...]:
    name = f"post {post.label}"
    formula = "distance along the line of post centres from the run's start"
    found = [Reason(name, f"station in run {run}", station, "m", formula) for run, station in post.places]
    hole = post.hole
    if hole is not None:
        parts = (("above", post.above_m), ("in the ground", hole.in_ground_m))
        found.append(Reason(name, "post length", post.length_m, "m", "above ground + in the ground", parts))
        formula = "distance to the facility - half width - hole radius; negative: the hole lies inside it"
        found += [Reason(name, f"hole edge to the edge of {hit.zone}", hit.clear_m, "m", formula) for hit in hole.hits]
    if post.move is not None and post.move.back_stop == post.move.on_stop == "fixed":
        found.append(Reason(name, "may move", "no", "", "ends, corners and gate posts stand fixed"))
    elif post.move is not None:
        for way, room, stop in (
            ("back", post.move.back_m, post.move.back_stop),
            ("on", post.move.on_m, post.move.on_stop),
        ):
            found.append(Reason(name, f"may move {way}", room, "m", "its neighbours standing", (("stopped by", stop),)))
    formula = "nearest distance; negative: over the line"
    found += [Reason(name, f"{what} to the boundary", value, "m", formula) for what, value in post.inset]
    return tuple(found)


def _inside(plan: Plan, label: str) -> tuple[tuple[Reason, ...], list[str]]:
    """How well a post's distances to the line are known, and what the parts of that rest on."""
    name = f"post {label}"
    row = next((row for row in plan.inside.distances if row.post == label), None) if plan.inside else None
    if row is None:
        return (), []
    if row.sigma_m is None or row.footing_sigma_m is None:
        formula = "no chance can be given: how well this side is known on the ground, nobody can say here"
        return (Reason(name, f"chance that it is over side {row.side}", row.why, "", formula),), []
    formula = "root of the sum of the squares of its parts"
    parts = [(what, sigma) for what, sigma in row.parts if what not in ("post", "hole")]
    both = dict(row.parts)
    found = [
        Reason(name, f"standard deviation of the {of} to side {row.side}", sigma, "m", formula,
               (*parts, (last, both[last])))
        for of, sigma, last in (("face", row.sigma_m, "post"), ("footing", row.footing_sigma_m, "hole"))
    ]  # fmt: skip
    formula = "normal distribution, by measuring error alone; a wrong pin is not in it"
    found += [
        Reason(name, f"chance that its {of} is over side {row.side}", show_chance(chance), "", formula)
        for of, chance in row.chance
    ]
    return tuple(found), ["distance to the line"]


def _hole(plan: Plan, post: Post) -> tuple[Reason, ...]:
    """The reasons of the sort of hole that a post has: a role may have several, where fences meet."""
    about = f"{post.kind} {post.role} hole"
    sorts: list[list[Reason]] = []
    for reason in plan.reasons:
        if reason.about == about:
            if reason.quantity == "hole diameter" or not sorts:
                sorts.append([])
            sorts[-1].append(reason)
    hole = post.hole
    fitting = [
        sort for sort in sorts if hole is not None and {hole.diameter_m, hole.depth_m} <= {r.value for r in sort}
    ]
    if fitting or hole is None or not sorts:
        return tuple(fitting[0]) if fitting else ()
    return deeper(about, hole, sorts)


def _bay(bay: Bay) -> tuple[Reason, ...]:
    inputs = (("first post", bay.start), ("second post", bay.end), ("clear between their faces", bay.clear_m))
    return (Reason(f"bay {bay.number}", "bay", bay.length_m, "m", "from post centre to post centre", inputs),)


def _gate(gate: Gate) -> tuple[Reason, ...]:
    inputs = (
        ("posts", " and ".join(gate.posts)),
        ("leaf", gate.leaf_m),
        ("leaves", gate.leaves),
        ("allowance", gate.allowance_m),
    )
    formula = "post face to post face: the leaves and the allowance"
    return (Reason(f"gate {gate.name}", "opening", gate.opening_m, "m", formula, inputs, gate.allowance_source),)


def _string(string: StringLine) -> tuple[Reason, ...]:
    name, zero = f"string {string.name}", string.zero + (f" with string {string.zero_with}" if string.zero_with else "")
    formula = "square from the string to the line of post centres, as the job sets strings"
    formula2 = "on the tape laid along the string from its zero"
    return (
        Reason(name, "offset", string.offset_m, "m", formula, (("to the near post face", string.face_m),)),
        Reason(name, "first post at", string.first_reads_m, "m", formula2,
               (("zero", zero), ("the zero reads", string.zero_reads_m))),
    )  # fmt: skip


def _item(item: Item) -> Reason:
    unit = f"_{item.unit}" if item.unit in ("m", "m2", "m3", "kg") else ""
    inputs = ((f"need{unit}", item.need), ("waste", item.waste), (f"one holds{unit}", item.per))
    formula = "need x (1 + waste) / what one holds, rounded up once"
    return Reason(item.code, f"buy ({item.what})", item.buy, "count", formula, inputs, item.source)
