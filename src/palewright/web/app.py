"""The application: guard, pages, interface, files of the browser's side."""

from __future__ import annotations

import os
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib import metadata, resources
from typing import Any

from fastapi import FastAPI, Response
from pydantic.json_schema import models_json_schema
from starlette.concurrency import run_in_threadpool
from starlette.staticfiles import StaticFiles

from palewright.web import (
    api_about,
    api_devices,
    api_drawing,
    api_files,
    api_import,
    api_jobs,
    api_papers,
    api_walk,
    api_yard,
)
from palewright.web.faults import add_faults
from palewright.web.guard import Guard
from palewright.web.house import House
from palewright.web.pages import fault_page, pages, yard_version
from palewright.web.security import TOKEN_HEADER, cookie_name
from palewright.web.settings import Settings
from palewright.web.shapes import Fault

__all__ = ["APIS", "create_app"]

APIS = (
    api_about.api, api_drawing.api, api_jobs.api, api_walk.api, api_papers.api, api_files.api, api_import.api,
    api_yard.api, api_devices.api,
)  # fmt: skip
"""In this order a request is compared with them: thirty steps of a drag come in a second."""
_ABOUT = """The interface that the pages of Palewright use. Every change carries the header X-Page-Token (from
`/api/about`) beside the session's cookie; every answer from 400 on has the one shape `Fault`."""


def create_app(settings: Settings) -> FastAPI:
    """An application over one folder of jobs. Its store is open from here on, and closed when the server stops."""
    house = House(settings)

    @asynccontextmanager
    async def life(app: FastAPI) -> AsyncIterator[None]:
        yield
        await run_in_threadpool(house.close)

    app = FastAPI(
        title="Palewright", version=metadata.version("palewright"), description=_ABOUT, docs_url=None, redoc_url=None,
        openapi_url=None, redirect_slashes=False, lifespan=life,
    )  # fmt: skip
    app.state.house = house
    for api in APIS:
        app.include_router(api)
    app.include_router(pages)
    static = resources.files("palewright.web").joinpath("static")
    app.mount("/static", _Static(directory=str(static)), name="static")
    app.add_middleware(Guard, settings=settings, failed=add_faults(app, fault_page))
    _describe(app, settings)
    return app


class _Static(StaticFiles):
    """Files of ours; a browser asks each time whether it has the newest. Pages of the yard name their version."""

    def lookup_path(self, path: str) -> tuple[str, os.stat_result | None]:
        version, _, plain = path.partition(os.sep)
        return super().lookup_path(plain if plain and version == yard_version() else path)

    def file_response(self, *args: Any, **kwargs: Any) -> Response:
        answer = super().file_response(*args, **kwargs)
        answer.headers["Cache-Control"] = "no-cache"
        return answer


def _describe(app: FastAPI, settings: Settings) -> None:
    """Say in OpenAPI how a request shows who it is from, and what shape every fault has."""
    plain = app.openapi

    def described() -> dict[str, Any]:
        if app.openapi_schema is None:
            found = plain()
            shapes = models_json_schema([(Fault, "serialization")], ref_template="#/components/schemas/{model}")[1]
            found["components"]["schemas"] = dict(sorted((found["components"]["schemas"] | shapes["$defs"]).items()))
            found["components"]["securitySchemes"] = {
                "session": {"type": "apiKey", "in": "cookie", "name": cookie_name(settings.port)},
                "page": {"type": "apiKey", "in": "header", "name": TOKEN_HEADER},
            }
            for path, methods in found["paths"].items():
                for method, what in methods.items():
                    if path != "/api/pair":
                        what["security"] = [{"session": []} if method == "get" else {"session": [], "page": []}]
                    what["responses"].pop("default", None)
        assert app.openapi_schema is not None
        return app.openapi_schema

    app.openapi = described  # type: ignore[method-assign]
