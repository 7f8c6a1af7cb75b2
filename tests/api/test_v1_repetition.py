"""A POST sent twice acts once (Idempotency-Key)."""

from datetime import timedelta

import pytest
from django.utils import timezone

from registry.models import KeptReply, Maker
from tests.factories import ModeratorFactory

from .caller import Caller, problem

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("key", ["", " ", "two words", "é", "x" * 129])
def test_a_post_without_a_usable_key_is_400(key):
    caller = Caller(ModeratorFactory())
    answer = caller.send("POST", "/v1/makers", {"name": "Otterholm Tinworks"}, Idempotency_Key=key)
    problem(answer, 400, "idempotency-key-missing")
    assert not Maker.objects.exists()


def test_the_same_key_and_body_is_answered_again_and_acts_once():
    caller = Caller(ModeratorFactory())
    first = caller.post("/v1/makers", {"name": "Otterholm Tinworks"}, key="one")
    again = caller.post("/v1/makers", b' {"name" :"Otterholm Tinworks"}', key="one")
    assert first.status_code == again.status_code == 201
    assert first.content == again.content
    assert first["Location"] == again["Location"]
    assert "Idempotency-Replayed" not in first
    assert again["Idempotency-Replayed"] == "true"
    assert Maker.objects.count() == 1


def test_the_same_key_for_another_body_is_422():
    caller = Caller(ModeratorFactory())
    caller.post("/v1/makers", {"name": "Otterholm Tinworks"}, key="one")
    problem(caller.post("/v1/makers", {"name": "Grebe Works"}, key="one"), 422, "idempotency-key-reused")
    assert Maker.objects.count() == 1


def test_a_key_belongs_to_one_member_and_one_path():
    body = {"name": "Otterholm Tinworks"}
    moderator = Caller(ModeratorFactory())
    assert moderator.post("/v1/makers", body, key="one").status_code == 201
    problem(Caller(ModeratorFactory()).post("/v1/makers", body, key="one"), 422, "twin-exists")
    answer = moderator.post("/v1/lines", body, key="one")
    problem(answer, 422, "validation-failed")


def test_a_refusal_is_not_kept_so_the_key_can_be_used_once_it_is_mended():
    caller = Caller(ModeratorFactory())
    problem(caller.post("/v1/makers", {"name": ""}, key="one"), 422, "validation-failed")
    assert not KeptReply.objects.exists()
    assert caller.post("/v1/makers", {"name": "Grebe Works"}, key="one").status_code == 201


def test_a_reply_is_kept_for_a_day():
    caller = Caller(ModeratorFactory())
    caller.post("/v1/makers", {"name": "Otterholm Tinworks"}, key="one")
    KeptReply.objects.update(created_at=timezone.now() - timedelta(hours=25))
    assert caller.post("/v1/makers", {"name": "Grebe Works"}, key="one").status_code == 201
    assert KeptReply.objects.count() == 1


def test_the_reply_and_the_effect_stand_or_fall_together(monkeypatch):
    def breaks(*args, **kwargs):
        raise RuntimeError("power cut")

    monkeypatch.setattr("api.idempotency.keep", breaks)
    caller = Caller(ModeratorFactory())
    caller.client.raise_request_exception = False
    problem(caller.post("/v1/makers", {"name": "Otterholm Tinworks"}, key="one"), 500, "internal")
    assert not Maker.objects.exists()
    assert not KeptReply.objects.exists()
