"""The job file: YAML in, a Job in SI out, every value tied to its line and column; and edited in place.

``read`` gives a Job or raises JobError with every problem. ``Document`` changes single values of a file and leaves the
rest byte for byte as it was. ``read_deed`` reads calls, one a line, ``read_deed_text``
a legal description too, and ``read_words`` the file that they stand in.
``questions`` and ``new_job_text`` are behind ``palewright new``.
"""

from typing import TYPE_CHECKING

from palewright.jobfile.calls import read_deed
from palewright.jobfile.deed import DeedText, read_deed_text
from palewright.jobfile.reader import read, read_bytes, read_text, read_words
from palewright.jobfile.reference import reference
from palewright.jobfile.schema import schema
from palewright.late import late

if TYPE_CHECKING:
    from palewright.jobfile.document import Document
    from palewright.jobfile.new import Question, new_job_text, questions

__all__ = [
    "DeedText",
    "Document",
    "Question",
    "new_job_text",
    "questions",
    "read",
    "read_bytes",
    "read_deed",
    "read_deed_text",
    "read_text",
    "read_words",
    "reference",
    "schema",
]

#: who only reads a file needs none of these
__getattr__ = late(__name__, {"Document": "document", "Question": "new", "new_job_text": "new", "questions": "new"})
