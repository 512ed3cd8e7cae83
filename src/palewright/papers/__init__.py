"""The papers: crew sheets, material list, decision page and drawing sheets of a plan, in English or Spanish.

The data functions are pure: they turn a plan into words and numbers ready to print. ``write_papers`` sets them.
"""

from typing import TYPE_CHECKING

from palewright.late import late
from palewright.papers.measures import Measures
from palewright.papers.words import LANGUAGES, say, text

if TYPE_CHECKING:
    from palewright.papers.agreement import agreement_data
    from palewright.papers.asbuilt import asbuilt_data, asbuilt_pdf
    from palewright.papers.asbuilt_photos import photos_printed
    from palewright.papers.boundary import boundary_data
    from palewright.papers.crew import crew_data
    from palewright.papers.decisions import decisions_data
    from palewright.papers.materials import materials_data
    from palewright.papers.names import in_language
    from palewright.papers.permit import permit_data
    from palewright.papers.pins import pins_data
    from palewright.papers.stock import bought_words
    from palewright.papers.write import paper_names, set_paper, write_papers

__all__ = [
    "LANGUAGES",
    "Measures",
    "agreement_data",
    "asbuilt_data",
    "asbuilt_pdf",
    "bought_words",
    "boundary_data",
    "crew_data",
    "decisions_data",
    "in_language",
    "materials_data",
    "paper_names",
    "permit_data",
    "photos_printed",
    "pins_data",
    "say",
    "set_paper",
    "text",
    "write_papers",
    "yard_pack",
]

#: a check needs none of these
__getattr__ = late(
    __name__,
    {
        "agreement_data": "agreement",
        "asbuilt_data": "asbuilt",
        "asbuilt_pdf": "asbuilt",
        "bought_words": "stock",
        "boundary_data": "boundary",
        "crew_data": "crew",
        "decisions_data": "decisions",
        "in_language": "names",
        "materials_data": "materials",
        "paper_names": "write",
        "permit_data": "permit",
        "photos_printed": "asbuilt_photos",
        "pins_data": "pins",
        "set_paper": "write",
        "write_papers": "write",
        "yard_pack": "yard",
    },
)
