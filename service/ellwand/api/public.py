"""What anybody may see: what can be measured, sheets to print, and whether the service is well."""

from functools import cache
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Path, Request, Response
from pydantic import TypeAdapter
from sqlalchemy.exc import SQLAlchemyError

from ellwand.api.desk import AtDesk
from ellwand.api.examples import headers
from ellwand.api.models import Alive, Ready
from ellwand.api.packing import packed
from ellwand.api.tape_models import HowToView, KindView
from ellwand.card import PaperCode, marker_sheets_pdf
from ellwand.errors import ServiceProblem
from ellwand.language import Language, gettext, speaking, spoken_language
from ellwand.measurements import KINDS
from ellwand.sizing import DemoRange, demo_block_toml
from ellwand.store import jobs
from ellwand.tape import CLOTHED, HOW_TOS, OVER_BRA

router = APIRouter(tags=["public"])
health = APIRouter(tags=["health"])

DAY_S = 86_400
Paper = Annotated[
    Literal["a4", "letter"], Path(description="Paper in the printer.", examples=["a4"])
]
SheetLanguage = Annotated[
    Language, Path(description="Language of what stands on them.", examples=["de"])
]
_KINDS_AS_JSON = TypeAdapter(list[KindView])
PAPERS: tuple[Literal["a4", "letter"], ...] = ("a4", "letter")


@cache
def sheets_pdf(paper: PaperCode, language: Language) -> bytes:
    """The marker sheets, drawn once for each paper and language."""
    with speaking(language):
        return marker_sheets_pdf(paper)


@router.get("/measurements", summary="See what can be measured", response_model=list[KindView])
def see_measurements(request: Request) -> Response:
    """All that can be measured, and how one takes it alone, in the language asked for."""
    kinds = [
        KindView(
            code=kind.code,
            name=gettext(kind.name),
            taken=gettext(kind.taken),
            clothed=kind.code in CLOTHED,
            over_bra=kind.code in OVER_BRA,
            how_to=HowToView.of(HOW_TOS[kind.code]),
        )
        for kind in KINDS.values()
    ]
    content = _KINDS_AS_JSON.dump_json(kinds)
    return packed(content, "application/json", request, "Accept-Language")


_SHEETS: dict[int | str, dict[str, Any]] = {
    200: {
        "description": "The sheets.",
        "content": {"application/pdf": {"schema": {"type": "string", "format": "binary"}}},
        **headers("Content-Disposition"),
    }
}


@router.get(
    "/reference-sheets/{paper}.pdf",
    summary="Get the marker sheets",
    response_class=Response,
    responses=_SHEETS,
)
def see_sheets(paper: Paper) -> Response:
    """The marker sheets to print at 100 %, and how to hang them, in the language asked for."""
    return _sheets(paper, spoken_language())


# A link that a page opens is asked for in the language of the phone, not in that of the page.
@router.get(
    "/reference-sheets/{language}/{paper}.pdf",
    summary="Get the marker sheets in a language",
    response_class=Response,
    responses=_SHEETS,
)
def see_sheets_in(language: SheetLanguage, paper: Paper) -> Response:
    """The marker sheets in the language that the address names."""
    return _sheets(paper, language)


def _sheets(paper: PaperCode, language: Language) -> Response:
    headers = {
        "Content-Disposition": f'inline; filename="marker-sheets-{paper}.pdf"',
        "Cache-Control": f"public, max-age={DAY_S}",
        "Vary": "Accept-Language",
    }
    return Response(sheets_pdf(paper, language), media_type="application/pdf", headers=headers)


_BLOCK_FILE: dict[int | str, dict[str, Any]] = {
    200: {
        "description": "The block's file.",
        "content": {"application/toml": {"schema": {"type": "string"}}},
        **headers("Content-Disposition"),
    }
}


@router.get(
    "/demo-block.toml",
    summary="Get the demo block",
    response_class=Response,
    responses=_BLOCK_FILE,
)
def see_demo_block() -> Response:
    """A block file with invented numbers, to be copied and filled with a workroom's own.

    Its comments are in the language asked for.
    """
    return _demo_block("misses", "demo-block.toml")


@router.get(
    "/demo-block-fuller.toml",
    summary="Get the demo block of a fuller range",
    response_class=Response,
    responses=_BLOCK_FILE,
)
def see_demo_block_fuller() -> Response:
    """The same for fuller sizes, drafted in several cups."""
    return _demo_block("fuller", "demo-block-fuller.toml")


def _demo_block(demo_range: DemoRange, name: str) -> Response:
    headers = {
        "Content-Disposition": f'attachment; filename="{name}"',
        "Vary": "Accept-Language",
    }
    content = demo_block_toml(demo_range, spoken_language())
    return Response(content, media_type="application/toml", headers=headers)


@health.get("/health", summary="Is it alive?")
def alive() -> Alive:
    """That the process runs."""
    return Alive()


@health.get(
    "/ready",
    summary="Is it ready?",
    responses={503: {"model": Ready, "description": "Not ready; see what is false."}},
)
def ready(desk: AtDesk, response: Response) -> Ready:
    """Whether work can be taken: 200, or 503 with what is missing."""
    room = True
    try:
        with desk.store.reading() as session:
            database = desk.store.is_current(session)
            jobs.check_room(session, desk.settings.most_waiting_jobs)
    except SQLAlchemyError:
        database = False
    except ServiceProblem:
        room = False
    state = Ready(ready=database and room, database=database, room=room)
    if not state.ready:
        response.status_code = 503
    return state
