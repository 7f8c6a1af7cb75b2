"""/v1/compare: who may compare what, what is answered, and that it is worked out once."""

import threading

import pytest
from django.core.cache import caches

from registry import actions
from registry.errors import Busy
from registry.models import Photo
from registry.queries.compare import View
from registry.queries.compare import outcome as module
from tests.factories import MemberFactory
from tests.path import Scene, claim_on, now
from tests.pictures import opened, saved
from tests.shown import picture, sent

from .caller import Caller, problem

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("no_pair_kept")]


@pytest.fixture
def scene():
    return Scene()


def ask(a, b, caller=None, **more):
    ids = {"a": getattr(a, "public_id", a), "b": getattr(b, "public_id", b)}
    return (caller or Caller()).get("compare", ids | more)


def test_two_photos_are_laid_over_each_other_and_marks_that_touch_a_difference_are_named(
    scene, django_assert_max_num_queries, monkeypatch
):
    base, a = sent(scene, "bw24_a_1_pack_left", scene.black)
    variant, b = sent(scene, "bw24_b_1_pack_left", scene.chrome, base=base)
    with django_assert_max_num_queries(5):
        answer = ask(a, b)
    told = answer.json()
    assert answer.status_code == 200
    assert told["aligned"]
    assert told["refusal"] is None
    assert len(told["homography"]) == 9
    assert told["inliers"] <= told["matches"]
    assert len(told["differences"]) == 2
    front = next(one for one in told["differences"] if one["marks"])
    x = float(front["a"].split(":")[1].split(",")[0])
    assert 20 < x < 26
    named = {(mark["photo"], mark["state"]) for mark in front["marks"]}
    assert named == {(a.public_id, "black"), (b.public_id, "chrome")}
    # Asked again: nothing is worked out, and who has it is told so.
    monkeypatch.setattr(module, "result", None)
    assert ask(a, b).json() == told
    assert ask(a, b, caller=Caller(if_none_match=answer["ETag"])).status_code == 304
    # The mark is taken back: the same difference, another answer.
    mark = claim_on(variant, scene.wheels).marks.get()
    actions.remove_mark(mark=mark, by=scene.author, at=now(), reason="Wrong wheel.")
    changed = ask(a, b)
    assert changed["ETag"] != answer["ETag"]
    assert len([mark for one in changed.json()["differences"] for mark in one["marks"]]) == 1


def test_photos_that_do_not_fit_are_answered_with_the_reason(scene):
    _, a = sent(scene, "lg24_c_1_left", scene.anchor)
    b = actions.attach_photo(
        by=scene.author, at=now(), data=picture("tm24_a_1_left"), submission=scene.draft()
    )
    told = ask(a, b, Caller(scene.author)).json()
    assert not told["aligned"]
    assert told["homography"] is None
    assert told["differences"] == []
    assert told["refusal"]["code"] == "unlike"
    assert "do not fit" in told["refusal"]["detail"]
    assert ask(a, a).json()["same_picture"]
    small = ask(a, a, a_xywh="percent:0,0,2,2", b_xywh="percent:10,10,50,50").json()
    assert small["refusal"]["code"] == "region_too_small"


def test_bad_input_names_the_parameter(scene):
    _, a = sent(scene, "lg24_c_1_left", scene.anchor)
    for more in ({"a_xywh": "percent:90,0,20,20"}, {"b_xywh": "1,2,3,4"}, {"mirrored": "yes"}):
        told = problem(ask(a, a, **more), 400, "parameter-out-of-range")
        assert told["parameter"] in more
    assert problem(ask(a, "nothing"), 400, "parameter-out-of-range")["parameter"] == "b"
    assert (
        problem(Caller().get("compare", {"b": a.public_id}), 400, "parameter-out-of-range")["parameter"]
        == "a"
    )
    problem(ask(a, a, c="1"), 400, "parameter-unknown")


def test_T26_a_draft_photo_is_compared_by_its_owner_alone_and_one_taken_down_by_nobody(scene):
    _, a = sent(scene, "lg24_c_1_left", scene.anchor)
    b = actions.attach_photo(
        by=scene.author, at=now(), data=picture("lg24_d_1_left"), submission=scene.draft()
    )
    problem(ask(a, b), 404, "not-found")
    problem(ask(b, a, Caller(MemberFactory())), 404, "not-found")
    assert ask(a, b, Caller(scene.author)).json()["aligned"]
    problem(ask(a, b), 404, "not-found")  # though it is kept
    actions.take_down_photo(photo=Photo.objects.get(pk=a.pk), by=scene.moderator, at=now(), reason="A face.")
    problem(ask(a, a), 410, "taken-down")


def test_T30_one_pair_is_worked_out_at_a_time_and_once_and_a_crowd_is_told_to_come_back(scene, monkeypatch):
    _, photo = sent(scene, "lg24_c_1_left", scene.anchor)
    begun, go_on, worked = threading.Event(), threading.Event(), []

    def slow(a, b, is_mirrored):
        worked.append(a.box)
        begun.set()
        assert go_on.wait(20)
        return {"code": "unlike", "why": "They do not fit."}

    monkeypatch.setattr(module, "result", slow)
    views = View(photo), View(photo)
    name = module.key(*views, False)
    crowd = [
        threading.Thread(target=module.worked_out, args=(name, *views, False)) for _ in range(module.WAITING)
    ]
    crowd[0].start()
    assert begun.wait(20)
    for one in crowd[1:]:
        one.start()
    while module._places._value:  # noqa: SLF001
        pass
    answer = ask(photo, photo)
    problem(answer, 503, "overloaded")
    assert answer["Retry-After"] == str(Busy.retry_after)
    go_on.set()
    for one in crowd:
        one.join(20)
    assert len(worked) == 1
    assert caches["compared"].get(name)["code"] == "unlike"
    assert module.kept(*views).why == "They do not fit."


def test_T33_comparing_has_a_measure_of_its_own(scene, settings):
    from rest_framework.settings import api_settings

    _, photo = sent(scene, "lg24_c_1_left", scene.anchor)
    rates = api_settings.DEFAULT_THROTTLE_RATES
    before = rates["compare"]
    rates["compare"] = "2/min"
    try:
        assert [ask(photo, photo).status_code for _ in range(3)] == [200, 200, 429]
    finally:
        rates["compare"] = before


def test_a_large_picture_is_decoded_small(scene):
    photo = Photo(digest="0" * 64, width=2000, height=1500)
    seen = []

    class Reader:
        def __enter__(self):
            return self

        def __exit__(self, *_):
            return None

        def read(self):
            return saved(opened(picture("lg24_c_1_left")).resize((2000, 1500)), quality=30)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(module.default_storage, "open", lambda key: seen.append(key) or Reader())
        assert module.picture(View(photo)).shape == (750, 1000, 3)
        assert module.picture(View(photo, (0, 0, 2000, 2000))).shape == (1500, 2000, 3)
    assert seen == [photo.stored_as()] * 2
