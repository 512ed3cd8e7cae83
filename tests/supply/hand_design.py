"""Designs built by hand for take-off tests: straight legs end to end, divided evenly, without the layout room."""

from __future__ import annotations

import math

from palewright.layout.kinds import resolve
from palewright.model import Bay, Design, FenceSpec, Gate, Hole, Job, Kind, Leg, Post, Site
from palewright.strength import design_hole

FT = 0.3048
IN = 0.0254


def kind_of(name, *values, good_side="neighbour", spec_name="fence") -> Kind:
    """A kind with values laid over."""
    return resolve(FenceSpec(spec_name, name, tuple(values), good_side=good_side))


def empty_site(removals=()) -> Site:
    return Site((), None, (), tuple(removals), (), False)


def job(currency="") -> Job:
    return Job("hand", currency=currency)


class Hand:
    """Adds legs along x; each stretch is ("fence", length c-c [m]), ("bays", lengths [m]) or ("gate", opening [m], leaves)."""

    def __init__(self, kind: Kind) -> None:
        self.kind = kind
        self.posts: list[Post] = []
        self.bays: list[Bay] = []
        self.gates: list[Gate] = []
        self.legs: list[Leg] = []
        self.x = 0.0

    def post(self, role: str, *, bracket: bool = False, turn: float = 0.0) -> Post:
        size = self.kind.post(role)
        rule = self.kind.hole(role)
        found = design_hole(rule, self.kind.above(role))
        hole = Hole(
            rule.diameter_m, found.depth_m, found.gravel_m, found.in_ground_m, found.governs, rule.fill, False
        )  # fmt: skip
        length = self.kind.above(role) + found.in_ground_m
        stock = next((stock for stock in size.stocks_m if stock >= length - 1e-6), 0.0)
        count = sum(1 for post in self.posts if post.number) + 1
        label = f"W{sum(1 for post in self.posts if not post.number) + 1}" if bracket else str(count)
        made = Post(
            label, 0 if bracket else count, role, (self.x, 0.0), self.kind.name, size.name,
            0.0 if bracket else size.width_m, size.depth_m, size.round, 0.0, self.kind.above(role), length, stock,
            None if bracket else hole, (), (len(self.legs),), turn=turn,
        )  # fmt: skip
        self.posts.append(made)
        return made

    def leg(self, *stretches, start="end", end="end", start_bracket=False, end_bracket=False, turn=0.0) -> Hand:
        """One leg; it shares the last post of the leg before it."""
        first = self.posts[-1] if self.legs else self.post(start, bracket=start_bracket)
        here, labels, numbers, length = first, [first.label], [], 0.0
        for number, stretch in enumerate(stretches):
            last = number == len(stretches) - 1
            if stretch[0] == "gate":
                span = stretch[1] + here.width_m / 2 + self.kind.post(end if last else "gate").width_m / 2
                steps, what = [span], "gate"
            elif stretch[0] == "bays":
                steps, what = list(stretch[1]), "fence"
            else:
                count = math.ceil(stretch[1] / self.kind.longest_m - 1e-9)
                steps, what = [stretch[1] / count] * count, "fence"
            for step_number, step in enumerate(steps):
                done = step_number == len(steps) - 1
                self.x += step
                length += step
                role = "line" if not done else (end if last else "gate")
                before = here
                here = self.post(role, bracket=done and last and end_bracket, turn=turn if done and last else 0.0)
                clear = step - before.width_m / 2 - here.width_m / 2
                self.bays.append(
                    Bay(
                        len(self.bays) + 1,
                        "run",
                        len(self.legs),
                        before.label,
                        here.label,
                        step,
                        clear,
                        what,
                        self.kind.name,
                    )
                )
                numbers.append(len(self.bays))
                labels.append(here.label)
            if what == "gate":
                self._gate(stretch, before, here, len(self.bays))
        self.legs.append(
            Leg(
                len(self.legs),
                "run",
                self.kind.name,
                (self.x - length, 0.0),
                (self.x, 0.0),
                0.0,
                length,
                self.x - length,
                tuple(labels),
                tuple(numbers),
                "left",
                "neighbour",
                "",
            )
        )
        return self

    def _gate(self, stretch, before: Post, here: Post, bay: int) -> None:
        from palewright.layout.gates import gate_sizes

        leaves = stretch[2] if len(stretch) > 2 else 1
        sizes = gate_sizes(self.kind.kind, stretch[1], None, leaves)
        hinge = (before.label,) if leaves == 1 else (before.label, here.label)
        self.gates.append(
            Gate(
                f"gate {len(self.gates) + 1}",
                "run",
                len(self.legs),
                bay,
                sizes.opening_m,
                sizes.leaf_m,
                leaves,
                sizes.allowance_m,
                sizes.source,
                (before.label, here.label),
                hinge,
                (),
                "yard",
                height_m=self.kind.height_m,
                fence=self.kind.name,
            )
        )

    def close(self) -> Hand:
        """The last post taken for the first: a closed loop."""
        gone = self.posts.pop()
        first = self.posts[0]
        self.bays = [_renamed(bay, gone.label, first.label) for bay in self.bays]
        return self

    def design(self) -> Design:
        return Design((), tuple(self.legs), tuple(self.posts), tuple(self.bays), tuple(self.gates))


def _renamed(bay: Bay, old: str, new: str) -> Bay:
    from dataclasses import replace

    return replace(bay, end=new) if bay.end == old else bay


def taken(hand: Hand, prices=None, site=None):
    """The take-off of a hand-made design."""
    from palewright.supply import take_off

    return take_off(job(), site or empty_site(), hand.design(), {hand.kind.name: hand.kind}, prices)


def need(takeoff, what):
    """What is needed of a thing, summed over its lines; each line has one unit."""
    return sum(item.need for item in takeoff.items if item.what == what)


def buy(takeoff, what):
    """What is bought of a thing, summed over its lines."""
    return sum(item.buy for item in takeoff.items if item.what == what)
