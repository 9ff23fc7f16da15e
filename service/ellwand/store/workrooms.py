"""Workrooms: login, keys for programs, blocks."""

import json
from dataclasses import dataclass
from typing import Literal
from uuid import uuid4

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from ellwand.errors import ServiceProblem
from ellwand.sizing import Block, block_from_toml, demo_block
from ellwand.store.engine import Store
from ellwand.store.sealing import Seal, new_token, token_hash
from ellwand.store.tables import BlockRow, WorkroomKeyRow, WorkroomRow

# Short words are guessed; a sentence is fine (NIST SP 800-63B: at least 8, allow 64 and more).
LEAST_PASSWORD, LONGEST_PASSWORD = 10, 256
MOST_BLOCKS, MOST_KEYS, LONGEST_NAME = 50, 50, 80

KeyKind = Literal["browser", "program"]

# Argon2id with the library's parameters (RFC 9106, second recommended option).
_HASHER = PasswordHasher()


@dataclass(frozen=True)
class Workroom:
    """A workroom, opened.

    Args:
        id: its id.
        name: as customers see it.
        seal: opens what belongs to it.
    """

    id: str
    name: str
    seal: Seal


@dataclass(frozen=True)
class ProgramKey:
    """A key of a program.

    Args:
        id: by which it is ended.
        label: what the workroom calls it.
        created_at: seconds since 1970.
    """

    id: str
    label: str
    created_at: float


def add_workroom(store: Store, session: Session, login: str, password: str, name: str) -> str:
    """Take in a workroom, or give it a new password and name.

    Args:
        store: where.
        session: a writing one.
        login: what she types to log in; only a fingerprint of it is kept.
        password: hashed with Argon2id.
        name: as customers see it.

    Returns:
        Its id. After a new password, every login and program has to log in anew.

    Raises:
        ServiceProblem: a word is too short, too long or empty.
    """
    if not LEAST_PASSWORD <= len(password) <= LONGEST_PASSWORD:
        raise ServiceProblem(
            "password-length",
            "A password has {least} to {most} characters.",
            "Take a few words that belong together only for you.",
            422,
            least=LEAST_PASSWORD,
            most=LONGEST_PASSWORD,
        )
    if not (0 < len(_plain(login)) <= LONGEST_NAME and 0 < len(name.strip()) <= LONGEST_NAME):
        raise ServiceProblem(
            "workroom-name",
            "Login and name of a workroom have 1 to {most} characters.",
            "Type both again.",
            422,
            most=LONGEST_NAME,
        )
    row = _row_of_login(store, session, login)
    if row is None:
        workroom_id = str(uuid4())
        _, wrapped = store.key.new(workroom_id)
        row = WorkroomRow(
            id=workroom_id,
            login_hash=store.key.fingerprint(_plain(login)),
            wrapped_key=wrapped,
            created_at=store.now(),
        )
        session.add(row)
    row.password_hash = _HASHER.hash(password)
    row.name = store.key.seal(row.wrapped_key, row.id).close(name.strip().encode(), "name")
    session.execute(delete(WorkroomKeyRow).where(WorkroomKeyRow.workroom_id == row.id))
    return row.id


def check_key(store: Store, session: Session) -> None:
    """See that the server's key is the one that the data was begun with.

    Raises:
        ServiceProblem: it is another one.
    """
    row = session.scalar(select(WorkroomRow).limit(1))
    if row is not None:
        _opened(store, row)


def workroom_of_login(store: Store, session: Session, login: str) -> Workroom:
    """The workroom with a login.

    Raises:
        ServiceProblem: there is none.
    """
    row = _row_of_login(store, session, login)
    if row is None:
        raise ServiceProblem(
            "no-such-workroom",
            "There is no workroom with this login.",
            "Check the login, or take the workroom in with `ellwand workroom`.",
            404,
        )
    return _opened(store, row)


def workroom(store: Store, session: Session, workroom_id: str) -> Workroom:
    """A workroom, opened."""
    return _opened(store, session.get_one(WorkroomRow, workroom_id))


def lock(session: Session, owner: Workroom) -> None:
    """Let one change of a workroom be made at a time."""
    session.get_one(WorkroomRow, owner.id, with_for_update=True)


def is_known(store: Store, session: Session, login: str) -> bool:
    """Whether a workroom has this login."""
    return _row_of_login(store, session, login) is not None


def password_hash_of(store: Store, session: Session, login: str) -> tuple[str | None, str]:
    """Id of a workroom and what its password is checked against.

    For an unknown login, None and a hash that no password fits, so that the answer takes as long.
    """
    row = _row_of_login(store, session, login)
    return (row.id, row.password_hash) if row else (None, _NOBODY)


def fits(password: str, password_hash: str) -> bool:
    """Whether a password is the one that was hashed; takes about 50 ms on purpose."""
    try:
        return _HASHER.verify(password_hash, password)
    except (VerificationError, InvalidHashError):
        return False


