"""What the accounts app shows and mails is in our words: a German page has none of its, and says “du”."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from hashlib import sha256
from typing import Any

import pytest
from allauth.account.models import EmailAddress
from allauth.mfa.models import Authenticator
from cryptography.hazmat.primitives.asymmetric.ec import SECP256R1, generate_private_key
from django.core import mail
from django.core.cache import cache
from django.test import Client
from django.urls import get_resolver
from django.utils import dates, translation
from fido2.cose import ES256
from fido2.utils import websafe_encode
from fido2.webauthn import AttestationObject, AttestedCredentialData, AuthenticatorData, CollectedClientData

from registry.models import Member
from tests.factories import MemberFactory
from tests.test_catalogue import catalogue
from tests.web.bracketed import Read, any_of, outside_brackets
from tests.web.test_T23_second_step import PASSWORD, signed_up, six_digits

pytestmark = pytest.mark.django_db(transaction=True)
SAME_EVERYWHERE = {"Castlore", "English", "Deutsch", "testserver", "Harbour Browser", "Passkeys"}
NEVER_OPENS = {"account_confirm_login_code"}
"""Signing in by a code from a mail is not offered."""
FORMAL = re.compile(r"(?<=[\w,–] )(?:Sie|Ihnen|Ihr|Ihre[mnrs]?)\b")
"""Within a sentence; at its beginning it may be somebody else."""
CODE = re.compile(r"^([A-Z0-9]{4}-[A-Z0-9]{4})$", re.MULTILINE)
LINK = re.compile(r"(/accounts/password/reset/key/\S+)")
NEW = "a bucket of wet sand"


@contextmanager
def ours_in_brackets() -> Iterator[None]:
    """What our catalogue has stands in ⟦ ⟧, in the reader's language; what a library's has stands bare."""
    ours = {one.id if isinstance(one.id, str) else one.id[0] for one in catalogue("django") if one.id}
    days = {
        str(name) for name in (*dates.MONTHS.values(), *dates.MONTHS_3.values(), *dates.MONTHS_ALT.values())
    }
    translators: Any = translation._trans  # type: ignore[attr-defined]
    kept = {name: getattr(translators, name) for name in ("gettext", "ngettext", "pgettext", "npgettext")}

    def marked(own: Any, message_at: int) -> Any:
        def say(*given: Any) -> str:
            text: str = own(*given)
            return f"⟦{text}⟧" if given[message_at] in ours | days else text

        return say

    for name, own in kept.items():
        setattr(translators, name, marked(own, 1 if "p" in name else 0))
    try:
        yield
    finally:
        for name, own in kept.items():
            setattr(translators, name, own)


def passkey_of(member: Member, name: str) -> Authenticator:
    """As a browser would have made it; nobody keeps the secret half of its key."""
    key = ES256.from_cryptography_key(generate_private_key(SECP256R1()).public_key())
    credential = AttestedCredentialData.create(b"\0" * 16, name.encode(), key)
    seen = AuthenticatorData.create(sha256(b"testserver").digest(), 0x41, 0, credential)
    parts = {
        "clientDataJSON": CollectedClientData.create("webauthn.create", b"asked", "https://testserver"),
        "attestationObject": AttestationObject.create("none", seen, {}),
    }
    data = {
        "id": websafe_encode(name.encode()),
        "rawId": websafe_encode(name.encode()),
        "type": "public-key",
        "clientExtensionResults": {},
        "response": {part: websafe_encode(bytes(value)) for part, value in parts.items()},
    }
    return Authenticator.objects.create(
        user=member, type=Authenticator.Type.WEBAUTHN, data={"name": name, "credential": data}
    )


def exposed() -> set[str]:
    """The names of all pages of the accounts app."""
    found, left = set(), [("", get_resolver())]
    while left:
        before, one = left.pop()
        address = before + str(one.pattern)
        if hasattr(one, "url_patterns"):
            left += [(address, inner) for inner in one.url_patterns]
        elif address.startswith("accounts/"):
            found.add(one.name)
    return found


class Walk:
    """Every page that was opened on the way, by what was done; and which pages those were."""

    def __init__(self) -> None:
        self.pages: dict[str, str] = {}
        self.names: set[str] = set()
        self.browser = self.another()

    def another(self) -> Client:
        return Client(headers={"accept-language": "de", "user-agent": "Harbour Browser"})

    def open(self, path: str, typed: dict[str, Any] | None = None, browser: Client | None = None) -> str:
        browser = browser or self.browser
        cache.clear()  # a few minutes later: nothing is tried too often
        path = path if path.startswith("/") else f"/accounts/{path}"
        ask = browser.get if typed is None else browser.post
        answer = ask(path, typed, follow=True)
        assert answer.status_code in (200, 403, 404, 422, 429), path
        self.names.add(answer.resolver_match.url_name)
        self.pages[f"{len(self.pages)} {path} {typed or ''}"] = answer.text
        return answer.text

    def last_mail(self, pattern: re.Pattern[str]) -> str:
        return pattern.search(mail.outbox[-1].body)[1]


def signing_up_and_in(walk: Walk) -> None:
    mudlark = {"email": "mudlark@example.test", "display_name": "Mudlark", "password1": PASSWORD}
    walk.open("signup/")
    walk.open("signup/", {"email": "mudlark", "display_name": "", "password1": ""})
    for password in ("short", "password123", "mudlark@example"):
        walk.open("signup/", mudlark | {"password1": password})
    walk.open("signup/", mudlark)
    walk.open("confirm-email/", {"action": "resend"})
    walk.open("confirm-email/", {"code": "000000"})
    walk.open("confirm-email/", {"code": walk.last_mail(CODE)})
    walk.open("login/")
    walk.open("logout/")
    walk.open("logout/", {})
    walk.open("signup/", mudlark | {"display_name": "Mudlark2"}, walk.another())
    walk.open("login/", {"login": "mudlark@example.test", "password": "guess"})
    for _ in range(3):
        walk.open("confirm-email/", {"code": "000000"})
    walk.open("inactive/")
    walk.open("login/code/confirm/")


def passwords(walk: Walk, member: Member) -> None:
    walk.open("password/reset/")
    walk.open("password/reset/", {"email": "nobody@example.test"})
    walk.open("password/reset/", {"email": member.email})
    walk.open("password/reset/done/")
    link = walk.last_mail(LINK)
    walk.open(link)
    form = re.sub(r"key/(\w+)-.*", r"key/\1-set-password/", link)
    walk.open(form, {"password1": NEW, "password2": "another"})
    walk.open(form, {"password1": NEW, "password2": NEW})
    walk.open("password/reset/key/done/")
    walk.open(link)
    walk.open("login/", {"login": member.email, "password": NEW})
    walk.open("password/change/")
    for old, first, again in (("guess", NEW, NEW), (NEW, PASSWORD, "another"), (NEW, PASSWORD, PASSWORD)):
        walk.open("password/change/", {"oldpassword": old, "password1": first, "password2": again})
    walk.open("reauthenticate/")
    walk.open("reauthenticate/", {"password": "guess"})
    walk.open("reauthenticate/", {"password": PASSWORD})
    member.refresh_from_db()
    member.set_unusable_password()
    member.save()
    walk.browser.force_login(member)
    walk.open("password/set/")
    walk.open("password/set/", {"password1": PASSWORD, "password2": PASSWORD})
    walk.open("logout/", {})
    walk.open("login/", {"login": member.email, "password": PASSWORD})


def addresses(walk: Walk, member: Member) -> None:
    second = "second@example.test"
    walk.open("email/")
    walk.open("email/", {"action_add": "", "email": "second"})
    walk.open("email/", {"action_add": "", "email": member.email})
    walk.open("email/", {"action_add": "", "email": second})
    walk.open("confirm-email/", {"code": walk.last_mail(CODE)})
    third = EmailAddress.objects.create(user=member, email="third@example.test")
    walk.open("2fa/totp/activate/")
    for deed in ("primary", "send", "remove"):
        walk.open("email/", {f"action_{deed}": "", "email": third.email})
    walk.open("email/", {"action_remove": "", "email": member.email})
    walk.open("email/", {"action_primary": "", "email": second})


def second_steps(walk: Walk, member: Member) -> None:
    walk.open("2fa/")
    walk.open("reauthenticate/", {"password": PASSWORD})
    walk.open("2fa/recovery-codes/generate/")
    walk.open("2fa/recovery-codes/generate/", {})
    walk.open("2fa/recovery-codes/")
    page = walk.open("2fa/totp/activate/")
    secret = re.search(r"<code>([A-Z2-7]+)</code>", page)[1]
    walk.open("2fa/totp/activate/", {"code": "000000"})
    walk.open("2fa/totp/activate/", {"code": six_digits(secret)})
    codes = walk.open("2fa/recovery-codes/download/").split()
    walk.pages.popitem()  # nothing but the codes
    walk.open("2fa/recovery-codes/")
    walk.open("2fa/recovery-codes/generate/")
    walk.open("2fa/webauthn/")
    walk.open("2fa/webauthn/add/")
    walk.open("2fa/webauthn/add/", {"name": "Phone", "credential": ""})
    walk.open("2fa/webauthn/add/", {"name": "Phone", "credential": '"none"'})
    passkey = passkey_of(member, "Harbour phone")
    walk.open("2fa/")
    walk.open("2fa/webauthn/")
    for way in ("reauthenticate/", "2fa/reauthenticate/", "2fa/webauthn/reauthenticate/"):
        walk.open(way)
    walk.open("2fa/reauthenticate/", {"code": "000000"})
    for answer in ("", '"none"'):
        walk.open("2fa/webauthn/reauthenticate/", {"credential": answer})
    walk.open("2fa/reauthenticate/", {"code": codes[0]})
    there = walk.another()
    page = walk.open("login/", {"login": member.email, "password": PASSWORD}, there)
    assert 'id="mfa_webauthn"' in page
    walk.open("2fa/authenticate/", {"code": "000000"}, there)
    for answer in ("", '"none"'):
        walk.open("2fa/authenticate/", {"credential": answer}, there)
    walk.open("2fa/authenticate/", {"code": codes[1]}, there)
    walk.open("sessions/")
    walk.open("sessions/", {})
    walk.open(f"2fa/webauthn/keys/{passkey.pk}/edit/")
    walk.open(f"2fa/webauthn/keys/{passkey.pk}/edit/", {"name": ""})
    walk.open(f"2fa/webauthn/keys/{passkey.pk}/edit/", {"name": "Harbour phone"})
    walk.open(f"2fa/webauthn/keys/{passkey.pk}/remove/")
    walk.open(f"2fa/webauthn/keys/{passkey.pk}/remove/", {})
    walk.open("2fa/recovery-codes/generate/", {})
    walk.open("2fa/totp/deactivate/")
    walk.open("2fa/totp/deactivate/", {})


def test_every_page_and_mail_about_an_account_is_in_our_words_and_says_du():
    walk, member = Walk(), signed_up(MemberFactory(display_name="Dockhand"))
    with ours_in_brackets():
        signing_up_and_in(walk)
        passwords(walk, member)
        addresses(walk, member)
        second_steps(walk, member)
    assert walk.names >= exposed() - NEVER_OPENS
    assert not walk.names & NEVER_OPENS
    assert len(mail.outbox) >= 6
    sent = {f"mail {one.subject}": f"{one.subject}\n{CODE.sub('', one.body)}" for one in mail.outbox}
    typed = {one.email for one in EmailAddress.objects.all()}
    typed |= {"nobody@example.test", "third@example.test", "Harbour phone"}
    known = any_of(typed | SAME_EVERYWHERE | set(Member.objects.values_list("display_name", flat=True)))
    foreign = {name: outside_brackets(text, known) for name, text in (walk.pages | sent).items()}
    assert {name: words for name, words in foreign.items() if words} == {}
    formal = {name: FORMAL.findall(" ".join(Read(text).texts)) for name, text in (walk.pages | sent).items()}
    assert {name: words for name, words in formal.items() if words} == {}


def test_whoever_changed_the_password_or_confirmed_an_address_is_back_at_the_account():
    walk, member = Walk(), signed_up(MemberFactory())
    walk.open("login/", {"login": member.email, "password": PASSWORD})
    new = {"oldpassword": PASSWORD, "password1": NEW, "password2": NEW}
    assert walk.browser.post("/accounts/password/change/", new)["Location"] == "/account"
    walk.browser.post("/accounts/email/", {"action_add": "", "email": "second@example.test"})
    code = {"code": walk.last_mail(CODE)}
    assert walk.browser.post("/accounts/confirm-email/", code)["Location"] == "/accounts/email/"
