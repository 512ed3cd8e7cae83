"""Old fences: which step of the work they are, where their posts stand on the tape, what they are in the way of."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.stakeout.yards import FT, IN, Yard, ft, site

from palewright.model import Remark, Removal, Stakeout, Zone
from palewright.stakeout import stake_out


def out_of(old: Removal, zones: tuple[Zone, ...] = ()) -> Stakeout:
    """A 60 ft fence along x, its string 2 ft north of it with its zero at the first post."""
    yard = Yard().run("a", ft((0, 0), (60, 0)))
    return stake_out(yard.job(), replace(site(zones=zones), removals=(old,)), yard.design())


def removal(*feet: tuple[float, float], footing: float = 8 * IN, then: str = "pull") -> Removal:
    posts = tuple(ft(*feet))
    return Removal("old", (posts[0], posts[-1]), 1.0, posts, footing, then)


def told(out: Stakeout, slug: str) -> list[Remark]:
    return [remark for remark in out.remarks if remark.slug == slug]


def test_an_old_fence_goes_when_the_pins_are_found_and_before_the_tapes() -> None:
    order = out_of(removal((10, 1), (20, 1))).order
    assert order.index("locate") < order.index("points") < order.index("remove") < order.index("corners")


def test_old_posts_are_told_by_the_tape_of_their_string() -> None:
    out = out_of(removal((10, 1), (20, 1), (30, 1.5)))
    (remark,) = told(out, "old-posts-beside")
    args = dict(remark.args)
    assert (args["posts"], args["string"], args["side"], args["count"]) == ("1-3", "A", "fence side", 3)
    assert [args[k] for k in ("from_m", "to_m", "near_m", "far_m")] == pytest.approx(
        [10 * FT, 30 * FT, 0.5 * FT, 1 * FT]
    )


def test_old_posts_on_both_sides_of_a_string_are_told_apart() -> None:
    rows = [dict(r.args) for r in told(out_of(removal((10, 1), (20, 1), (30, 4), (40, 5))), "old-posts-beside")]
    assert [(row["posts"], row["side"]) for row in rows] == [("1, 2", "fence side"), ("3, 4", "far side")]


def test_old_posts_far_from_every_string_or_before_its_zero_are_not_told() -> None:
    out = out_of(removal((-1, 2.5), (10, 1), (20, 13)))
    (remark,) = told(out, "old-posts-beside")
    assert dict(remark.args)["posts"] == "2"


@pytest.mark.parametrize(
    ("y", "footing", "clear"),
    [
        (3.5, 8.0, 18 - 4),  # 18 in from the string to the post, 4 in of it footing: told from 12 in
        (3.2, 8.0, 14.4 - 4),
        (2.5, 0.0, 6.0),
        (2.2, 8.0, -1.6),
    ],
)
def test_a_string_within_a_foot_of_an_old_post_is_said(y: float, footing: float, clear: float) -> None:
    found = told(out_of(removal((10, y), (20, 9), footing=footing * IN)), "string-near-old-post")
    if clear >= 12:
        assert found == []
        return
    (remark,) = found
    args = dict(remark.args)
    assert (remark.about, remark.level, args["posts"]) == ("string A", "caution", "1")
    assert ("clear_m" in args) == (clear > 0)
    if clear > 0:
        assert args["clear_m"] == pytest.approx(clear * IN)


def test_a_fence_that_stays_is_said_in_other_words() -> None:
    out = out_of(removal((10, 2.2), (20, 2.2), then="leave"))
    assert len(told(out, "string-near-left-post")) == 1
    assert told(out, "string-near-old-post") == []
    assert "remove" in out.order


def test_old_posts_in_a_marked_zone_are_named_unless_they_stay() -> None:
    gas = Zone("gas", tuple(ft((20, -20), (20, 20))), 24 * IN, "hand dig", "gas")
    own = Zone("old, old footing 1", tuple(ft((10, 1))), 4 * IN, "loose ground")
    (remark,) = told(out_of(removal((10, 1), (17.9, 1), (22.4, 1)), (gas, own)), "old-post-in-zone")
    assert (dict(remark.args)["posts"], dict(remark.args)["zone"]) == ("2", "gas")  # 25.2 in off, less 4 in of footing
    assert told(out_of(removal((18, 1), then="leave"), (gas,)), "old-post-in-zone") == []
