"""From the tables that were read to the records of fences and runs."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise, zip_longest
from typing import Any

from palewright.errors import Where
from palewright.jobfile.boundary import NO_REF
from palewright.jobfile.names import Names, listed
from palewright.jobfile.reading import Reading, Table, Word, nearest
from palewright.jobfile.site import SiteParts, unique
from palewright.model import EndSpec, FenceSpec, GateSpec, GivenBay, InsetSpec, PointRef, RunSpec, StepSpec, StretchSpec

__all__ = ["build_fences", "build_runs"]


def build_fences(top: Table) -> tuple[FenceSpec, ...]:
    """The fences of a job; their values are judged where the kinds are known."""
    fences = []
    for word, table in top.get("fences", []):
        if not isinstance(table, Table) or not table.ok:
            continue
        values: list[tuple[str, Any, Where]] = table.get("*", [])
        fences.append(
            FenceSpec(word.text, table.get("kind"), tuple((key, value) for key, value, _ in values),
                      "ask" if table.asked("good side") else table.get("good side", ""),
                      table.get("kind file", ""), word.at,
                      (("kind", table.place("kind")), *((key, at) for key, _, at in values)))
        )  # fmt: skip
    return tuple(fences)


class _Runs:
    """Builds runs; gate names are counted over the job."""

    def __init__(self, rd: Reading, top: Table, names: Names, parts: SiteParts) -> None:
        self.rd, self.names, self.parts = rd, names, parts
        self.fences = [word.text for word, _ in top.get("fences", [])]
        self.strings = top.get("job").get("strings", "yard") if isinstance(top.get("job"), Table) else "yard"
        self.gate_names: dict[str, Where] = {}
        self.gates = 0

    def run(self, table: Table) -> RunSpec | None:
        """One run, or None when something in it was wrong."""
        rd = self.rd
        self._fence(table)
        through: list[PointRef] = list(table.get("through", []))
        for ref in through:
            self.names.use(ref.name, ref.at)
        sides, closed = self._way(table, through)
        begins, finishes, call = self._along(table, sides)
        points = self._points(table, through, sides, closed)
        if call:
            points = [name or own for name, own in zip_longest(call, points, fillvalue="")]
        ends = self._ends(table, points)
        gates = tuple(gate for item in table.get("gates", []) if (gate := self._gate(item, points, closed)) is not None)
        named = self._gate_names(table, gates)
        given = tuple(
            bay for item in table.get("given bays", []) if (bay := self._given(item, points, named)) is not None
        )
        stretches = tuple(
            part for item in table.get("stretches", []) if (part := self._stretch(item, points)) is not None
        )
        divide = self._divide(table, points)
        inset = self._inset(table)
        if sides and not table.typed("inside boundary"):
            rd.wrong_at("missing-key", "a run along sides says how far inside it stands", table.place("sides"),
                        hint="add `inside boundary: {face: 8 in}`")  # fmt: skip
            table.ok = False
        if not table.ok:
            return None
        return RunSpec(
            table.get("name").text, table.get("fence").text, tuple(through), sides, closed, inset,
            table.get("yard", ""), table.get("follows", ""), divide, ends, gates, given, table.get("shortest bay"),
            table.get("strings", self.strings), table.at, begins, finishes, tuple(call),
            self._steps(table), self._breaks(table, points), stretches,
            table.get("signed"),
        )  # fmt: skip

    def _steps(self, table: Table) -> StepSpec | None:
        if not table.has("steps"):
            return None
        steps: Table = table.get("steps")
        found = StepSpec(steps.get("smallest", 0.0), steps.get("largest"), steps.get("in", 0.0),
                         bool(steps.get("equal", False)))  # fmt: skip
        if found.largest_m is not None and found.largest_m < found.smallest_m:
            self.rd.wrong_at("steps-turned-round", "the largest step is smaller than the smallest", steps.at)
            table.ok = False
        return found

    def _stretch(self, table: Table, points: list[str]) -> StretchSpec | None:
        """Part of a run that follows the ground in its own way; None after reporting."""
        places = [table.get(key) for key in ("from", "to")]
        good = [self._on_run(place[1], points) for place in places if place is not None]
        if not table.ok or not all(good):
            return None
        start, end = ((length, word.text) for length, word in places)
        return StretchSpec(start, end, table.get("follows"), table.at, self._steps(table))

    def _breaks(self, table: Table, points: list[str]) -> tuple[str, ...]:
        """Points at which a level top may change."""
        refs = table.get("top changes at", [])
        known = [self._on_run(ref, points) for ref in refs]
        if not all(known):
            table.ok = False
        return tuple(ref.name if isinstance(ref, PointRef) else ref.text for ref in refs)

    def _fence(self, table: Table) -> None:
        word = table.get("fence")
        if not isinstance(word, Word) or word.text in self.fences:
            return
        close = nearest(word.text, self.fences)
        hint = f"did you mean `{close}`?" if close else "define it under `fences`"
        self.rd.wrong_at("unknown-fence", "no fence has this name", word.at, found=word.text,
                         allowed=listed(self.fences), hint=hint)  # fmt: skip
        table.ok = False

    def _way(self, table: Table, through: list[PointRef]) -> tuple[tuple[int, ...], bool]:
        """Sides and whether the run is closed."""
        rd = self.rd
        closed = bool(table.get("closed", False))
        if table.typed("through") == table.typed("sides"):
            both = table.typed("sides")
            rd.wrong_at("run-way", "a run is given in one way", table.at, found="both" if both else "neither",
                        allowed="through, or sides")  # fmt: skip
            table.ok = False
            return (), closed
        if table.has("sides"):
            return self._sides(table, closed)
        if len(through) > 2 and through[0].name and through[0].name == through[-1].name:
            through.pop()
            closed = True
        if closed and 0 < len(through) < 3:
            rd.wrong_at("wrong-number", "a closed run has three points or more", table.place("through"),
                        found=str(len(through)))  # fmt: skip
            table.ok = False
        for before, after in pairwise(through):
            if (before.name, before.xy) == (after.name, after.xy):
                rd.wrong_at("same-point", "this point stands here twice in a row", after.at,
                            found=after.name or "the same coordinates")  # fmt: skip
                table.ok = False
        return (), closed

    def _sides(self, table: Table, closed: bool) -> tuple[tuple[int, ...], bool]:
        rd, count = self.rd, len(self.parts.corner_names)
        if not count:
            rd.wrong_at("boundary-missing", "a run along sides needs a boundary", table.place("sides"),
                        hint="add `boundary:`, or give the run by `through`")  # fmt: skip
            table.ok = False
            return (), closed
        typed = table.get("sides")
        if typed == "all":
            return tuple(range(1, count + 1)), True
        for side in typed:
            if side > count:
                rd.wrong_at("unknown-side", "the boundary has no side of this number", table.place("sides"),
                            found=str(side), allowed=f"1 to {count}")  # fmt: skip
                table.ok = False
                return (), closed
        onward = [after == before % count + 1 for before, after in pairwise(typed)]
        back = [before == after % count + 1 for before, after in pairwise(typed)]
        for k, (before, after) in enumerate(pairwise(typed)):
            if not (all(onward[: k + 1]) or all(back[: k + 1])):
                up, down = before % count + 1, (before - 2) % count + 1
                rd.wrong_at("sides-not-in-order", "sides of a run follow one another around the boundary",
                            table.place("sides"), found=f"{before}, then {after}",
                            allowed=f"{before}, then {up}; or the other way round, {before}, then {down}",
                            hint="keep one way round; make two runs of sides that do not meet")  # fmt: skip
                table.ok = False
                return (), closed
        if len(typed) > count or (closed and len(typed) != count):
            rd.wrong_at("sides-not-in-order", "a closed run follows every side once", table.place("sides"),
                        found=f"{len(typed)} sides", allowed=f"{count} sides", hint="write `sides: all`")  # fmt: skip
            table.ok = False
        return tuple(typed), closed or len(typed) == count

    def _along(self, table: Table, sides: tuple[int, ...]) -> tuple[PointRef | None, PointRef | None, list[str]]:
        """Where a run along sides begins and ends, and the names that it calls out."""
        keys = ("begins abreast of", "ends abreast of", "call")
        if not sides:
            for key in keys:
                if table.typed(key) and table.typed("through"):
                    self.rd.wrong_at("run-way", f"`{key}` goes with `sides`", table.place(key))
                    table.ok = False
            return None, None, []
        refs: list[PointRef | None] = []
        for key in keys[:2]:
            ref = table.get(key)
            refs.append(ref)
            if ref is not None:
                self.names.use(ref.name, ref.at)
        words: list[Word] = table.get("call", []) or []
        name = table.get("name")
        caller = f"run {name.text}" if isinstance(name, Word) else "a run"
        for word in words:
            if word.text and not self.names.define(word.text, f"called out by {caller}", word.at):
                table.ok = False
        return refs[0], refs[1], [word.text for word in words]

    def _points(self, table: Table, through: list[PointRef], sides: tuple[int, ...], closed: bool) -> list[str]:
        """Names along the run in order; "" for coordinates."""
        corners = self.parts.corner_names
        if not sides:
            return [ref.name for ref in through]
        if len(sides) > 1 and sides[0] == sides[1] % len(corners) + 1:
            points = [corners[side % len(corners)] for side in sides]
            return points if closed else [*points, corners[sides[-1] - 1]]
        points = [corners[side - 1] for side in sides]
        return points if closed else [*points, corners[sides[-1] % len(corners)]]

    def _on_run(self, ref: PointRef | Word, points: list[str], gates: Sequence[str] = ()) -> bool:
        """True when the point is one of the run's; False after a report. gates: names that would do as well."""
        name = ref.name if isinstance(ref, PointRef) else ref.text
        known = [point for point in points if point]
        if name in known or not known:
            if not known and name:
                self.names.use(name, ref.at)
            return True
        self.names.stray(name, ref.at, known, gates)
        return False

    def _ends(self, table: Table, points: list[str]) -> tuple[EndSpec, ...]:
        ends = []
        for word, item in table.get("ends", []):
            if not self._on_run(word, points):
                table.ok = False
            elif points and word.text not in (points[0], points[-1]):
                self.rd.wrong_at("not-an-end", "this is not an end of the run", word.at, found=word.text,
                                 allowed=listed([name for name in (points[0], points[-1]) if name]))  # fmt: skip
                table.ok = False
            elif isinstance(item, Table) and item.ok:
                how, clear = item.get("at wall")
                ends.append(EndSpec(word.text, how, clear, word.at))
            else:
                table.ok = False
        return tuple(ends)

    def _gate(self, table: Table, points: list[str], closed: bool) -> GateSpec | None:
        rd = self.rd
        self.gates += 1
        unique(rd, table.get("name"), self.gate_names, "gates")
        word = table.get("name")
        name = word.text if isinstance(word, Word) else f"gate {self.gates}"
        if not table.typed("opening") and not table.typed("leaf"):
            rd.wrong_at("missing-key", "a gate has an opening or a leaf", table.at, hint="add `opening: 4 ft`")
            table.ok = False
        ways = [key for key in ("starts", "centre", "at") if table.typed(key)]
        if len(ways) != 1:
            rd.wrong_at("gate-place", "a gate says once where it is", table.at, found=" and ".join(ways) or "nothing",
                        allowed="starts, centre or at", hint="for instance `starts: 22 ft from B`")  # fmt: skip
            return None
        place = table.get(ways[0])
        if place is None:
            return None
        starts, point = (0.0, place) if isinstance(place, PointRef) else place
        start_name = point.name if isinstance(point, PointRef) else point.text
        hinges = self._hinges(table, start_name, points, closed)
        if not self._on_run(point, points) or not table.ok:
            return None
        return GateSpec(
            name, table.get("opening"), table.get("leaf"), starts, start_name,
            "centre" if ways[0] == "centre" else "start", hinges, table.get("swings", ""), table.get("leaves", 1),
            table.get("opens", 1.5707963267948966), table.at, table.get("uphill", ""),
            table.get("what", "").removeprefix("gate"),
        )  # fmt: skip

    def _hinges(self, table: Table, start: str, points: list[str], closed: bool) -> str:
        """ "near" or "far" as seen from the point that places the gate."""
        typed = table.get("hinges")
        if typed is None:
            return ""
        word, other = typed
        if other is None or other.text == start:
            return str(word)
        if not self._on_run(other, points):
            table.ok = False
            return ""
        if start not in points or other.text not in points:
            return str(word)
        here, there = points.index(start), points.index(other.text)
        onward = closed or here < len(points) - 1
        ahead = (there > here or (closed and there == 0)) if onward else there < here
        near = (word == "near") != ahead
        return "near" if near else "far"

    @staticmethod
    def _gate_names(table: Table, gates: tuple[GateSpec, ...]) -> list[str]:
        """Names of the gates of a run, those in which something was wrong among them."""
        typed = [word.text for item in table.get("gates", []) if isinstance(word := item.get("name"), Word)]
        return [*typed, *(gate.name for gate in gates if gate.name not in typed)]

    def _given(self, table: Table, points: list[str], gates: list[str]) -> GivenBay | None:
        """Bays of a given length; they start at a point of the run or at one of its gates."""
        at, toward = table.get("at", NO_REF), table.get("toward", NO_REF)
        good = [self._on_run(toward, points)] if toward.name else []
        if at.name and at.name not in gates:
            good.append(self._on_run(at, points, gates))
        if not table.ok or not all(good):
            return None
        return GivenBay(at.name, table.get("bay"), table.get("count", 1), toward.name, table.get("why", ""), table.at)

    def _divide(self, table: Table, points: list[str]) -> str:
        divide = str(table.get("bays", ""))
        short = table.get("short bay at")
        if short is None:
            return divide
        if table.typed("bays"):
            self.rd.wrong_at("bays-way", "`short bay at` already says how the bays are divided",
                             table.place("short bay at"), hint="take `bays` out")  # fmt: skip
            table.ok = False
            return divide
        if not self._on_run(short, points):
            table.ok = False
            return divide
        if points and short.name == points[0]:
            return "short first"
        if points and short.name == points[-1]:
            return "short last"
        ends = [name for name in (points[0], points[-1]) if name] if points else []
        self.rd.wrong_at("not-an-end", "the short bay stands at an end of the run", short.at, found=short.name,
                         allowed=listed(ends))  # fmt: skip
        table.ok = False
        return divide

    def _inset(self, table: Table) -> InsetSpec | None:
        inset = table.get("inside boundary")
        if not isinstance(inset, Table):
            return None
        given = [key for key in ("face", "post", "footing") if inset.typed(key)]
        if len(given) != 1:
            self.rd.wrong_at("inset-way", "the distance inside the boundary is to one thing", inset.at,
                             found=" and ".join(given) or "nothing", allowed="face, post or footing")  # fmt: skip
            table.ok = False
            return None
        if not self.parts.corner_names:
            self.rd.wrong_at("boundary-missing", "there is no boundary to stand inside of", inset.at,
                             hint="add `boundary:`, or take `inside boundary` out")  # fmt: skip
            table.ok = False
        distance = inset.get(given[0])
        return None if distance is None else InsetSpec(given[0], distance, inset.at)


def build_runs(rd: Reading, top: Table, names: Names, parts: SiteParts) -> tuple[RunSpec, ...]:
    """The runs of a job, with their references checked."""
    builder = _Runs(rd, top, names, parts)
    seen: dict[str, Where] = {}
    runs = []
    for table in top.get("runs", []):
        unique(rd, table.get("name"), seen, "runs")
        run = builder.run(table)
        if run is not None:
            runs.append(run)
    return tuple(runs)
