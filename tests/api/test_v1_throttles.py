"""How often one may ask (T33)."""

import pytest
from rest_framework.settings import api_settings
from rest_framework.throttling import SimpleRateThrottle

from api.throttles import prefix
from tests.factories import MemberFactory

from .caller import Caller, problem

pytestmark = pytest.mark.django_db


@pytest.fixture
def few(monkeypatch):
    monkeypatch.setattr(SimpleRateThrottle, "timer", staticmethod(lambda: 1_000_000.0))
    monkeypatch.setitem(api_settings.DEFAULT_THROTTLE_RATES, "read", "3/min")
    monkeypatch.setitem(api_settings.DEFAULT_THROTTLE_RATES, "write", "2/min")


def test_T33_one_request_too_many_is_429_with_the_time_to_wait(few):
    caller = Caller()
    left = [caller.get("/v1/makers")["RateLimit"] for _ in range(3)]
    assert left == ['"read";r=2;t=60', '"read";r=1;t=60', '"read";r=0;t=60']
    answer = caller.get("/v1/makers")
    problem(answer, 429, "rate-limited")
    assert int(answer["Retry-After"]) == 60
    assert answer["RateLimit-Policy"] == '"read";q=3;w=60'


def test_T33_others_are_not_kept_waiting(few):
    for _ in range(4):
        last = Caller().get("/v1/makers")
    assert last.status_code == 429
    assert Caller(MemberFactory()).get("/v1/makers").status_code == 200


def test_reading_and_writing_are_counted_apart(few):
    caller = Caller(MemberFactory())
    answers = [caller.post("/v1/submissions").status_code for _ in range(3)]
    assert answers == [201, 201, 429]
    assert caller.get("/v1/me").status_code == 200


@pytest.mark.parametrize(
    ("address", "counted"),
    [
        ("192.0.2.7", "192.0.2.7"),
        ("2001:db8:1:2ff:aaaa::1", "2001:db8:1:200::/56"),
        ("2001:db8:1:201::9", "2001:db8:1:200::/56"),
        ("nonsense", "unknown"),
    ],
)
def test_addresses_are_counted_by_household(address, counted):
    assert prefix(address) == counted
