"""Who asks: tokens, sessions, scopes, suspended accounts, other origins."""

import hashlib
import logging
import re
from datetime import timedelta

import pytest
from django.core import mail
from django.db import connection
from django.test import Client
from django.utils import timezone

from registry import actions
from registry.models import JournalEntry, KeptReply, Token
from tests.factories import CabinetItemFactory, MakerFactory, MemberFactory, ModeratorFactory

from .caller import Caller, problem

pytestmark = pytest.mark.django_db


def everything_stored() -> str:
    """All text of all tables."""
    with connection.cursor() as cursor:
        rows = []
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f'SELECT * FROM "{table}"')  # noqa: S608  (names come from the database itself)
            rows += cursor.fetchall()
    return repr(rows)


def test_T22_a_token_is_found_nowhere_but_in_the_one_answer_that_makes_it(caplog):
    caplog.set_level(logging.DEBUG)
    member = MemberFactory()
    owner = Caller(member)
    made = owner.post("/v1/tokens", {"name": "shelf reader", "scopes": ["read"]}, key="once")
    secret = made.json()["secret"]
    again = owner.post("/v1/tokens", {"name": "shelf reader", "scopes": ["read"]}, key="once")
    assert again.status_code == 201
    assert "secret" not in again.json()
    assert Caller(Authorization=f"Bearer {secret}").get("/v1/me").status_code == 200
    answers = [
        owner.get(path).content.decode()
        for path in ("/v1/tokens", f"/v1/tokens/{made.json()['id']}", "/v1/me")
    ]
    stored = everything_stored()
    assert hashlib.sha256(secret.encode()).hexdigest() in stored
    for place in (stored, caplog.text, *answers):
        assert secret not in place
        assert secret.removeprefix("clt_") not in place
    assert KeptReply.objects.count() == JournalEntry.objects.filter(verb="token.created").count() - 1 == 1


def test_T22_a_token_in_an_address_is_400():
    secret = Caller(MemberFactory()).secret
    told = problem(Caller().get("/v1/makers", {"token": secret}), 400, "parameter-unknown")
    assert secret not in str(told)


def test_T22_a_revoked_token_is_401_at_the_next_request():
    caller = Caller(MemberFactory())
    assert caller.get("/v1/me").status_code == 200
    assert caller.delete(f"/v1/tokens/{caller.token.public_id}").status_code == 204
    problem(caller.get("/v1/me"), 401, "token-expired")


def test_an_expired_or_unknown_token_is_401_even_on_a_public_read():
    caller = Caller(MemberFactory())
    Token.objects.update(
        created_at=timezone.now() - timedelta(days=9), expires_at=timezone.now() - timedelta(days=1)
    )
    answer = caller.get("/v1/makers")
    problem(answer, 401, "token-expired")
    assert answer["WWW-Authenticate"] == 'Bearer realm="castlore"'
    for field in ("Bearer clt_nonsense", "Bearer", "Basic dXNlcjpwYXNz", "Bearer \xff"):
        problem(Caller(Authorization=field).get("/v1/makers"), 401, "token-expired")


def test_a_suspended_member_is_401_by_token_and_by_session():
    member, moderator = MemberFactory(), ModeratorFactory()
    caller, session = Caller(member), Caller()
    session.client.force_login(member, "registry.web.accounts.SignedIn")
    assert session.get("/v1/me").status_code == 200
    actions.suspend(member=member, by=moderator, at=timezone.now(), reason="Sold painted wheels as new.")
    problem(caller.get("/v1/me"), 401, "token-expired")
    problem(session.get("/v1/me"), 401, "token-missing")


def test_a_session_writes_only_with_the_token_of_the_forms():
    member = MemberFactory()
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(member, "registry.web.accounts.SignedIn")
    body, kind = b'{"name": "t", "scopes": ["read"]}', "application/json"
    headers = {"Idempotency-Key": "k"}
    problem(strict.post("/v1/tokens", body, kind, headers=headers), 403, "csrf-failed")
    strict.get("/accounts/login/")
    strict.cookies["csrftoken"] = token = "x" * 32
    answer = strict.post("/v1/tokens", body, kind, headers={**headers, "X-CSRFToken": token})
    assert answer.status_code == 201, answer.content


def test_the_use_of_a_token_is_noted_at_most_hourly():
    caller = Caller(MemberFactory())
    caller.get("/v1/me")
    first = Token.objects.get().last_used_at
    caller.get("/v1/me")
    assert Token.objects.get().last_used_at == first
    Token.objects.update(last_used_at=first - timedelta(minutes=61))
    caller.get("/v1/me")
    assert Token.objects.get().last_used_at > first - timedelta(minutes=1)


@pytest.mark.parametrize(
    ("scope", "method", "path"),
    [
        ("read", "POST", "/v1/submissions"),
        ("contribute", "GET", "/v1/cabinet"),
        ("contribute", "POST", "/v1/disputes"),
        ("cabinet", "GET", "/v1/votes"),
        ("review", "POST", "/v1/cabinet"),
        ("contribute", "POST", "/v1/makers"),
        ("contribute", "DELETE", "/v1/photos/000000000000"),
        ("review", "POST", "/v1/editions"),
        ("cabinet", "GET", "/v1/me/export"),
        ("read", "POST", "/v1/me/erase"),
    ],
)
def test_a_token_reaches_no_further_than_its_scopes(scope, method, path):
    caller = Caller(ModeratorFactory(), scopes=[scope])
    answer = caller.post(path) if method == "POST" else caller.send(method, path)
    problem(answer, 403, "scope-missing")


