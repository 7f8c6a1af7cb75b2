"""A browser without scripts: Django's test client, signed in as somebody, following the forms as they stand."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest
from django.test import Client

if TYPE_CHECKING:
    from registry.models import Member


@pytest.fixture
def as_member(db: None) -> Callable[[Member | None], Client]:
    """`as_member(member).get("/")`; None is a reader without an account."""

    def client(member: Member | None = None) -> Client:
        browser = Client()
        if member is not None:
            browser.force_login(member)
        return browser

    return client
