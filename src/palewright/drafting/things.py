"""The things of a job by their ids, and where each is typed in the job file."""

from __future__ import annotations

import re
from collections.abc import Callable, Container, Mapping

from palewright.model import BoundarySpec, GateSpec, Job, Remark
from palewright.record import Record

__all__ = ["Things", "gate_names", "things_of"]

_TOPIC = {
    "site": "job", "boundary": "boundary", "measurements": "measured", "heights": "heights", "locate": "locate",
    "lot": "lot", "rules": "rules", "holes": "site", "posts": "site", "stakes": "stakes", "ties": "measured",
}  # fmt: skip
"""What remarks speak of that is no single thing, and the key of the job file that it hangs on."""
_ANSWERS = {
    "follows-not-said": "follows", "yard-not-said": "yard", "gate-hinges-not-said": "hinges",
    "gate-swings-not-said": "swings",
}  # fmt: skip
"""Questions that one value answers, and its key in the run or gate that is asked about."""
_ARGS = ("point", "run", "gate", "zone", "building", "corner", "post", "side", "fence")


class Things(Record):
    """Key paths and lines by id, and the other way round; ``sided``: names of runs along sides of the property.

    unsaid
        what of gates nobody has said: "gate side swings", "gate side hinges".
    """

    paths: Mapping[str, str]
    lines: Mapping[str, int]
    topics: Mapping[str, str]
    sided: frozenset[str] = frozenset()
    unsaid: frozenset[str] = frozenset()

    def path(self, about: str) -> str:
        """Where a thing is typed; "" for one that is computed."""
        return self.paths.get(about, "")

    def of_path(self, path: str) -> str:
        """The thing at a key path, or the one that it is a part of; "job" where there is none."""
        while path:
            if path in self.topics:
                return self.topics[path]
            path = re.sub(r"(\.[^.\[\]]*|\[\d+\])$", "", path) if re.search(r"[.\[]", path) else ""
        return "job"

    def of_remark(self, remark: Remark, shown: Container[str]) -> str:
        """The id of the thing that a remark is about, "job" where it is about none.

        shown
            ids of all that is drawn.
        """
        if remark.about in shown or remark.about in self.paths:
            return remark.about
        if f"old fence {remark.about}" in self.paths:
            return f"old fence {remark.about}"
        args = {name: str(value) for name, value in remark.args}
        if remark.about.startswith("string ") and "post" in args and f"post {args['post']}" in shown:
            return f"post {args['post']}"
        bay = f"bay {args.get('start', '')}-{args.get('end', '')}"
        if bay in shown:
            return bay
        for name in _ARGS:
            about = f"{name} {args[name]}" if name in args else ""
            if about in shown or about in self.paths:
                return about
        for names in ("start", "posts"):
            first = args.get(names, "").split(",")[0].strip()
            for kind in ("point", "corner", "post", "bay"):
                if first and f"{kind} {first}" in shown:
                    return f"{kind} {first}"
        return self.of_path(remark.at.path) if remark.at.path else "job"

    def place(self, remark: Remark, about: str, drawn_by: str = "") -> tuple[str, int]:
        """Key path and line to look at for a remark; ``drawn_by``: the key path of what is drawn there."""
        if remark.at.path:
            return remark.at.path, remark.at.line
        path = self.paths.get(about) or drawn_by or _TOPIC.get(remark.about, "")
        return path, self.lines.get(about) or self.lines.get(self.topics.get(path, ""), 0)

    def answer(self, remark: Remark) -> str:
        """Key path of the value that answers a question, or of the table that does; "" where neither is one."""
        if remark.slug in ("frost-not-given", "locate-not-entered"):
            return "site.frost" if remark.slug == "frost-not-given" else "locate"
        if remark.slug in ("good-side-not-said", "fabric-side-not-said"):
            path, key = self.path(remark.about), "good side"
        else:
            path, key = remark.at.path, _ANSWERS.get(remark.slug, "")
        return f"{path}.{key}" if path and key else ""


def gate_names(job: Job) -> dict[str, tuple[int, int]]:
    """Names of the gates as the plan has them, each with the numbers of its run and of the gate in it."""
    return {
        gate.name or f"{run.name} gate {k + 1}": (r, k)
        for r, run in enumerate(job.runs)
        for k, gate in enumerate(run.gates)
    }


def things_of(job: Job) -> Things:
    """Every thing of a job that has a place in its file."""
    rows: dict[str, tuple[str, int]] = {}
    unsaid: set[str] = set()

    def put(about: str, path: str, line: int) -> None:
        if path:
            rows.setdefault(about, (path, line))

    for point in job.points:
        put(f"point {point.name}", point.at.path, point.at.line)
    for walk in job.walks:
        for k, name in enumerate(walk.names):
            goes = [step for step in walk.steps if step.length_m is not None]
            at = goes[k].at if k < len(goes) else walk.at
            if name:
                put(f"point {name}", at.path, at.line)
    if job.boundary is not None:
        _boundary(job.boundary, put)
    for k, run in enumerate(job.runs):
        put(f"run {run.name}", run.at.path or f"runs[{k}]", run.at.line)
        for n, name in enumerate(run.call):
            if name:
                put(f"point {name}", f"runs[{k}].call[{n}]", run.at.line)
    for name, (r, k) in gate_names(job).items():
        gate = job.runs[r].gates[k]
        put(f"gate {name}", gate.at.path, gate.at.line)
        unsaid |= {f"gate {name} {what}" for what, open_ in _unsaid(gate) if open_}
    for zone in job.zones:
        put(f"zone {zone.name}", zone.at.path, zone.at.line)
    walls = [refs for _, refs in job.buildings if refs and refs[0].at.path.startswith("walls[")]
    for k, refs in enumerate(walls):
        put(f"wall {k}", refs[0].at.path.partition(".")[0], refs[0].at.line)
    for name, refs in job.buildings:
        if refs not in walls:
            put(f"building {name}", f"buildings.{name}", refs[0].at.line if refs else 0)
    for old in job.removals:
        put(f"old fence {old.name}", old.at.path, old.at.line)
    for fence in job.fences:
        put(f"fence {fence.name}", fence.at.path, fence.at.line)
    for k, m in enumerate(job.measured, 1):
        put(f"tape {k}", m.at.path, m.at.line)
    paths = {about: path for about, (path, _) in rows.items()}
    lines = {about: line for about, (_, line) in rows.items()}
    topics = {path: about for about, path in reversed(paths.items())}
    return Things(paths, lines, topics, frozenset(run.name for run in job.runs if run.sides), frozenset(unsaid))


def _unsaid(gate: GateSpec) -> tuple[tuple[str, bool], ...]:
    return (("swings", not gate.swings), ("hinges", not gate.hinges and gate.leaves != 2))


def _boundary(spec: BoundarySpec, put: Callable[[str, str, int], None]) -> None:
    put("boundary", spec.at.path or "boundary", spec.at.line)
    for k, call in enumerate(spec.calls, 1):
        put(f"side {k}", call.at.path, call.at.line)
    for k, ref in enumerate(spec.through, 1):
        put(f"side {k}", ref.at.path, ref.at.line)
    for corner in spec.corners:
        put(f"corner {corner.name}", corner.at.path, corner.at.line)
    for name in spec.names:
        put(f"corner {name}", spec.at.path or "boundary", spec.at.line)