def add_key(
    store: Store,
    session: Session,
    owner: Workroom,
    kind: KeyKind,
    label: str,
    hours: float | None,
) -> tuple[str, str]:
    """Let a browser or a program in.

    Returns:
        Id of the key, and the secret, shown this once.

    Raises:
        ServiceProblem: there are too many already.
    """
    ended = WorkroomKeyRow.expires_at < store.now()
    session.execute(delete(WorkroomKeyRow).where(ended))
    if kind == "program" and len(program_keys(session, owner)) >= MOST_KEYS:
        raise ServiceProblem(
            "too-many-keys",
            "A workroom has at most {most} keys for programs.",
            "End one that is not used any more.",
            409,
            most=MOST_KEYS,
        )
    key_id, secret = str(uuid4()), new_token()
    session.add(
        WorkroomKeyRow(
            id=key_id,
            workroom_id=owner.id,
            kind=kind,
            token_hash=token_hash(secret),
            label=owner.seal.close(label.encode(), "label"),
            created_at=store.now(),
            expires_at=None if hours is None else store.now() + hours * 3600,
        )
    )
    return key_id, secret


def workroom_of_key(store: Store, session: Session, kind: KeyKind, secret: str) -> Workroom | None:
    """The workroom that a login or a program's key opens."""
    row = session.scalar(
        select(WorkroomKeyRow).where(
            WorkroomKeyRow.token_hash == token_hash(secret), WorkroomKeyRow.kind == kind
        )
    )
    if row is None or (row.expires_at is not None and row.expires_at < store.now()):
        return None
    return workroom(store, session, row.workroom_id)


def end_key(session: Session, owner: Workroom, key_id: str) -> bool:
    """End a key; False when there is none."""
    ended = session.scalars(
        delete(WorkroomKeyRow)
        .where(WorkroomKeyRow.id == key_id, WorkroomKeyRow.workroom_id == owner.id)
        .returning(WorkroomKeyRow.id)
    )
    return ended.first() is not None


def end_login(session: Session, secret: str) -> None:
    """End the login of a browser."""
    session.execute(delete(WorkroomKeyRow).where(WorkroomKeyRow.token_hash == token_hash(secret)))


def program_keys(session: Session, owner: Workroom) -> list[ProgramKey]:
    """Keys of programs, the oldest first."""
    rows = session.scalars(
        select(WorkroomKeyRow)
        .where(WorkroomKeyRow.workroom_id == owner.id, WorkroomKeyRow.kind == "program")
        .order_by(WorkroomKeyRow.created_at, WorkroomKeyRow.id)
    )
    return [
        ProgramKey(row.id, owner.seal.open(row.label, "label").decode(), row.created_at)
        for row in rows
    ]


def blocks_of(session: Session, owner: Workroom) -> dict[str, str]:
    """The workroom's block files by name."""
    rows = session.scalars(select(BlockRow).where(BlockRow.workroom_id == owner.id))
    opened = (json.loads(owner.seal.open(row.content, "block")) for row in rows)
    return dict(sorted((one["name"], one["toml"]) for one in opened))


def put_block(store: Store, session: Session, owner: Workroom, name: str, toml: bytes) -> Block:
    """Keep a block file under a name, in place of one before.

    Raises:
        BlockProblem: a line of it is wrong.
        ServiceProblem: the name cannot be used, or there are too many.
    """
    block = block_from_toml(toml)
    if not 0 < len(name) <= LONGEST_NAME or not name.isprintable():
        raise ServiceProblem(
            "block-name",
            "The name of a block has 1 to {most} printable characters.",
            "Take a shorter, plain one.",
            422,
            most=LONGEST_NAME,
        )
    known = blocks_of(session, owner)
    if name not in known and len(known) >= MOST_BLOCKS:
        raise ServiceProblem(
            "too-many-blocks",
            "A workroom has at most {most} blocks.",
            "Delete one that is not used any more.",
            409,
            most=MOST_BLOCKS,
        )
    content = owner.seal.close(json.dumps({"name": name, "toml": toml.decode()}).encode(), "block")
    row = BlockRow(workroom_id=owner.id, name_hash=store.key.fingerprint(name), content=content)
    session.merge(row)
    return block


def delete_block(store: Store, session: Session, owner: Workroom, name: str) -> bool:
    """Delete a block file; False when there is none of this name."""
    row = session.get(BlockRow, (owner.id, store.key.fingerprint(name)))
    if row is not None:
        session.delete(row)
    return row is not None


def block_file(store: Store, session: Session, owner: Workroom, name: str) -> str:
    """A block file of the workroom.

    Raises:
        ServiceProblem: there is none of this name.
    """
    row = session.get(BlockRow, (owner.id, store.key.fingerprint(name)))
    if row is None:
        raise ServiceProblem(
            "no-such-block",
            "The workroom has no block of this name.",
            "Upload it again, or take another one.",
            404,
        )
    toml: str = json.loads(owner.seal.open(row.content, "block"))["toml"]
    return toml


def block_named(store: Store, session: Session, owner: Workroom, name: str | None) -> Block:
    """A block of the workroom, or the demo block when none is named.

    Raises:
        ServiceProblem: there is none of this name.
    """
    if name is None:
        return demo_block()
    return block_from_toml(block_file(store, session, owner, name).encode())


def _row_of_login(store: Store, session: Session, login: str) -> WorkroomRow | None:
    print_of = store.key.fingerprint(_plain(login))
    return session.scalar(select(WorkroomRow).where(WorkroomRow.login_hash == print_of))


def _plain(login: str) -> str:
    return login.strip().casefold()


def _opened(store: Store, row: WorkroomRow) -> Workroom:
    seal = store.key.seal(row.wrapped_key, row.id)
    return Workroom(row.id, seal.open(row.name, "name").decode(), seal)


_NOBODY = _HASHER.hash(new_token())
