"""Plans and entries that the tests of the as-built room share."""

from datetime import date
from functools import cache
from pathlib import Path

from palewright import plan as engine
from palewright.asbuilt import known_abouts
from palewright.exchange import read_entries
from palewright.model import Plan, YardEntry

EXAMPLES = Path(__file__).parents[2] / "examples"
TODAY = date(2026, 5, 5)
CLOCK = "2026-05-04T08:12:00-05:00"
EIGHTH = 0.0254 / 8


@cache
def plan_of(name: str = "tansy-court") -> Plan:
    return engine.make_plan(*engine.load(EXAMPLES / f"{name}.yaml"), search_cuts=False)


@cache
def day() -> tuple[YardEntry, ...]:
    text = (EXAMPLES / "tansy-court-yard.json").read_text("utf-8")
    entries, cautions = read_entries(text, "yard.json", today=TODAY, known=known_abouts(plan_of()))
    assert cautions == ()
    return entries


def said(*rows: tuple[str, str, dict[str, object]]) -> list[YardEntry]:
    """Entries of one device, in order."""
    return [
        YardEntry(f"e{k}", "phone", "lead", k, k - 1, CLOCK, about, what, value, k)
        for k, (about, what, value) in enumerate(rows, 1)
    ]
