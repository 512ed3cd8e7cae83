"""What a screen shows while something is dragged: only runs that changed are laid out and drawn again.

A job of which this is not possible (ground that is known, rules, few runs) is laid out as a whole. The result is what
laying out the whole job gives; tests compare them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from palewright.drafting.measured import tape_lines
from palewright.drafting.notices import notices_of
from palewright.drafting.pieces import Piece, Pieces, RunParts, parts_of_runs
from palewright.drafting.seeing import Frame, frame_of, items_round, shown_laid
from palewright.drafting.sight_records import Item, Notice
from palewright.drafting.speech import Speech, settings_of
from palewright.drafting.things import things_of
from palewright.layout import lay_out
from palewright.layout.again import Again
from palewright.layout.apart import Apart, meet, places_of
from palewright.layout.bays import MOST_BAYS
from palewright.model import Design, Job, Kind, Post, Remark, Site, Zone
from palewright.plan.engine import Fences, Laid, lay_job
from palewright.plane import XY
from palewright.record import other

__all__ = ["Quick", "Seen", "Stood"]

_LABEL = re.compile(r"W?\d+")
_LABELLED = frozenset({"post", "posts", "start", "end"})
_FEW = 2
"""With fewer groups of runs than this a job is laid out as a whole."""

Numbers = tuple[tuple[int, int], ...]


class Seen(NamedTuple):
    """A job as a screen shows it, in parts."""

    frame: Frame
    pieces: tuple[Piece, ...]
    said: tuple[Notice, ...]


class Stood(NamedTuple):
    """Where everything of a job stands: what is drawn under, of the site, and over its runs; the runs of each group.

    What is as it was stands in the same lists.
    """

    around: tuple[tuple[Item, ...], ...]
    groups: tuple[list[RunParts], ...]


class _Group(NamedTuple):
    """Runs laid out by themselves: what was asked, what came of it, and of each run how many posts and brackets.

    quiet
        nothing is said of them.
    """

    asked: Any
    quiet: bool
    design: Design
    counts: Numbers


class _Numbered:
    """A group with the labels that its posts have in the whole job; ``first``: the numbers of the first of each run."""

    def __init__(self, group: _Group, first: Numbers) -> None:
        self.group, self.first = group, first
        self.design = _numbered(group, first)
        self.parts = parts_of_runs(self.design)
        self.seen: tuple[tuple[Piece, ...], tuple[Notice, ...]] | None = None


class Quick:
    """Lays out and draws jobs that differ in few things, one after the other."""

    def __init__(self, job: Job, language: str) -> None:
        self.speech, self.things = Speech(settings_of(job), language), things_of(job)
        self._pieces = Pieces(self.things, self.speech)
        self._apart = Apart()
        self._fences: Fences | None = None
        self._context: Any = None
        self._groups: dict[tuple[int, ...], list[_Group]] = {}
        self._again: dict[tuple[int, ...], tuple[Any, Again]] = {}
        self._numbered: dict[tuple[int, ...], list[_Numbered]] = {}
        self._asked: list[tuple[tuple[int, ...], _Group]] | None = None
        self._quiet = False

    def seen(self, job: Job) -> Seen:
        """The job laid out and drawn; raises JobError as :func:`palewright.plan.engine.lay_job` does."""
        laid = self._laid(job, quiet=False)
        frame = frame_of(shown_laid(laid, job), job, self.things, self.speech)
        paths = {item.id: item.path for item in frame.items}
        common = (*frame.remarks, *laid.design.remarks)
        if self._asked is None:
            pieces, said = self._see(parts_of_runs(laid.design), common, laid, paths)
            return Seen(frame, pieces, said)
        found = list(notices_of(common, self.things, paths, self.speech))
        by_run: dict[int, Piece] = {}
        for (runs, _), one in zip(self._asked, self._labelled(), strict=True):
            one.seen = one.seen or self._see(one.parts, one.design.remarks, laid, paths)
            by_run |= dict(zip(runs, one.seen[0], strict=True))
            found += one.seen[1]
        return Seen(frame, tuple(by_run[k] for k in range(len(by_run))), tuple(found))

    def stood(self, job: Job) -> Stood:
        """Where everything of the job stands: laid out, and nothing said of it. Raises as :meth:`seen` does."""
        laid = self._laid(job, quiet=True)
        tapes = tape_lines(job, laid.site, self.speech)
        around = items_round(laid, job, self.things, self.speech, tapes)
        if self._asked is None:
            return Stood(around, (parts_of_runs(laid.design),))
        return Stood(around, tuple(one.parts for one in self._labelled()))

    def _laid(self, job: Job, quiet: bool) -> Laid:
        self._quiet = quiet
        laid = lay_job(job, self._lay, self._fences)
        self._fences = laid.fences
        return laid

    def _see(
        self, parts: Sequence[RunParts], remarks: Sequence[Remark], laid: Laid, paths: Mapping[str, str]
    ) -> tuple[tuple[Piece, ...], tuple[Notice, ...]]:
        """Some runs as a screen shows them, and what is said."""
        pieces = self._pieces.of(parts, laid.kinds)
        shown = dict(paths) | {item.id: item.path for piece in pieces for item in piece.items}
        return pieces, tuple(notices_of(remarks, self.things, shown, self.speech))

    # laying out

    def _lay(self, job: Job, site: Site, kinds: Mapping[str, Kind], embed: Any, *given: Any) -> Design:
        """As :func:`palewright.layout.lay_out`; of runs that are far apart only what is said of all of them."""
        self._asked = None
        if given or job.rules is not None:
            return lay_out(job, site, kinds, embed, *given)
        context = (site.ring, site.buildings, site.removals, site.heights, job.falls, job.fences, job.site, job.stakes)
        if context != self._context:
            self._context, self._groups, self._again = context, {}, {}
        groups = self._apart.groups(job, site) if len(job.runs) >= _FEW else []
        if len(groups) < _FEW:
            return lay_out(job, site, kinds, embed, again=self._legs((), site.zones))
        places = {point.name: point.xy for point in site.points}
        found = [(runs, self._group(job, site, kinds, embed, runs, places)) for runs in groups]
        if sum(len(group.design.bays) for _, group in found) > MOST_BAYS // 2:
            return lay_out(job, site, kinds, embed)
        self._asked = found
        return Design((), (), (), (), ())

    def _group(
        self, job: Job, site: Site, kinds: Mapping[str, Kind], embed: Any, runs: tuple[int, ...],
        places: Mapping[str, XY],
    ) -> _Group:  # fmt: skip
        specs = tuple(job.runs[k] for k in runs)
        near = tuple(zone for zone in site.zones if any(_reaches(zone, self._apart.boxes[k]) for k in runs))
        asked = (specs, places_of(specs, places), near)
        known = self._groups.setdefault(runs, [])
        for group in known:
            if group.asked == asked and (self._quiet or not group.quiet):
                return group
        design = lay_out(other(job, runs=specs), site, kinds, embed, again=self._legs(runs, near))
        group = _Group(asked, self._quiet, design, _counts(design))
        known[1:] = [group]
        return group

    def _legs(self, runs: tuple[int, ...], near: tuple[Zone, ...]) -> Again:
        """The legs of a group as they came out last, where the ground to be kept clear is as it was."""
        before, again = self._again.get(runs, (None, None))
        if again is None or before != near:
            again = Again()
            self._again[runs] = (near, again)
        again.quiet = self._quiet
        return again

    def _labelled(self) -> list[_Numbered]:
        """Every group with the labels that its posts have in the whole job."""
        assert self._asked is not None
        by_run: dict[int, tuple[int, int]] = {}
        for runs, group in self._asked:
            by_run |= dict(zip(runs, group.counts, strict=True))
        first, posts, brackets = {}, 0, 0
        for run in sorted(by_run):
            first[run] = (posts, brackets)
            posts, brackets = posts + by_run[run][0], brackets + by_run[run][1]
        return [self._one(runs, group, tuple(first[run] for run in runs)) for runs, group in self._asked]

    def _one(self, runs: tuple[int, ...], group: _Group, first: Numbers) -> _Numbered:
        known = self._numbered.setdefault(runs, [])
        for one in known:
            if one.group is group and one.first == first:
                return one
        one = _Numbered(group, first)
        known[1:] = [one]
        return one


def _reaches(zone: Zone, box: tuple[float, float, float, float]) -> bool:
    xs, ys, room = [x for x, _ in zone.points], [y for _, y in zone.points], zone.half_m
    return meet((min(xs) - room, min(ys) - room, max(xs) + room, max(ys) + room), box)


def _counts(design: Design) -> Numbers:
    """Of every run the posts and brackets that are numbered in it."""
    found = {run.name: [0, 0] for run in design.runs}
    for post in design.posts:
        found[post.places[0][0]][0 if post.number else 1] += 1
    return tuple((posts, brackets) for posts, brackets in found.values())


def _numbered(group: _Group, first: Numbers) -> Design:
    """The design of a group with the labels that its posts have in the whole job."""
    own = [0, 0]
    for counts, starts in zip(group.counts, first, strict=True):
        if starts != (own[0], own[1]):
            break
        own = [own[0] + counts[0], own[1] + counts[1]]
    else:
        return group.design
    names: dict[str, str] = {}
    own = [0, 0]
    for counts, starts in zip(group.counts, first, strict=True):
        for k, lead in ((0, ""), (1, "W")):
            for n in range(counts[k]):
                names[f"{lead}{own[k] + n + 1}"] = f"{lead}{starts[k] + n + 1}"
            own[k] += counts[k]
    return _renamed(group.design, names)


def _renamed(design: Design, names: Mapping[str, str]) -> Design:
    def put(labels: Iterable[str]) -> tuple[str, ...]:
        return tuple(names[label] for label in labels)

    return other(
        design,
        posts=tuple(_post(post, names[post.label]) for post in design.posts),
        bays=tuple(other(bay, start=names[bay.start], end=names[bay.end]) for bay in design.bays),
        legs=tuple(other(leg, posts=put(leg.posts)) for leg in design.legs),
        gates=tuple(
            other(
                gate, posts=(names[gate.posts[0]], names[gate.posts[1]]), hinge=put(gate.hinge), latch=put(gate.latch)
            )
            for gate in design.gates
        ),
        remarks=tuple(_remark(remark, names) for remark in design.remarks),
    )


def _post(post: Post, label: str) -> Post:
    return other(post, label=label, number=int(label) if post.number else 0)


def _remark(remark: Remark, names: Mapping[str, str]) -> Remark:
    def put(text: str) -> str:
        return _LABEL.sub(lambda match: names.get(match[0], match[0]), text)

    about = "post " + put(remark.about[5:]) if remark.about.startswith("post ") else remark.about
    args = tuple(
        (name, put(value) if name in _LABELLED and isinstance(value, str) else value) for name, value in remark.args
    )
    return other(remark, about=about, args=args)
