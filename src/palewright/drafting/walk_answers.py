"""What the answers of a walk make of the job file: each gives the edits of its question."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from palewright.drafting import edits
from palewright.drafting.desk import refuse
from palewright.drafting.walk_job import WalkJob
from palewright.jobfile.writing import Plain

__all__ = ["ANSWERS", "Given"]

_TALL = {"boards": "board", "panels": "panel", "chain-link": "fabric"}

Given = Mapping[str, str]
"""Values of the blanks of a question by their keys, and ``answer``."""


def _needed(given: Given, *keys: str) -> list[str]:
    missing = [key for key in keys if not given.get(key)]
    if missing:
        raise refuse("answer-unusable", "an answer is needed", ", ".join(missing))
    return [given[key] for key in keys]


def _house_answer(job: WalkJob, given: Given) -> list[edits.Edit]:
    left, right, length = _needed(given, "left", "right", "length")
    return [edits.Wall(left, right, length, given.get("tool", ""))]


def _side_answer(job: WalkJob, given: Given) -> list[edits.Edit]:
    point, a, b = _needed(given, "point", "a", "b")
    side = "right of" if given.get("answer") == "right" else "left of"
    if job.document.get("points") is None:
        return [edits.SetValue("points", {point: {side: [a, b]}})]
    return [edits.SetValue(f"points.{point}", {side: [a, b]})]


def _begin_answer(job: WalkJob, given: Given) -> list[edits.Edit]:
    start, length, name = _needed(given, "start", "length", "name")
    wall = job.rows("walls")[0]
    other = str(wall.get("to") if str(wall.get("from")) == start else wall.get("from"))
    return [edits.Walk(start, (length,), (name,), along=other)]


def _on_answer(job: WalkJob, given: Given) -> list[edits.Edit]:
    walks, answer = job.rows("walks"), given.get("answer")
    index = len(walks) - 1
    called = [name for name in job.names(["walks", index, "call"]) if name != "_"]
    start, other = str(walks[index].get("from")), str(walks[index].get("along") or walks[index].get("toward"))
    if answer == "done":
        return [*_run(job, [start, *called]), *_open(job)]
    if answer == "back":
        length = given.get("length")
        taped: list[edits.Edit] = [edits.Tape((called[-1], other), length, given.get("tool", ""))] if length else []
        return [*taped, *_run(job, [start, *called, other]), *_open(job)]
    turn, length, name = _needed(given, "turn", "length", "name")
    step = f"{turn} {given['angle']}" if given.get("angle") else turn
    return [edits.WalkOn((step, length), (name,), index)]


def _run(job: WalkJob, points: Sequence[str]) -> list[edits.Edit]:
    return [edits.DrawRun(tuple(points), name=job.say("run_name"))]


def _open(job: WalkJob) -> list[edits.Edit]:
    """What nobody has asked yet stands in the file as open."""
    found: list[edits.Edit] = []
    if job.document.get("locate") is None:
        ask = dict.fromkeys(("ticket", "called on", "legal from", "expires"), "ask")
        found.append(edits.SetValue("locate", ask))
    if job.document.get("site") is None:
        found.append(edits.SetValue("site", dict.fromkeys(("frost", "soil", "wind", "exposure"), "ask")))
    return found


def _fence_answer(job: WalkJob, given: Given) -> list[edits.Edit]:
    fence, kind = _needed(given, "fence", "kind")
    path = f"fences.{fence}"
    return [
        edits.SetValue(f"{path}.kind", kind),
        edits.SetValue(f"{path}.{_TALL.get(kind, 'board')}", given.get("tall") or "ask"),
        edits.SetValue(f"{path}.good side", given.get("good") or "ask"),
    ]


def _yard_answer(job: WalkJob, given: Given) -> list[edits.Edit]:
    run, side = _needed(given, "run", "answer")
    return [edits.SetValue(f"runs[{int(run)}].yard", side)]


def _ends_answer(job: WalkJob, given: Given) -> list[edits.Edit]:
    run, end, how = _needed(given, "run", "end", "answer")
    path, held = f"runs[{int(run)}].ends", job.document.get(["runs", int(run), "ends"])
    rows: dict[str, Plain] = dict(held) if isinstance(held, Mapping) else {}
    before: list[edits.Edit] = [edits.RemoveKey(path)] if rows else []
    return [*before, edits.SetValue(path, rows | {end: {"at wall": how}})]


def _gate_answer(job: WalkJob, given: Given) -> list[edits.Edit]:
    if given.get("answer") == "none":
        return [edits.SetValue("runs[0].gates", [])]
    opening, point, starts = _needed(given, "opening", "point", "starts")
    row = {"name": job.say("gate_name"), "opening": opening, "starts": f"{starts} from {point}", "hinges": "ask"}
    return [edits.SetValue("runs[0].gates", [row | {"swings": given.get("swings") or "ask"}])]


def _tape_answer(job: WalkJob, given: Given) -> list[edits.Edit]:
    a, b, reads = _needed(given, "a", "b", "reads")
    return [edits.Tape((a, b), reads, given.get("tool", ""))]


ANSWERS: dict[str, Callable[[WalkJob, Given], list[edits.Edit]]] = {
    "house": _house_answer, "side": _side_answer, "begin": _begin_answer, "on": _on_answer, "fence": _fence_answer,
    "yard": _yard_answer, "ends": _ends_answer, "gate": _gate_answer, "tape": _tape_answer,
}  # fmt: skip
