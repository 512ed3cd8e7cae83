"""The pack of a day in the yard: everything that a phone shows and compares, in words, with nothing left to compute."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from palewright.asbuilt import Mover, bay_about, check_ids, expected_on_tape, gap_limit, mark_m, place_text, to_post
from palewright.model import Bay, CornerCheck, Gate, Mark, Plan, Post, StringLine, Tie
from palewright.papers.checks import tape_long
from palewright.papers.clean import short
from palewright.papers.crew import gate_words, order_words, trouble_words
from palewright.papers.names import in_language
from palewright.papers.sheet import Sheet, locate_block
from palewright.papers.strings import face_note, hole_rows, string_page
from palewright.papers.yard_moves import bay_ranges, moved_table, signs
from palewright.papers.yard_rows import built_rows, check_rows, depth_rows, offset_rows, units, up_to_rows
from palewright.papers.yard_wire import wire_gates, wire_pack, wire_runs

__all__ = ["yard_pack"]

PACK_VERSION = 1


def yard_pack(plan: Plan, language: str = "en") -> dict[str, Any]:
    """What a phone needs for a day without signal, as plain JSON values.

    language
        "en" or "es"; lengths as the job prints them. Objects carry the name under which entries are made (``about``),
        the same in every language. Tables hold whole marks of the tape: ``docs/as-built.md`` describes every key.
    """
    shown = in_language(replace(plan, settings=replace(plan.settings, language=language)))
    sheet, mover = Sheet.of(shown), Mover(shown)
    return {
        "pack": PACK_VERSION,
        "title": str(shown.settings.title),
        "language": sheet.language,
        "units": units(sheet),
        "tolerance": sheet("common.tolerance", tolerance=sheet.measures.small(shown.settings.tolerance_m)),
        "locate": _locate(sheet),
        "flags": sheet.flags(),
        "notes": list(shown.settings.notes),
        "order": order_words(sheet),
        "trouble": trouble_words(sheet),
        "cautions": [sheet(f"crew.caution_{name}", away="") for name in ("survey", "code")],
        "strings": [_string(sheet, string) for string in shown.stakeout.strings],
        "holes": _holes(sheet, mover),
        "checks": [_check(sheet, name, check) for name, check in check_ids(shown.stakeout)],
        "bays": [_bay(sheet, mover, bay) for bay in shown.design.bays if bay.kind != "gate"],
        "gates": [
            *(_gate(sheet, mover, old, new) for old, new in zip(plan.design.gates, shown.design.gates, strict=True)),
            *wire_gates(sheet),
        ],
        "runs": [*_runs(sheet, plan), *wire_runs(sheet)],
        **wire_pack(sheet),
    }


def _locate(sheet: Sheet) -> dict[str, Any]:
    block, typed = locate_block(sheet), sheet.plan.locate.typed
    lines = [f"{cell['label']}: {cell['value'] or sheet('yard.not_entered')}" for cell in block["cells"]]
    return {
        "entered": block["entered"],
        "head": block["head"],
        "dig": block["entered"],
        "ticket": typed.ticket,
        "called_on": typed.called_on,
        "legal_from": typed.legal_from,
        "expires": typed.expires,
        "lines": [*lines, *([block["missing"]] if block["missing"] else [])],
        "members": [
            f"{one['name']}: {one['answer'] or sheet('yard.no_answer')}" for one in block["members"] if one["name"]
        ],
        "said": [sheet("yard.private_said", what=name) for name in block["private"][: block["said"]]],
        "private_head": sheet("yard.private_head"),
        "private": block["private"][block["said"] :],
        "never": sheet("yard.never_clear"),
    }


# ---------------------------------------------------------------- strings and holes


def _string(sheet: Sheet, string: StringLine) -> dict[str, Any]:
    page = string_page(sheet, string)
    lines = [page["side"], *(stake["text"] for stake in page["stakes"]), page["sighted"]]
    lines += [*page["slope"], *(note["text"] for note in page["notes"]), *page["arc"].values()]
    return {
        "about": f"string {string.name}",
        "name": string.name,
        "title": page["name"],
        "posts": page["posts"],
        "run": page["run"],
        "lines": [line for line in lines if isinstance(line, str) and line],
        "zero": page["zero"],
        "offset": page["centre"],
        "face": page["face"],
        "holes": [f"post {mark.post}" for mark in string.marks],
    }


def _holes(sheet: Sheet, mover: Mover) -> list[dict[str, Any]]:
    """Every hole once, in the order of the strings; what a further string of it reads is under ``others``."""
    found: dict[str, dict[str, Any]] = {}
    for string in sheet.plan.stakeout.strings:
        rezero = ""
        for row in hole_rows(sheet, string):
            if row["kind"] == "rezero":
                rezero = row["text"]
                continue
            post = mover.posts[row["post"]]
            if post.hole is not None and row["post"] in found:
                found[row["post"]]["others"].append(_on_string(sheet, mover, post, row, rezero, string.name))
            elif post.hole is not None:
                found[row["post"]] = _hole(sheet, mover, post, row, rezero)
            rezero = ""
    return list(found.values())


def _hole(sheet: Sheet, mover: Mover, post: Post, row: dict[str, Any], rezero: str) -> dict[str, Any]:
    on = mover.on(post.label)
    assert on is not None
    assert post.hole is not None
    depth, depth_row = depth_rows(sheet, post.hole.depth_m)
    onward, back = (
        sheet("yard.toward", post=sheet.post(label)) if label else sheet("common.toward_end")
        for label in (on.onward, on.back)
    )
    move = row["move"]
    return _on_string(sheet, mover, post, row, rezero, on.string.name) | {
        "about": f"post {post.label}",
        "place": place_text(post.xy),
        "label": post.label,
        "title": sheet.post(post.label),
        "role": row["role"],
        "others": [],
        "also": row["also"],
        "hole": row["hole"],
        "post": row["what"],
        "dig": row["dig"],
        "wait": "" if sheet.plan.locate.entered else sheet("yard.wait"),
        "hand": row["hand"],
        "near": row["near"],
        "fixed": len(move) == 1 and move[0]["big"] == sheet("crew.fixed"),
        "move": move,
        "plus": onward,
        "minus": back,
        "depth": {"text": sheet.measures.inches(post.hole.depth_m), "ticks": depth, "rows": depth_row},
        "moved": moved_table(sheet, mover, post, onward, back) | {"rock": _rock(sheet, move)},
    }


def _on_string(sheet: Sheet, mover: Mover, post: Post, row: dict[str, Any], rezero: str, string: str) -> dict[str, Any]:
    """What the tape along one string reads at a post, and how far its face stands from that string."""
    on = mover.on(post.label, string)
    assert on is not None
    face = to_post(on.string, on.mark)
    offset, rows = offset_rows(sheet, face)
    return {
        "string": f"string {string}",
        "reads": row["reads"],
        "ticks": expected_on_tape(_reads_m(on.mark), mark_m(sheet.plan.settings)),
        "from_zero": row["from_zero"],
        "rezero": rezero,
        "gap": row["gap"],
        "gap_note": row["gap_note"],
        "off": row["off"],
        "face_note": face_note(sheet, on.string, on.mark),
        "offset": {"text": sheet.measures.length(face), "ticks": offset, "rows": rows},
    }


def _reads_m(mark: Mark) -> float:
    return mark.from_rezero_m if mark.rezero else mark.reads_m


def _rock(sheet: Sheet, move: list[dict[str, str]]) -> list[str]:
    """What to do at a rock, for this hole."""
    rooms = [", ".join(filter(None, (one["big"], one["small"]))) for one in move]
    stays = len(move) == 1
    may = sheet("yard.rock_stay") if stays else sheet("yard.rock_move", move="; ".join(rooms))
    return [sheet("yard.rock_dig"), may, sheet("crew.trouble_offline")]


# ---------------------------------------------------------------- checks, bays, gates, runs


def _check(sheet: Sheet, name: str, check: Tie | CornerCheck) -> dict[str, Any]:
    ticks, rows = check_rows(sheet, check)
    show = sheet.measures
    number = name.removeprefix("check ")
    if isinstance(check, CornerCheck):
        one, two = (short(string, 40) for string in check.strings)
        legs = [show.length(leg) for leg in check.legs_m]
        title = sheet("crew.corner_at", post=check.post)
        do = sheet("crew.corner_do", one=one, two=two, one_leg=legs[0], two_leg=legs[1])
        expect, stage, long = check.diagonal_m, "square", ""
    else:
        labels = {post.label for post in sheet.plan.design.posts}
        start, end = (sheet.post(at) if at in labels else short(at, 40) for at in (check.start, check.end))
        title = f"{start} – {end}"
        do = sheet("yard.tape_between", start=start, end=end)
        expect, stage, long = check.length_m, "find" if check.why == "tie" else "proof", tape_long(sheet, check, start)
    known = ""
    if check.known_m is not None and check.most_off_m is not None and check.known_m > check.tolerance_m:
        most = show.tolerance(check.most_off_m)
        known = sheet("crew.known_only", known=show.tolerance(check.known_m), most=most)
    return {
        "about": name,
        "place": place_text((expect,)),
        "number": number,
        "stage": stage,
        "title": title,
        "do": do,
        "long": long,
        "expect": show.length(expect),
        "ticks": ticks,
        "tolerance": sheet("common.tolerance", tolerance=show.tolerance(check.tolerance_m)),
        "known": known,
        "rows": rows,
    }


def _bay(sheet: Sheet, mover: Mover, bay: Bay) -> dict[str, Any]:
    panel = mover.limits[bay.number].panel
    along, away = signs(mover, (bay.start, bay.end))
    return {
        "about": bay_about(bay),
        "place": place_text((*mover.posts[bay.start].xy, *mover.posts[bay.end].xy)),
        "title": sheet("yard.bay", bay=f"{bay.start}-{bay.end}"),
        "length": sheet.measures.length(bay.length_m),
        "length_ticks": expected_on_tape(bay.length_m, mark_m(sheet.plan.settings)),
        "clear": sheet.measures.length(bay.clear_m),
        "clear_ticks": expected_on_tape(bay.clear_m, mark_m(sheet.plan.settings)),
        "kind": bay.kind,
        "cut": panel,
        "panel": sheet("yard.panel_cut" if panel == "panel" else "yard.rails_cut"),
        "ends": [f"post {label}" for label in (bay.start, bay.end)],
        "signs": along,
        "away": away,
        "ranges": bay_ranges(sheet, mover, bay),
    }


def _gate(sheet: Sheet, mover: Mover, gate: Gate, shown: Gate) -> dict[str, Any]:
    words = gate_words(sheet, shown)
    along, away = signs(mover, gate.posts)
    leaves = gate.leaf_m * gate.leaves
    mark = mark_m(sheet.plan.settings)
    last, rows = up_to_rows(sheet, leaves, "", "")
    narrow = sheet("yard.gate_narrow", leaf=sheet.measures.length(leaves))
    planned = round(gate.opening_m / mark)
    slack = max(1, int(sheet.plan.settings.tolerance_m / mark + 1e-6))
    off = sheet("yard.gate_other", opening=sheet.measures.length(gate.opening_m))
    rows = [
        {"from": rows[0]["from"], "to": last, "ok": False, "say": narrow},
        {"from": last + 1, "to": planned - slack - 1, "ok": False, "say": off},
        {"from": max(planned - slack, last + 1), "to": planned + slack, "ok": True, "say": sheet("yard.gate_good")},
        {"from": planned + slack + 1, "to": rows[1]["to"], "ok": False, "say": off},
    ]
    return {
        "about": f"gate {gate.name}",
        "title": words["name"],
        "between": words["between"],
        "opening": words["opening"],
        "ends": [f"post {label}" for label in gate.posts],
        "signs": along,
        "away": away,
        "leaf": f"{words['leaf_label']} {words['leaf']}",
        "lines": words["lines"],
        "clear": {
            "text": words["opening"],
            "ticks": planned,
            "rows": [row for row in rows if row["from"] <= row["to"]],
        },
        "latch": _latch(sheet, gate),
    }


def _latch(sheet: Sheet, gate: Gate) -> dict[str, Any]:
    findings = sheet.plan.permit.findings if sheet.plan.permit is not None else ()
    least = [
        float(one.required)
        for one in findings
        if one.measure == "latch" and one.run == gate.run and isinstance(one.required, int | float)
    ]
    if not least:
        return {"text": "", "ticks": None, "rows": []}
    height = max(least)
    ticks = -int(-height / mark_m(sheet.plan.settings) + 1e-6)
    low = sheet("yard.latch_low", height=sheet.measures.up(height))
    rows = [
        {"from": -(10**9), "to": ticks - 1, "ok": False, "say": low},
        {"from": ticks, "to": 10**9, "ok": True, "say": sheet("yard.latch_good")},
    ]
    return {"text": sheet.measures.up(height), "ticks": ticks, "rows": rows}


def _runs(sheet: Sheet, plan: Plan) -> list[dict[str, Any]]:
    signed = dict(plan.settings.signed)
    show = sheet.measures
    rows = []
    for run in plan.design.runs:
        limit, _ = gap_limit(plan, run)
        within = sheet("yard.gap_good", limit=show.small(limit))
        ticks, gap = up_to_rows(sheet, limit, within, sheet("yard.gap_wide", limit=show.small(limit)))
        rows.append(
            {
                "about": f"run {run.name}",
                "title": sheet("crew.string_run", run=short(run.name, 40)),
                "length": show.length(run.length_m),
                "signed": show.length(signed[run.name]) if run.name in signed else "",
                "built": built_rows(sheet, run.length_m, signed.get(run.name)),
                "gap": {"text": show.small(limit), "ticks": ticks, "rows": gap},
            }
        )
    return rows
