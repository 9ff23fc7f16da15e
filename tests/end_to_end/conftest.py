"""Fixtures of the tests in a browser."""

from tests.browsing import browser, context, service

__all__ = ["browser", "context", "service"]
