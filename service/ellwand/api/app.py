"""The application: all routes behind the guard."""

from collections.abc import Callable
from itertools import product

from fastapi import FastAPI
from fastapi.routing import APIRoute
from fastapi.telemetry import TelemetryConfig
from starlette.middleware import Middleware

from ellwand.api import (
    cards,
    comparing,
    corrections,
    customer,
    page,
    photos,
    public,
    workroom,
)
from ellwand.api.description import ABOUT, TAGS, describe
from ellwand.api.desk import Desk
from ellwand.api.guard import Guard
from ellwand.api.limiting import Limiter
from ellwand.api.problems import add_handlers
from ellwand.jobs.queue import queue
from ellwand.language import LANGUAGES
from ellwand.settings import Settings
from ellwand.store.engine import Store, open_store

BASE = "/api/v1"


# What the framework would tell of requests and errors may hold what was typed; nobody is told.
NO_TELEMETRY: TelemetryConfig = {
    "tracing": False,
    "metrics": False,
    "logs": False,
    "operation_spans": False,
    "auto_configure": False,
}


def create_app(
    settings: Settings | None = None,
    store: Store | None = None,
    announce: Callable[[str], None] | None = None,
) -> FastAPI:
    """The service over HTTP.

    Args:
        settings: what the operator set; None takes the environment.
        store: what is kept; None opens that of the settings. Its tables are up to date.
        announce: tells the queue of a job; None takes the queue of the settings.

    Returns:
        An ASGI application.
    """
    settings = settings or Settings()
    desk = Desk(
        settings=settings,
        store=store or open_store(settings),
        announce=announce or queue(settings).announce,
        limiter=Limiter(settings),
    )
    app = FastAPI(
        title="ellwand",
        version="1",
        description=ABOUT,
        openapi_tags=TAGS,
        openapi_url=f"{BASE}/openapi.json",
        # Their pages load scripts from other sites.
        docs_url=None,
        redoc_url=None,
        telemetry=NO_TELEMETRY,
        middleware=[Middleware(Guard, desk=desk)],
        generate_unique_id_function=_operation_id,
    )
    app.state.desk = desk
    for part in (customer, photos, corrections, cards, comparing, workroom, public):
        app.include_router(part.router, prefix=BASE)
    app.include_router(public.health)
    app.include_router(page.router)
    add_handlers(app)
    describe(app)
    # Drawn once before the first customer asks, because that takes a second.
    for paper, language in product(public.PAPERS, LANGUAGES):
        public.sheets_pdf(paper, language)
    return app


def _operation_id(route: APIRoute) -> str:
    tag, *_ = route.tags or ["page"]
    return f"{tag}-{route.name}"
