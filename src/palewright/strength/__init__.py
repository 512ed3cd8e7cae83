"""Embedment of posts: how deep a hole is, and which rule governs."""

from palewright.strength.embedment import design_hole, embed, embed_remarks, third_in_ground

__all__ = ["design_hole", "embed", "embed_remarks", "third_in_ground"]
