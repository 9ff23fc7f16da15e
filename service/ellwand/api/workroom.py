"""The workroom's side: login, blocks, invitations, sittings, keys for programs."""

from typing import Annotated

from fastapi import APIRouter, Body, Path, Request, Response
from pydantic import RootModel
from sqlalchemy.orm import Session

from ellwand.api.callers import (
    WORKROOM_COOKIE,
    AsWorkroom,
    AsWorkroomOnce,
    Customer,
    SittingId,
    WorkroomCaller,
    an_id,
    cookie_name,
    farewell,
    respond,
    set_cookie,
)
from ellwand.api.customer import needed
from ellwand.api.desk import AtDesk, base_url
from ellwand.api.examples import block_file, headers
from ellwand.api.models import queries_of
from ellwand.api.problems import documented
from ellwand.api.size_models import SizeView, in_brief
from ellwand.api.sizing import BlocksNow, decide_now, garment_decided
from ellwand.api.told import record_told
from ellwand.api.workroom_models import (
    BlockChecked,
    BlockView,
    Invitation,
    KeyMade,
    KeyView,
    Login,
    NewInvitation,
    NewKey,
    SittingLine,
    SittingOfWorkroom,
    WorkroomOverview,
)
from ellwand.block_screen import block_lines
from ellwand.errors import BlockProblem, ServiceProblem
from ellwand.sitting import confirmed, without_outline, without_weight
from ellwand.sizing import Block, Decision, block_from_toml, demo_block
from ellwand.store import erasing, sittings, workrooms
from ellwand.store.inviting import Invited, Inviter
from ellwand.store.sittings import Change, Held

router = APIRouter(prefix="/workroom", tags=["workroom"])

BlockName = Annotated[
    str, Path(min_length=1, max_length=80, description="Name of the block.", examples=["Blouse 12"])
]
BlockFile = Annotated[
    bytes, Body(media_type="application/toml", min_length=1, examples=[block_file()])
]
KeyId = Annotated[str, an_id("key")]
HOUR_S = 3600.0


@router.post("/login", summary="Log in", responses={**documented(401), 200: headers("Set-Cookie")})
def log_in(sent: Login, request: Request, response: Response, desk: AtDesk) -> WorkroomOverview:
    """Log the workroom in: the browser gets a cookie."""
    desk.limiter.attempt(request.client.host if request.client else "")
    with desk.store.reading() as session:
        workroom_id, expected = workrooms.password_hash_of(desk.store, session, sent.login)
    # Outside the transaction, because it is slow on purpose.
    if not workrooms.fits(sent.password.get_secret_value(), expected) or workroom_id is None:
        raise ServiceProblem(
            "login-wrong",
            "Login and password do not go together.",
            "Type both again; who runs the service can set a new password.",
            401,
        )
    with desk.store.writing() as session:
        owner = workrooms.workroom(desk.store, session, workroom_id)
        hours = desk.settings.login_hours
        _, secret = workrooms.add_key(desk.store, session, owner, "browser", "", hours)
    set_cookie(response, WORKROOM_COOKIE, secret, desk.settings, hours * HOUR_S)
    return _overview(WorkroomCaller(desk, owner))


@router.post(
    "/logout",
    status_code=204,
    summary="Log out",
    responses={204: headers("Set-Cookie", "Clear-Site-Data")},
)
def log_out(request: Request, caller: AsWorkroom) -> Response:
    """Log this browser out."""
    secret = request.cookies.get(cookie_name(WORKROOM_COOKIE, caller.desk.settings))
    with caller.desk.store.writing() as session:
        if secret:
            workrooms.end_login(session, secret)
    return farewell(WORKROOM_COOKIE, caller.desk.settings)


@router.get("", summary="See the workroom")
def see_workroom(caller: AsWorkroom) -> WorkroomOverview:
    """Name, blocks, and keys of programs."""
    return _overview(caller)


@router.get("/blocks", summary="See the blocks")
def see_blocks(caller: AsWorkroom) -> list[BlockView]:
    """The workroom's blocks."""
    with caller.desk.store.reading() as session:
        files = workrooms.blocks_of(session, caller.workroom)
    return [_kept_block(name, toml) for name, toml in files.items()]


