"""Sending a sitting's card to the address that its workroom gave."""

from datetime import UTC, datetime

from ellwand.card import Sending, card_forms, card_message, content_of
from ellwand.jobs.post import PostRefused, SmtpServer, post
from ellwand.jobs.run import Send
from ellwand.settings import Settings
from ellwand.store.jobs import Claimed
from ellwand.store.sittings import Held, addressing


def sender(settings: Settings) -> Send:
    """What sends cards with the mail server of the settings."""

    def send(held: Held, job: Claimed) -> None:
        if not settings.smtp_host:
            raise PostRefused("No mail server is set.")
        sending = Sending(
            sender=settings.smtp_sender,
            job_id=job.id,
            # The same on every attempt, so that a copy is known as one.
            date=datetime.fromtimestamp(int(job.created_at), UTC),
        )
        with addressing(held):
            card = card_forms(content_of(held.record, held.outline, held.workroom))
            message = card_message(card, held.terms.address, sending)
        post(message, _server(settings))

    return send


def _server(settings: Settings) -> SmtpServer:
    return SmtpServer(
        host=settings.smtp_host,
        port=settings.smtp_port,
        security="tls" if settings.smtp_security == "tls" else "starttls",
        sender=settings.smtp_sender,
        user=settings.smtp_user,
        password=settings.smtp_password.get_secret_value(),
        ca_file=settings.smtp_ca_file,
    )
