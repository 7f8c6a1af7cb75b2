"""How often one may ask. Fairness, not security: counters may be off by one under load."""

from __future__ import annotations

from ipaddress import ip_address, ip_network
from typing import Any

from django.conf import settings
from rest_framework.permissions import SAFE_METHODS
from rest_framework.request import Request
from rest_framework.settings import api_settings
from rest_framework.throttling import SimpleRateThrottle

from registry.methods.addresses import sender


class _Throttle(SimpleRateThrottle):
    scope: str
    num_requests: int
    duration: int

    def get_rate(self) -> str:
        return str(api_settings.DEFAULT_THROTTLE_RATES[self.scope])

    def get_cache_key(self, request: Request, view: Any) -> str:
        if request.user.is_authenticated:
            return f"throttle-{self.scope}-{request.user.pk}"
        return f"throttle-{self.scope}-{prefix(self.get_ident(request))}"

    def headers(self) -> dict[str, str]:
        """What is left, as the IETF draft on rate limit fields has it; nothing where it did not apply."""
        if not hasattr(self, "key"):
            return {}
        left = max(0, self.num_requests - len(self.history))
        wait = round(self.duration - (self.now - self.history[-1])) if self.history else self.duration
        return {
            "RateLimit-Policy": f'"{self.scope}";q={self.num_requests};w={self.duration}',
            "RateLimit": f'"{self.scope}";r={left};t={max(0, wait)}',
        }


class ReadThrottle(_Throttle):
    scope = "read"

    def allow_request(self, request: Request, view: Any) -> bool:
        return request.method not in SAFE_METHODS or bool(super().allow_request(request, view))


class AskThrottle(_Throttle):
    """For a POST that only asks: it counts as reading, and as several readings where it asks for many things."""

    scope = "read"

    def allow_request(self, request: Request, view: Any) -> bool:
        self.cost = max(1, min(view.cost(request), int(self.num_requests)))
        return bool(super().allow_request(request, view))

    def throttle_success(self) -> bool:
        if len(self.history) + self.cost > self.num_requests:
            return bool(self.throttle_failure())
        self.history[:0] = [self.now] * self.cost
        self.cache.set(self.key, self.history, self.duration)
        return True


class CompareThrottle(_Throttle):
    """For what takes seconds to work out."""

    scope = "compare"


class WriteThrottle(_Throttle):
    scope = "write"

    def allow_request(self, request: Request, view: Any) -> bool:
        return request.method in SAFE_METHODS or bool(super().allow_request(request, view))


def prefix(address: str) -> str:
    """One IPv4 address, or the /56 that one household gets in IPv6."""
    try:
        found = ip_address(address)
    except ValueError:
        return "unknown"
    return str(found) if found.version == 4 else str(ip_network((found, 56), strict=False))


def ident(request: Request) -> str:
    """The client's address, by the same rule as the site's own pages."""
    seen = request.META.get("REMOTE_ADDR", ""), request.META.get("HTTP_X_FORWARDED_FOR", "")
    return sender(*seen, settings.BEHIND_PROXIES)
