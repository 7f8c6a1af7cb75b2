"""The requester's own account and tokens. Nobody else's is ever there."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from registry import actions
from registry.models import Token
from registry.queries.export import own_data

from ..problems import Problem
from ..serializers import people
from .base import ApiView
from .rows import ListView, RecordView

EVERY_SCOPE = tuple(Token.Scope.values)
USUAL_DAYS = 90


class Me(ApiView):
    serializer_class = people.MeOutput
    is_private = True
    read_scopes = EVERY_SCOPE

    def get(self, request: Request) -> Response:
        """Who you are here: your public id, name and roles."""
        return self.show(request.user)


class MyData(ApiView):
    """All that is kept of you, or by you: everything but the secrets of your tokens."""

    serializer_class = people.OwnDataOutput
    is_private = True
    read_scopes = (Token.Scope.ACCOUNT,)

    def get(self, request: Request) -> Response:
        """Take it along, as one document. A token needs the scope `account`: everything private is in it."""
        return Response(own_data(self.member))


class MyErasure(ApiView):
    serializer_class = people.ErasedOutput
    inputs = {"POST": people.EraseInput}
    is_private = True
    write_scopes = (Token.Scope.ACCOUNT,)

    def post(self, request: Request) -> Response:
        """Erase your account and what is personal, for good; your contributions stay without your name.

        A token needs the scope `account`: none that was given for less ends everything.
        The token ends with it, so a repetition is answered with 401.
        """
        return self.show(actions.erase_member(**self.deed, credit=self.asked()["credit"]))


class OwnTokens:
    serializer_class = people.TokenOutput
    is_private = True
    read_scopes = write_scopes = EVERY_SCOPE
    request: Request

    def rows(self) -> Any:
        return Token.objects.filter(member=self.request.user)


class Tokens(OwnTokens, ListView):
    """Your tokens, without their secrets."""

    inputs = {"POST": people.TokenInput}
    record_name = "token"

    def post(self, request: Request) -> Response:
        """Make a token. Its secret is in this answer and nowhere else, not even in a repetition of it.

        A token can make only tokens that reach no further and last no longer than itself.
        """
        said, now = self.asked(), timezone.now()
        refuse_wider(request, said["scopes"])
        days = lasting(request, said.pop("days", None), now)
        token, secret = actions.create_token(by=self.member, at=now, days=days, **said)
        answer = self.created(token)
        answer.data["secret"] = secret
        return answer

    def kept(self, body: Any) -> Any:
        return {name: value for name, value in body.items() if name != "secret"}


class TokenRecord(OwnTokens, RecordView):
    def delete(self, request: Request, public_id: str) -> Response:
        """Revoke a token, at once. A token can revoke only those that reach no further than itself."""
        token = self.row(public_id)
        refuse_wider(request, token.scopes)
        actions.revoke_token(token=token, **self.deed)
        return Response(status=204)


def refuse_wider(request: Request, scopes: list[str]) -> None:
    if isinstance(request.auth, Token) and not set(scopes) <= set(request.auth.scopes):
        raise wider("scopes", "A token cannot make or revoke one that reaches further than itself.")


def lasting(request: Request, asked: int | None, now: datetime) -> int:
    """Days that a new token lasts; one made with a token ends no later than that."""
    if not isinstance(request.auth, Token):
        return asked or USUAL_DAYS
    left = (request.auth.expires_at - now).days
    if left < 1 or (asked or 1) > left:
        raise wider("days", "A token cannot make one that outlives it.")
    return asked or min(left, USUAL_DAYS)


def wider(field: str, said: str) -> Problem:
    return Problem(
        "scope-missing", said, errors=[{"pointer": f"/{field}", "code": "scope-missing", "detail": said}]
    )
