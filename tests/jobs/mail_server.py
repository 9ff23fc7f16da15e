"""A mail server on this machine, with certificates of its own authority, for tests."""

import asyncio
import ipaddress
import socket
import ssl
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, AuthResult, Envelope, LoginPassword, Session
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

HOST = "127.0.0.1"
DAY = timedelta(days=1)


class Authority:
    """A certificate authority that nobody knows.

    Args:
        folder: where its certificate and those of its servers are written.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._key = ec.generate_private_key(ec.SECP256R1())
        self._name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Invented Authority")])
        usage = x509.KeyUsage(
            digital_signature=True, content_commitment=False, key_encipherment=False,
            data_encipherment=False, key_agreement=False, key_cert_sign=True, crl_sign=True,
            encipher_only=False, decipher_only=False,
        )  # fmt: skip
        own = (
            self._builder(self._name, self._key.public_key(), 1)
            .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
            .add_extension(usage, critical=True)
            .sign(self._key, hashes.SHA256())
        )
        self.ca_file = folder / "authority.pem"
        self.ca_file.write_bytes(own.public_bytes(serialization.Encoding.PEM))

    def context(self, address: str = HOST, days: int = 1) -> ssl.SSLContext:
        """What a server at an address encrypts with; a certificate below zero days is over."""
        key = ec.generate_private_key(ec.SECP256R1())
        name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "mail")])
        where = x509.SubjectAlternativeName([x509.IPAddress(ipaddress.ip_address(address))])
        issuer = x509.AuthorityKeyIdentifier.from_issuer_public_key(self._key.public_key())
        certificate = (
            self._builder(name, key.public_key(), days)
            .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
            .add_extension(where, critical=False)
            .add_extension(issuer, critical=False)
            .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
            .sign(self._key, hashes.SHA256())
        )
        file = self._folder / f"{address}_{days}.pem"
        file.write_bytes(
            certificate.public_bytes(serialization.Encoding.PEM)
            + key.private_bytes(
                serialization.Encoding.PEM,
                serialization.PrivateFormat.PKCS8,
                serialization.NoEncryption(),
            )
        )
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(file)
        return context

    def _builder(
        self, name: x509.Name, key: ec.EllipticCurvePublicKey, days: int
    ) -> x509.CertificateBuilder:
        now = datetime.now(UTC)
        return (
            x509.CertificateBuilder()
            .subject_name(name)
            .issuer_name(self._name)
            .public_key(key)
            .serial_number(x509.random_serial_number())
            .not_valid_before(now - 3 * DAY)
            .not_valid_after(now + days * DAY)
            .add_extension(x509.SubjectKeyIdentifier.from_public_key(key), critical=False)
        )


@dataclass
class Mailbox:
    """What a server was sent, and how it answers.

    Args:
        answers: by command, "MAIL", "RCPT", "DATA", "QUIT" or "AUTH"; those left out are kind.
        users: passwords by login.
        hangs_up_at: "DATA" or "QUIT": there the connection breaks off in place of an answer.
        messages: what it took.
        logins: who logged in.
        plain: what came unencrypted.
        sealed: what came encrypted.
    """

    answers: Mapping[str, str] = field(default_factory=dict)
    users: Mapping[str, str] = field(default_factory=dict)
    hangs_up_at: str = ""
    messages: list[Envelope] = field(default_factory=list)
    logins: list[str] = field(default_factory=list)
    plain: bytearray = field(default_factory=bytearray)
    sealed: bytearray = field(default_factory=bytearray)

    def check(
        self, server: SMTP, session: Session, envelope: Envelope, mechanism: str, data: Any
    ) -> AuthResult:
        """Let a login in."""
        if "AUTH" in self.answers:
            return AuthResult(success=False, handled=False, message=self.answers["AUTH"])
        assert isinstance(data, LoginPassword)
        login = data.login.decode()
        if self.users.get(login) != data.password.decode():
            return AuthResult(success=False, handled=False)
        self.logins.append(login)
        return AuthResult(success=True)

    async def handle_MAIL(  # noqa: N802
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        envelope.mail_from = address
        return self.answers.get("MAIL", "250 OK")

    async def handle_RCPT(  # noqa: N802
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        answer = self.answers.get("RCPT", "250 OK")
        if answer.startswith("250"):
            envelope.rcpt_tos.append(address)
        return answer

    async def handle_DATA(  # noqa: N802
        self, server: SMTP, session: Session, envelope: Envelope
    ) -> str:
        answer = self.answers.get("DATA", "250 OK")
        if answer.startswith("250"):
            self.messages.append(envelope)
        self._perhaps_hang_up(server, "DATA")
        return answer

    async def handle_QUIT(  # noqa: N802
        self, server: SMTP, session: Session, envelope: Envelope
    ) -> str:
        self._perhaps_hang_up(server, "QUIT")
        return self.answers.get("QUIT", "221 Bye")

    def _perhaps_hang_up(self, server: SMTP, step: str) -> None:
        if self.hangs_up_at == step:
            assert isinstance(server.transport, asyncio.Transport)
            server.transport.abort()


class Listening(SMTP):
    """Notes every byte, by whether it came encrypted."""

    def data_received(self, data: bytes) -> None:
        assert self.transport is not None
        mailbox: Mailbox = self.event_handler
        encrypted = self.transport.get_extra_info("sslcontext") is not None
        (mailbox.sealed if encrypted else mailbox.plain).extend(data)
        super().data_received(data)


class MailServer(Controller):
    """A server at a free port, told by `port`."""

    def factory(self) -> SMTP:
        return Listening(self.handler, **self.SMTP_kwargs)

    def _trigger_server(self) -> None:
        assert isinstance(self.server, asyncio.Server)
        self.port = self.server.sockets[0].getsockname()[1]
        super()._trigger_server()  # type: ignore[no-untyped-call]


@contextmanager
def serving(
    mailbox: Mailbox, starttls: ssl.SSLContext | None = None, tls: ssl.SSLContext | None = None
) -> Iterator[int]:
    """The port of a server while it runs; it is unencrypted with neither context."""
    logins = bool(mailbox.users) or "AUTH" in mailbox.answers
    server = MailServer(
        mailbox,
        hostname=HOST,
        port=0,
        ready_timeout=30.0,
        ssl_context=tls,
        tls_context=starttls,
        require_starttls=starttls is not None,
        authenticator=mailbox.check,
        auth_exclude_mechanism=() if logins else ("LOGIN", "PLAIN"),
        auth_required=starttls is not None and bool(mailbox.users),
        # Under `tls` the library does not see that all is encrypted.
        auth_require_tls=tls is None,
    )
    server.start()
    try:
        yield server.port
    finally:
        server.stop()


@contextmanager
def saying(*lines: bytes) -> Iterator[int]:
    """The port of a server that says these lines, hears one between any two, and hangs up."""
    with socket.create_server((HOST, 0)) as listener:

        def talk() -> None:
            client, _ = listener.accept()
            with client, client.makefile("rb") as heard:
                client.sendall(lines[0])
                for line in lines[1:]:
                    heard.readline()
                    client.sendall(line)

        thread = threading.Thread(target=talk, daemon=True)
        thread.start()
        yield listener.getsockname()[1]
        thread.join(10)
        assert not thread.is_alive()
