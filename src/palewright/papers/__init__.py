"""The papers: crew sheets, material list, decision page and drawing sheets of a plan, in English or Spanish.

The data functions are pure: they turn a plan into words and numbers ready to print. ``write_papers`` sets them.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from palewright.papers.measures import Measures
from palewright.papers.words import LANGUAGES, say, text

if TYPE_CHECKING:
    from palewright.papers.agreement import agreement_data
    from palewright.papers.boundary import boundary_data
    from palewright.papers.crew import crew_data
    from palewright.papers.decisions import decisions_data
    from palewright.papers.materials import materials_data
    from palewright.papers.names import in_language
    from palewright.papers.permit import permit_data
    from palewright.papers.pins import pins_data
    from palewright.papers.stock import item_name
    from palewright.papers.write import set_paper, write_papers

__all__ = [
    "LANGUAGES",
    "Measures",
    "agreement_data",
    "boundary_data",
    "crew_data",
    "decisions_data",
    "in_language",
    "item_name",
    "materials_data",
    "permit_data",
    "pins_data",
    "say",
    "set_paper",
    "text",
    "write_papers",
]

#: what is imported when it is first asked for, and the module it lives in: a check needs none of it
_LATE = {
    "agreement_data": "agreement",
    "boundary_data": "boundary",
    "crew_data": "crew",
    "decisions_data": "decisions",
    "in_language": "names",
    "item_name": "stock",
    "materials_data": "materials",
    "permit_data": "permit",
    "pins_data": "pins",
    "set_paper": "write",
    "write_papers": "write",
}


def __getattr__(name: str) -> Any:
    """Import a public name of this room when it is first asked for."""
    if name not in _LATE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(import_module(f"{__name__}.{_LATE[name]}"), name)
    globals()[name] = value
    return value
