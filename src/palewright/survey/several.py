"""More than one reading wrong: which pair it is where that is more than chance, and else only what is certain.

A pair of readings can let all others agree by chance, the more easily the fewer checks are left without it. How many
pairs would do so, were others wrong by as much, is counted from the size of the two blunders: the checks that are left
would then be spread over that size, and agree within the limit of their test in a small share of it. Only where that
is below one in twenty is a pair named and left out. Elsewhere it is said how many checks are left to control it, and
which readings contradict one another whatever the others say (:mod:`palewright.survey.contradict`).
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
from palewright.survey.network_arrays import read_network
from palewright.survey.pairs import MOST_READINGS, pairs_that_fit
from palewright.survey.quality import CRITICAL, chi_square_limits

__all__ = ["Several", "by_chance", "several_wrong"]

_AS_GOOD = 6.0
"""A pair is as good as the best where its sum of squares is larger by less than this: 20 to 1."""
_MOST_BY_CHANCE = 0.05
_SURELY = 0.998
"""Where no pair passes even the test of this share, more than two readings are wrong."""


class Several(Record):
    """What is known where more than one reading is wrong.

    suspects, fitting
        the pair and the fit without it where it is told; elsewhere every reading that may be wrong, and None.
    pair, left
        numbers of the one pair that explains all, and how many checks are left without it; () where none or several do.
        explained: whether any pair does.
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
    """What can be told where more than one reading is doubted; None where what ``adjusted`` says stands.

    network, adjusted
        with places for its points; its adjustment with the suspects found one at a time.
    Source: enumeration of pairs, chi-square test of the rest, :func:`by_chance`.
    """
    rest = adjusted.without
    disagree = rest is not None and rest.chi_high is not None and rest.weighted_squares > rest.chi_high
    given_up = not adjusted.suspects and any(abs(f.test or 0.0) > CRITICAL for f in adjusted.fits)
    if not disagree and not given_up and len(adjusted.suspects) < 2:
        return None
    found = {point.name: point.xy for point in adjusted.points}
    network = replace(network, points=tuple(replace(p, xy=p.xy or found.get(p.name)) for p in network.points))
    loose = sum(o.source == "measured" for o in network.observations)
    checks = checks_of(read_network(network)) if all(p.xy is not None for p in network.points) else -1
    if ones := _ones(network, checks):
        return Several(_any_of(ones), None, (), 0, False, 1, tuple(contradictions(network)))
    nearly = pairs_that_fit(network, _SURELY)
    pairs = [pair for pair in nearly if pair[2].chi_high and pair[2].weighted_squares <= pair[2].chi_high]
    pairs = [pair for pair in pairs if pair[2].weighted_squares <= pairs[0][2].weighted_squares + _AS_GOOD]
    groups = tuple(contradictions(network))
    if len(pairs) == 1 and not pairs[0][2].undetermined:
        return _pair(network, pairs[0], loose, groups)
    if not pairs and not disagree and (loose > MOST_READINGS or _stands(adjusted, loose)):
        return None
    some = sorted({k for i, j, _ in pairs for k in (i, j)} or {k for group in groups for k in group})
    among = tuple(some or sorted({s.index for s in adjusted.suspects}))
    least = 1 if loose > MOST_READINGS else 3 if checks > 2 and not nearly else 2
    return Several(_any_of(among), None, (), 0, bool(pairs), max(least, _apart(groups)), groups)


def by_chance(count: int, wrong: int, checks: int, tests: Sequence[float]) -> float:
    """How many sets of ``wrong`` readings out of ``count`` would let the rest agree were other readings wrong as well.

    checks
        that are left without them; none: every set would. tests: how large the blunders are, in standard deviations of
        what the rest says of these readings [> 0].
    N V (r / 2 s)^d: N sets, the ball of radius r (the limit of the chi-square test, 97.5 %) in d checks, which else lie
    anywhere within the size s of the blunders, their geometric mean. Our own estimate, tried on made-up sites.

    >>> round(by_chance(10, 2, 1, (40.0, 40.0)), 2), round(by_chance(10, 2, 3, (40.0, 40.0)), 4)
    (2.52, 0.0105)
    """
    if checks <= 0:
        return math.inf
    size = math.exp(math.fsum(math.log(max(test, 1e-9)) for test in tests) / len(tests))
    ball = math.pow(math.pi, checks / 2.0) / math.gamma(checks / 2.0 + 1.0)
    share = ball * math.pow(math.sqrt(chi_square_limits(checks)[1]) / (2.0 * size), checks)
    return math.comb(count, wrong) * share


def _pair(
    network: Network, pair: tuple[int, int, Adjusted], loose: int, groups: tuple[tuple[int, ...], ...]
) -> Several:
    i, j, rest = pair
    fitting = _without(network, (i, j), rest)
    left = fitting.residual[[i, j]]
    tests = np.abs(left) / np.sqrt(fitting.arrays.sigma[[i, j]] ** 2 + fitting.spread[[i, j]])
    told = by_chance(loose, 2, fitting.dof, tests.tolist()) <= _MOST_BY_CHANCE
    suspects = tuple(
        Suspect(k, -v, alone=told, among=() if told else (i, j)) for k, v in zip((i, j), left.tolist(), strict=True)
    )
    return Several(suspects, fitting if told else None, (i, j), fitting.dof, True, 2, groups)


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
    return by_chance(loose, len(tests), rest.dof, tests) <= _MOST_BY_CHANCE


def _apart(groups: Sequence[tuple[int, ...]]) -> int:
    """How many groups share no reading, taken one after the other: so many readings are wrong at least."""
    taken: set[int] = set()
    count = 0
    for group in groups:
        if not taken & set(group):
            taken |= set(group)
            count += 1
    return count
