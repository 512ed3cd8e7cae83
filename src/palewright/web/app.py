"""The application: pages, and the interface that they use."""

from __future__ import annotations

from fastapi import FastAPI
from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader

from palewright.web.settings import Settings

__all__ = ["create_app"]


class House:
    """What every request shares."""

    def __init__(self, settings: Settings) -> None:
        self.settings = settings
        self.pages = Environment(loader=PackageLoader("palewright.web"), autoescape=True)

    def opening(self) -> str:
        """The path of the first page."""
        return "/"


def create_app(settings: Settings) -> FastAPI:
    """An application over one folder of jobs."""
    app = FastAPI(title="Palewright", docs_url=None, redoc_url=None)
    app.state.house = House(settings)

    @app.get("/", response_class=HTMLResponse, include_in_schema=False)
    def jobs() -> str:
        return app.state.house.pages.get_template("jobs.html").render(jobs=())  # type: ignore[no-any-return]

    return app
