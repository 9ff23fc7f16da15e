"""The page: files that are served as they are."""

import gzip
from functools import cache
from pathlib import Path

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse

from ellwand.errors import ServiceProblem

router = APIRouter(include_in_schema=False)

_KINDS = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".svg": "image/svg+xml",
}


def page_folder() -> Path:
    """Where the page lies: inside the package when it was built, in web/ of a checkout."""
    inside = Path(__file__).resolve().parents[1] / "page"
    return inside if inside.is_dir() else Path(__file__).resolve().parents[3] / "web" / "page"


@cache
def _files() -> dict[str, Path]:
    """Names that are served; nothing else is ever looked for on the disk."""
    return {path.name: path for path in page_folder().iterdir() if path.suffix in _KINDS}


def _serve(name: str, request: Request) -> Response:
    path = _files().get(name)
    if path is None:
        raise ServiceProblem("no-such-page", "There is no such page.", "Check the address.", 404)
    content, headers = path.read_bytes(), {"Vary": "Accept-Encoding"}
    # Files of the page are the same for all; an answer with something of hers is never compressed,
    # because its length would tell of it.
    if "gzip" in request.headers.get("accept-encoding", ""):
        content, headers["Content-Encoding"] = gzip.compress(content, mtime=0), "gzip"
    return Response(content, media_type=_KINDS[path.suffix], headers=headers)


@router.get("/")
def start() -> Response:
    """Where to begin."""
    return RedirectResponse("/sitting")


@router.get("/sitting")
def sitting_page(request: Request) -> Response:
    """The customer's page."""
    return _serve("sitting.html", request)


@router.get("/workroom")
def workroom_page(request: Request) -> Response:
    """The workroom's page."""
    return _serve("workroom.html", request)


@router.get("/page/{name}")
def file(name: str, request: Request) -> Response:
    """A file of the page."""
    return _serve(name, request)
