"""The as-built sheet as data: what was planned, what was built, what is open; a record of the crew, no survey."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from palewright.errors import OutputError, Problem
from palewright.model import AsBuilt, BuiltCheck, BuiltGate, BuiltPost, BuiltRun, Plan, YardSaid, YardState
from palewright.papers.asbuilt_bays import bay_rows, bays_open
from palewright.papers.asbuilt_open import (
    about_words,
    check_words,
    field_words,
    is_low,
    is_over,
    is_wide,
    nearest,
    open_lines,
    over_words,
    plus,
    run_built,
)
from palewright.papers.asbuilt_photos import pictures_of
from palewright.papers.asbuilt_wire import wire_lines
from palewright.papers.clean import short
from palewright.papers.names import in_language
from palewright.papers.sheet import Sheet
from palewright.papers.words import has, table

__all__ = ["asbuilt_data", "asbuilt_pdf"]

_TWO_SIDES_95 = 1.96
"""Standard deviations within which 95 of 100 errors lie, to both sides (normal distribution)."""

_WAYS = {
    "moved.along_m": ("on", "back"),
    "measured.back_m": ("on", "back"),
    "measured.aside_m": ("away", "near"),
}
"""Differences by the words for more and for less."""


def asbuilt_data(plan: Plan, built: AsBuilt, cautions: Sequence[Problem] = ()) -> dict[str, Any]:
    """Everything that the as-built sheet prints, as plain data, in the language of the plan.

    cautions
        of the file of entries, as :func:`palewright.exchange.read_entries` returns them.
    """
    shown = in_language(plan)
    sheet = Sheet.of(shown)
    names = _names(plan, shown) | {one.check: _check_name(sheet, one) for one in built.checks}
    return sheet.head("asbuilt.document") | {
        "w": table("asbuilt", sheet.language),
        "open": open_lines(sheet, names, built, cautions),
        "conflicts": [_conflict(sheet, names, state) for state in built.conflicts],
        "posts": [_post(sheet, post) for post in built.posts],
        "lined": any(post.planned_line is not None for post in built.posts),
        "known": sheet("asbuilt.line_note") if any(post.line is not None for post in built.posts) else "",
        "bays": bay_rows(sheet, built),
        "bays_open": bays_open(sheet, built),
        "gates": [_gate(sheet, names, gate) for gate in built.gates],
        "runs": [_run(sheet, names, run) for run in built.runs],
        "checks": [_check(sheet, check) for check in built.checks],
        "wire": wire_lines(sheet, built),
        "photos": _photos(sheet, names, built),
        "notes": [
            {
                "about": about_words(sheet, names, note.about, note.elsewhere),
                "text": short(note.text, 400),
                "by": _by(note.who, note.made),
            }
            for note in built.notes
        ],
        "ticket": _ticket(sheet, built),
        "signed": short(built.signed, 60),
        "signed_on": built.signed_on[:16].replace("T", " ") if built.signed else "",
        "cautions": [sheet(f"asbuilt.caution_{name}") for name in ("record", "line", "ground", "code")],
    }


def asbuilt_pdf(
    plan: Plan, built: AsBuilt, photos: Mapping[str, bytes] | None = None, cautions: Sequence[Problem] = ()
) -> bytes:
    """The PDF/UA bytes of the as-built sheet.

    photos
        pictures by their id, JPEG or PNG; others, spoilt and very large ones, are listed without a print.
    Raises OutputError when it cannot be set.
    """
    from palewright.papers.write import set_paper

    data = asbuilt_data(plan, built, cautions)
    photos = photos or {}
    signature = {name: picture for name, picture in photos.items() if name == built.signature}
    signed = next(iter(pictures_of(signature, (400, 100)).values()), "")
    pictures = pictures_of(photos)
    try:
        return set_paper("asbuilt", data, {"pictures": pictures, "signature": signed})
    except OutputError:
        if not (pictures or signed):
            raise
    return set_paper("asbuilt", data, {"pictures": {}, "signature": ""})  # no picture may cost the owner the sheet


def _names(plan: Plan, shown: Plan) -> dict[str, str]:
    """What entries are about where the sheet calls it otherwise."""
    return {f"gate {old.name}": new.name for old, new in zip(plan.design.gates, shown.design.gates, strict=True)}


def _check_name(sheet: Sheet, check: BuiltCheck) -> str:
    return f"{check.check.removeprefix('check ')} ({check_words(sheet, check)})"


def _by(who: str, made: str) -> str:
    """Who said it and what the clock of the device showed: "crew lead, 2026-05-04 08:12"."""
    return ", ".join(filter(None, (short(who, 30), made[:16].replace("T", " "))))


# ---------------------------------------------------------------- entries that disagree


def _conflict(sheet: Sheet, names: Mapping[str, str], state: YardState) -> dict[str, Any]:
    field = state.field.partition("@")[0]
    return {
        "about": about_words(sheet, names, state.about),
        "what": field_words(sheet, state.field),
        "said": [
            f"{_value(sheet, field, one)} ({_by(one.who, one.made)}, {short(one.by or one.device, 60)})"
            for one in state.said
        ],
    }


def _value(sheet: Sheet, field: str, said: YardSaid) -> str:
    value = said.value
    if value is None:
        return sheet("asbuilt.taken_back")
    if isinstance(value, bool):
        return sheet("asbuilt.yes" if value else "asbuilt.no")
    if isinstance(value, str):
        return sheet(f"asbuilt.why_{value}") if has(f"asbuilt.why_{value}") else short(value, 60)
    if field == "measured.depth_m":
        return sheet.measures.inches(value)
    ways = _WAYS.get(field)
    return plus(sheet, value, *ways) if ways else sheet.measures.small(value)


# ---------------------------------------------------------------- posts


def _post(sheet: Sheet, post: BuiltPost) -> dict[str, Any]:
    show = sheet.measures
    disputed = {field.partition("@")[0] for field in post.disputed}
    none = sheet("asbuilt.not_measured")

    def cell(value: str, *fields: str) -> str:
        return sheet("asbuilt.disputed") if disputed & set(fields) else value

    along = aside = deep = none
    reads = face = ""
    moved = _moved(sheet, post)
    if post.along_m is not None:
        same = moved and abs(post.along_m - (post.moved_m or 0.0)) < 1e-5
        along = "" if same else plus(sheet, post.along_m, "on", "back")
        reads = show.length(post.planned_m + post.along_m)
    if post.aside_m is not None:
        aside, face = plus(sheet, post.aside_m, "away", "near"), show.length(post.offset_m + post.aside_m)
    if post.depth_m is not None:
        deep = show.inches(post.depth_m)
    return {
        "post": post.post,
        "done": post.done,
        "string": post.string,
        "planned": show.length(post.planned_m) if post.string else "",
        "reads": reads,
        "along": cell(along, "measured.back_m", "moved.along_m"),
        "face": show.length(post.offset_m) if post.string else "",
        "face_built": face,
        "aside": cell(aside, "measured.offset_m", "measured.aside_m"),
        "needed": show.inches(post.needed_m),
        "deep": cell(deep, "measured.depth_m"),
        "shallow": post.deep_enough is False,
        "line_planned": show.small(nearest(post.planned_line)) if post.planned_line is not None else "",
        "line": _line(sheet, post, cell(none, "measured.offset_m")),
        "over": post.line is not None and is_over(post.line),
        "moved": moved,
    }


def _line(sheet: Sheet, post: BuiltPost, none: str) -> list[str]:
    """Distance to the line as built, its plus-minus or why there is none."""
    if post.planned_line is None:
        return []
    if post.line is None:
        return [none]
    show = sheet.measures
    far = nearest(post.line)
    said = show.small(far) if far >= 0.0 else sheet("asbuilt.over_by", by=show.small(-far))
    known = "±?" if post.line.sigma_m is None else "± " + show.up(_TWO_SIDES_95 * post.line.sigma_m)
    if far >= 0.0 and is_over(post.line):
        known = f"{known}, {over_words(sheet, post.line)}"
    return [said, known]


def _moved(sheet: Sheet, post: BuiltPost) -> str:
    if post.moved_m is None:
        return ""
    why = sheet(f"asbuilt.why_{post.why}") if post.why else sheet("asbuilt.why_other")
    return sheet("asbuilt.moved", by=plus(sheet, post.moved_m, "on", "back"), why=why)


# ---------------------------------------------------------------- gates, runs, checks


def _gate(sheet: Sheet, names: Mapping[str, str], gate: BuiltGate) -> dict[str, Any]:
    show, none = sheet.measures, sheet("asbuilt.not_measured")
    fits = ""
    if gate.fits is not None:
        leaves = show.length(gate.leaves_m)
        fits = sheet("asbuilt.leaves_fit" if gate.fits else "asbuilt.leaves_not", leaves=leaves)
    return {
        "gate": short(names.get(f"gate {gate.gate}", gate.gate), 40),
        "posts": "-".join(gate.posts),
        "planned": show.length(gate.opening_m),
        "clear": none if gate.clear_m is None else show.length(gate.clear_m),
        "by": "" if gate.clear_m is None else plus(sheet, gate.clear_m - gate.opening_m, "wider", "narrower"),
        "fits": fits,
        "bad": gate.fits is False,
        "latch_planned": sheet("asbuilt.latch_none")
        if gate.latch_planned_m is None
        else show.length(gate.latch_planned_m),
        "latch": none if gate.latch_m is None else show.length(gate.latch_m),
        "low": is_low(gate),
    }


def _run(sheet: Sheet, names: Mapping[str, str], run: BuiltRun) -> dict[str, Any]:
    show, none = sheet.measures, sheet("asbuilt.not_measured")
    against = run.planned_m if run.signed_m is None else run.signed_m
    built = run_built(run)
    gap = ""
    if run.gap_m is not None:
        gap = show.small(run.gap_m) + (
            f" ({about_words(sheet, names, run.gap_at)})" if run.gap_at.startswith("bay") else ""
        )
    limit = sheet(f"asbuilt.limit_{run.limit_by}", limit=show.small(run.gap_limit_m)) if run.limit_by else ""
    return {
        "run": short(run.run, 40),
        "planned": show.length(run.planned_m),
        "against": show.length(against),
        "against_what": sheet("asbuilt.col_planned" if run.signed_m is None else "asbuilt.col_signed"),
        "signed": sheet("asbuilt.signed_none") if run.signed_m is None else show.length(run.signed_m),
        "built": none if built is None else show.length(built),
        "how": "" if built is None else sheet("asbuilt.taped" if run.built_m is not None else "asbuilt.summed"),
        "by": "" if built is None else plus(sheet, built - against, "longer", "shorter"),
        "gap": gap or none,
        "limit": limit,
        "wide": is_wide(run),
    }


def _check(sheet: Sheet, check: BuiltCheck) -> dict[str, Any]:
    show = sheet.measures
    return {
        "number": check.check.removeprefix("check "),
        "what": check_words(sheet, check),
        "expected": show.length(check.expected_m),
        "tolerance": sheet("common.tolerance", tolerance=show.tolerance(check.tolerance_m)),
        "reads": "" if check.reads_m is None else show.length(check.reads_m),
        "tries": ", ".join(show.length(tried) for tried in check.tries_m),
        "verdict": sheet(f"asbuilt.check_{check.verdict or 'open'}"),
        "bad": check.verdict == "failed",
    }


# ---------------------------------------------------------------- photos, ticket


def _photos(sheet: Sheet, names: Mapping[str, str], built: AsBuilt) -> list[dict[str, str]]:
    return [
        {
            "number": str(k),
            "id": photo.photo,
            "about": about_words(sheet, names, photo.about, photo.elsewhere),
            "shows": short(photo.shows, 120),
            "by": _by(photo.who, photo.made),
        }
        for k, photo in enumerate(built.photos, 1)
    ]


def _ticket(sheet: Sheet, built: AsBuilt) -> str:
    number = built.ticket or sheet.plan.locate.typed.ticket
    key = "closed" if built.ticket_closed else "open" if built.ticket_closed is False else "unsaid"
    return sheet(f"asbuilt.ticket_{key}", number=short(number, 40) or sheet("asbuilt.ticket_none"))
