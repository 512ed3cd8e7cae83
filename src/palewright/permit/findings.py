"""What a rule says of one part of the fence, made in one way."""

from __future__ import annotations

from typing import Any

from palewright.model import Finding, Rule
from palewright.permit.fence import Stretch

__all__ = ["SLACK_M", "ask", "found"]

SLACK_M = 1e-6
"""A length that misses a rule by less than this meets it [m]: the noise of the arithmetic, no tolerance."""


def found(rule: Rule, verdict: str, measure: str, stretch: Stretch | None = None, **more: Any) -> Finding:
    """A finding of a rule; of a stretch where one is given."""
    where: dict[str, Any] = {}
    if stretch is not None:
        where = {"run": stretch.run, "posts": stretch.posts, "bays": stretch.bays,
                 "part": (stretch.low_m, stretch.high_m)}  # fmt: skip
    return Finding(rule.name, rule.kind, rule.clause, verdict, measure, **(where | more))


def ask(rule: Rule, measure: str, slug: str, stretch: Stretch | None = None, **more: Any) -> Finding:
    """A finding that something is not known."""
    return found(rule, "ask", measure, stretch, ask=slug, **more)