def test_a_token_makes_and_revokes_only_tokens_no_wider_than_itself():
    member = MemberFactory()
    wide, narrow = Caller(member), Caller(member, scopes=["read"])
    told = problem(
        narrow.post("/v1/tokens", {"name": "t", "scopes": ["read", "review"]}), 403, "scope-missing"
    )
    assert told["errors"][0]["pointer"] == "/scopes"
    problem(narrow.post("/v1/tokens", {"name": "t", "scopes": ["read"], "days": 200}), 403, "scope-missing")
    problem(narrow.delete(f"/v1/tokens/{wide.token.public_id}"), 403, "scope-missing")
    assert narrow.post("/v1/tokens", {"name": "t", "scopes": ["read"], "days": 7}).status_code == 201
    assert Token.objects.filter(revoked_at=None).count() == 3


def test_me_tells_no_mail_address():
    member = MemberFactory(roles=["reviewer"])
    answer = Caller(member).get("/v1/me")
    assert answer.json() == {
        "id": member.public_id,
        "display_name": member.display_name,
        "roles": ["reviewer"],
    }
    assert "no-store" in answer["Cache-Control"]
    assert mail.outbox == []


@pytest.mark.parametrize(
    "path", ["/v1/makers", "/v1/variants", "/v1/editions", "/v1/openapi.json", "/v1/search?q=kelp"]
)
def test_any_origin_may_read_what_is_public_without_credentials(path):
    answer = Caller().get(path, Origin="https://shelf.example")
    assert answer["Access-Control-Allow-Origin"] == "*"
    assert "Access-Control-Allow-Credentials" not in answer
    assert "ETag" in answer["Access-Control-Expose-Headers"]


def test_T32_no_other_origin_reads_what_is_private():
    """Walks every path of the document: what asks for an account tells other origins nothing."""
    document = Caller().get("/v1/openapi.json").json()["paths"]
    caller, private = Caller(MemberFactory()), set()
    for path, ways in document.items():
        needs_account = "get" in ways and {} not in ways["get"].get("security", [{}])
        address = re.sub(r"{\w+}", "x", path)
        for answer in (
            caller.send("GET", address, Origin="https://evil.example"),
            caller.send(
                "OPTIONS", address, Origin="https://evil.example", Access_Control_Request_Method="GET"
            ),
        ):
            if "get" in ways:
                assert ("Access-Control-Allow-Origin" not in answer) is needs_account, path
            assert "Access-Control-Allow-Credentials" not in answer
            assert "PUT" not in answer.get("Access-Control-Allow-Methods", "")
        private |= {path} if needs_account else set()
    assert {"/v1/cabinet", "/v1/me", "/v1/tokens", "/v1/votes", "/v1/submissions", "/v1/deeds"} <= private


def test_a_page_of_another_site_may_ask_identify_and_write_nothing_else():
    asked = {"Origin": "https://shelf.example", "Access_Control_Request_Method": "POST"}
    told = Caller().send("OPTIONS", "/v1/identify", **asked, Access_Control_Request_Headers="content-type")
    assert told["Access-Control-Allow-Methods"] == "POST, OPTIONS"
    assert "content-type" in told["Access-Control-Allow-Headers"]
    for path in ("variants", "sightings", "disputes", "photos"):
        assert "POST" not in Caller().send("OPTIONS", path, **asked)["Access-Control-Allow-Methods"]
    answer = Caller().send("POST", "identify", {"scope": {"all": True}}, Origin="https://shelf.example")
    assert (answer.status_code, answer["Access-Control-Allow-Origin"]) == (200, "*")
    assert {"ETag", "Link", "Retry-After"} <= set(answer["Access-Control-Expose-Headers"].split(", "))


def test_a_preflight_for_a_public_read_is_answered():
    answer = Caller().send(
        "OPTIONS", "/v1/makers", Origin="https://shelf.example", Access_Control_Request_Method="GET"
    )
    assert answer.status_code == 200
    assert answer["Access-Control-Allow-Methods"] == "GET, HEAD, OPTIONS"


def test_answers_to_strangers_may_be_cached_and_those_to_members_not():
    maker = MakerFactory()
    address = f"/v1/makers/{maker.public_id}"
    assert Caller().get(address)["Cache-Control"] == "public, max-age=30, stale-if-error=3600"
    assert Caller(MemberFactory()).get(address)["Cache-Control"] == "private, no-store"
    assert {"Accept", "Authorization", "Cookie"} <= set(
        Caller().get(address)["Vary"].replace(",", " ").split()
    )


def test_T26_anothers_cabinet_looks_like_nothing_at_all():
    item = CabinetItemFactory()
    other = Caller(MemberFactory())
    assert other.get("/v1/cabinet").json()["results"] == []
    problem(other.get(f"/v1/cabinet/{item.public_id}"), 404, "not-found")
