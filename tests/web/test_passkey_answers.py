"""T23: what no device answers, but anybody can send in its place, is refused in words and opens nothing."""

import json
from hashlib import sha256

import pytest
from allauth.mfa.models import Authenticator
from fido2.utils import websafe_encode
from fido2.webauthn import AuthenticatorData, CollectedClientData

from tests.factories import MemberFactory
from tests.web.test_account_words import passkey_of
from tests.web.test_T23_second_step import PASSWORD, sign_in, signed_up

pytestmark = pytest.mark.django_db
KEY = "Harbour phone"
BASIS = {"id": "AA", "rawId": "AA", "type": "public-key", "response": {}}
MALFORMED = [
    "none",
    7,
    BASIS,
    {"id": "AA", "response": {}},
    BASIS | {"response": "none"},
    BASIS | {"rawId": 7},
    BASIS | {"response": {"clientDataJSON": "AA", "attestationObject": "AA", "authenticatorData": "AA"}},
    BASIS | {"response": {"clientDataJSON": "e30", "attestationObject": "oA", "authenticatorData": "AA"}},
    BASIS | {"response": {"clientDataJSON": None, "attestationObject": None, "authenticatorData": None}},
]


def forged(asked: str) -> dict:
    """A whole answer to what was asked, signed by nobody."""
    seen = AuthenticatorData.create(sha256(b"testserver").digest(), 0x05, 1)
    data = CollectedClientData.create("webauthn.get", asked, "https://testserver")
    parts = {
        "clientDataJSON": data,
        "authenticatorData": seen,
        "signature": b"\x30\x06\x02\x01\x01\x02\x01\x01",
    }
    named = websafe_encode(KEY.encode())
    response = {name: websafe_encode(bytes(part)) for name, part in parts.items()}
    return {"id": named, "rawId": named, "type": "public-key", "response": response}


@pytest.fixture
def waiting():
    """A browser that gave the password of somebody with a passkey, and is asked for that."""
    member = signed_up(MemberFactory())
    passkey_of(member, KEY)
    browser, answer = sign_in(member)
    assert answer.headers["Location"].startswith("/accounts/2fa/authenticate/")
    return browser


@pytest.mark.parametrize("credential", MALFORMED, ids=str)
def test_T23_a_malformed_answer_does_not_sign_in(waiting, credential):
    waiting.get("/accounts/2fa/authenticate/")
    answer = waiting.post("/accounts/2fa/authenticate/", {"credential": json.dumps(credential)})
    assert (answer.status_code, "That did not fit" in answer.text) == (200, True)
    assert waiting.get("/account").status_code == 302


def test_T23_an_answer_that_nobody_signed_does_not_sign_in(waiting):
    waiting.get("/accounts/2fa/authenticate/")
    asked = waiting.session["mfa.webauthn.state"]["challenge"]
    answer = waiting.post("/accounts/2fa/authenticate/", {"credential": json.dumps(forged(asked))})
    assert (answer.status_code, "That did not fit" in answer.text) == (200, True)
    assert waiting.get("/account").status_code == 302


@pytest.mark.parametrize("credential", MALFORMED, ids=str)
def test_T23_a_malformed_answer_adds_no_passkey(credential):
    browser, _ = sign_in(signed_up(MemberFactory()))
    asked = browser.get("/accounts/2fa/webauthn/add/").headers["Location"]
    browser.post(asked, {"password": PASSWORD}, follow=True)
    answer = browser.post("/accounts/2fa/webauthn/add/", {"name": KEY, "credential": json.dumps(credential)})
    assert (answer.status_code, "That did not fit" in answer.text) == (200, True)
    assert not Authenticator.objects.exists()
