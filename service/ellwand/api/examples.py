"""Examples for the description: an error of each status, bodies to send, headers of answers."""

from dataclasses import dataclass
from importlib import resources
from typing import Any


@dataclass(frozen=True)
class Case:
    """When a status is answered, and one of the errors that have it.

    Args:
        when: one sentence.
        code: of the example.
        title: what it says.
        detail: what it advises.
        headers: those that may come with it.
    """

    when: str
    code: str
    title: str
    detail: str
    headers: tuple[str, ...] = ()


CASES = {
    400: Case(
        "The request is not as described here.",
        "malformed",
        "This request is not as it should be.",
        "See the misfits, and the description of this service at /api/v1/openapi.json.",
    ),
    401: Case(
        "Nobody is known to ask: no cookie or key, or one that has ended.",
        "no-sitting-open",
        "This browser has no sitting open.",
        "Open the link that your seamstress sent you; ask for a new one if it has ended.",
        ("WWW-Authenticate",),
    ),
    403: Case(
        "It may not be done from here, or not yet.",
        "foreign-page",
        "This request came from a page of another site.",
        "Open the service's own page and do it there.",
    ),
    404: Case(
        "There is no such thing, or it is not for the one who asks.",
        "no-such-job",
        "There is no such job.",
        "Look at the sitting, or send the photos.",
    ),
    408: Case(
        "The body took too long to arrive.",
        "upload-too-slow",
        "The photos took too long to arrive.",
        "Go where the connection is better, and send them again.",
    ),
    409: Case(
        "It does not go together with how things stand now.",
        "under-way",
        "The last one that you sent is still being worked on.",
        "Wait until it has ended, then send this again.",
        ("Retry-After",),
    ),
    410: Case(
        "It was there once, and is not any more.",
        "link-spent",
        "This link has been opened already.",
        "Go on in the browser that it was opened in; that may be the window of a mail app. Or ask "
        "your seamstress for a new link: what you have saved is still there.",
    ),
    413: Case(
        "The body, or a photo in it, is too large.",
        "body-too-large",
        "This request is far larger than it has to be.",
        "Send less at once; photos go to the address for photos.",
    ),
    415: Case(
        "The body is of another kind.",
        "not-a-form",
        "The photos did not arrive as a form.",
        "Send multipart/form-data with the parts front and side.",
    ),
    421: Case(
        "The service has another name.",
        "host-unknown",
        "The service is not known under this name.",
        "Use the address that it was started with; its operator sets ELLWAND_PUBLIC_URL.",
    ),
    422: Case(
        "The request can be read, but what was typed or sent in it cannot be used.",
        "no-reason",
        "A value is kept for a reason only.",
        "Say in a few words why it is right.",
    ),
    429: Case(
        "This was asked for too often.",
        "too-many-requests",
        "This was asked for too often in a short time.",
        "Wait 12 seconds, then try again; nothing is lost.",
        ("Retry-After",),
    ),
    500: Case(
        "Something went wrong on our side.",
        "our-mistake",
        "Something went wrong on our side.",
        "Nothing that was entered is lost. Try again in a moment.",
    ),
    502: Case(
        "A server behind this one refused.",
        "mail-refused",
        "The mail server does not take the card.",
        "Download the card or the draft, and send it from your own mail program.",
    ),
    503: Case(
        "There is too much to do at this moment, or what does it was lost.",
        "busy",
        "Many photos are being measured at this moment.",
        "Nothing is lost: try again in half a minute.",
        ("Retry-After",),
    ),
}

_TEXT = {"type": "string"}
HEADERS: dict[str, dict[str, Any]] = {
    "Retry-After": {
        "description": "Seconds to wait before asking again.",
        "schema": {"type": "integer", "minimum": 1},
    },
    "WWW-Authenticate": {"description": "That something has to open it.", "schema": _TEXT},
    "Location": {
        "description": "Where the job can be asked for.",
        "required": True,
        "schema": {"type": "string", "format": "uri-reference"},
    },
    "Set-Cookie": {
        "description": "Lets this browser in: Secure, HttpOnly, SameSite=Strict.",
        "required": True,
        "schema": _TEXT,
    },
    "Clear-Site-Data": {
        "description": "Lets the browser forget what it holds of this service.",
        "required": True,
        "schema": _TEXT,
    },
    "Content-Disposition": {
        "description": "A name for the file, always the same one.",
        "required": True,
        "schema": _TEXT,
    },
}

# Of the demo sheets' check bars and an invented woman; the photos stand for files.
PHOTOS_FORM = {
    "front": "(bytes of a JPEG or PNG file)",
    "side": "(bytes of a JPEG or PNG file)",
    "stature": "168 cm",
    "reference": "marker-sheets",
    "paper": "a4",
    "check_bars": ["15 cm", "24 cm"],
    "standoff_side": "0",
}
CHECK_FORM = {
    "front": "(bytes of a JPEG or PNG file)",
    "stature": "168 cm",
    "reference": "marker-sheets",
}


def block_file() -> str:
    """A block file that is accepted."""
    return resources.files("ellwand.sizing").joinpath("demo_block.toml").read_text("utf-8")


def headers(*names: str) -> dict[str, Any]:
    """Headers of an answer, for its description."""
    return {"headers": {name: HEADERS[name] for name in names}}
