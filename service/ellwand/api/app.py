"""The application: all routes behind the guard."""

from collections.abc import Callable
from typing import Any

from fastapi import FastAPI
from fastapi.routing import APIRoute
from starlette.middleware import Middleware

from ellwand.api import cards, customer, page, photos, public, workroom
from ellwand.api.desk import Desk
from ellwand.api.guard import Guard
from ellwand.api.limiting import Limiter
from ellwand.api.problems import ProblemDetails, add_handlers
from ellwand.jobs.queue import queue
from ellwand.settings import Settings
from ellwand.store.engine import Store, open_store

BASE = "/api/v1"
ABOUT = """\
Two photos and a tape become measurements with error bounds, a size and a card for made-to-measure
blouses. For adults only; no medical device. Lengths are millimetres; texts that customers type are
taken as typed. Every error is a problem detail (RFC 9457) with a code, what is wrong and what to
do. What changes something takes an `Idempotency-Key`.
"""


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
        openapi_url=f"{BASE}/openapi.json",
        # Their pages load scripts from other sites.
        docs_url=None,
        redoc_url=None,
        middleware=[Middleware(Guard, desk=desk)],
        generate_unique_id_function=_operation_id,
    )
    app.state.desk = desk
    for part in (customer, photos, cards, workroom, public):
        app.include_router(part.router, prefix=BASE)
    app.include_router(public.health)
    app.include_router(page.router)
    add_handlers(app)
    _describe_problems(app)
    # Drawn once before the first customer asks, because that takes a second.
    for paper in public.PAPERS:
        public.sheets_pdf(paper)
    return app


def _operation_id(route: APIRoute) -> str:
    tag, *_ = route.tags or ["page"]
    return f"{tag}-{route.name}"


def _describe_problems(app: FastAPI) -> None:
    """Describe the one shape of errors in place of the framework's own."""
    made = app.openapi

    def described() -> dict[str, Any]:
        if app.openapi_schema is None:
            schemas = made()["components"]["schemas"]
            for name in ("HTTPValidationError", "ValidationError"):
                schemas.pop(name, None)
            shape = ProblemDetails.model_json_schema(ref_template="#/components/schemas/{model}")
            schemas.update(shape.pop("$defs", {}))
            schemas["ProblemDetails"] = shape
            for path in app.openapi_schema["paths"].values():  # type: ignore[index]
                for operation in path.values():
                    _drop_framework_error(operation["responses"])
        return app.openapi_schema  # type: ignore[return-value]

    app.openapi = described  # type: ignore[method-assign]


def _drop_framework_error(responses: dict[str, Any]) -> None:
    """A malformed request is answered with 400 here; 422 stays where a handler gives it."""
    content = responses.get("422", {}).get("content", {})
    if "application/json" in content:
        content.pop("application/json")
        if not content:
            responses.pop("422")
