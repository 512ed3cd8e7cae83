"""The job file on the drawing table: its text, what it says, and where everything stands; read anew after each edit."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from copy import copy
from pathlib import Path
from typing import NamedTuple

from palewright.drafting.naming import known_names, new_letters, uses_of
from palewright.drafting.seeing import read_job
from palewright.drafting.taped import exact_text, finer_text, length_text, mark_m
from palewright.drafting.things import gate_names
from palewright.drafting.words import text as words
from palewright.errors import Problem, ProblemError, Where
from palewright.jobfile import Document
from palewright.jobfile.trees import parts_of
from palewright.jobfile.writing import Plain
from palewright.model import Job, Plan, RunSpec, Site
from palewright.notation import parse_length

__all__ = ["ORDER", "Desk", "refuse"]

XY = tuple[float, float]

ORDER = (
    "palewright", "job", "boundary", "points", "walls", "walks", "buildings", "measured", "tapes", "levels", "fences",
    "runs", "remove", "clear of", "heights", "lot", "locate", "site", "stakes", "rules", "agreements", "prices",
)  # fmt: skip
"""The sections of a job file in the order in which a person writes them."""
_KEYS = {
    "fences": (
        "kind", "kind file", "board", "panel", "fabric", "top of rails", "bottom gap", "longest bay", "shortest bay",
        "rails", "good side", "post", "hole", "gate",
    ),
    "runs": (
        "name", "fence", "sides", "through", "begins abreast of", "ends abreast of", "call", "closed", "yard",
        "inside boundary", "follows", "steps", "bays", "ends", "gates", "given bays",
    ),
    "gates": ("name", "opening", "leaf", "starts", "centre", "at", "leaves", "hinges", "swings"),
    "heights": ("string", "falls", "from", "to", "even", "drops"),
    "measured": ("tape", "square", "reads", "with", "by"),
    "clear of": ("name", "through", "at", "closed", "width", "each side", "inside it", "utility"),
    "points": ("at", "found", "matches record"),
    "boundary": ("start", "calls", "deed", "through", "names", "corners", "yards", "record"),
    "corners": (
        "found", "what", "size", "cap", "stamp", "matches record", "stands off", "rests on", "who", "when", "record",
    ),
}  # fmt: skip
"""The keys of a table in the order in which a person writes them, by the section or list that it stands in."""
_LINES = {"fences": 2, "runs": 2, "boundary": 1, "points": 1, "job": 1, "buildings": 1}
"""How many levels of a section stand in lines, where it is not a list."""
_SAME_M = 0.004


def refuse(slug: str, what: str, found: str = "", hint: str = "", path: str = "") -> ProblemError:
    """An edit that cannot be done, and what to change instead."""
    return ProblemError(Problem(slug, what, Where(path=path), found=found, hint=hint))


class _Units(NamedTuple):
    """The unit of bare numbers and the foot of a job, how it prints, feet in its foot, marks in an inch."""

    unit: str
    foot: str
    style: str
    feet: float
    steps: int


class Desk:
    """One job while edits are made to it; ``said``: what was done beside what was asked; ``made``: new things."""

    def __init__(self, text: str, folder: Path | None, language: str = "en") -> None:
        self.document = Document(text)
        self.folder = folder
        self.language = language
        self.said: list[str] = []
        self.made: list[str] = []
        self._job: Job | None = None
        self._site: Site | None = None
        self._plan: Plan | None = None
        self._written: _Units | None = None
        self._lengths: dict[str, float] = {}

    def with_job(self, job: Job) -> Desk:
        """The same file, and a job that was changed without it."""
        other = copy(self)
        other._job, other._site, other._plan = job, None, None
        return other

    # what the file says

    @property
    def job(self) -> Job:
        """The job as it now stands; raises JobError."""
        if self._job is None:
            self._job = read_job(self.document.dump(), self.folder)
        return self._job

    @property
    def site(self) -> Site:
        """Where everything stands; raises JobError."""
        if self._site is None:
            from palewright.plan.site import build_site

            self._site = build_site(self.job)
        return self._site

    @property
    def plan(self) -> Plan:
        """The whole plan; raises JobError."""
        if self._plan is None:
            from palewright.plan import make_plan

            self._plan = make_plan(self.job, search_cuts=False)
        return self._plan

    def read(self, text: str) -> float:
        """A length as the job file means it [m]; raises NotationError."""
        found = self._lengths.get(text)
        if found is None:
            found = float(parse_length(text, unit=self._units.unit, foot=self._units.foot, signed=True).m)
            self._lengths[text] = found
        return found

    @property
    def _units(self) -> _Units:
        """How lengths are written in the job file."""
        if self._written is None:
            unit, foot, printed = (str(self.document.get(f"job.{key}") or "") for key in ("unit", "foot", "print"))
            foot = foot if foot == "survey" else "international"
            style = printed if printed in ("metric", "decimal-feet") else "feet-inches"
            feet = float(parse_length("1 ft", foot=foot).m) / 0.3048 if style != "metric" else 1.0
            steps = 16 if str(self.document.get(["job", "round to"]) or "").startswith("1/16") else 8
            self._written = _Units(unit, foot, style, feet, steps)
        return self._written

    def length(self, m: float, steps: int = 0) -> str:
        """A length [m] as it would be typed in this job: to the mark of its tape, or to so many parts of an inch."""
        return length_text(m / self._units.feet, self._units.style, steps or self._units.steps)

    @property
    def mark(self) -> float:
        """The mark of the tape to which this job writes lengths [m]."""
        return mark_m(self._units.style, self._units.steps) * self._units.feet

    def finer(self, m: float) -> str:
        """The same, finer than a tape can be read."""
        return finer_text(m / self._units.feet, self._units.style)

    def beside(self, m: float, steps: int) -> list[str]:
        """Lengths in inches and so many parts of an inch round a length [m]; [] where the job prints none."""
        style, feet = self._units.style, self._units.feet
        if style != "feet-inches":
            return []
        first = math.floor(m / feet / 0.0254 * steps) - 1
        return [length_text((first + k) * 0.0254 / steps, style, steps) for k in range(4)]

    def coordinate(self, m: float, before: str = "", exact: bool = False) -> str:
        """A coordinate [m] as it would be typed; the text that stood ``before`` stays where it says the same.

        exact
            it fell on something: where no mark of the tape lies there, it is written finer.
        """
        units = self._units
        text = exact_text(m / units.feet, units.style, units.steps) if exact else self.length(m)
        try:
            return before if before and abs(self.read(before) - self.read(text)) < 1e-9 else text
        except ProblemError:
            return text

    def say(self, key: str, **args: object) -> None:
        """Tell what was done beside what was asked."""
        self.said.append(words(f"said.{key}", self.language, **args))

    def places(self) -> dict[str, XY]:
        """Every named point that has a place."""
        try:
            return {point.name: point.xy for point in self.site.points}
        except ProblemError:
            return {point.name: point.xy for point in self.job.points if point.xy is not None}

    def corners(self) -> tuple[str, ...]:
        """Names of the corners of the property, "corner 2" where none is typed."""
        try:
            return self.job.boundary.names if self.job.boundary is not None else ()
        except ProblemError:
            return ()

    def run(self, name: str) -> tuple[int, RunSpec]:
        """A run and its number."""
        for k, run in enumerate(self.job.runs):
            if run.name == name:
                return k, run
        raise self.unknown(f"run {name}", [f"run {run.name}" for run in self.job.runs])

    def gate(self, about: str) -> tuple[int, int]:
        """The numbers of the run of a gate and of the gate in it."""
        known = gate_names(self.job)
        name = about.removeprefix("gate ")
        if name not in known:
            raise self.unknown(about, [f"gate {name}" for name in known])
        return known[name]

    def unknown(self, about: str, known: Sequence[str]) -> ProblemError:
        """There is no such thing."""
        from palewright.jobfile.reading import nearest

        close = nearest(about, known)
        return refuse(
            "no-such-thing", "the job has nothing of this name", about, f"did you mean `{close}`?" if close else ""
        )

    # changing it

    def changed(self) -> None:
        """The text is another now."""
        self._job = self._site = self._plan = self._written = None
        self._lengths = {}

    def set(self, path: str | Sequence[str | int], value: Plain) -> None:
        """A value at a key path; a new key stands where a person would write it."""
        parts = parts_of(path)
        if self.document.get(parts) is not None or isinstance(parts[-1], int):
            self.document.set(parts, value)
        elif len(parts) == 1 or self.document.get(parts[:1]) is None:
            held = value
            for part in reversed(parts[1:]):
                held = {part: held} if isinstance(part, str) else [held]
            flat = isinstance(held, Mapping) and not any(isinstance(v, Mapping | list) for v in held.values())
            first = str(parts[0])
            self.insert([first], held, _LINES.get(first, 0 if flat else 1))
        elif self.document.get(parts[:-1]) is None:
            self.document.set(parts, value)
        else:
            self._new_key(parts, str(parts[-1]), value)
        self.changed()

    def _new_key(self, parts: list[str | int], key: str, value: Plain) -> None:
        """A key that a table does not have yet."""
        within = next((str(part) for part in reversed(parts[:-1]) if str(part) in _KEYS), "")
        known = _KEYS.get(within, ())
        later = known[known.index(key) + 1 :] if key in known else ()
        if key not in known and within == "fences":
            later = ("good side", "post", "hole", "gate")
        self.document.insert(parts, value, levels=int(key in ("ends", "gates", "given bays", "corners")), before=later)

    def insert(self, path: str | Sequence[str | int], value: Plain, levels: int = 0) -> None:
        """A new entry; a new section of the file stands where a person would put it."""
        parts = [path] if isinstance(path, str) else list(path)
        first = str(parts[0])
        if self.document.get([first]) is None and first in ORDER:
            later = ORDER[ORDER.index(first) + 1 :]
            if len(parts) == 1:
                self.document.insert(parts, value, levels=levels, before=later)
            else:
                held: Plain = [value] if isinstance(parts[1], int) else {str(parts[1]): value}
                if self.document.get([first]) is None and first in _keys(self.document):
                    self.document.remove([first])
                self.document.insert([first], held, levels=levels + 1, before=later)
        else:
            self.document.insert(parts, value, levels=levels)
        self.changed()

    def append(self, section: str, value: Plain, levels: int = 0) -> int:
        """One more item at the end of a list; its number."""
        held = self.document.get([section])
        count = len(held) if isinstance(held, Sequence) and not isinstance(held, str) else 0
        if held is not None and not count:
            self.document.remove([section])
        self.insert([section, count], value, levels)
        return count

    def remove(self, path: str | Sequence[str | int]) -> None:
        """An entry goes; a list or table that would stay empty goes with it."""
        parts = parts_of(path)
        while len(parts) > 1:
            holder = self.document.get(parts[:-1])
            if isinstance(holder, str) or holder is None or len(holder) > 1:  # type: ignore[arg-type]
                break
            parts = parts[:-1]
        self.document.remove(parts)
        self.changed()

    # new points

    def ref(self, spot: str | XY, exact: bool = False) -> Plain:
        """A point as a list of points names it: its name, or its coordinates; ``exact``: of a place that it fell on."""
        if isinstance(spot, str):
            known = known_names(self.document.get([]))
            if spot not in known and spot not in (known := known | set(self.corners())):
                raise self.unknown(f"point {spot}", [f"point {name}" for name in known])
            return spot
        near = self.named_near(spot)
        return near if near else [self.coordinate(value, exact=exact) for value in spot]

    def named_near(self, spot: XY, but: str = "") -> str:
        """The named point at a place, another one than ``but``; "" where there is none."""
        places = self.places().items()
        best = min(((math.dist(xy, spot), name) for name, xy in places if name != but), default=(math.inf, ""))
        return best[1] if best[0] <= _SAME_M else ""

    def points_for(self, spots: Sequence[str | XY], exact: bool = False) -> list[str]:
        """Names for places: of what stands there already, else of new points that are made for them."""
        refs = [self.ref(spot, exact) for spot in spots]
        loose = [ref for ref in refs if not isinstance(ref, str)]
        if not loose:
            return [str(ref) for ref in refs]
        self.hold_frame()
        taken = known_names(self.document.get([])) | {use.name for use in uses_of(self.document.get([]), "point")}
        letters = iter(new_letters(taken, len(loose)))
        names = []
        for ref in refs:
            if isinstance(ref, str):
                names.append(ref)
                continue
            name = next(letters)
            self.insert(["points", name], {"at": ref})
            self.made.append(f"point {name}")
            names.append(name)
        return names

    def hold_frame(self) -> None:
        """Give the frame of a job without coordinates its coordinates, so that what is drawn stays where it is."""
        try:
            remarks = {remark.slug: dict(remark.args) for remark in self.site.remarks}
        except ProblemError:
            return
        at = self.places()
        if "frame-from-base-line" in remarks:
            args = remarks["frame-from-base-line"]
            names = [str(args["origin"]), str(args["toward"])]
        elif "frame-from-corner" in remarks:
            names = [str(remarks["frame-from-corner"]["corner"])]
        elif "frame-from-point" in remarks:
            names = [str(remarks["frame-from-point"]["origin"])]
        else:
            return
        for name in names:
            value = [self.coordinate(c) for c in at[name]]
            if "frame-from-corner" in remarks and self.document.get(["boundary", "start"]) is None:
                self.set(["boundary", "start"], value)  # its calls begin at a corner that has no name of its own
            elif self.document.get(["points", name]) is not None:
                self.document.insert(["points", name, "at"], value)
                self.changed()
            else:
                self.insert(["points", name], {"at": value})
        self.say("frame", names=", ".join(names))


def _keys(document: Document) -> list[str]:
    tree = document.get([])
    return list(tree) if isinstance(tree, dict) else []


def checked_length(desk: Desk, text: str, path: str = "") -> float:
    """A typed length [m]; raises ProblemError where it is none, or not more than 0."""
    found = desk.read(text)
    if found <= 0.0:
        raise refuse("edit-unusable", "a length larger than 0 is expected", text, path=path)
    return found
