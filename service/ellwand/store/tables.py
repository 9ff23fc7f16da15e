"""The tables. What is private is sealed (`sealing.py`); times are seconds since 1970, UTC."""

from sqlalchemy import Double, ForeignKey, Index, LargeBinary, MetaData, String, Text
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

_ID = String(36)
_WORD = String(16)


class Base(DeclarativeBase):
    """All tables; constraints are named, so that migrations can name them."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(column_0_label)s",
            "uq": "uq_%(table_name)s_%(column_0_name)s",
            "fk": "fk_%(table_name)s_%(column_0_name)s",
            "pk": "pk_%(table_name)s",
        }
    )


def _owner(table: str) -> Mapped[str]:
    """The row that this one goes away with."""
    return mapped_column(_ID, ForeignKey(f"{table}.id", ondelete="CASCADE"), index=True)


class WorkroomRow(Base):
    """A workroom."""

    __tablename__ = "workrooms"

    id: Mapped[str] = mapped_column(_ID, primary_key=True)
    login_hash: Mapped[bytes] = mapped_column(LargeBinary, unique=True)
    password_hash: Mapped[str] = mapped_column(Text)
    wrapped_key: Mapped[bytes] = mapped_column(LargeBinary)
    name: Mapped[bytes] = mapped_column(LargeBinary)
    created_at: Mapped[float] = mapped_column(Double)


class WorkroomKeyRow(Base):
    """What opens a workroom: a login in a browser, or a key for a program."""

    __tablename__ = "workroom_keys"

    id: Mapped[str] = mapped_column(_ID, primary_key=True)
    workroom_id: Mapped[str] = _owner("workrooms")
    kind: Mapped[str] = mapped_column(_WORD)
    token_hash: Mapped[bytes] = mapped_column(LargeBinary, unique=True)
    label: Mapped[bytes] = mapped_column(LargeBinary)
    created_at: Mapped[float] = mapped_column(Double)
    expires_at: Mapped[float | None] = mapped_column(Double)


class BlockRow(Base):
    """A block of a workroom."""

    __tablename__ = "blocks"

    workroom_id: Mapped[str] = mapped_column(
        _ID, ForeignKey("workrooms.id", ondelete="CASCADE"), primary_key=True
    )
    name_hash: Mapped[bytes] = mapped_column(LargeBinary, primary_key=True)
    content: Mapped[bytes] = mapped_column(LargeBinary)


class SittingRow(Base):
    """A sitting, from the invitation on."""

    __tablename__ = "sittings"

    id: Mapped[str] = mapped_column(_ID, primary_key=True)
    workroom_id: Mapped[str] = _owner("workrooms")
    wrapped_key: Mapped[bytes] = mapped_column(LargeBinary)
    terms: Mapped[bytes] = mapped_column(LargeBinary)
    record: Mapped[bytes] = mapped_column(LargeBinary)
    created_at: Mapped[float] = mapped_column(Double)
    erase_at: Mapped[float] = mapped_column(Double, index=True)
    consent_at: Mapped[float | None] = mapped_column(Double)
    consent_to: Mapped[str | None] = mapped_column(_WORD)
    outline_at: Mapped[float | None] = mapped_column(Double)
    link_hash: Mapped[bytes | None] = mapped_column(LargeBinary, unique=True)
    link_expires_at: Mapped[float | None] = mapped_column(Double)
    link_spent_at: Mapped[float | None] = mapped_column(Double)
    link_spent_with: Mapped[bytes | None] = mapped_column(LargeBinary)
    cookie_hash: Mapped[bytes | None] = mapped_column(LargeBinary, unique=True)


class JobRow(Base):
    """Something to be done for a sitting outside the web process."""

    __tablename__ = "jobs"
    __table_args__ = (Index("ix_jobs_status_lease_until", "status", "lease_until"),)

    id: Mapped[str] = mapped_column(_ID, primary_key=True)
    sitting_id: Mapped[str] = _owner("sittings")
    kind: Mapped[str] = mapped_column(_WORD)
    status: Mapped[str] = mapped_column(_WORD)
    attempts: Mapped[int] = mapped_column(default=0)
    lease_until: Mapped[float] = mapped_column(Double)
    created_at: Mapped[float] = mapped_column(Double)
    task: Mapped[bytes] = mapped_column(LargeBinary)
    outcome: Mapped[bytes | None] = mapped_column(LargeBinary)


class AnswerRow(Base):
    """An answer given before to the same idempotency key."""

    __tablename__ = "answers"

    owner_id: Mapped[str] = mapped_column(_ID, primary_key=True)
    key_hash: Mapped[bytes] = mapped_column(LargeBinary, primary_key=True)
    request_hash: Mapped[bytes] = mapped_column(LargeBinary)
    status: Mapped[int]
    body: Mapped[bytes] = mapped_column(LargeBinary)
    created_at: Mapped[float] = mapped_column(Double, index=True)
