"""More than one misread tape: a pair is named where enough checks are left without it, else only what is certain."""

from __future__ import annotations

import itertools
import math
import random

import pytest
from tests.sample_plan import sample_plan

from palewright import jobfile
from palewright.model import NetPoint, Network, Observation
from palewright.papers.words import say
from palewright.plan.site import site_and_network
from palewright.survey import Several, adjust, pairs_that_fit, several_wrong
from palewright.survey.contradict import contradictions

SIGMA = 0.008
PLACES = {"A": (0.0, 0.0), "B": (14.2, 1.1), "C": (17.5, 11.8), "D": (6.1, 16.4), "E": (-4.3, 9.2), "F": (7.4, 7.9)}


def taped(names: str, wrong: dict[str, float], number: int = 1) -> tuple[Network, set[int]]:
    """Every tape between some points, with noise; those that are wrong by so much [m], and their numbers."""
    draw = random.Random(number)
    lines = list(itertools.combinations(names, 2))
    read = [
        Observation(
            "distance",
            (a, b),
            math.dist(PLACES[a], PLACES[b]) + draw.gauss(0.0, SIGMA / 2.0) + wrong.get(a + b, 0.0),
            SIGMA,
        )
        for a, b in lines
    ]
    points = tuple(NetPoint(name, PLACES[name]) for name in names)
    return Network(points, tuple(read), "least"), {k for k, (a, b) in enumerate(lines) if a + b in wrong}


def told(network: Network) -> Several:
    found = several_wrong(network, adjust(network))
    assert found is not None
    return found


def test_two_wrong_tapes_are_named_and_left_out_where_four_checks_are_left() -> None:
    network, wrong = taped("ABCDEF", {"AB": 3.048, "CE": -1.5})
    found = told(network)
    assert {s.index for s in found.suspects if s.alone} == wrong == set(found.pair)
    assert [s.by for s in found.suspects] == pytest.approx([3.048, -1.5], abs=0.06)
    assert found.fitting is not None
    assert (found.left, found.fitting.dof) == (4, 4)


@pytest.mark.parametrize("wrong", [{"AB": 0.6, "CE": -0.9}, {"AB": 0.6, "BD": 1.2}, {"AC": 3.0, "AD": 3.0}])
def test_where_one_check_is_left_no_pair_is_taken_for_certain(wrong: dict[str, float]) -> None:
    """Five points and ten tapes: three checks, one without a pair."""
    network, bad = taped("ABCDE", wrong)
    found = told(network)
    assert not any(s.alone for s in found.suspects)
    assert found.fitting is None
    assert bad <= {s.index for s in found.suspects}
    assert found.least == 2
    assert all(set(group) & bad for group in found.groups)
    assert found.groups


def test_a_tape_that_is_in_every_pair_is_named_and_the_other_is_one_of_a_few() -> None:
    """F hangs on three tapes: which of them is a metre long nobody can tell, that A - B is wrong anybody can."""
    network, _ = taped("ABCDEF", {"AB": 3.048, "CF": 1.0})
    read = tuple(o for o in network.observations if "F" not in o.points or o.points[0] in "ABC")
    found = told(Network(network.points, read, "least"))
    names = ["".join(o.points) for o in read]
    first, other = sorted(found.suspects, key=lambda s: not s.alone)
    assert (names[first.index], first.alone, first.by) == ("AB", True, pytest.approx(3.048, abs=0.06))
    assert (other.alone, {names[k] for k in other.among}) == (False, {"AF", "BF", "CF"})


def test_two_wrong_of_twenty_one_readings_are_named() -> None:
    """Seven points and every tape between them: eleven checks, nine of them left."""
    at = PLACES | {"G": (1.2, 4.4)}
    lines = list(itertools.combinations(at, 2))
    draw, wrong = random.Random(2), {("A", "B"): 3.048, ("B", "D"): -1.5}
    read = [math.dist(at[a], at[b]) + draw.gauss(0.0, SIGMA / 2.0) + wrong.get((a, b), 0.0) for a, b in lines]
    tapes = tuple(Observation("distance", line, value, SIGMA) for line, value in zip(lines, read, strict=True))
    network = Network(tuple(NetPoint(name, xy) for name, xy in at.items()), tapes, "least")
    found = pairs_that_fit(network)
    assert [{lines[k] for k in pair[:2]} for pair in found] == [set(wrong)]


