"""The page: files that are served as they are, and in other languages with their texts said."""

import json
from collections.abc import Callable
from functools import cache
from pathlib import Path

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse

from ellwand.api.packing import packed
from ellwand.card import CARD_STYLE
from ellwand.errors import ServiceProblem
from ellwand.language import LANGUAGES, WRITTEN_IN, Language, spoken_language
from ellwand.language.catalogue import read, translations
from ellwand.language.pages import address_in, with_texts

router = APIRouter(include_in_schema=False)

_KINDS = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".svg": "image/svg+xml",
}
# In another language, the words of the scripts are asked for with the scripts, not after them.
_LAST_OF_HEAD = '<script type="module"'
_PRELOAD = '<link rel="modulepreload" fetchpriority="low" href="/page/words.{}.js">\n'


def page_folder() -> Path:
    """Where the page lies: inside the package when it was built, in web/ of a checkout."""
    inside = Path(__file__).resolve().parents[1] / "page"
    return inside if inside.is_dir() else Path(__file__).resolve().parents[3] / "web" / "page"


@cache
def _files() -> dict[str, Path]:
    """Names that are served; nothing else is ever looked for on the disk."""
    # The style of cards lies with them, because the command writes it into its files.
    paths = (*page_folder().iterdir(), CARD_STYLE)
    return {path.name: path for path in paths if path.suffix in _KINDS}


def _content(name: str, language: Language) -> bytes | None:
    """A file as it is served; None when there is none of this name."""
    path = _files().get(name)
    if path is None:
        return _in_languages().get(name)
    return path.read_bytes() if language == WRITTEN_IN else _said(path, language)


@cache
def _in_languages() -> dict[str, bytes]:
    """Files that scripts of a page in another language fetch: what they say, and drawings."""
    drawings = page_folder() / "howto.svg"
    made = {}
    for language in LANGUAGES:
        if language != WRITTEN_IN:
            made[f"words.{language}.js"] = _words_of(language)
            made[f"howto.{language}.svg"] = _said(drawings, language)
    return made


@cache
def _said(path: Path, language: Language) -> bytes:
    """A page, or drawings, with its texts in a language."""
    page = with_texts(path.read_text("utf-8"), translations(language, "page").gettext)
    page = page.replace(f'lang="{WRITTEN_IN}"', f'lang="{language}"', 1)
    return page.replace(_LAST_OF_HEAD, f"{_PRELOAD.format(language)}{_LAST_OF_HEAD}", 1).encode()


def _words_of(language: Language) -> bytes:
    """What the scripts say, as a script: translations by English text, or by their context."""
    words = {
        entry.context or (entry.id if isinstance(entry.id, str) else entry.id[0]): entry.string
        for entry in read(language, "scripts")
        if entry.id
    }
    return f"export default {json.dumps(words, ensure_ascii=False)};\n".encode()


def _serve(name: str, request: Request, language: Language = WRITTEN_IN) -> Response:
    content = _content(name, language)
    if content is None:
        raise ServiceProblem("no-such-page", "There is no such page.", "Check the address.", 404)
    return packed(content, _KINDS[Path(name).suffix], request)


@router.get("/")
def start() -> Response:
    """Where to begin."""
    return RedirectResponse(address_in(spoken_language(), "/sitting"))


def _page(name: str, language: Language) -> Callable[[Request], Response]:
    def page(request: Request) -> Response:
        return _serve(f"{name}.html", request, language)

    return page


for _language in LANGUAGES:
    for _name in ("sitting", "workroom"):
        router.get(address_in(_language, f"/{_name}"))(_page(_name, _language))


@router.get("/page/{name}")
def file(name: str, request: Request) -> Response:
    """A file of the page."""
    return _serve(name, request)
