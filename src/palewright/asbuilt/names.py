"""What entries are about, by name: checks as papers and drawings number them, bays by their posts, things of a plan."""

from __future__ import annotations

import itertools

from palewright.model import Bay, CornerCheck, Plan, Stakeout, Tie

__all__ = ["bay_about", "check_ids", "known_abouts", "place_text", "planned_places"]


def check_ids(stakeout: Stakeout) -> tuple[tuple[str, Tie | CornerCheck], ...]:
    """Every check with its name, in order of work: "check 3" as it is numbered on papers and drawings.

    Tapes from what stands come first, then triangles, then diagonals. A whole length has no number there; it is named
    by its two posts: "check 1-12".
    """
    number = itertools.count(1)
    found: list[tuple[str, Tie | CornerCheck]] = []
    found += [(f"check {next(number)}", tie) for tie in stakeout.ties if tie.why == "tie"]
    found += [(f"check {next(number)}", check) for check in stakeout.checks]
    for tie in stakeout.ties:
        if tie.why == "overall":
            found.append((f"check {tie.start}-{tie.end}", tie))
        elif tie.why != "tie":
            found.append((f"check {next(number)}", tie))
    return tuple(found)


def bay_about(bay: Bay) -> str:
    """A bay by its two posts in walking order: "bay 3-4"."""
    return f"bay {bay.start}-{bay.end}"


def planned_places(plan: Plan) -> dict[str, tuple[float, ...]]:
    """What the plan says of things that have a number, which may be another one's tomorrow, in metres.

    A post: where it stands; a bay: where both its posts do; a check: how long it is.
    """
    posts = {post.label: post.xy for post in plan.design.posts}
    found: dict[str, tuple[float, ...]] = {f"post {label}": xy for label, xy in posts.items()}
    for bay in plan.design.bays:
        found[bay_about(bay)] = (*posts[bay.start], *posts[bay.end])
    for name, check in check_ids(plan.stakeout):
        found[name] = (check.diagonal_m if isinstance(check, CornerCheck) else check.length_m,)
    return found


def place_text(place: tuple[float, ...]) -> str:
    """Such a place as entries carry it, in millimetres.

    >>> place_text((1.5, -0.0604))
    '1500,-60'
    """
    return ",".join(str(round(1000.0 * part)) for part in place)


def known_abouts(plan: Plan) -> frozenset[str]:
    """Everything that an entry may be about."""
    names = {"job"}
    names.update(f"post {post.label}" for post in plan.design.posts)
    names.update(bay_about(bay) for bay in plan.design.bays)
    names.update(f"gate {gate.name}" for gate in plan.design.gates)
    names.update(f"run {run.name}" for run in plan.design.runs)
    names.update(f"string {string.name}" for string in plan.stakeout.strings)
    names.update(name for name, _ in check_ids(plan.stakeout))
    for line in plan.lines:
        names.add(f"run {line.run}")
        names.update(f"stretch {line.run}/{stretch.number}" for stretch in line.stretches)
        names.update(f"gate {gate.name}" for gate in line.gates)
        names.update(f"post {line.run}/{post.label}" for one in line.assemblies for post in one.posts)
        names.update(f"post {line.run}/{post.label}" for post in line.fixed)
    return frozenset(names)