@router.get(
    "/blocks/{name}",
    summary="Get a block's file",
    response_class=Response,
    responses={
        **documented(404),
        200: {
            "description": "The file.",
            "content": {"application/toml": {"schema": {"type": "string"}}},
        },
    },
)
def see_block(name: BlockName, caller: AsWorkroom) -> Response:
    """A block's file, as it was sent."""
    with caller.desk.store.reading() as session:
        toml = workrooms.block_file(caller.desk.store, session, caller.workroom, name)
    return Response(toml, media_type="application/toml")


@router.post("/block-checks", summary="Check a block's file", responses=documented(422))
def check_block(caller: AsWorkroom, toml: BlockFile) -> BlockChecked:
    """Say what is understood of a block's file, or which line cannot be right; keep nothing."""
    return BlockChecked(understood=block_lines(block_from_toml(toml)))


@router.put("/blocks/{name}", summary="Put a block's file", responses=documented(409, 422))
def put_block(
    name: BlockName,
    caller: AsWorkroom,
    toml: BlockFile,
) -> BlockView:
    """Keep a block's file, in place of one before; a line that cannot be right is named."""
    with caller.desk.store.writing() as session:
        workrooms.lock(session, caller.workroom)
        return _block(
            name, workrooms.put_block(caller.desk.store, session, caller.workroom, name, toml)
        )


@router.delete(
    "/blocks/{name}", status_code=204, summary="Delete a block", responses=documented(404)
)
def delete_block(name: BlockName, caller: AsWorkroom) -> Response:
    """Delete a block's file."""
    with caller.desk.store.writing() as session:
        if not workrooms.delete_block(caller.desk.store, session, caller.workroom, name):
            raise ServiceProblem(
                "no-block-here",
                "The workroom has no block of this name.",
                "Look at the list of blocks.",
                404,
            )
    return Response(status_code=204)


@router.post(
    "/invitations",
    status_code=201,
    summary="Invite a customer",
    response_model=Invitation,
    responses=documented(404, 409, 422),
)
def invite(sent: NewInvitation, request: Request, caller: AsWorkroomOnce) -> Response:
    """Invite a customer: a sitting, and the link that opens it."""

    def act(session: Session) -> Invitation:
        return _invitation(_inviter(request, caller).invite(session, sent))

    return respond(caller.once("invite", sent, act, 201))


@router.post(
    "/invitations/{sitting_id}/link",
    status_code=201,
    summary="Make a new link",
    response_model=Invitation,
    responses=documented(404, 409, 422),
)
def renew_link(sitting_id: SittingId, request: Request, caller: AsWorkroomOnce) -> Response:
    """Make a new link for a sitting; the one before ends."""
    caller.check_owns(sitting_id)

    def act(session: Session) -> Invitation:
        return _invitation(_inviter(request, caller).link(session, sitting_id))

    return respond(caller.once(f"link {sitting_id}", None, act, 201))


@router.delete(
    "/invitations/{sitting_id}/link",
    status_code=204,
    summary="End a link",
    responses=documented(404),
)
def end_link(sitting_id: SittingId, caller: AsWorkroom) -> Response:
    """End a sitting's link, and let the customer's browser no longer in."""
    caller.check_owns(sitting_id)
    with caller.desk.store.writing() as session:
        sittings.end_access(session, sitting_id)
    return Response(status_code=204)


@router.get("/sittings", summary="See the sittings")
def see_sittings(caller: AsWorkroom) -> list[SittingLine]:
    """The workroom's sittings, the newest first."""
    with caller.desk.store.reading() as session:
        found = sittings.sittings_of(caller.desk.store, session, caller.workroom.id)
        blocks = BlocksNow(caller.desk.store, session, caller.workroom)
        return [SittingLine.model_validate(_line(held, blocks)) for held in found]


@router.get("/sittings/{sitting_id}", summary="See a sitting", responses=documented(404))
def see_sitting(sitting_id: SittingId, caller: AsWorkroom) -> SittingOfWorkroom:
    """A sitting with everything in it but her weight and the points of her outline."""
    held = caller.held(sitting_id)
    record = without_outline(without_weight(held.record))
    with caller.desk.store.reading() as session:
        line = _line(held, BlocksNow(caller.desk.store, session, caller.workroom))
    return SittingOfWorkroom.model_validate(
        {**line, "size": SizeView.of(record), "record": record_told(record)}
    )


