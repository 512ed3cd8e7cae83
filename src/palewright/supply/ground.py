"""What goes in the ground and what comes out of it: posts, concrete, gravel, spoil, old fences."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from palewright.model import Hole, Kind, Post, Reason, Removal, Site
from palewright.record import Record
from palewright.supply.concrete import BAG_MASSES_KG, BAG_YIELDS_M3, bags_needed, hole_volumes, spoil_volume
from palewright.supply.draft import Draft, code_of, feet, feet_words, inches, labels, number, word
from palewright.tables import concrete_table, removal_table

__all__ = ["Ground", "post_material", "take_ground", "take_posts", "take_removals"]

_CUBIC_FOOT = 0.3048**3
_CUBIC_YARD = 27 * _CUBIC_FOOT
_HEAVY_KG = 51 * 0.45359237


def take_posts(draft: Draft, kinds: Mapping[str, Kind], posts: list[Post]) -> None:
    """Posts by role, section and length to buy; wall brackets; post caps."""
    groups: dict[tuple[str, str, str, float], list[Post]] = {}
    for post in posts:
        if post.number:
            length = post.stock_m or math.ceil(post.length_m / 0.3048 - 1e-6) * 0.3048
            groups.setdefault((post_material(kinds[post.kind]), post.section, post.role, length), []).append(post)
    for (material, section, role, length), mine in groups.items():
        routed = f"{role}." if material in ("vinyl", "split") else ""
        draft.add(
            f"post.{material}.{code_of(section)}.{routed}{feet(length)}ft",
            f"{role}-post",
            f"{_section(material, section)} x {feet_words(length)}",
            len(mine),
            "posts",
            posts=labels(mine),
            rule="one for each hole; the next length on offer",
            source="geometry",
        )
    _caps(draft, kinds, posts)
    _walls(draft, kinds, posts)


def post_material(kind: Kind) -> str:
    """What the posts of a kind are of: "wood", "pipe", "split", "vinyl", "metal" or "composite"."""
    if kind.family == "boards":
        return "wood"
    if kind.family == "panels":
        return kind.kind.removesuffix("-panels")
    return "pipe" if kind.family == "chain link" else "split"


def _section(material: str, section: str) -> str:
    """A pipe is bought by its outside diameter; other posts have a trade name."""
    return f"{section} in" if material == "pipe" else section


def _caps(draft: Draft, kinds: Mapping[str, Kind], posts: list[Post]) -> None:
    groups: dict[tuple[str, str], list[Post]] = {}
    for post in posts:
        kind = kinds[post.kind]
        if post.number and kind.value("post cap") and not word(kind, "cap board"):
            groups.setdefault((post_material(kind), post.section), []).append(post)
    for (material, section), mine in groups.items():
        draft.add(
            f"cap.{material}.{code_of(section)}",
            "post-cap",
            section,
            len(mine),
            "caps",
            posts=labels(mine),
            rule="one for each post",
        )


def _walls(draft: Draft, kinds: Mapping[str, Kind], posts: list[Post]) -> None:
    """Wall starts: a bracket for each rail, a half post for chain link; brackets of panels come with the panels."""
    for post in posts:
        kind = kinds[post.kind]
        if post.number or kind.family == "panels":
            continue
        if kind.family == "chain link":
            draft.add(
                f"half-post.{inches(kind.infill_m)}in", "half-post", f"{inches(kind.infill_m)} in", 1, "posts",
                posts=(post.label,), rule="one at each wall start: carries the bands, has no hole",
            )  # fmt: skip
            continue
        count = kind.rails or 1
        draft.add(
            "bracket.wall.rail", "wall-bracket", "", count, "fittings", posts=(post.label,),
            rule="one for each rail at a wall",
        )  # fmt: skip


class Ground(Record):
    """Totals: net concrete [m3], dry mix and gravel as bought [kg], loose spoil [m3]."""

    concrete_m3: float
    mass_kg: float
    spoil_m3: float


@dataclass(slots=True)
class _Sort:
    """Holes that are alike: one hole's volumes [m3] and the posts that stand in them."""

    hole: Hole
    gross: float
    net: float
    posts: list[Post]


