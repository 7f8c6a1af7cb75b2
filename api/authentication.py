"""Who asks: a token in the Authorization header, or the session of a signed-in member."""

from __future__ import annotations

import hashlib
from datetime import timedelta
from typing import Any

from django.db.models import Q
from django.utils import timezone
from rest_framework import authentication, exceptions
from rest_framework.request import Request

from registry.models import Member, Token

from .problems import Problem

USE_IS_NOTED_EVERY = timedelta(hours=1)


class TokenAuthentication(authentication.BaseAuthentication):
    """`Authorization: Bearer clt_…`. Only the digest is known here, so the database cannot leak a token."""

    def authenticate(self, request: Request) -> tuple[Member, Token] | None:
        kind, _, secret = request.headers.get("Authorization", "").partition(" ")
        if not kind:
            return None
        if kind.lower() != "bearer" or not secret.strip():
            raise exceptions.AuthenticationFailed("Send `Authorization: Bearer TOKEN`.")
        now = timezone.now()
        digest = hashlib.sha256(secret.strip().encode("utf-8", "surrogateescape")).hexdigest()
        token = Token.objects.usable(now).select_related("member").filter(digest=digest).first()
        if token is None:
            raise exceptions.AuthenticationFailed(
                "The token is unknown, expired or revoked, or its member is suspended."
            )
        if token.last_used_at is None or token.last_used_at < now - USE_IS_NOTED_EVERY:
            stale = Q(last_used_at=None) | Q(last_used_at__lt=now - USE_IS_NOTED_EVERY)
            Token.objects.filter(stale, pk=token.pk).update(last_used_at=now)
        return token.member, token

    def authenticate_header(self, request: Request) -> str:
        return 'Bearer realm="castlore"'


class SessionAuthentication(authentication.SessionAuthentication):
    """The cookie of the pages, with the same cross-site check that their forms undergo."""

    def enforce_csrf(self, request: Any) -> None:
        try:
            super().enforce_csrf(request)
        except exceptions.PermissionDenied:
            raise Problem("csrf-failed") from None