@router.post(
    "/sittings/{sitting_id}/decision",
    summary="Decide a sitting's size",
    response_model=Decision,
    responses=documented(404, 409, 422),
)
def decide_size(sitting_id: SittingId, caller: AsWorkroomOnce) -> Response:
    """Decide the size on the block as it is now, as its customer can, and in her words."""
    caller.check_owns(sitting_id)

    def act(change: Change) -> RootModel[Decision]:
        return decide_now(caller.desk, change, garment_decided(change.record))

    hers = Customer(caller.desk, sitting_id, caller.key)
    return respond(hers.changes("workroom decision", None, act, 200))


@router.delete(
    "/sittings/{sitting_id}",
    status_code=204,
    summary="Erase a sitting",
    responses=documented(404),
)
def erase(sitting_id: SittingId, caller: AsWorkroom) -> Response:
    """Erase a sitting for good, with all that belongs to it."""
    caller.check_owns(sitting_id)
    erasing.erase(caller.desk.store, [sitting_id])
    return Response(status_code=204)


@router.post(
    "/keys",
    status_code=201,
    summary="Make a key",
    response_model=KeyMade,
    responses=documented(409, 422),
)
def make_key(sent: NewKey, caller: AsWorkroomOnce) -> Response:
    """Make a key for a program of the workroom."""

    def act(session: Session) -> KeyMade:
        key_id, secret = workrooms.add_key(
            caller.desk.store, session, caller.workroom, "program", sent.label, None
        )
        return KeyMade(id=key_id, key=secret)

    return respond(caller.once("key", sent, act, 201))


@router.delete("/keys/{key_id}", status_code=204, summary="End a key", responses=documented(404))
def end_key(key_id: KeyId, caller: AsWorkroom) -> Response:
    """End a key."""
    with caller.desk.store.writing() as session:
        if not workrooms.end_key(session, caller.workroom, key_id):
            raise ServiceProblem(
                "no-such-key", "There is no such key.", "Look at the list of keys.", 404
            )
    return Response(status_code=204)


def _inviter(request: Request, caller: WorkroomCaller) -> Inviter:
    desk = caller.desk
    return Inviter(desk.store, desk.settings, caller.workroom, base_url(request, desk.settings))


def _invitation(made: Invited) -> Invitation:
    return Invitation(id=made.id, link=made.link, link_ends_at=made.ends_at)


def _line(held: Held, blocks: BlocksNow) -> dict[str, object]:
    settled = confirmed(held.record)
    return {
        "id": held.id,
        "terms": held.terms,
        "opened": held.opened,
        "link_open": held.link_open,
        "measured": bool(held.record.measurements),
        "confirmed": list(settled),
        "kept": [code for code, one in settled.items() if one.reason is not None],
        "needed": needed(held.record, held.terms),
        "queries": len(queries_of(held)),
        "decided": held.record.decision is not None,
        "chosen": in_brief(held.record),
        "block_changed": blocks.changed_since(held),
        "created_at": held.created_at,
        "erase_at": held.erase_at,
    }


def _kept_block(name: str, toml: str) -> BlockView:
    """A block that was understood when it was kept; a line may have become needed since."""
    try:
        return _block(name, block_from_toml(toml.encode()))
    except BlockProblem as problem:
        return BlockView(name=name, sizes=[], garments=[], problem=str(problem))


def _block(name: str, block: Block) -> BlockView:
    return BlockView(
        name=name, sizes=[size.name for size in block.sizes], garments=list(block.garments)
    )


def _overview(caller: WorkroomCaller) -> WorkroomOverview:
    with caller.desk.store.reading() as session:
        return WorkroomOverview(
            name=caller.workroom.name,
            blocks=list(workrooms.blocks_of(session, caller.workroom)),
            keys=[
                KeyView(id=key.id, label=key.label, created_at=key.created_at)
                for key in workrooms.program_keys(session, caller.workroom)
            ],
            mails=bool(caller.desk.settings.smtp_host),
            demo=_block("demo", demo_block()),
        )