def take_ground(draft: Draft, kinds: Mapping[str, Kind], posts: list[Post]) -> Ground:
    """Concrete by bag, gravel, and the totals."""
    sorts = _sorts(kinds, posts)
    bags: dict[tuple[str, float], list[_Sort]] = {}
    for (bag, waste, _), sort in sorts.items():
        if sort.hole.fill == "concrete":
            bags.setdefault((bag, waste), []).append(sort)
    total, mass = 0.0, 0.0
    for (bag, waste), mine in bags.items():
        volume = math.fsum(sort.net * len(sort.posts) for sort in mine)
        total += volume
        mass += _bags(draft, bag, waste, mine, volume)
    mass += _gravel(draft, list(sorts.values()))
    dug = math.fsum(sort.gross * len(sort.posts) for sort in sorts.values())
    back = math.fsum(sort.net * len(sort.posts) for sort in sorts.values() if sort.hole.fill == "soil")
    spoil = spoil_volume(dug - back)
    holes = sum(len(sort.posts) for mine in bags.values() for sort in mine)
    bulking = float(concrete_table()["spoil"]["bulking"])
    summed = "sum over the holes of (hole area - post area) x (depth - gravel)"
    draft.reasons += [
        Reason("concrete", "concrete", total, "m3", summed, (("holes", holes),), "geometry"),
        Reason(
            "spoil",
            "spoil",
            spoil,
            "m3",
            "(holes - soil put back) x bulking",
            (("dug_m3", dug), ("put back_m3", back), ("bulking", bulking)),
            "common practice",
        ),
        Reason("concrete", "weight", mass, "kg", "bags of dry mix and gravel as bought", (), "bag-yields"),
    ]
    return Ground(total, mass, spoil)


def _sorts(kinds: Mapping[str, Kind], posts: list[Post]) -> dict[tuple[str, float, tuple[object, ...]], _Sort]:
    sorts: dict[tuple[str, float, tuple[object, ...]], _Sort] = {}
    for post in posts:
        hole = post.hole
        if hole is None:
            continue
        kind = kinds[post.kind]
        key = (
            word(kind, "bag") or "80 lb",
            number(kind, "concrete waste"),
            (hole.diameter_m, hole.depth_m, hole.gravel_m, hole.fill, post.section, post.width_m),
        )
        sort = sorts.get(key)
        if sort is None:
            area = math.pi * post.width_m**2 / 4 if post.round else post.width_m * post.depth_m
            gross, net = hole_volumes(hole.diameter_m, hole.depth_m, area, hole.gravel_m)
            sort = sorts[key] = _Sort(hole, gross, net, [])
        sort.posts.append(post)
    return sorts


def _bags(draft: Draft, bag: str, waste: float, sorts: list[_Sort], volume: float) -> float:
    """The bags for the whole job, with what rounding up hole by hole would take; mass [kg]."""
    size = BAG_YIELDS_M3[bag]
    by_hole = sum(bags_needed(sort.net, size) * len(sort.posts) for sort in sorts)
    by_job = bags_needed(volume, size)
    draft.add(
        f"concrete.{bag.replace(' ', '')}",
        "concrete-bag",
        bag,
        volume,
        "concrete",
        unit="m3",
        waste=waste,
        per=size,
        buy_unit="bag",
        posts=[post.label for sort in sorts for post in sort.posts],
        rule="net volume of all holes, rounded up once for the job",
        source="bag-yields",
    )
    buy = draft.items[-1].buy
    draft.remark("concrete-rounding", "note", "concrete", bag=bag, buy=buy, per_job=by_job, per_hole=by_hole)
    if BAG_MASSES_KG[bag] > _HEAVY_KG:
        draft.remark("bag-heavy", "caution", "concrete", bag=bag)
    draft.reasons += [_hole_reason(sort) for sort in sorts]
    return buy * BAG_MASSES_KG[bag]


