"""Who is asking, and what may be asked."""

from __future__ import annotations

from typing import Any

from fastapi import Request

from palewright.web import shapes
from palewright.web.routes import router
from palewright.web.security import Crew, page_token

__all__ = ["api"]

api = router("about")


@api.get("/about")
async def about(visit: Crew) -> shapes.About:
    """Who is asking, and the token that goes with every change."""
    from palewright.web.words import LANGUAGES

    return shapes.About(
        version=visit.house.version, role=visit.role, name=visit.by, languages=list(LANGUAGES),
        token=page_token(visit.token), shared=visit.house.settings.shared,
    )  # fmt: skip


@api.get("/openapi.json", include_in_schema=False)
async def interface(visit: Crew, request: Request) -> dict[str, Any]:
    """The description of this interface."""
    described: dict[str, Any] = request.app.openapi()
    return described
