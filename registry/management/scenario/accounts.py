"""The accounts of the demonstration that one may sign in with. All others have no usable password."""

from __future__ import annotations

import base64

from django.utils.crypto import salted_hmac

from registry.models import Member

from .names import Names

SALT = "castlore.demo.password"


def password_of(email: str) -> str:
    """Derived from the site's secret: the same at every run, and known to nobody without the secret."""
    digest = salted_hmac(SALT, email, algorithm="sha256").digest()
    symbols = base64.b32encode(digest)[:16].decode().lower()
    return "-".join(symbols[at : at + 4] for at in range(0, 16, 4))


def open_accounts(names: Names) -> list[tuple[str, Member, str]]:
    """What each account is for, the account, and its password, which is set where it is not yet so."""
    opened = []
    for what, key in names.scenario.files["members"]["sign_in"].items():
        member = names.member(key)
        password = password_of(member.email)
        if not member.check_password(password):
            member.set_password(password)
            member.save(update_fields=["password"])
        opened.append((what, member, password))
    return opened
