"""Citations: one ledger of documents, keyed by short names that docstrings, tables and papers use."""

from palewright.sources.ledger import Source, all_sources, cite, source

__all__ = ["Source", "all_sources", "cite", "source"]
