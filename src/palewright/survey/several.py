"""Whether readings that let all others agree are more than chance; what is certain where more than one is wrong.

One reading or a pair can let all others agree by chance, the more easily the fewer checks are left without it, and the
more there are to choose from. How many would do so, were others wrong by as much, is counted from the size of the
blunders: the checks that are left would then be spread over that size, and agree in a small share of it. A pair is
named and left out only where that is below one in twenty. A single one is wrong far more often than two are: there the
limit is one in three, and ten times that where the size is that of a slip people make. Elsewhere it is said how many
checks are left to control it, and which readings contradict one another whatever the others say
(:mod:`palewright.survey.contradict`).

Sources: a test of many candidates has to count them (Bonferroni; in data snooping W. Baarda, A testing procedure for
use in geodetic networks, 1968, chooses the level of one test so that the whole keeps its own; where a peak may lie
anywhere, the "look-elsewhere effect"): from memory. The count itself is ours.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from palewright.model import Adjusted, Network, Suspect
from palewright.record import Record
from palewright.survey.contradict import contradictions
from palewright.survey.figures import Figures, can_be_built, placed_at, squares_near
from palewright.survey.fitting import Fitting, checks_of, fit
from palewright.survey.misread import guess_suspect
from palewright.survey.network_arrays import read_network
from palewright.survey.pairs import MOST_READINGS, pairs_that_fit
from palewright.survey.quality import CRITICAL, chi_square_limits

__all__ = ["Several", "by_chance", "several_wrong"]

_AS_GOOD = 6.0
"""A pair is as good as the best where its sum of squares is larger by less than this: 20 to 1."""
_MOST_BY_CHANCE = 0.05
_ONE_BY_CHANCE = 0.5
"""A single reading is named and left out where fewer would explain all by chance. One misread tape in a site is that
much more common than two (our judgement): of those rightly named on made-up sites two in a hundred exceed it."""
_SLIP = 0.1
"""So many blunders that come out by chance have the size of a common slip (our judgement)."""
_LARGEST = 700.0
_SURELY = 0.998
"""Where no pair passes even the test of this share, more than two readings are wrong."""


class Several(Record):
    """What is known where more than one reading is wrong.

    suspects, fitting
        the pair and the fit without it where it is told; elsewhere every reading that may be wrong, and None.
    pair, left
        numbers of the one pair that explains all, or of the one reading that may do so by chance, and how many checks
        are left without it; () where none or several do. explained: whether any pair does.
    least
        so many readings are wrong at least; 1 where there are too many readings to try pairs, or one may be all.
    groups
        readings that contradict one another, the smallest groups first.
    """

    suspects: tuple[Suspect, ...]
    fitting: Fitting | None
    pair: tuple[int, ...]
    left: int
    explained: bool
    least: int
    groups: tuple[tuple[int, ...], ...]


def several_wrong(network: Network, adjusted: Adjusted) -> Several | None:
    """What can be told where more than one reading may be wrong; None where what ``adjusted`` says stands.

    network, adjusted
        with places for its points; its adjustment with the suspects found one at a time.
    Source: enumeration of pairs, chi-square test of the rest, :func:`by_chance`.
    """
    rest = adjusted.without
    disagree = rest is not None and rest.chi_high is not None and rest.weighted_squares > rest.chi_high
    given_up = not adjusted.suspects and any(abs(f.test or 0.0) > CRITICAL for f in adjusted.fits)
    if not disagree and not given_up and len(adjusted.suspects) < 2:
        return _one(network, adjusted)
    found = {point.name: point.xy for point in adjusted.points}
    network = replace(network, points=tuple(replace(p, xy=p.xy or found.get(p.name)) for p in network.points))
    loose = _loose(network)
    checks = checks_of(read_network(network)) if all(p.xy is not None for p in network.points) else -1
    if ones := _ones(network, checks):
        return Several(_any_of(ones), None, (), 0, False, 1, tuple(contradictions(network)))
    nearly = pairs_that_fit(network, _SURELY)
    pairs = [pair for pair in nearly if pair[2].chi_high and pair[2].weighted_squares <= pair[2].chi_high]
    pairs = [pair for pair in pairs if pair[2].weighted_squares <= pairs[0][2].weighted_squares + _AS_GOOD]
    groups = tuple(contradictions(network))
    if len(pairs) == 1 and not pairs[0][2].undetermined:
        return _pair(network, pairs[0], loose, groups)
    if len(pairs) > 1 and (one_of_them := _shared(network, pairs, loose, groups)):
        return one_of_them
    if not pairs and not disagree and (loose > MOST_READINGS or _stands(adjusted, loose)):
        return None
    some = sorted({k for i, j, _ in pairs for k in (i, j)} or {k for group in groups for k in group})
    among = tuple(some or sorted({s.index for s in adjusted.suspects}))
    least = 1 if loose > MOST_READINGS else 3 if checks > 2 and not nearly else 2
    return Several(_any_of(among), None, (), 0, bool(pairs), max(least, _apart(groups)), groups)


def by_chance(count: int, checks: int, squares: float, tests: Sequence[float]) -> float:
    """How many sets of readings would let the rest agree as well as one does, were other readings wrong.

    count, tests
        readings that may be wrong; how large the blunders of the set are, in standard deviations of what the rest says
        of these readings [> 0].
    checks, squares
        that are left without the set, and their sum of squares; no check: every set would.
    C(N, k) (sqrt(pi / 2) / s)^d exp(q / 2): N readings, sets of k, and for d checks with sum q how dense they lie there
    when spread evenly from -s to s, s being the geometric mean of the blunders, against the normal density of noise.
    Our own estimate, tried on made-up sites.

    >>> round(by_chance(10, 1, 1.0, (40.0, 40.0)), 2), round(by_chance(10, 3, 3.0, (40.0, 40.0)), 4)
    (2.32, 0.0062)
    """
    if checks <= 0:
        return math.inf
    size = math.fsum(math.log(max(test, 1e-9)) for test in tests) / len(tests)
    share = checks * (math.log(math.pi / 2.0) / 2.0 - size) + squares / 2.0
    return math.comb(count, len(tests)) * math.exp(min(share, _LARGEST))


def _one(network: Network, adjusted: Adjusted) -> Several | None:
    """A single reading that was named, where it may explain all by chance."""
    rest = adjusted.without
    if rest is None or not adjusted.suspects or not adjusted.suspects[0].alone:
        return None
    (suspect,) = adjusted.suspects
    o, found = network.observations[suspect.index], rest.fits[suspect.index]
    suspect = replace(suspect, by=-found.residual, alone=False)
    chance = by_chance(_loose(network), rest.dof, rest.weighted_squares, (abs(found.test or 0.0),))
    slip = chance > _ONE_BY_CHANCE and guess_suspect(suspect, o, adjusted.fits[suspect.index].redundancy).guess
    if chance * (_SLIP if slip else 1.0) <= _ONE_BY_CHANCE:
        return None
    return Several((suspect,), None, (suspect.index,), rest.dof, True, 1, ())


def _loose(network: Network) -> int:
    return sum(o.source == "measured" for o in network.observations)


def _pair(
    network: Network, pair: tuple[int, int, Adjusted], loose: int, groups: tuple[tuple[int, ...], ...]
) -> Several:
    i, j, rest = pair
    fitting = _without(network, (i, j), rest)
    left = fitting.residual[[i, j]]
    tests = np.abs(left) / np.sqrt(fitting.arrays.sigma[[i, j]] ** 2 + fitting.spread[[i, j]])
    told = by_chance(loose, fitting.dof, rest.weighted_squares, tests.tolist()) <= _MOST_BY_CHANCE
    suspects = tuple(
        Suspect(k, -v, alone=told, among=() if told else (i, j)) for k, v in zip((i, j), left.tolist(), strict=True)
    )
    return Several(suspects, fitting if told else None, (i, j), fitting.dof, True, 2, groups)


def _shared(
    network: Network, pairs: Sequence[tuple[int, int, Adjusted]], loose: int, groups: tuple[tuple[int, ...], ...]
) -> Several | None:
    """The reading that is in every pair, and that one of the others is wrong with it; None where none is, or that may
    be chance."""
    every = {k for pair in pairs for k in pair[:2]}
    shared = every.intersection(*(pair[:2] for pair in pairs))
    if not shared or pairs[0][2].undetermined:
        return None
    best, others = _pair(network, pairs[0], loose, groups), tuple(sorted(every - shared))
    suspects = tuple(s if s.index in shared else replace(s, alone=False, among=others) for s in best.suspects)
    return replace(best, suspects=suspects) if best.fitting else None


def _any_of(among: tuple[int, ...]) -> tuple[Suspect, ...]:
    return tuple(Suspect(k, 0.0, alone=False, among=among) for k in among)


def _ones(network: Network, checks: int) -> tuple[int, ...]:
    """Readings one of which may be the only wrong one after all, the others scattering as one time in a thousand."""
    loose = [k for k, o in enumerate(network.observations) if o.source == "measured"]
    if checks < 2 or len(loose) > MOST_READINGS or not can_be_built(network):
        return ()
    most = chi_square_limits(checks - 1, _SURELY)[1]
    figures, found = Figures(network, math.sqrt(most)), []
    for k in loose:
        others = [j for j in range(len(network.observations)) if j != k]
        drawn = figures.all(others, [p.name for p in network.points])
        rest = replace(network, observations=tuple(network.observations[j] for j in others))
        if drawn and checks_of(read_network(rest)) == checks - 1:
            found += [k] if min(squares_near(rest, places) for places in drawn) <= most else []
    return tuple(found)


def _without(network: Network, pair: tuple[int, int], rest: Adjusted) -> Fitting:
    """The fit of a network without a pair, the two tested against the rest."""
    at = {point.name: point.xy for point in rest.points}
    arrays = read_network(network)
    use = np.where(arrays.out, 0.0, 1.0)
    use[list(pair)] = 0.0
    return fit(arrays, use, read_network(placed_at(network, at)).start)


def _stands(adjusted: Adjusted, loose: int) -> bool:
    """Whether readings that were found one at a time are more than chance; none were where a held point was let go."""
    rest = adjusted.without
    if rest is None or not adjusted.suspects:
        return rest is not None
    tests = [abs(rest.fits[s.index].test or 0.0) for s in adjusted.suspects]
    return by_chance(loose, rest.dof, rest.weighted_squares, tests) <= _MOST_BY_CHANCE


def _apart(groups: Sequence[tuple[int, ...]]) -> int:
    """How many groups share no reading, taken one after the other: so many readings are wrong at least."""
    taken: set[int] = set()
    count = 0
    for group in groups:
        if not taken & set(group):
            taken |= set(group)
            count += 1
    return count
