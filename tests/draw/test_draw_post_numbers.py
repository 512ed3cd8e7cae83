"""Numbers of posts on an elevation: every one stands, whatever is in the way."""

from __future__ import annotations

from tests.draw.conftest import plan_named

from palewright.draw.board import Board
from palewright.draw.elevation_row import label_post
from palewright.draw.place import HARD, Box
from palewright.draw.scene import Text, View
from palewright.draw.view import Field
from palewright.draw.words import Words


def test_a_post_number_stands_where_there_is_no_room_at_all() -> None:
    plan = plan_named("house-and-tape")
    board = Board(Field(0.0, 0.0, 120.0, 80.0, 0.0), View(100.0, (0.0, 0.0), 0.0, (60.0, 60.0), ""))
    board.placer.add(Box(60.0, 40.0, 1.0, 0.0, 60.0, 40.0), HARD)
    post = plan.design.posts[0]
    label_post(board, (0.0, post.above_m), post, Words(plan.settings))
    board.labels.settle()
    assert [p.text for p in board.primitives if isinstance(p, Text) and p.role == "post-label"] == [post.label]