@pytest.mark.parametrize("number", range(4))
def test_of_three_wrong_tapes_no_good_one_is_accused(number: int) -> None:
    draw = random.Random(number)
    lines = ["".join(line) for line in itertools.combinations("ABCDE", 2)]
    wrong = {line: draw.choice((-1.0, 1.0)) * draw.uniform(0.5, 4.0) for line in draw.sample(lines, 3)}
    network, bad = taped("ABCDE", wrong, number)
    found = told(network)
    assert {s.index for s in found.suspects if s.alone} <= bad
    assert found.groups
    assert all(set(group) & bad for group in found.groups)
    assert found.least <= 3


def test_readings_that_agree_contradict_nothing() -> None:
    for number in range(4):
        assert contradictions(taped("ABCDE", {}, number)[0]) == []


def test_the_smallest_contradictions_are_found() -> None:
    """A tape twice, 1 m apart; and a side of a triangle longer than the two others together."""
    network, _ = taped("ABC", {"AB": 15.0})
    twice = Observation("distance", ("B", "C"), network.observations[2].value + 1.0, SIGMA)
    network = Network(network.points, (*network.observations, twice), "least")
    assert contradictions(network)[0] == (2, 3)
    assert contradictions(taped("ABC", {"AB": 20.0})[0]) == [(0, 1, 2)]


YARD = """\
palewright: 1
job: {title: Larch yard}
walls: [{from: house left, to: house right, length: 38' 4", with: steel tape}]
walks:
  - from: house left
    along: house right
    go: [14 ft 3 in, right, 46' 6", right 91°, 66' 4"]
    call: [A, B, C]
measured:
  - {tape: [C, house right], reads: 46' 2"}
  - {tape: [house left, C], reads: 81 ft, with: steel tape}
  - {tape: [house right, B], reads: 81 ft, with: steel tape}
  - {tape: [house left, B], reads: 81 ft, with: steel tape}
fences: {boards: {kind: boards, good side: yard}}
runs: [{name: yard, fence: boards, through: [house left, A], yard: right, follows: racked}]
"""


def test_three_tapes_of_a_yard_typed_with_one_figure_accuse_no_other() -> None:
    """81 ft from house left to B is longer than by way of A, 14 ft 3 in and 46 ft 6 in: that is certain whatever else."""
    site, net = site_and_network(jobfile.read_bytes(YARD.encode(), "job.yaml"))
    said = [r for r in site.remarks if r.slug.startswith(("measurements-", "tape-"))]
    assert "tape-suspect" not in {r.slug for r in said}
    assert dict(next(r.args for r in said if r.slug == "measurements-many-wrong")) == {"least": 3}
    assert net is not None
    assert (net.disagrees, net.cleared) == (True, False)
    groups = [str(dict(r.args)["readings"]) for r in said if r.slug == "measurements-contradict"]
    assert groups[0] == "house left - B, house left - A, A - B"
    assert all("house left - B" in group or "house right - B" in group for group in groups)
    assert all("?" not in say(r, sample_plan().settings) for r in said)


LINE = """\
palewright: 1
job: {title: Willow lot}
walls: [{from: HL, to: HR, length: 38' 0 1/4", with: steel tape}]
walks: [{from: HL, along: HR, go: [6' 1 7/8", right, 52' 2 5/8", right, 66' 7 3/8", right, 35' 9 5/8"], call: [A, B, C, D]}]
measured:
  - {tape: [HR, D], reads: 24' 6 1/2"}
  - {tape: [HL, C], reads: 80' 10 1/8"}
  - {tape: [HL, D], reads: 62' 6 3/8"}
  - {tape: [A, C], reads: 85' 7 3/8"}
  - {tape: [HR, B], reads: 44' 2 1/8"}
  - {tape: [HR, A], reads: 44' 1 7/8"}
  - {tape: [A, D], reads: 68' 9 3/4"}
  - {tape: [HL, B], reads: 52' 4 7/8"}
fences: {boards: {kind: boards, good side: yard}}
runs: [{name: yard, fence: boards, through: [HL, A], yard: right, follows: racked}]
"""