def _hole_reason(sort: _Sort) -> Reason:
    """Concrete of one hole, and how many bags of each size that is."""
    return Reason(
        f"hole {inches(sort.hole.diameter_m)} x {inches(sort.hole.depth_m)} in",
        "concrete in one hole",
        sort.net,
        "m3",
        "(hole area - post area) x (depth - gravel)",
        (
            ("diameter_m", sort.hole.diameter_m),
            ("depth_m", sort.hole.depth_m),
            ("gravel_m", sort.hole.gravel_m),
            ("post", sort.posts[0].section),
            *((f"bags of {name}", bags_needed(sort.net, one)) for name, one in BAG_YIELDS_M3.items()),
        ),
        "geometry",
    )


def _gravel(draft: Draft, sorts: list[_Sort]) -> float:
    """Gravel under the posts and, where the kind says so, round them; mass [kg]."""
    table = concrete_table()
    volume, served = 0.0, []
    for sort in sorts:
        under = math.pi * sort.hole.diameter_m**2 / 4 * sort.hole.gravel_m
        one = under + (sort.net if sort.hole.fill == "gravel" else 0.0)
        volume += one * len(sort.posts)
        if one:
            served += [post.label for post in sort.posts]
    if not volume:
        return 0.0
    bag = float(table["gravel"]["bag_ft3"]) * _CUBIC_FOOT
    draft.add(
        "gravel.bag",
        "gravel",
        "1/2 cu ft",
        volume,
        "concrete",
        unit="m3",
        waste=0.1,
        per=bag,
        buy_unit="bag",
        posts=served,
        rule="hole area x gravel, summed over the holes",
        source=str(table["gravel"]["source"]),
    )
    return draft.items[-1].buy * bag * float(table["density"]["gravel_kg_m3"])


def take_removals(draft: Draft, site: Site) -> None:
    """Old fences: feet to take down, posts, and loads to haul. Footings left in the ground are not hauled."""
    for old in site.removals:
        pulled = old.then == "pull"
        size = f"{old.name}, {old.kind}" if old.kind and old.kind not in old.name else old.name
        draft.add(
            "remove.fence", "remove-fence", size, old.length_m, "removal", unit="m", per=0.3048, buy_unit="ft",
            rule="length of the old fence",
        )  # fmt: skip
        draft.add(
            f"remove.post.{old.then}", "pull-post" if pulled else "cut-post", size, len(old.posts), "removal",
            rule="posts counted along the old fence", note="" if pulled else "the footings stay in the ground",
        )  # fmt: skip
        draft.add(
            "remove.load",
            "haul-load",
            size,
            _load(old),
            "removal",
            unit="m3",
            per=removal_table()["load"]["volume_yd3"] * _CUBIC_YARD,
            buy_unit="load of 5 cu yd",
            rule="4.5 cu yd loose for 100 ft of 6 ft wood fence, in proportion"
            + (", and the footings" if pulled else ""),
            source="from memory",
            note="" if old.height_m else "height not given: 6 ft taken",
        )


def _load(old: Removal) -> float:
    """What an old fence makes, loose, with its footings where they are pulled [m3]; wood of 6 ft in proportion."""
    table = removal_table()
    wood = table["wood"]
    usual = wood["height_ft"] * 0.3048
    per_length = wood["volume_yd3"] * _CUBIC_YARD / (wood["length_ft"] * 0.3048)
    volume: float = old.length_m * per_length * (old.height_m or usual) / usual
    if old.then == "pull":
        volume += len(old.posts) * math.pi * old.footing_m**2 / 4 * (table["footing"]["depth_ft"] * 0.3048)
    return volume
