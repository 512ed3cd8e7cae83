"""The fence as built beside its plan: posts, bays, gates, runs, checks, and what is still open."""

from __future__ import annotations

import math

from palewright.asbuilt.limits import gap_limit, half_mark, verdict
from palewright.asbuilt.line import line_as_built, line_as_planned
from palewright.asbuilt.marks import check_verdict, expected_on_tape, mark_m, to_post
from palewright.asbuilt.moving import Mover
from palewright.asbuilt.names import bay_about, check_ids, known_abouts
from palewright.asbuilt.places import Known, Place, place_of
from palewright.model import (
    AsBuilt,
    Bay,
    BuiltBay,
    BuiltCheck,
    BuiltGate,
    BuiltPost,
    BuiltRun,
    BuiltWirePosts,
    Gate,
    LineGate,
    LinePlan,
    Plan,
    Post,
    Yard,
)
from palewright.plane import add, sub, unit

__all__ = ["as_built"]

_HAIR_M = 1e-6


def as_built(plan: Plan, yard: Yard) -> AsBuilt:
    """What was entered in the yard beside the plan.

    What nobody measured is None, never the planned value; what entries disagree on is None and disputed. A wall stands
    where it stood: a bracket counts as built where it was planned.
    """
    known, mover = Known(yard), Mover(plan)
    places = {post.label: place_of(mover, known, post.label) for post in plan.design.posts if post.number}
    posts = tuple(_post(mover, known, post, places[post.label]) for post in plan.design.posts if post.number)
    bays = tuple(_bay(plan, mover, known, places, bay) for bay in plan.design.bays if bay.kind != "gate")
    names = known_abouts(plan)
    abouts = [*(s.about for s in yard.states), *(n.about for n in yard.notes), *(p.about for p in yard.photos)]
    return AsBuilt(
        posts=posts,
        bays=bays,
        gates=(
            *(_gate(plan, known, gate) for gate in plan.design.gates),
            *(_wire_gate(known, line, gate) for line in plan.lines for gate in line.gates),
        ),
        runs=_runs(plan, known, bays),
        checks=_checks(plan, known),
        open_holes=tuple(post.post for post in posts if not post.done),
        conflicts=yard.conflicts,
        notes=yard.notes,
        photos=yard.photos,
        missing=yard.missing,
        unknown=tuple(dict.fromkeys(about for about in abouts if about not in names)),
        ticket_closed=known.yes("job", "ticket.closed"),
        ticket=known.word("job", "ticket.number"),
        signed=known.word("job", "signed.name"),
        signature=known.word("job", "signed.photo"),
        elsewhere=yard.elsewhere,
        signed_on=known.made("job", "signed.name"),
        wire=_wire(plan, known),
        wire_posts=tuple(_wire_posts(plan, known, line) for line in plan.lines),
    )


def _post(mover: Mover, known: Known, post: Post, place: Place) -> BuiltPost:
    about, on = f"post {post.label}", mover.on(post.label)
    needed = post.hole.depth_m if post.hole is not None else 0.0
    xy = add(post.xy, place.shift) if place.shift is not None else None
    return BuiltPost(
        post=post.label,
        role=post.role,
        string=on.string.name if on is not None else "",
        planned_m=on.mark.reads_m if on is not None else 0.0,
        offset_m=to_post(on.string, on.mark) if on is not None else 0.0,
        along_m=place.along_m,
        aside_m=place.aside_m,
        moved_m=known.number(about, "moved.along_m"),
        why=known.word(about, "moved.why"),
        depth_m=known.number(about, "measured.depth_m"),
        needed_m=needed,
        least_m=expected_on_tape(needed, mover.mark) * mover.mark,
        done=known.yes(about, "done") is True,
        xy=xy,
        planned_line=line_as_planned(mover, post),
        line=line_as_built(mover, post, place),
        disputed=place.disputed,
    )


# ---------------------------------------------------------------- bays


def _bay(plan: Plan, mover: Mover, known: Known, places: dict[str, Place], bay: Bay) -> BuiltBay:
    about = bay_about(bay)
    built, unmeasured = _length(mover, places, bay), ""
    if built is None:
        built, unmeasured = _beside_moved(mover, known, places, bay)
    clear = None if built is None else bay.clear_m + built - bay.length_m
    said, by, remake = "", 0.0, ""
    if built is not None and clear is not None:
        limits, mark = mover.limits[bay.number], mark_m(plan.settings)
        said, by = verdict(limits, built, mark)
        # Rails are cut where they are nailed.
        least = half_mark(mark) if limits.panel == "panel" else plan.settings.tolerance_m
        changed = abs(built - bay.length_m) > least
        remake = "post" if said != "fits" else limits.panel if changed and not unmeasured else ""
    return BuiltBay(
        bay.number, bay.run, bay.start, bay.end, bay.kind, bay.length_m, bay.clear_m, built, clear, said, by, remake,
        known.yes(about, "panel.remade") is True, known.number(about, "panel.width_m"),
        unmeasured,
    )  # fmt: skip


def _beside_moved(mover: Mover, known: Known, places: dict[str, Place], bay: Bay) -> tuple[float | None, str]:
    """Level length of a bay with one post moved and the other as planned [m], and that other; None, "" else."""
    for label, other in ((bay.start, bay.end), (bay.end, bay.start)):
        along = {"measured.back_m", "moved.along_m"}
        if known.number(f"post {label}", "moved.along_m") and not along & set(places[other].disputed):
            built = _length(mover, {**places, other: _AS_PLANNED}, bay)
            if built is not None:
                return built, other
    return None, ""


_AS_PLANNED = Place(0.0, 0.0, (), (0.0, 0.0), ())


