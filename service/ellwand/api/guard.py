"""What is checked and added around every request, before any handler sees it.

Sources: Fetch Metadata Request Headers (W3C); Content Security Policy Level 3 (W3C); OWASP ASVS
5.0; RFC 6797 (Strict-Transport-Security).
"""

import logging
import time
import traceback
from collections.abc import Iterable
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from ellwand.api.desk import LOOPBACK_HOSTS, Desk, base_url, own_origin
from ellwand.api.preferring import preferred
from ellwand.api.problems import OUR_MISTAKE, answer_to
from ellwand.errors import ServiceProblem
from ellwand.language import speaking

SAFE_METHODS = ("GET", "HEAD", "OPTIONS")
UPLOAD_PATHS = ("/api/v1/sitting/photos", "/api/v1/sitting/photo-checks")
# JSON of a request; a block file is the largest of all other bodies.
LARGEST_BODY = 300_000
YEAR_S = 31_536_000

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; "
    "connect-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; "
    "frame-ancestors 'none'"
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
}
# Of what can be shown as a document; on each script they would make a slow line wait for nothing.
DOCUMENT_HEADERS = {
    "Cross-Origin-Opener-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), accelerometer=(self), gyroscope=(self), "
    "screen-wake-lock=(self), geolocation=(), microphone=()",
    "X-Frame-Options": "DENY",
}

log = logging.getLogger("ellwand.access")


class Guard:
    """Checks host, origin, rate and size of a request; adds headers and a line in the log.

    Args:
        app: what is guarded.
        desk: the service's things.
    """

    def __init__(self, app: ASGIApp, desk: Desk) -> None:
        self._app = app
        self._desk = desk

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        began, status = time.perf_counter(), 0

        async def send_guarded(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                _add_headers(MutableHeaders(scope=message), scope)
            await send(message)

        try:
            with speaking(preferred(Headers(scope=scope).get("accept-language", ""))):
                await self._serve(scope, receive, send_guarded)
        except Exception as error:
            _tell_of_bug(error)
            if not status:
                await answer_to(OUR_MISTAKE)(scope, receive, send_guarded)
        finally:
            _note(scope, status, time.perf_counter() - began)

    async def _serve(self, scope: Scope, receive: Receive, send: Send) -> None:
        try:
            self._check(scope)
            body = await _small_body(scope, receive)
            await self._app(scope, body, send)
        except ServiceProblem as problem:
            await answer_to(problem)(scope, receive, send)

    def _check(self, scope: Scope) -> None:
        request = Request(scope)
        self._check_host(request)
        if request.client is not None and request.url.path not in ("/health", "/ready"):
            self._desk.limiter.address(request.client.host)
        self._check_origin(request)

    def _check_host(self, request: Request) -> None:
        """Refuse names that are not ours: a foreign name may be made to lead to this machine."""
        settings = self._desk.settings
        named = urlsplit(settings.public_url).hostname
        if settings.trial_without_https or request.url.hostname in (*LOOPBACK_HOSTS, named):
            return
        raise ServiceProblem(
            "host-unknown",
            "The service is not known under this name.",
            "Use the address that it was started with; its operator sets ELLWAND_PUBLIC_URL.",
            421,
        )

    def _check_origin(self, request: Request) -> None:
        """Refuse what another site's page lets the browser send."""
        if not request.url.path.startswith("/api/"):
            return
        site = request.headers.get("sec-fetch-site", "none")
        origin = request.headers.get("origin")
        ours = (base_url(request, self._desk.settings), own_origin(request))
        foreign = origin is not None and origin not in ours
        if site in ("cross-site", "same-site") or (foreign and request.method not in SAFE_METHODS):
            raise ServiceProblem(
                "foreign-page",
                "This request came from a page of another site.",
                "Open the service's own page and do it there.",
                403,
            )


async def _small_body(scope: Scope, receive: Receive) -> Receive:
    """Take in a body that must be small; an upload is streamed and counted elsewhere.

    Raises:
        ServiceProblem: it is too large; 413.
    """
    if scope["path"] in UPLOAD_PATHS or scope["method"] in SAFE_METHODS:
        return receive
    parts, size, more = [], _declared_size(Headers(scope=scope)), True
    if size <= LARGEST_BODY:
        size = 0
    while more and size <= LARGEST_BODY:
        message = await receive()
        if message["type"] != "http.request":
            return _replay([message], receive)
        parts.append(message.get("body", b""))
        size += len(parts[-1])
        more = message.get("more_body", False)
    if size > LARGEST_BODY:
        raise ServiceProblem(
            "body-too-large",
            "This request is far larger than it has to be.",
            "Send less at once; photos go to the address for photos.",
            413,
        )
    whole = {"type": "http.request", "body": b"".join(parts), "more_body": False}
    return _replay([whole], receive)


def _declared_size(headers: Headers) -> int:
    """Length of a body as it is declared; a number beyond all sense is as good as too large."""
    declared = headers.get("content-length", "0")
    if not (declared.isascii() and declared.isdecimal()):
        return 0
    return int(declared) if len(declared) < 10 else LARGEST_BODY + 1


def _replay(messages: Iterable[Message], receive: Receive) -> Receive:
    waiting = list(messages)

    async def replayed() -> Message:
        return waiting.pop(0) if waiting else await receive()

    return replayed


def _add_headers(headers: MutableHeaders, scope: Scope) -> None:
    static = headers.get("content-type", "").startswith(("text/css", "text/javascript"))
    for name, value in (HEADERS if static else HEADERS | DOCUMENT_HEADERS).items():
        headers.setdefault(name, value)
    # Numbers of hers are on every answer; the page's own files hold none.
    headers.setdefault("Cache-Control", "no-cache" if static else "no-store")
    if scope["scheme"] == "https":
        headers.setdefault("Strict-Transport-Security", f"max-age={YEAR_S}")


def _tell_of_bug(error: Exception) -> None:
    """Say where in the code it came from; the message and its values may be private."""
    frames = traceback.extract_tb(error.__traceback__)
    places = " < ".join(f"{one.name}:{one.lineno}" for one in reversed(frames[-8:]))
    log.error("failed: %s in %s", type(error).__name__, places)


def _note(scope: Scope, status: int, seconds: float) -> None:
    """One line a request: the route as it is written in the code, never the path as it was sent."""
    route = getattr(scope.get("route"), "path", "-")
    method = scope["method"] if scope["method"].isalpha() else "-"
    log.info("%s %s %d %.0f ms", method[:8], route, status, seconds * 1000)
