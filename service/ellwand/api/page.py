"""The page: files that are served as they are."""

from functools import cache
from pathlib import Path

from fastapi import APIRouter, Response
from fastapi.responses import RedirectResponse

from ellwand.card import style_sheet
from ellwand.errors import ServiceProblem

router = APIRouter(include_in_schema=False)

_KINDS = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".svg": "image/svg+xml",
}


# It lies with the card, because the command writes it into its files.
CARD_STYLE = "card.css"


def page_folder() -> Path:
    """Where the page lies: inside the package when it was built, in web/ of a checkout."""
    inside = Path(__file__).resolve().parents[1] / "page"
    return inside if inside.is_dir() else Path(__file__).resolve().parents[3] / "web" / "page"


@cache
def _files() -> dict[str, Path]:
    """Names that are served; nothing else is ever looked for on the disk."""
    return {path.name: path for path in page_folder().iterdir() if path.suffix in _KINDS}


def _serve(name: str) -> Response:
    if name == CARD_STYLE:
        return Response(style_sheet(), media_type=_KINDS[".css"])
    path = _files().get(name)
    if path is None:
        raise ServiceProblem("no-such-page", "There is no such page.", "Check the address.", 404)
    return Response(path.read_bytes(), media_type=_KINDS[path.suffix])


@router.get("/")
def start() -> Response:
    """Where to begin."""
    return RedirectResponse("/sitting")


@router.get("/sitting")
def sitting_page() -> Response:
    """The customer's page."""
    return _serve("sitting.html")


@router.get("/workroom")
def workroom_page() -> Response:
    """The workroom's page."""
    return _serve("workroom.html")


@router.get("/page/{name}")
def file(name: str) -> Response:
    """A file of the page."""
    return _serve(name)
