"""Locate: dig marks in white, what was typed of the locate, and what is missing."""

from palewright.locate.sheet import PRIVATE_LINES, locate_sheet

__all__ = ["PRIVATE_LINES", "locate_sheet"]