def _length(mover: Mover, places: dict[str, Place], bay: Bay) -> float | None:
    """Level length of a bay as built [m]; None unless both its posts were measured in its direction."""
    one, two = (places.get(label) for label in (bay.start, bay.end))
    a, b = mover.posts[bay.start].xy, mover.posts[bay.end].xy
    still = (0.0, 0.0)
    ends = [still if place is None else place.shift for place in (one, two)]
    if ends[0] is not None and ends[1] is not None:
        return bay.length_m + math.dist(add(a, ends[0]), add(b, ends[1])) - math.dist(a, b)
    along = unit(sub(b, a))
    back, on = (0.0 if place is None else place.toward(along) for place in (one, two))
    return None if back is None or on is None else bay.length_m + on - back


def _runs(plan: Plan, known: Known, bays: tuple[BuiltBay, ...]) -> tuple[BuiltRun, ...]:
    signed = dict(plan.settings.signed)
    rows = []
    for run in plan.design.runs:
        mine = [bay for bay in bays if bay.run == run.name]
        gates = any(gate.run == run.name for gate in plan.design.gates)
        lengths = [None if bay.unmeasured else bay.built_m for bay in mine]
        total = None if gates or not lengths or None in lengths else sum(one for one in lengths if one is not None)
        gap, at = _worst(known, run.name, mine)
        limit, by = gap_limit(plan, run)
        built = known.number(f"run {run.name}", "length.built_m")
        rows.append(
            BuiltRun(
                run.name,
                run.length_m,
                signed.get(run.name),
                built,
                total,
                gap,
                at,
                limit,
                by,
            )
        )
    return (*rows, *(_wire_run(known, line, signed.get(line.run)) for line in plan.lines))


def _wire_run(known: Known, line: LinePlan, signed: float | None) -> BuiltRun:
    """A run of wire: its lengths are along the ground [m]."""
    about = f"run {line.run}"
    return BuiltRun(
        run=line.run,
        planned_m=line.along_m,
        signed_m=signed,
        built_m=known.number(about, "length.built_m"),
        bays_m=None,
        gap_m=known.number(about, "gap.worst_m"),
        gap_at=about,
        gap_limit_m=0.0,
        limit_by="",
    )


def _worst(known: Known, run: str, bays: list[BuiltBay]) -> tuple[float | None, str]:
    """The worst room under a run that was entered, and where [m]."""
    abouts = [f"run {run}", *(f"bay {bay.start}-{bay.end}" for bay in bays)]
    found = [(gap, about) for about in abouts if (gap := known.number(about, "gap.worst_m")) is not None]
    return max(found, default=(None, ""), key=lambda item: item[0] or 0.0)


# ---------------------------------------------------------------- gates, checks, wire


def _gate(plan: Plan, known: Known, gate: Gate) -> BuiltGate:
    about = f"gate {gate.name}"
    clear = known.number(about, "gate.clear_m")
    leaves = gate.leaf_m * gate.leaves
    findings = plan.permit.findings if plan.permit is not None else ()
    latches = [
        float(one.required)
        for one in findings
        if one.measure == "latch" and one.run == gate.run and isinstance(one.required, int | float)
    ]
    return BuiltGate(
        gate.name, gate.run, gate.posts, gate.opening_m, clear, leaves,
        None if clear is None else clear > leaves + _HAIR_M,
        max(latches, default=None), known.number(about, "gate.latch_m"),
    )  # fmt: skip


def _wire_gate(known: Known, line: LinePlan, gate: LineGate) -> BuiltGate:
    """An opening in a run of wire: nothing is known of its leaves."""
    about = f"gate {gate.name}"
    return BuiltGate(
        gate.name, line.run, gate.posts, gate.opening_m, known.number(about, "gate.clear_m"), 0.0, None, None,
        known.number(about, "gate.latch_m"),
    )  # fmt: skip


def _checks(plan: Plan, known: Known) -> tuple[BuiltCheck, ...]:
    mark = mark_m(plan.settings)
    rows = []
    for name, check in check_ids(plan.stakeout):
        expected = check.diagonal_m if hasattr(check, "diagonal_m") else check.length_m
        reads = known.number(name, "checked.reads_m")
        of = check.strings if hasattr(check, "strings") else (check.start, check.end)
        what = check.why if hasattr(check, "why") else f"corner {check.post}"
        off = None if reads is None else reads - expected_on_tape(expected, mark) * mark
        said = "" if off is None else check_verdict(check, off)
        tries = known.earlier(name, "checked.reads_m")
        rows.append(BuiltCheck(name, what, of, expected, check.tolerance_m, reads, said, tries))
    return tuple(rows)


def _wire_posts(plan: Plan, known: Known, line: LinePlan) -> BuiltWirePosts:
    labels = [post.label for one in line.assemblies for post in one.posts] + [post.label for post in line.fixed]
    needed = {dig.label: dig.depth_m for dig in plan.locate.digs if dig.run == line.run and dig.to is None}
    depths = []
    for label in labels:
        deep = known.number(f"post {line.run}/{label}", "measured.depth_m")
        if deep is not None:
            depths.append((label, deep, needed.get(label, 0.0)))
    done = sum(known.yes(f"post {line.run}/{label}", "done") is True for label in labels)
    return BuiltWirePosts(line.run, done, len(labels), tuple(depths))


def _wire(plan: Plan, known: Known) -> tuple[tuple[str, int, int], ...]:
    return tuple(
        (
            line.run,
            sum(known.yes(f"stretch {line.run}/{one.number}", "done") is True for one in line.stretches),
            len(line.stretches),
        )
        for line in plan.lines
    )
