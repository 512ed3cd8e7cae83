"""The job file: YAML in, a Job in SI out, every value tied to its line and column."""

from palewright.jobfile.reader import read, read_bytes, read_text
from palewright.jobfile.schema import schema

__all__ = ["read", "read_bytes", "read_text", "schema"]
