"""Kinds of fence: values laid over, heights worked out, faces, holes, and what is refused."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from palewright.errors import JobError, Where
from palewright.layout.kinds import catalogue, resolve
from palewright.model import FenceSpec, Kind
from palewright.tables import kind_table

IN = 0.0254
ROLES = ("line", "end", "corner", "tee", "change", "gate")


def kind_of(name="boards", *values, side="neighbour", **more) -> Kind:
    return resolve(FenceSpec("fence", name, tuple(values), good_side=side, **more))


def problems(name="boards", *values, side="neighbour", **more):
    with pytest.raises(JobError) as caught:
        kind_of(name, *values, side=side, **more)
    return caught.value.problems


def inches(value):
    return round(value / IN, 6)


@pytest.mark.parametrize("name", catalogue())
def test_every_kind_resolves_with_its_defaults(name):
    kind = kind_of(name)
    assert kind.height_m == pytest.approx(math.fsum(part for _, part in kind.height_words))
    assert kind.height_m >= max(kind.above(role) for role in ROLES)
    assert kind.top_m == pytest.approx(kind.bottom_gap_m + kind.infill_m)
    assert kind.shortest_m == pytest.approx(kind.longest_m / 3)
    assert kind.front_m >= max(post.depth_m for _, post in kind.posts) / 2
    assert list(kind.rail_heights_m) == sorted(kind.rail_heights_m)
    assert len(kind.rail_heights_m) == kind.rails
    assert all(kind.hole(role).diameter_m > kind.post(role).diagonal_m for role in ROLES)
    assert {key for key, _ in kind.sources} == {key for key, _ in kind.values}


def test_height_is_ground_to_highest_part():
    assert inches(kind_of(values := "boards").height_m) == 74
    assert inches(kind_of(values, ("post cap", True)).height_m) == 75
    capped = kind_of("boards", ("cap board", "2x6"))
    assert inches(capped.height_m) == 75.5
    assert inches(capped.above("line")) == 74
    tall = kind_of("boards", ("reveal", 3 * IN), ("post cap", True), ("cap height", 2 * IN))
    assert tall.height_words[-1][0] == "post cap"
    assert inches(tall.height_m) == 79
    assert inches(tall.above("gate")) == 77


def test_chain_link_terminals_above_and_line_posts_below_the_fabric():
    kind = kind_of("chain-link")
    assert inches(kind.above("end") - kind.top_m) == 2
    assert inches(kind.top_m - kind.above("line")) == 2
    assert kind.above("corner") == kind.above("gate") == kind.height_m
    assert inches(kind_of("chain-link-commercial", ("barbed strands", 3)).height_m) == 88


def test_rails_follow_the_height_unless_said():
    assert kind_of("boards", ("board", 48 * IN)).rails == 2
    assert kind_of("boards", ("board", 60 * IN)).rails == 3
    assert kind_of("boards", ("board", 96 * IN)).rails == 4
    assert kind_of("boards", ("board", 48 * IN), ("rails", 4)).rails == 4
    assert kind_of("boards", ("pattern", "horizontal")).rails == 0


def test_faces_rails_on_the_face_or_between():
    on_face = kind_of("boards", ("post.gate", "4x4"), ("board size", "1x6"))
    assert inches(on_face.front_m) == 1.75 + 1.5 + 0.75
    assert inches(on_face.back_m) == 1.75
    lapped = kind_of("boards", ("post.gate", "4x4"), ("board size", "1x6"), ("pattern", "board on board"))
    assert inches(lapped.front_m) == 1.75 + 1.5 + 1.5
    between = kind_of("boards", ("post.gate", "4x4"), ("board size", "1x6"), ("rail mount", "between posts"))
    assert inches(between.front_m) == 1.75 + 0.75
    horizontal = kind_of("boards", ("post.gate", "4x4"), ("board size", "1x6"), ("pattern", "horizontal"))
    assert inches(horizontal.front_m) == 2.5
    assert inches(kind_of("boards").back_m) == 2.75


def test_both_sides_has_no_good_side_and_rails_between_posts():
    kind = kind_of("boards", ("pattern", "both sides"), side="")
    assert kind.good_side == "both"
    assert not kind.two_faced
    assert kind.value("rail mount") == "between posts"
    assert kind.front_m == kind.back_m


@pytest.mark.parametrize(
    "values", [(), (("pattern", "spaced"),), (("pattern", "board on board"),), (("pattern", "horizontal"),)]
)
def test_good_side_must_be_said_where_the_faces_differ(values):
    (problem,) = problems("boards", *values, side="")
    assert problem.slug == "good-side-missing"
    assert "neighbour or yard" in problem.allowed


def test_good_side_elsewhere():
    assert kind_of("chain-link", side="").good_side == "neighbour"
    assert kind_of("vinyl-panels", side="").good_side == "both"
    assert kind_of("post-and-rail", side="").two_faced is False
    assert (
        problems("post-and-rail", ("rail mount", "on face"), ("rail stock", 4.8768), side="")[0].slug
        == "good-side-missing"
    )
    assert problems("boards", side="both")[0].slug == "good-side-wrong"
    assert problems("boards", side="street")[0].slug == "good-side-wrong"


def test_holes_of_chain_link_by_either_rule():
    standard = kind_of("chain-link")
    assert inches(standard.hole("end").diameter_m) == 9.5
    assert inches(standard.hole("line").depth_m) == 24
    assert standard.hole("end").source == "f567"
    leaflet = kind_of("chain-link", ("hole rule", "leaflet"))
    assert (inches(leaflet.hole("end").diameter_m), inches(leaflet.hole("end").depth_m)) == (8, 30)
    assert (inches(leaflet.hole("line").diameter_m), inches(leaflet.hole("line").depth_m)) == (6, 24)
    assert leaflet.hole("gate").source == "clhow"
    typed = kind_of("chain-link", ("hole.line", 8 * IN), ("hole.least", 36 * IN))
    assert (inches(typed.hole("line").diameter_m), inches(typed.hole("line").depth_m)) == (8, 36)


def test_values_laid_over_are_as_typed_and_the_rest_keeps_its_source():
    kind = kind_of("boards", ("board", 1.5), ("post.gate", "4x6"))
    sources = dict(kind.sources)
    assert sources["board"] == sources["post.gate"] == "as typed"
    assert sources["hole.gravel"] == "from memory"
    assert inches(kind.post("gate").depth_m) == 5.5
    assert inches(kind.post("gate").width_m) == 3.5


def test_corner_posts_and_holes_of_their_own():
    kind = kind_of("boards", ("post.corner", "6x6"), ("hole.corner", 16 * IN))
    assert inches(kind.post("corner").width_m) == 5.5
    assert inches(kind.hole("corner").diameter_m) == 16
    assert inches(kind.hole("tee").diameter_m) == 10
    assert inches(kind_of("boards").hole("corner").diameter_m) == 10
    assert inches(kind_of("boards", ("hole.corner", 13 * IN)).hole("corner").diameter_m) == 13


def test_a_pipe_may_be_named_by_its_diameter():
    kind = kind_of("chain-link", ("post.end", 2.875 * IN), ("post.line", "1.9"))
    assert kind.post("end").name == "2 7/8"
    assert kind.post("line").name == "1.9"


def test_lengths_counts_and_shares_as_text():
    kind = kind_of("boards", ("board", "5' 6\""), ("rails", "2"), ("share in ground", "1/4"), ("post cap", "yes"))
    assert inches(kind.infill_m) == 66
    assert kind.rails == 2
    assert kind.hole("line").fraction == 0.25
    assert kind.value("post cap") is True


def test_problems_all_at_once_each_at_its_place():
    places = (
        ("bord", Where("job.yaml", 4, 9)),
        ("rails", Where("job.yaml", 5, 9)),
        ("post.line", Where("job.yaml", 6, 9)),
    )
    found = problems("boards", ("bord", 1.0), ("rails", 2.5), ("post.line", "7x7"), value_places=places)
    assert [(problem.slug, problem.where.line) for problem in found] == [
        ("kind-key-unknown", 4),
        ("kind-value-wrong", 5),
        ("kind-value-wrong", 6),
    ]
    assert 'did you mean "board"?' in found[0].hint
    assert "from 2 to 6" in found[1].allowed
    assert "4x4, 4x6, 6x6" in found[2].allowed


@pytest.mark.parametrize(
    ("kind", "key", "part"),
    [
        ("boards", "height", "worked out"),
        ("boards", "hole", "hole.line"),
        ("boards", "post", "post.gate"),
        ("vinyl-panels", "longest bay", "module"),
        ("chain-link", "board", "listed in docs/kinds.md"),
    ],
)
def test_hints_for_keys_that_people_try(kind, key, part):
    (problem,) = problems(kind, (key, 1.0))
    assert part in problem.hint


@pytest.mark.parametrize(
    ("kind", "value", "found"),
    [
        ("boards", ("board", 99.0), "3897.64 in"),
        ("boards", ("board", float("nan")), "nan in"),
        ("boards", ("board", True), "yes"),
        ("boards", ("board", "tall"), "tall"),
        ("boards", ("rails", True), "yes"),
        ("boards", ("rails", "three"), "three"),
        ("boards", ("share in ground", "1/0"), "1/0"),
        ("boards", ("share in ground", 0.9), "0.9"),
        ("boards", ("pattern", "sollid"), "sollid"),
        ("boards", ("post cap", "maybe"), "maybe"),
        ("boards", ("cap board", "3x3"), "3x3"),
    ],
)
def test_values_out_of_range(kind, value, found):
    (problem,) = problems(kind, value)
    assert problem.slug == "kind-value-wrong"
    assert problem.found == found
    assert problem.allowed


@pytest.mark.parametrize(
    ("kind", "values", "key"),
    [
        ("boards", [("shortest bay", 3.0)], "shortest bay"),
        ("boards", [("rail stock", 2.0)], "rail stock"),
        ("boards", [("pattern", "board on board"), ("overlap", 2.9 * IN)], "overlap"),
        ("boards", [("board", 15 * IN)], "board"),
        ("boards", [("board stock", 1.5)], "board stock"),
        ("boards", [("pattern", "horizontal"), ("board stock", 1.5)], "board stock"),
        ("boards", [("cap board", "2x6"), ("reveal", 0.05)], "cap board"),
        ("boards", [("cap board", "2x6"), ("post cap", True)], "post cap"),
        ("boards", [("hole.depth", 5 * IN)], "hole.depth"),
        ("boards", [("hole.gate", 6 * IN)], "hole.gate"),
        ("boards", [("hole.least", 6 * IN), ("hole.gravel", 8 * IN)], "hole.gravel"),
        ("boards", [("post.corner", "6x6"), ("hole.end", 6 * IN)], "post.corner"),
        ("boards", [("hole.corner", 4 * IN)], "hole.corner"),
        ("post-and-rail", [("top of rails", 18 * IN), ("rails", 4)], "top of rails"),
        ("post-and-rail", [("rail stock", 9 * 12 * IN)], "rail stock"),
    ],
)
def test_values_that_contradict_each_other(kind, values, key):
    found = problems(kind, *values)
    assert {problem.slug for problem in found} == {"kind-values-conflict"}
    assert any(key in problem.hint for problem in found)


def test_unknown_kind():
    (problem,) = problems("chain link")
    assert problem.slug == "kind-unknown"
    assert "chain-link" in problem.hint
    assert "docs/kinds.md" in problems("")[0].hint


def own_file(tmp_path, text):
    (tmp_path / "own.toml").write_text(text, encoding="utf-8")
    return {"kind_file": "own.toml", "at": Where(str(tmp_path / "job.yaml"), 3, 5)}


def test_a_firms_own_kind_is_a_file_and_the_job_goes_before_it(tmp_path):
    more = own_file(
        tmp_path, '"based on" = "boards"\n[values]\nboard = "5 ft"\nrails = 2\n[values.hole]\nline = "12 in"'
    )
    kind = kind_of("boards", ("rails", 4), **more)
    assert inches(kind.infill_m) == 60
    assert kind.rails == 4
    assert inches(kind.hole("line").diameter_m) == 12
    assert kind.kind == "boards"
    assert dict(kind.sources)["hole.line"] == "as typed"


def test_a_firms_own_kind_that_is_wrong(tmp_path):
    found = problems("x", **own_file(tmp_path, '"based on" = "boards"\n[values]\nbored = "5 ft"'))
    assert [problem.slug for problem in found] == ["kind-key-unknown"]
    assert "own.toml" in found[0].where.file
    assert problems("x", **own_file(tmp_path, '"based on" = "bords"'))[0].slug == "kind-unknown"
    (problem,) = problems("x", kind_file="nowhere.toml")
    assert problem.slug == "kind-file-unusable"


ANY_VALUE = st.one_of(
    st.floats(),
    st.integers(-(10**9), 10**9),
    st.booleans(),
    st.text(max_size=12),
    st.sampled_from(["4x4", "none", "2 in", "1/3"]),
)
ALL_KEYS = sorted({key for name in catalogue() for key in kind_table(name).keys} | {"height", "bord", ""})


@settings(max_examples=150, deadline=None)
@given(
    name=st.sampled_from([*catalogue(), "moat"]),
    values=st.lists(st.tuples(st.sampled_from(ALL_KEYS), ANY_VALUE), max_size=4),
    side=st.sampled_from(["", "neighbour", "yard", "both", "up"]),
)
def test_anything_typed_gives_a_kind_or_problems(name, values, side):
    kind, said = None, ()
    try:
        kind = resolve(FenceSpec("fence", name, tuple(values), good_side=side))
    except JobError as error:
        said = error.problems
    if kind is None:
        assert said
        assert all(problem.slug and problem.what for problem in said)
    else:
        assert kind.height_m > 0
        assert kind.shortest_m <= kind.longest_m + 1e-9
        assert all(math.isfinite(part) for _, part in kind.height_words)
        assert kind.front_m > 0
        assert kind.back_m > 0
