"""Why posts, bays and gates are as high as they are, where the ground under their run is known."""

from __future__ import annotations

from palewright.model import Gate, Hole, Plan, Reason

__all__ = ["bay_on_ground", "gate_on_ground", "post_on_ground"]


def post_on_ground(plan: Plan, label: str) -> tuple[Reason, ...]:
    """Top, and how far it lies below the level string over it."""
    found = []
    for meeting in plan.design.meetings:
        for height in (height for height in meeting.posts if height.post == label and height.known):
            about = f"post {label}"
            ends = (("ground_m", height.ground_m), ("ground known to_m", height.sigma_m))
            formula = f"higher of the bays at its sides in run {meeting.run}, and what it stands above them"
            foot = ("foot_m", height.foot_m)
            found.append(Reason(about, f"top in run {meeting.run}", height.top_m, "m", formula, (*ends, foot)))
            if height.step_m:
                formula = "bottom of the bay after it - bottom of the bay before it"
                found.append(Reason(about, f"step in run {meeting.run}", height.step_m, "m", formula))
            if height.below_string_m is not None:
                quantity = f"top below the level string of run {meeting.run}"
                found.append(Reason(about, quantity, height.below_string_m, "m", "string - top"))
    return tuple(found)


def bay_on_ground(plan: Plan, number: int) -> tuple[Reason, ...]:
    """How a bay meets the ground, the room below it and its height at the places where they bind."""
    found: list[Reason] = []
    for meeting in plan.design.meetings:
        for bay in (bay for bay in meeting.bays if bay.bay == number):
            about = f"bay {number}"
            if not bay.known:
                formula = "the ground under part of it is not known: laid out as on level ground"
                found.append(Reason(about, "meets the ground", bay.mode, "", formula, (("asked", bay.asked),)))
                continue
            ends = (("bottom at its first post_m", bay.bottom_m[0]), ("at its last_m", bay.bottom_m[1]))
            misses = tuple((f"misses {rule} by_m", by) for rule, by in bay.breaks)
            words: tuple[tuple[str, float | int | str], ...] = (("asked", bay.asked), *ends, *misses)
            proof = meeting.proof or "the level of its leaf"
            found += [
                Reason(about, "meets the ground", bay.mode, "", proof, words),
                Reason(about, "least room below it", bay.least.gap_m, "m", "bottom - ground, anywhere in the bay",
                       (("at station_m", bay.least.at_m),)),
                Reason(about, "most room below it", bay.most.gap_m, "m", "bottom - ground, anywhere in the bay",
                       (("at station_m", bay.most.at_m),)),
                Reason(about, "most that its top stands above the ground", bay.highest_m, "m",
                       "top - ground straight below, anywhere in the bay"),
                Reason(about, "length along the slope", bay.along_m, "m", "root of (level length^2 + rise^2)"),
            ]  # fmt: skip
            for remedy in (remedy for remedy in meeting.remedies if remedy.bay == number):
                inputs: tuple[tuple[str, float | int], ...] = (("from station_m", remedy.from_m), ("to_m", remedy.to_m))
                if remedy.count:
                    inputs = (*inputs, ("count", remedy.count))
                quantity, formula = (
                    f"{remedy.slug} would heal {remedy.rule}",
                    "by itself, with everything else as it is",
                )
                found.append(Reason(about, quantity, remedy.amount_m, "m", formula, inputs, "common practice"))
    return tuple(found)


def deeper(about: str, hole: Hole, sorts: list[list[Reason]]) -> tuple[Reason, ...]:
    """The reasons of a hole that is deeper than its sort is on level ground."""
    across = [sort for sort in sorts if hole.diameter_m in {reason.value for reason in sort}] or sorts
    level = next((float(r.value) for r in across[0] if r.quantity == "hole depth"), 0.0)
    kept = tuple(reason for reason in across[0] if reason.quantity != "hole depth")
    formula = "as on level ground, and what the longer post asks for, by whole inches"
    inputs = (("on level ground_m", level), ("rule", hole.governs))
    return (*kept, Reason(about, "hole depth", hole.depth_m, "m", formula, inputs, "common practice"))


def gate_on_ground(plan: Plan, gate: Gate) -> tuple[Reason, ...]:
    """How high its leaves hang, where the ground under its run is known."""
    if not any(bay.bay == gate.bay and bay.known for meeting in plan.design.meetings for bay in meeting.bays):
        return ()
    formula = "highest ground known in the swing + room below a leaf - ground at the first hinge post"
    inputs = (("the swing rises by_m", gate.uphill_m), ("most room below the shut leaf_m", gate.low_gap_m))
    return (Reason(f"gate {gate.name}", "bottom of its leaf", gate.bottom_m, "m", formula, inputs, "gate3"),)
