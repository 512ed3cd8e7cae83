"""What is open on the as-built sheet: each thing by its name, and what about it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from palewright.asbuilt import expected_on_tape, mark_m
from palewright.errors import Problem
from palewright.model import AsBuilt, BuiltCheck, BuiltGate, BuiltLine, BuiltPost, BuiltRun
from palewright.papers.asbuilt_wire import wire_lines
from palewright.papers.clean import short
from palewright.papers.sheet import Sheet, ranges
from palewright.papers.words import has

__all__ = [
    "about_words", "check_words", "field_words", "is_low", "is_over", "is_wide", "nearest", "open_lines",
    "over_words", "plus", "run_built",
]  # fmt: skip

_HAIR_M = 1e-6
_NAMED = 24
"""So many things of one sort are named with what is wrong; what follows stands in the tables below (our own choice)."""

Item = tuple[str, list[str]]
"""What is wrong, a key of the words, and everything of which it is."""


def open_lines(sheet: Sheet, names: Mapping[str, str], built: AsBuilt, cautions: Sequence[Problem]) -> list[str]:
    """What stands first on the sheet: everything that keeps the job from being closed, the gravest first.

    names
        what entries are about, where the sheet calls it otherwise ("check 9", "gate gate 1").
    """
    said = [_line(sheet, *item) for item in (*_wrong(sheet, names, built), *_unread(sheet, names, built)) if item[1]]
    for key, labels in (
        ("holes", built.open_holes),
        ("depths", [post.post for post in built.posts if post.depth_m is None]),
        ("unmeasured", [post.post for post in built.posts if post.along_m is None or post.aside_m is None]),
    ):
        if labels:
            posts = sheet("common.post" if len(labels) == 1 else "common.posts")
            said.append(sheet(f"asbuilt.open_{key}", count=len(labels), which=ranges(labels), posts=posts))
    return [*said, *_unfinished(sheet, names, built, cautions)]


def _line(sheet: Sheet, key: str, items: list[str]) -> str:
    which = "; ".join(items[:_NAMED])
    if len(items) > _NAMED:
        which = sheet("asbuilt.open_more", which=which, more=len(items) - _NAMED)
    return sheet(f"asbuilt.open_{key}", count=len(items), which=which)


def _wrong(sheet: Sheet, names: Mapping[str, str], built: AsBuilt) -> Iterator[Item]:
    """What was entered and does not do."""
    bays = [(about_words(sheet, names, f"bay {bay.start}-{bay.end}"), bay) for bay in built.bays]
    shown = sheet.measures.small
    yield "conflicts", [f"{about_words(sheet, names, s.about)}, {field_words(sheet, s.field)}" for s in built.conflicts]
    yield "shallow", [_shallow(sheet, post) for post in built.posts if post.deep_enough is False]
    yield (
        "over",
        [
            f"{sheet.post(post.post)}, {over_words(sheet, post.line)}"
            for post in built.posts
            if post.line is not None and is_over(post.line)
        ],
    )
    yield "failed", [_failed(sheet, check) for check in built.checks if check.verdict == "failed"]
    yield (
        "bays",
        [
            f"{name}: {sheet('asbuilt.bay_' + bay.verdict.replace('-', '_'), by=shown(bay.by_m))}"
            for name, bay in bays
            if bay.remake == "post"
        ],
    )
    yield (
        "panels",
        [
            f"{name}: {sheet.measures.length(bay.clear_m or 0.0)}"
            for name, bay in bays
            if bay.remake == "panel" and not bay.remade
        ],
    )
    yield from _gates(sheet, names, built.gates)
    yield "gaps", [_gap(sheet, names, run) for run in built.runs if is_wide(run)]
    yield "lengths", [_length(sheet, run) for run in built.runs if _off(sheet, run)]
    yield (
        "aside",
        [
            f"{sheet.post(post.post)}: {plus(sheet, post.aside_m, 'away', 'near')}"
            for post in built.posts
            if post.aside_m is not None and abs(post.aside_m) > sheet.plan.settings.tolerance_m + _slack(sheet)
        ],
    )


def _unread(sheet: Sheet, names: Mapping[str, str], built: AsBuilt) -> Iterator[Item]:
    """Checks, gates and runs that nobody measured; what entries disagree on is told before."""
    disputed = {(state.about, state.field) for state in built.conflicts}

    def lacking(about: str, *fields: tuple[str, bool]) -> str:
        none = [field_words(sheet, field) for field, gone in fields if gone and (about, field) not in disputed]
        return f"{about_words(sheet, names, about)}: {', '.join(none)}" if none else ""

    unread = [one for one in built.checks if not one.verdict and (one.check, "checked.reads_m") not in disputed]
    yield "checks", [_check_name(sheet, check) for check in unread]
    gates = [
        lacking(
            f"gate {gate.gate}",
            ("gate.clear_m", gate.clear_m is None),
            ("gate.latch_m", gate.latch_m is None and gate.latch_planned_m is not None),
        )
        for gate in built.gates
    ]
    runs = [
        lacking(
            f"run {run.run}",
            ("length.built_m", run_built(run) is None),
            ("gap.worst_m", bool(run.limit_by) and run.gap_m is None),
        )
        for run in built.runs
    ]
    yield "things", [one for one in (*gates, *runs) if one]


def _unfinished(sheet: Sheet, names: Mapping[str, str], built: AsBuilt, cautions: Sequence[Problem]) -> list[str]:
    """What is open besides posts, bays and gates: entries, clocks, the locate, signatures."""
    said: list[str] = []
    said += [
        sheet("asbuilt.open_missing", device=short(gap.device, 30), first=gap.first, last=gap.last)
        for gap in built.missing
    ]
    said += wire_lines(sheet, built, only_open=True)
    clocks = sorted(
        {problem.where.thing.removeprefix("device ") for problem in cautions if problem.slug == "yard-clock"}
    )
    said += [sheet("asbuilt.open_clock", device=short(device, 30)) for device in clocks]
    if built.unknown:
        which = ", ".join(short(about_words(sheet, names, name), 40) for name in built.unknown[:8])
        said.append(sheet("asbuilt.open_unknown", which=which))
    if built.elsewhere:
        which = ", ".join(about_words(sheet, {}, name) for name in built.elsewhere[:_NAMED])
        said.append(sheet("asbuilt.open_elsewhere", count=len(built.elsewhere), which=which))
    if not sheet.plan.locate.entered and any(post.done for post in built.posts):
        said.append(sheet("asbuilt.open_locate"))
    if built.ticket_closed is not True:
        said.append(sheet("asbuilt.open_ticket"))
    if not built.signed:
        said.append(sheet("asbuilt.open_signed"))
    return said


# ---------------------------------------------------------------- one thing in words


def about_words(sheet: Sheet, names: Mapping[str, str], about: str, elsewhere: bool = False) -> str:
    """What an entry is about, in words; ``elsewhere``: it was another place when the entry was made."""
    if elsewhere:
        return sheet("asbuilt.about_elsewhere", about=about_words(sheet, {}, about))
    sort, _, name = about.partition(" ")
    if not has(f"asbuilt.about_{sort}"):
        return short(about, 60)
    return sheet(f"asbuilt.about_{sort}", name=short(names.get(about, name), 60))


def field_words(sheet: Sheet, field: str) -> str:
    """What was measured, in words: "depth of the hole"; where it was from a string that it names, with that."""
    field, _, string = field.partition("@")
    key = f"asbuilt.field_{field.replace('.', '_')}"
    what = sheet(key) if has(key) else field
    return sheet("asbuilt.field_at", what=what, string=short(string, 30)) if string else what


def check_words(sheet: Sheet, check: BuiltCheck) -> str:
    """Where a check is: "Corner at post 12", "post 3 – post 7"."""
    if check.what.startswith("corner "):
        return sheet("crew.corner_at", post=check.what.removeprefix("corner "))
    labels = sheet.posts()
    return " – ".join(sheet.post(name) if name in labels else short(name, 30) for name in check.of)


def plus(sheet: Sheet, by: float, more: str, less: str) -> str:
    """A difference in words: "1/4 in on"; nothing where it is less than half a mark."""
    said = sheet.measures.small(abs(by))
    if said == sheet.measures.small(0.0):
        return sheet("asbuilt.as_planned")
    return sheet(f"asbuilt.by_{more if by > 0.0 else less}", by=said)


def nearest(line: BuiltLine, footing: bool = False) -> float:
    """The nearer of fence face and post face, and of the footing where asked [m]."""
    return min(line.face_m, line.post_m, *([line.footing_m] if footing else []))


def is_over(line: BuiltLine) -> bool:
    """Whether any part of a post is over the line."""
    return nearest(line, footing=True) < -_HAIR_M


def over_words(sheet: Sheet, line: BuiltLine) -> str:
    """What of a post is over the line, and how far: the footing in the ground where its face is not."""
    part = "post" if nearest(line) < -_HAIR_M else "footing"
    far = nearest(line, footing=part == "footing")
    return sheet(f"asbuilt.over_{part}", by=sheet.measures.small(-far))


def is_low(gate: BuiltGate) -> bool:
    """Whether its latch is lower than the rules as typed ask for."""
    if gate.latch_m is None or gate.latch_planned_m is None:
        return False
    return gate.latch_m < gate.latch_planned_m - _HAIR_M


def is_wide(run: BuiltRun) -> bool:
    """Whether there is more room below a run than allowed."""
    return bool(run.limit_by) and run.gap_m is not None and run.gap_m > run.gap_limit_m + _HAIR_M


def run_built(run: BuiltRun) -> float | None:
    """The built length of a run, as taped, else the sum of its bays [m]; None not measured."""
    return run.built_m if run.built_m is not None else run.bays_m


def _shallow(sheet: Sheet, post: BuiltPost) -> str:
    show = sheet.measures.inches
    deep, needed = show(post.depth_m or 0.0), show(post.needed_m)
    return sheet("asbuilt.item_shallow", post=sheet.post(post.post), deep=deep, needed=needed)


def _check_name(sheet: Sheet, check: BuiltCheck) -> str:
    """A check by its number and where it is; a whole length has no number of its own."""
    number, where = check.check.removeprefix("check "), check_words(sheet, check)
    return f"{number}, {where}" if number.isdigit() else where


def _failed(sheet: Sheet, check: BuiltCheck) -> str:
    assert check.reads_m is not None
    show, mark = sheet.measures.length, mark_m(sheet.plan.settings)
    off = check.reads_m - expected_on_tape(check.expected_m, mark) * mark
    return sheet(
        "asbuilt.item_failed",
        check=_check_name(sheet, check),
        reads=show(check.reads_m),
        expected=show(check.expected_m),
        by=plus(sheet, off, "longer", "shorter"),
    )


def _gates(sheet: Sheet, names: Mapping[str, str], gates: Sequence[BuiltGate]) -> Iterator[Item]:
    """Openings too narrow, latches too low, and openings that are not as planned though the leaves go in."""
    show, slack = sheet.measures.length, sheet.plan.settings.tolerance_m + _slack(sheet)
    rows = [(about_words(sheet, names, f"gate {gate.gate}"), gate) for gate in gates]

    def item(key: str, gate: str, one: float | None, two: float | None) -> str:
        return sheet(f"asbuilt.item_{key}", gate=gate, one=show(one or 0.0), two=show(two or 0.0))

    yield "gates", [item("gate", name, g.clear_m, g.leaves_m) for name, g in rows if g.fits is False]
    yield "latches", [item("latch", name, g.latch_m, g.latch_planned_m) for name, g in rows if is_low(g)]
    yield (
        "openings",
        [
            f"{name}: {plus(sheet, g.clear_m - g.opening_m, 'wider', 'narrower')}"
            for name, g in rows
            if g.clear_m is not None and g.fits is not False and abs(g.clear_m - g.opening_m) > slack
        ],
    )


def _gap(sheet: Sheet, names: Mapping[str, str], run: BuiltRun) -> str:
    show = sheet.measures.small
    where = about_words(sheet, names, f"run {run.run}")
    if run.gap_at.startswith("bay "):
        where = f"{where}, {about_words(sheet, names, run.gap_at)}"
    return sheet("asbuilt.item_gap", where=where, gap=show(run.gap_m or 0.0), limit=show(run.gap_limit_m))


def _off(sheet: Sheet, run: BuiltRun) -> float:
    """By how much a run is longer than signed, else than planned [m]; 0 within the tolerance, or not measured."""
    built = run_built(run)
    off = 0.0 if built is None else built - (run.planned_m if run.signed_m is None else run.signed_m)
    return off if abs(off) > sheet.plan.settings.tolerance_m + _slack(sheet) else 0.0


def _length(sheet: Sheet, run: BuiltRun) -> str:
    show = sheet.measures.length
    return sheet(
        "asbuilt.item_length" if run.signed_m is None else "asbuilt.item_length_signed",
        run=sheet("asbuilt.about_run", name=short(run.run, 40)),
        built=show(run_built(run) or 0.0),
        against=show(run.planned_m if run.signed_m is None else run.signed_m),
        by=plus(sheet, _off(sheet, run), "longer", "shorter"),
    )


def _slack(sheet: Sheet) -> float:
    """Readings are whole marks, plans are not: half a mark is no difference [m]."""
    return mark_m(sheet.plan.settings) / 2.0 + _HAIR_M
