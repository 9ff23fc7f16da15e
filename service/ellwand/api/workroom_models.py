"""What is sent and answered on the workroom's side, as it is described to programs."""

from pydantic import Field, SecretStr

from ellwand.api.base import Code, Model, Sent, example
from ellwand.api.size_models import SizeView
from ellwand.sitting import Sitting
from ellwand.store.sittings import Terms


class Login(Sent):
    """A workroom's login."""

    model_config = example(login="mara", password="two words and a button")  # noqa: S106

    login: str = Field(max_length=200)
    """As she was taken in."""
    password: SecretStr = Field(max_length=1000)
    """Her password."""


class BlockView(Model):
    """A block as far as it is understood."""

    name: str
    """What the workroom calls it."""
    sizes: list[str]
    """Its sizes."""
    garments: list[str]
    """Its garments."""
    problem: str | None = None
    """Why a file that was kept by an earlier version has to be corrected before it can be used;
    it has neither sizes nor garments then."""


class BlockChecked(Model):
    """What a block's file says."""

    understood: list[str]
    """In words, line by line."""


class WorkroomOverview(Model):
    """A workroom as it sees itself."""

    name: str
    """As customers see it."""
    blocks: list[str]
    """Names of its blocks."""
    keys: list["KeyView"]
    """Keys of its programs."""
    mails: bool
    """Whether cards are sent by e-mail from here."""
    demo: BlockView
    """The demo block, which an invitation without a block takes."""


class NewInvitation(Sent, Terms):
    """What the workroom asks of a customer."""

    model_config = example(
        label="blouse for the summer party",
        asked=["stature", "high_bust", "full_bust", "waist", "full_hip", "arm_length"],
        address="cards@loft.example",
        unit="cm",
    )


class Invitation(Model):
    """A new link for a customer."""

    id: str
    """Of the sitting."""
    link: str
    """To be sent to the customer; shown this once."""
    link_ends_at: float
    """When it ends if it is not opened, seconds since 1970."""


class SittingLine(Model):
    """A sitting in the workroom's list."""

    id: str
    """Its id."""
    terms: Terms
    """What was asked."""
    opened: bool
    """Whether the customer has opened her link."""
    link_open: bool
    """Whether the link can still be opened."""
    measured: bool
    """Whether there is anything to see on a card yet."""
    confirmed: list[Code]
    """What is confirmed, or kept against a query."""
    kept: list[Code]
    """What of it is kept, with her reason."""
    needed: list[Code]
    """What is still to be confirmed."""
    queries: int
    """How many queries are open."""
    decided: bool
    """Whether the size is decided."""
    chosen: str | None
    """Size, cup and length in few words; null while there are none."""
    block_changed: bool
    """Whether it rests on the block as it was before a change."""
    created_at: float
    """When she was invited, seconds since 1970."""
    erase_at: float
    """When all of it is erased."""


class SittingOfWorkroom(SittingLine):
    """A sitting as the workroom sees it."""

    size: SizeView | None
    """The size decision to be read; null while there is none."""
    record: Sitting
    """Everything there is, but that she alone sees her weight and the points of her outline."""


class NewKey(Sent):
    """A key for a program."""

    model_config = example(label="order book")

    label: str = Field(min_length=1, max_length=80)
    """What it is for."""


class KeyView(Model):
    """A key of a program."""

    id: str
    """By which it is ended."""
    label: str
    """What it is for."""
    created_at: float
    """Seconds since 1970."""


class KeyMade(Model):
    """A new key."""

    id: str
    """By which it is ended."""
    key: str
    """To be sent as `Authorization: Bearer`; shown this once."""