def test_where_a_point_could_slide_without_the_misread_tapes_their_number_is_not_overstated() -> None:
    """C - D is 17 ft short and HR - B 24 ft; without them three tapes from one line hold D only along it."""
    site, net = site_and_network(jobfile.read_bytes(LINE.encode(), "job.yaml"))
    assert net is not None
    assert not net.cleared
    said = {r.slug: dict(r.args) for r in site.remarks}
    assert "measurements-many-wrong" not in said
    named = str(said["measurements-several-wrong"]["readings"])
    assert {"C - D", "HR - B"} <= set(named.split(", "))


PINS = """\
palewright: 1
job: {title: Aspen lot}
points: {H1: {at: [0 ft, 0 ft]}, H2: {at: [29.48 ft, 0 ft]}, H3: {at: [29.48 ft, 26.80 ft]}, H4: {at: [0 ft, 26.80 ft]}}
measured:
  - {tape: [H3, P1], reads: 17' 2 3/8"}
  - {tape: [H4, P1], reads: 25' 10 1/2"}
  - {tape: [H2, P1], reads: 32' 7 7/8"}
  - {tape: [H1, P1], reads: 64' 9 1/2"}
  - {tape: [H3, P2], reads: 26' 9 1/2"}
  - {tape: [P1, P2], reads: 40' 3 1/8"}
  - {tape: [H2, P2], reads: 23' 5 1/4"}
  - {tape: [H4, P3], reads: 60' 7 1/4"}
  - {tape: [P1, P3], reads: 44' 0 3/8"}
  - {tape: [H3, P3], reads: 60' 4"}
  - {tape: [H1, P3], reads: 86' 9 5/8"}
fences: {boards: {kind: boards, good side: yard}}
runs: [{name: rear, fence: boards, through: [H1, H2], yard: left, follows: racked}]
"""


def test_three_misread_tapes_to_pins_are_told_without_stumbling() -> None:
    """The tapes to H1, H2 and H3 from three points are each feet off; no pair explains it, no single tape is named."""
    site, _ = site_and_network(jobfile.read_bytes(PINS.encode(), "job.yaml"))
    said = {r.slug for r in site.remarks}
    assert "measurements-disagree" in said
    assert "tape-suspect" not in said


SHORT = """\
palewright: 1
job: {{title: Rowan lot}}
walls: [{{from: HL, to: HR, length: 26' 9 1/8", with: steel tape}}]
walks: [{{from: HL, along: HR, go: [8' 3 1/4", right, 21' 4 1/8", right, {bc}], call: [A, B, C]}}]
measured:
  - {{tape: [HL, B], reads: {lb}}}
  - {{tape: [HL, C], reads: 23' 4"}}
  - {{tape: [HR, C], reads: 28' 4"}}
  - {{tape: [HR, B], reads: {rb}}}
  - {{tape: [A, C], reads: 27' 5 1/8"}}
fences: {{boards: {{kind: boards, good side: yard}}}}
runs: [{{name: yard, fence: boards, through: [HL, A], yard: right, follows: racked}}]
"""


def test_a_single_reading_is_named_outright_only_where_that_is_more_than_chance() -> None:
    """B - C is read 2 ft and HL - B half a foot wrong: without the good HR - B all others agree by chance, two checks
    left. With both put right and HR - B a foot too long that same tape is the wrong one, and is told."""
    by_chance = SHORT.format(bc="14' 2 7/8\"", lb="22' 2\"", rb="40' 6 3/4\"")
    rightly = SHORT.format(bc="16' 2 7/8\"", lb="22' 8\"", rb="41' 6 3/4\"")
    said = []
    for text in (by_chance, rightly):
        site, net = site_and_network(jobfile.read_bytes(text.encode(), "job.yaml"))
        assert net is not None
        said.append((net.cleared, {r.slug for r in site.remarks} & {"measurements-one-perhaps", "tape-suspect"}))
    assert said == [(False, {"measurements-one-perhaps", "tape-suspect"}), (True, {"tape-suspect"})]
