"""Where things stand otherwise than in the revision while something is dragged: places, for whoever redraws the plan.

Of posts, holes and bays that were there only what differs is told, and where a hole or a bay is goes with its posts.
What there is little of comes as whole items.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from operator import attrgetter

from palewright.drafting.encoding import spot
from palewright.drafting.pieces import RunParts
from palewright.drafting.quick import Stood
from palewright.drafting.scene_fence import (
    axis_of,
    bay_id,
    bay_item,
    gate_item,
    hole_id,
    hole_item,
    leg_id,
    leg_items,
    post_id,
    post_item,
    run_item,
)
from palewright.drafting.sight_records import Change, Item
from palewright.drafting.speech import Speech
from palewright.drafting.things import Things
from palewright.model import Post

__all__ = ["Shifting"]

_LOOK = attrgetter("role", "round", "assumed", "width_m", "depth_m")


class Shifting:
    """What differs from one revision: where everything stood, and the items that were drawn of it."""

    def __init__(self, base: Stood, items: Iterable[Item], things: Things, speech: Speech) -> None:
        self._base, self._things, self._speech = base, things, speech
        self._items = {item.id: item for item in items}
        self._around = {item.id for part in base.around for item in part}
        self._kept = {id(group) for group in base.groups}
        self._runs = {parts.run.name: parts for group in base.groups for parts in group}
        self._others: list[tuple[Item | None, Item]] = []
        self._moved: list[dict[str, object]] = []
        self._gone: list[str] = []

    def of(self, now: Stood) -> Change:
        """The places that are other."""
        self._others, self._moved, self._gone = [], [], []
        around = [item for part in now.around for item in part]
        self._put(around)
        self._gone += self._around - {item.id for item in around}
        runs = [parts for group in now.groups if id(group) not in self._kept for parts in group]
        before = [self._runs[parts.run.name] for parts in runs]
        self._posts(before, runs)
        self._bays(before, runs)
        for old, new in zip(before, runs, strict=True):
            self._gates(old, new)
            self._path(old, new)
        return Change(tuple(self._others), tuple(self._gone), (), tuple(self._moved))

    def _put(self, items: Iterable[Item]) -> None:
        """Items that are other."""
        known = self._items
        self._others += [(was, item) for item in items if (was := known.get(item.id)) is not item]

    def _posts(self, before: Sequence[RunParts], now: Sequence[RunParts]) -> None:
        """Posts and their holes."""
        was = {post.label: post for parts in before for post in parts.posts}
        turned: dict[float, float | None] = {}
        for post in (post for parts in now for post in parts.posts):
            label = post.label
            old = was.pop(label, None)
            if old is post:
                continue
            if old is None or not _alike(old, post):
                self._put([post_item(post, self._things, self._speech)])
                if post.hole is not None:
                    self._put([hole_item(post, self._things, self._speech)])
                elif old is not None and old.hole is not None:
                    self._gone.append(hole_id(label))
                continue
            if old.xy == post.xy and old.axis == post.axis:
                continue
            other: dict[str, object] = {"id": post_id(label)}
            if old.axis != post.axis:
                if post.axis not in turned:  # one for all of a leg
                    turned[post.axis] = axis_of(post) if post.axis else None
                other["axis"] = turned[post.axis]
            if old.xy != post.xy:
                other["centre"] = spot(post.xy)
            self._moved.append(other)
        self._gone += [post_id(label) for label in was]
        self._gone += [hole_id(label) for label, post in was.items() if post.hole is not None]

    def _bays(self, before: Sequence[RunParts], now: Sequence[RunParts]) -> None:
        """Bays: those of other posts, and the lengths of those that are longer or shorter."""
        was = {(bay.start, bay.end): bay for parts in before for bay in parts.bays}
        trial = {parts.run.name: parts.run.trial for parts in before}
        for parts in now:
            trials = parts.run.trial
            for bay in parts.bays:
                old = was.pop((bay.start, bay.end), None)
                if old is bay and trial[bay.run] == trials:
                    continue
                if old is None or (old.run, old.kind, old.cut, trial[old.run]) != (bay.run, bay.kind, bay.cut, trials):
                    self._put([bay_item(bay, parts.all, self._things, self._speech, trials)])
                elif old.length_m != bay.length_m:
                    id, text = bay_id(bay), self._speech.length(bay.length_m)
                    if text != self._items[id].text:
                        self._moved.append({"id": id, "text": text})
        self._gone += [bay_id(bay) for bay in was.values()]

    def _gates(self, before: RunParts, now: RunParts) -> None:
        was = {gate.name: gate for gate in before.gates}
        for gate in now.gates:
            ends = [(before.all.get(label), now.all[label]) for label in gate.posts]
            if was.get(gate.name) != gate or any(a is None or a.xy != b.xy for a, b in ends):
                self._put([gate_item(gate, now.all, self._things, self._speech)])

    def _path(self, before: RunParts, now: RunParts) -> None:
        """The run itself and the lengths of its straight pieces."""
        if before.legs == now.legs and before.run == now.run:
            return
        self._put([run_item(now, self._things, self._speech)])
        legs = list(leg_items(now, self._things, self._speech))
        self._put(legs)
        more = (leg_id(now.run.name, k) for k in itertools.count(len(legs) + 1))
        self._gone += itertools.takewhile(self._items.__contains__, more)


def _alike(one: Post, two: Post) -> bool:
    """Whether two posts and their holes show the same beside their places."""
    a, b = one.hole, two.hole
    if a is None or b is None:
        holes = a is b
    else:
        holes = a.diameter_m == b.diameter_m and a.hand_dig == b.hand_dig
    return holes and one.places[0][0] == two.places[0][0] and _LOOK(one) == _LOOK(two)
