"""Rules of setback, height, openness, good side, material and easements against the fence."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from palewright.model import Finding, Leg, Rule
from palewright.permit.fence import Fence, Stretch, edges_of_post, signed_distance
from palewright.permit.findings import SLACK_M, ask, found
from palewright.permit.lot import Lot, Yards
from palewright.permit.regions import Region, within
from palewright.plane import XY, side_distance

__all__ = [
    "by_yard",
    "easements_without_rule",
    "judge_easement",
    "judge_setback",
    "judge_yards",
]


def by_yard(fence: Fence, yards: Yards, wanted: tuple[str, ...]) -> list[tuple[str, Stretch]]:
    """Stretches of the fence in the yards of a rule, cut where a run changes yard; "?" where the yard is not known."""

    def name(p: XY) -> str:
        yard = yards.of(p) or "?"
        return yard if yard in wanted or yard == "?" else ""

    return fence.parts(yards.edges, name)


def judge_yards(rule: Rule, fence: Fence, lot: Lot, front: tuple[int, ...]) -> list[Finding]:
    """Rules that hold by yard: height, openness, good side, material."""
    judge = {"height": _height, "openness": _openness, "good-side": _good_side, "material": _material}[rule.kind]
    wanted = rule.names("yards")
    if not wanted:
        parts = [("", stretch) for stretch in fence.whole()]
    else:
        yards = lot.yards(front, rule.length("depth"))
        if yards.ask:
            return [ask(rule, rule.kind, yards.ask)]
        parts = by_yard(fence, yards, wanted)
    made = []
    for yard, stretch in parts:
        if yard == "?":
            made.append(ask(rule, rule.kind, "yards-not-said", stretch))
        else:
            made += judge(rule, fence, stretch, yard)
    return made or [found(rule, "meets", "none-there", unit="")]


def _height(rule: Rule, fence: Fence, stretch: Stretch, yard: str) -> list[Finding]:
    return [finding for part in fence.by_ground(stretch) for finding in _height_of(rule, fence, part, yard)]


def _height_of(rule: Rule, fence: Fence, stretch: Stretch, yard: str) -> list[Finding]:
    if fence.on_ground(stretch):
        from palewright.permit.on_ground import height_on_ground

        return [height_on_ground(rule, fence, stretch, yard)]
    most = rule.length("most") or 0.0
    height = fence.height(stretch, rule.length("posts_over") or 0.0)
    run = fence.runs[stretch.run]
    verdict, slug = ("meets" if height <= most + SLACK_M else "does-not"), ""
    # where the top does not follow the ground, it stands higher at the low end by what the ground falls
    drop = abs(run.fall_m or 0.0) if not fence.racks(stretch, ("racked", "grade")) else 0.0
    if verdict == "meets" and height + drop > most + SLACK_M:
        verdict, slug = "ask", "ground-falls"
    return [found(rule, verdict, "height", stretch, provided=height, required=most, bound="most", yard=yard, ask=slug)]


def _openness(rule: Rule, fence: Fence, stretch: Stretch, yard: str) -> list[Finding]:
    over = rule.length("over")
    if over is not None and fence.height(stretch) <= over + SLACK_M:
        return []
    share, least = fence.open_share(stretch.fence), rule.share("least") or 0.0
    more: dict[str, Any] = {"provided": share, "required": least, "unit": "share", "bound": "least", "yard": yard}
    if share is None:
        return [ask(rule, "openness", "open-not-said", stretch, args=(("fence", stretch.fence),), **more)]
    return [found(rule, "meets" if share >= least - 1e-9 else "does-not", "openness", stretch, **more)]


def _good_side(rule: Rule, fence: Fence, stretch: Stretch, yard: str) -> list[Finding]:
    faces = rule.word("faces")
    wanted = "neighbour" if faces == "out" else "yard"
    kind = fence.kinds[stretch.fence]
    looks = {fence.design.legs[leg].good_side for leg in stretch.legs}
    more: dict[str, Any] = {"required": faces, "unit": "", "yard": yard}
    if not kind.two_faced or looks == {"both"}:
        return [found(rule, "meets", "good-side", stretch, provided="both", **more)]
    if not looks <= {"neighbour", "yard", "both"}:
        return [ask(rule, "good-side", "good-side-not-said", stretch, args=(("fence", stretch.fence),), **more)]
    verdict = "meets" if looks <= {wanted, "both"} else "does-not"
    other = "in" if wanted == "neighbour" else "out"
    return [found(rule, verdict, "good-side", stretch, provided=faces if verdict == "meets" else other, **more)]


def _material(rule: Rule, fence: Fence, stretch: Stretch, yard: str) -> list[Finding]:
    kind = fence.kinds[stretch.fence]
    used = [kind.family]
    used += ["barbed wire"] if any(word == "barbed wire" and metres > 0.0 for word, metres in kind.height_words) else []
    banned = [word for word in used if word in rule.names("bans")]
    more = {
        "provided": ", ".join(banned or used),
        "required": ", ".join(rule.names("bans")),
        "unit": "",
        "bound": "not",
    }
    return [found(rule, "does-not" if banned else "meets", "material", stretch, yard=yard, **more)]


# ---------------------------------------------------------------- setbacks


def judge_setback(rule: Rule, fence: Fence, lot: Lot, front: tuple[int, ...]) -> list[Finding]:
    """Least distance to the sides of the yards of a rule: the nearest where it is kept, else every run that fails."""
    line, wanted, what = rule.word("line", "property line"), rule.names("yards"), f"{rule.word('of')}-to-side"
    yards = lot.yards(front, 1.0).sides  # only whose side is which; how deep yards are does not matter here
    sides = [number for number, yard in yards.items() if (yard in wanted if wanted else True)]
    if line != "property line" and not wanted:
        sides = sorted(lot.known)
        if not sides:
            return [ask(rule, what, "no-streets")]
    made = []
    if wanted and not sides and "" in yards.values():
        return [ask(rule, what, "yards-not-said")]
    legs = [leg for leg in fence.design.legs if _tall(rule, fence, leg)]
    for number in sides:
        offset = lot.reference(number, line)
        if offset is None:
            street = lot.known.get(number)
            args = (("line", line), ("side", number), *((("street", street.name),) if street else ()))
            made.append(ask(rule, what, "line-not-typed", side=number, args=args))
        else:
            made += _side(rule, fence, lot, number, offset, legs)
    return made or [found(rule, "meets", "none-there", unit="")]


def _tall(rule: Rule, fence: Fence, leg: Leg) -> bool:
    over = rule.length("over")
    return over is None or fence.kinds[leg.fence].height_m > over + SLACK_M


def _side(rule: Rule, fence: Fence, lot: Lot, number: int, offset_m: float, legs: Iterable[Leg]) -> list[Finding]:
    what, least = rule.word("of"), rule.length("least") or 0.0
    nearest: dict[str, tuple[float, str]] = {}
    for leg in legs:
        for far, post in _distances(what, fence, lot, number, leg):
            if leg.run not in nearest or far < nearest[leg.run][0]:
                nearest[leg.run] = (far, post)
    made = [
        found(rule, "meets" if far + offset_m >= least - SLACK_M else "does-not", f"{what}-to-side",
              provided=far + offset_m, required=least, bound="least", run=run, posts=(post,), side=number,
              args=(("line", rule.word("line", "property line")),))
        for run, (far, post) in nearest.items()
    ]  # fmt: skip
    failing = [finding for finding in made if finding.verdict == "does-not"]
    return failing or sorted(made, key=lambda finding: float(finding.provided or 0.0))[:1]


def _distances(what: str, fence: Fence, lot: Lot, number: int, leg: Leg) -> Iterable[tuple[float, str]]:
    """Distances of a leg to a side, each with the post that is nearest to where it is."""
    side = lot.sides[number - 1]
    if what == "face":
        for a, b in fence.faces(leg):
            far, at = signed_distance(a, b, side, lot.left)
            yield far, fence.nearest_post(leg.run, at)
    for label in leg.posts:
        post = fence.posts[label]
        if what == "footing" and post.hole is not None:
            far, _ = signed_distance(post.xy, post.xy, side, lot.left)
            yield far - post.hole.diameter_m / 2.0, label
        elif what != "footing" and post.number:
            radius = post.width_m / 2.0 if post.round else 0.0
            for a, b in edges_of_post(post):
                yield signed_distance(a, b, side, lot.left)[0] - radius, label


# ---------------------------------------------------------------- easements


def judge_easement(rule: Rule, fence: Fence, lot: Lot, front: tuple[int, ...]) -> list[Finding]:
    """Posts whose holes reach into an easement, and bays that stand in it."""
    wanted = rule.names("easements")
    names = [easement.name for easement, _ in lot.easements]
    made = [
        ask(rule, "easement", "easement-not-typed", args=(("easement", name),)) for name in wanted if name not in names
    ]
    if not names and not wanted:
        made.append(ask(rule, "easement", "no-easements-typed"))
    for easement, region in lot.easements:
        if not wanted or easement.name in wanted:
            made.append(_easement(rule, easement.name, *inside(fence, region)))
    return made


def inside(fence: Fence, region: Region) -> tuple[list[str], list[Stretch]]:
    """Labels of posts whose hole reaches into a region, and the stretches of fence in it."""
    posts = [
        post.label
        for post in fence.design.posts
        if post.hole is not None and within(post.xy, post.hole.diameter_m / 2.0, region) > SLACK_M
    ]
    return posts, [stretch for _, stretch in fence.parts(region.edges, lambda p: "in" if region.holds(p) else "")]


def _easement(rule: Rule, name: str, posts: list[str], parts: list[Stretch]) -> Finding:
    allows = rule.word("allows")
    bays = tuple(dict.fromkeys(bay for part in parts for bay in part.bays))
    runs = ", ".join(dict.fromkeys(part.run for part in parts))
    length = sum(part.high_m - part.low_m for part in parts)
    args = (("easement", name), ("length_m", length), ("posts", len(posts)), ("allows", allows))
    more: dict[str, Any] = {"provided": len(posts), "unit": "count", "run": runs, "posts": tuple(posts),
                               "bays": bays, "args": args}  # fmt: skip
    if not posts and not parts:
        return found(rule, "meets", "easement", required=allows, **more)
    if allows == "with consent":
        return ask(rule, "easement", "consent", required=allows, **more)
    bad = bool(posts) if allows == "no posts" else allows == "nothing"
    return found(rule, "does-not" if bad else "meets", "easement", required=allows, **more)


def easements_without_rule(rules: Iterable[Rule], fence: Fence, lot: Lot) -> list[Finding]:
    """Easements of which no rule says anything, where the fence stands in them: to be asked."""
    ruled = [rule for rule in rules if rule.kind == "easement"]
    if any(not rule.names("easements") for rule in ruled):
        return []
    named = {name for rule in ruled for name in rule.names("easements")}
    nobody = Rule("", "easement", "", "", "", words=(("allows", "with consent"),))
    made = []
    for easement, region in lot.easements:
        posts, parts = inside(fence, region)
        if easement.name not in named and (posts or parts):
            made.append(_easement(nobody, easement.name, posts, parts))
    return made


Judge = Callable[[Rule, Fence, Lot, tuple[int, ...]], list[Finding]]


def nearest_side(lot: Lot, p: XY, numbers: Iterable[int]) -> int:
    """The side of those that is nearest to a place."""
    return min(numbers, key=lambda number: side_distance(p, lot.sides[number - 1]))
