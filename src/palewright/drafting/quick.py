"""What a screen shows while something is dragged: only runs that changed are laid out and drawn again.

A job of which this is not possible (ground that is known, rules, few runs) is laid out as a whole. The result is what
laying out the whole job gives; tests compare them.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any, NamedTuple

from palewright.drafting.notices import notices_of
from palewright.drafting.pieces import Piece, Pieces
from palewright.drafting.seeing import Frame, frame_of, shown_laid
from palewright.drafting.sight_records import Notice
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

__all__ = ["Quick", "Seen"]

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


class _Group(NamedTuple):
    """Runs laid out by themselves: what was asked, what came of it, and of each run how many posts and brackets."""

    asked: Any
    design: Design
    counts: Numbers


class _Drawn(NamedTuple):
    """A group with the numbers that its first posts have in the whole job, drawn."""

    group: _Group
    first: Numbers
    quiet: bool
    pieces: tuple[Piece, ...]
    said: tuple[Notice, ...]


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
        self._drawn: dict[tuple[int, ...], list[_Drawn]] = {}
        self._asked: list[tuple[tuple[int, ...], _Group]] | None = None

    def seen(self, job: Job, quiet: bool = False) -> Seen:
        """The job laid out and drawn; raises JobError as :func:`palewright.plan.engine.lay_job` does.

        quiet
            nothing is said of posts, holes and bays.
        """
        self.speech.quiet = quiet
        laid = lay_job(job, self._lay, self._fences)
        self._fences = laid.fences
        frame = frame_of(shown_laid(laid, job), job, self.things, self.speech)
        paths = {item.id: item.path for item in frame.items}
        if self._asked is None:
            pieces = self._pieces.of(laid.design, laid.kinds)
            paths |= {item.id: item.path for piece in pieces for item in piece.items}
            said = notices_of((*frame.remarks, *laid.design.remarks), self.things, paths, self.speech)
            return Seen(frame, pieces, tuple(said))
        drawn = self._draw(laid, paths)
        common = notices_of((*frame.remarks, *laid.design.remarks), self.things, paths, self.speech)
        by_run = {run: piece for (runs, _), one in zip(self._asked, drawn, strict=True)
                  for run, piece in zip(runs, one.pieces, strict=True)}  # fmt: skip
        pieces = tuple(by_run[k] for k in range(len(by_run)))
        return Seen(frame, pieces, (*common, *itertools.chain.from_iterable(one.said for one in drawn)))

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
            if group.asked == asked:
                return group
        design = lay_out(replace(job, runs=specs), site, kinds, embed, again=self._legs(runs, near))
        group = _Group(asked, design, _counts(design))
        known[1:] = [group]
        return group

    def _legs(self, runs: tuple[int, ...], near: tuple[Zone, ...]) -> Again:
        """The legs of a group as they came out last, where the ground to be kept clear is as it was."""
        before, again = self._again.get(runs, (None, None))
        if again is None or before != near:
            again = Again()
            self._again[runs] = (near, again)
        return again

    # drawing

    def _draw(self, laid: Laid, paths: Mapping[str, str]) -> list[_Drawn]:
        """Every group with the labels that its posts have in the whole job."""
        assert self._asked is not None
        by_run: dict[int, tuple[int, int]] = {}
        for runs, group in self._asked:
            by_run |= dict(zip(runs, group.counts, strict=True))
        first, posts, brackets = {}, 0, 0
        for run in sorted(by_run):
            first[run] = (posts, brackets)
            posts, brackets = posts + by_run[run][0], brackets + by_run[run][1]
        return [self._one(runs, group, tuple(first[run] for run in runs), laid, paths) for runs, group in self._asked]

    def _one(
        self, runs: tuple[int, ...], group: _Group, first: Numbers, laid: Laid, paths: Mapping[str, str]
    ) -> _Drawn:
        known = self._drawn.setdefault(runs, [])
        quiet = self.speech.quiet
        for drawn in known:
            if drawn.group is group and drawn.first == first and (quiet or not drawn.quiet):
                return drawn
        design = _numbered(group, first)
        pieces = self._pieces.of(design, laid.kinds)
        shown = dict(paths) | {item.id: item.path for piece in pieces for item in piece.items}
        said = notices_of(design.remarks, self.things, shown, self.speech)
        drawn = _Drawn(group, first, quiet, pieces, tuple(said))
        known[1:] = [drawn]
        return drawn


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
    names: dict[str, str] = {}
    own = [0, 0]
    for counts, starts in zip(group.counts, first, strict=True):
        for k, lead in ((0, ""), (1, "W")):
            for n in range(counts[k]):
                names[f"{lead}{own[k] + n + 1}"] = f"{lead}{starts[k] + n + 1}"
            own[k] += counts[k]
    if all(old == new for old, new in names.items()):
        return group.design
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
