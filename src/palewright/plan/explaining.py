"""How a number came about: the reasons that the rooms gave, found by the name of a thing."""

from __future__ import annotations

import difflib

from palewright.errors import Problem, ProblemError
from palewright.model import Plan, Post, Reason

__all__ = ["explain", "things"]


def things(plan: Plan) -> tuple[str, ...]:
    """Every name that :func:`explain` knows in this plan, in the order of the plan."""
    design = plan.design
    names = [f"post {post.label}" for post in design.posts]
    names += [f"bay {bay.number}" for bay in design.bays]
    names += [f"gate {gate.name}" for gate in design.gates]
    names += [f"run {run.name}" for run in design.runs]
    names += [string.name for string in plan.stakeout.strings]
    names += [item.code for item in plan.takeoff.items]
    names += [reason.about for reason in plan.reasons]
    return tuple(dict.fromkeys(names))


def explain(plan: Plan, thing: str) -> tuple[Reason, ...]:
    """The reasons behind one thing: "post 7", "bay 3", "gate side", "run rear", a take-off code.

    A post is also explained by its leg, its fence and its role. Raises ProblemError for an unknown name, with the
    nearest.
    """
    wanted = " ".join(thing.split()).casefold()
    known = {name.casefold(): name for name in things(plan)}
    if wanted not in known:
        near = difflib.get_close_matches(wanted, list(known), n=3, cutoff=0.5)
        raise ProblemError(
            Problem(
                "unknown-thing",
                "there is no such thing in the plan",
                found=thing,
                allowed="post 1, bay 1, gate NAME, run NAME, string A, boundary, or a code of the material list",
                hint=f"nearest: {', '.join(known[name] for name in near)}" if near else "",
            )
        )
    name = known[wanted]
    abouts = {name.casefold()} | {other.casefold() for other in _relatives(plan, name)}
    own = _own(plan, name)
    return own + tuple(reason for reason in plan.reasons if reason.about.casefold() in abouts)


def _relatives(plan: Plan, name: str) -> list[str]:
    """Things whose reasons also explain ``name``: the leg and fence of a post, the leg of a bay."""
    word, _, label = name.partition(" ")
    design = plan.design
    if word == "post":
        for post in design.posts:
            if post.label == label:
                legs = [f"leg {leg + 1}" for leg in post.legs]
                return [*legs, f"{post.kind} {post.role} post", f"{post.kind} {post.role} hole"]
    if word == "bay":
        for bay in design.bays:
            if str(bay.number) == label:
                return [f"leg {bay.leg + 1}"]
    if word == "run":
        for run in design.runs:
            if run.name == label:
                return [f"leg {leg + 1}" for leg in run.legs]
    return []


def _own(plan: Plan, name: str) -> tuple[Reason, ...]:
    """What the records themselves say of a post or a bay."""
    word, _, label = name.partition(" ")
    if word == "post":
        for post in plan.design.posts:
            if post.label == label:
                return _post(post)
    if word == "bay":
        for bay in plan.design.bays:
            if str(bay.number) == label:
                return (
                    Reason(name, "bay", bay.length_m, "m", "station of the second post - station of the first",
                           (("first post", bay.start), ("second post", bay.end), ("clear", bay.clear_m))),
                )  # fmt: skip
    for item in plan.takeoff.items:
        if item.code == name:
            return (
                Reason(name, "buy", item.buy, "count", "need x (1 + waste) / per unit, rounded up once",
                       (("need", item.need), ("waste", item.waste), ("per unit", item.per), ("rule", item.rule)),
                       item.source),
            )  # fmt: skip
    return ()


def _post(post: Post) -> tuple[Reason, ...]:
    name = f"post {post.label}"
    found = [
        Reason(
            name, f"station in run {run}", station, "m", "distance along the line of post centres from the run's start"
        )
        for run, station in post.places
    ]
    if post.hole is not None:
        found.append(
            Reason(name, "post length", post.length_m, "m", "above ground + in the ground",
                   (("above", post.above_m), ("in the ground", post.hole.in_ground_m), ("governs", post.hole.governs)))
        )  # fmt: skip
        found += [
            Reason(
                name,
                f"hole edge to the edge of {hit.zone}",
                hit.clear_m,
                "m",
                "distance to the facility - half width - hole radius",
            )
            for hit in post.hole.hits
        ]
    if post.move is not None:
        found.append(Reason(name, "may move back", post.move.back_m, "m", f"stopped by: {post.move.back_stop}"))
        found.append(Reason(name, "may move on", post.move.on_m, "m", f"stopped by: {post.move.on_stop}"))
    found += [Reason(name, f"{what} to the boundary", value, "m", "nearest distance") for what, value in post.inset]
    return tuple(found)
