"""Layout: from runs, corners, gates and keep-clears to posts and bays."""

from palewright.layout.laying import lay_out

__all__ = ["lay_out"]
