"""Published numbers with their source: kinds of fence, lumber, pipe, concrete, gate hardware."""

from palewright.tables.accuracy import ToolAccuracy, tool_accuracies
from palewright.tables.gates import GateAllowance, gate_allowances
from palewright.tables.levels import ClosureRule, closure_rules
from palewright.tables.loader import (
    KeySpec,
    KindFile,
    KindTable,
    Section,
    concrete_table,
    gate_post_table,
    kind_names,
    kind_table,
    read_kind_file,
    removal_table,
    section,
    section_names,
    tape_table,
    to_si,
)
from palewright.tables.page import kinds_page
from palewright.tables.saw import saw_kerf

__all__ = [
    "ClosureRule",
    "GateAllowance",
    "KeySpec",
    "KindFile",
    "KindTable",
    "Section",
    "ToolAccuracy",
    "closure_rules",
    "concrete_table",
    "gate_allowances",
    "gate_post_table",
    "kind_names",
    "kind_table",
    "kinds_page",
    "read_kind_file",
    "removal_table",
    "saw_kerf",
    "section",
    "section_names",
    "tape_table",
    "to_si",
    "tool_accuracies",
]
