"""A draft that is open to others shows its pictures and its note, and counts for nothing."""

import pytest

from registry import actions
from registry.errors import AlreadyClosed, InvalidField, NotFound, NotPermitted, TooMany
from registry.models import Claim, Remark, Sighting, Variant
from registry.queries.export import own_data
from registry.queries.opened import why_closed
from tests.factories import MemberFactory
from tests.opened import WHERE, a_note, an_opened_draft
from tests.path import Scene, claim_on, now
from tests.pictures import jpeg

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


def remark(draft, by, **said):
    return actions.add_remark(photo=draft.photos.get(), by=by, at=now(), xywh=WHERE, **said)


@pytest.mark.parametrize("content", [{"note": ""}, {"note": ["a", "list"]}, {"note": "long " * 50}])
def test_a_draft_is_opened_with_a_sentence_and_a_picture_only(scene, content):
    with pytest.raises(InvalidField):
        actions.open_draft(submission=a_note(scene, scene.author, **content), by=scene.author, at=now())
    bare = actions.start_draft(by=scene.author, at=now(), content={"note": "Odd."})
    with pytest.raises(InvalidField):
        actions.open_draft(submission=bare, by=scene.author, at=now())


def test_nobody_opens_anothers_draft_nor_one_that_is_open(scene):
    with pytest.raises(NotFound):
        actions.open_draft(submission=a_note(scene, scene.author), by=scene.moderator, at=now())
    with pytest.raises(AlreadyClosed):
        actions.open_draft(submission=an_opened_draft(scene, scene.author), by=scene.author, at=now())


def test_remarks_are_refused_where_nothing_is_open_or_nothing_is_said(scene):
    member = MemberFactory()
    with pytest.raises(NotFound):
        remark(a_note(scene, scene.author), member, sentence="Here.")
    draft = an_opened_draft(scene, scene.author)
    with pytest.raises(InvalidField):
        remark(draft, member)
    elsewhere = Scene()
    with pytest.raises(InvalidField):
        remark(draft, member, state=elsewhere.gull)
    with pytest.raises(InvalidField):
        actions.add_remark(
            photo=draft.photos.get(), by=member, at=now(), xywh=(9000, 0, 2000, 9), sentence="x"
        )
    actions.close_draft(submission=draft, by=scene.author, at=now())
    with pytest.raises(NotFound):
        remark(draft, member, sentence="Here.")
    assert not Remark.objects.exists()


def test_T08_remarks_are_limited(scene, settings):
    settings.CASTLORE_QUOTA_FACTOR = 1
    draft, member = an_opened_draft(scene, scene.author), MemberFactory()
    for n in range(10):
        remark(draft, member, sentence=f"Look {n}.")
    with pytest.raises(TooMany):
        remark(draft, member, sentence="And here.")


def test_nothing_of_it_is_evidence_and_no_standing_moves(scene):
    base = scene.baseline()
    scene.show(base)
    before = list(Claim.objects.order_by("pk").values_list("standing", "examples_shown"))
    draft = an_opened_draft(scene, scene.author)
    remark(draft, scene.reviewers[0], state=scene.gull)
    with pytest.raises(NotFound):
        actions.mark_region(
            photo=draft.photos.get(), example=scene.example(), claim=claim_on(base, scene.crest),
            xywh=WHERE, by=scene.reviewers[0], at=now(),
        )  # fmt: skip
    assert list(Claim.objects.order_by("pk").values_list("standing", "examples_shown")) == before
    assert Variant.objects.count() == 1
    assert not Sighting.objects.exists()


def test_a_moderator_closes_it_with_a_reason_and_others_not_at_all(scene):
    draft = an_opened_draft(scene, scene.author)
    with pytest.raises(NotPermitted):
        actions.close_draft(submission=draft, by=scene.reviewers[0], at=now(), reason="I wish it.")
    with pytest.raises(InvalidField):
        actions.close_draft(submission=draft, by=scene.moderator, at=now())
    closed = actions.close_draft(submission=draft, by=scene.moderator, at=now(), reason="A face is in it.")
    assert not closed.is_opened
    with pytest.raises(NotFound):
        actions.close_draft(submission=draft, by=scene.author, at=now())


def closed_by_a_moderator(scene):
    draft = an_opened_draft(scene, scene.author)
    return actions.close_draft(submission=draft, by=scene.moderator, at=now(), reason="A face is in it.")


def test_what_a_moderator_closed_is_not_opened_again_as_it_was(scene):
    draft = closed_by_a_moderator(scene)
    same = {**draft.content, "title": "Gull"}
    actions.edit_draft(submission=draft, by=scene.author, at=now(), content=same)
    with pytest.raises(AlreadyClosed, match="Change its note, its pictures or which one it is"):
        actions.open_draft(submission=draft, by=scene.author, at=now())


def reworded(scene, draft):
    actions.edit_draft(submission=draft, by=scene.author, at=now(), content={"note": "Is the crest wider?"})


def with_another_picture(scene, draft):
    actions.attach_photo(by=scene.author, at=now(), submission=draft, data=jpeg(90, 60))


def with_its_picture_taken_down(scene, draft):
    actions.take_down_photo(photo=draft.photos.get(), by=scene.moderator, at=now(), reason="A face is in it.")
    with pytest.raises(InvalidField):
        actions.open_draft(submission=draft, by=scene.author, at=now())
    with_another_picture(scene, draft)


def of_another_release(scene, draft):
    actions.edit_draft(submission=draft, by=scene.author, at=now(), release=None)


@pytest.mark.parametrize(
    "change", [reworded, with_another_picture, with_its_picture_taken_down, of_another_release]
)
def test_it_is_opened_again_once_something_that_it_shows_is_another(scene, change):
    draft = closed_by_a_moderator(scene)
    change(scene, draft)
    again = actions.open_draft(submission=draft, by=scene.author, at=now())
    assert again.is_opened
    own = actions.close_draft(submission=draft, by=scene.author, at=now())
    assert not own.is_closed
    assert actions.open_draft(submission=draft, by=scene.author, at=now()).is_opened, (
        "that was the author's wish"
    )


def test_its_author_is_told_why_until_it_is_open_again_or_the_words_were_erased(
    scene, django_assert_num_queries
):
    draft = closed_by_a_moderator(scene)
    with django_assert_num_queries(2):
        assert why_closed(draft).reason == "A face is in it."
    MemberFactory(roles=["moderator"])
    actions.erase_member(by=scene.moderator, at=now())
    assert why_closed(draft).reason == ""
    reworded(scene, draft)
    never = an_opened_draft(scene, scene.author)
    with django_assert_num_queries(0):
        assert why_closed(never) is None
    assert why_closed(actions.open_draft(submission=draft, by=scene.author, at=now())) is None


def test_a_remark_is_taken_away_by_its_maker_the_author_or_a_moderator(scene):
    draft, maker = an_opened_draft(scene, scene.author), MemberFactory()
    for by in (maker, scene.author, scene.moderator):
        it = remark(draft, maker, sentence="Here.")
        with pytest.raises(NotPermitted):
            actions.remove_remark(remark=it, by=scene.reviewers[0], at=now())
        assert actions.remove_remark(remark=it, by=by, at=now()).removed_at
        with pytest.raises(AlreadyClosed):
            actions.remove_remark(remark=it, by=by, at=now())
    assert not Remark.objects.standing().exists()


def test_withdrawing_closes_it(scene):
    draft = an_opened_draft(scene, scene.author)
    assert actions.withdraw_draft(submission=draft, by=scene.author, at=now()).is_opened is False


def test_ones_own_remarks_and_what_one_asked_are_among_the_data_to_take_along(scene):
    draft, member = an_opened_draft(scene, scene.author), MemberFactory()
    it = remark(draft, member, state=scene.gull, sentence="It has wings.")
    [told] = own_data(member)["remarks"]
    assert (told["id"], told["state"], told["sentence"]) == (
        it.public_id,
        scene.gull.public_id,
        "It has wings.",
    )
    [report] = own_data(scene.author)["reports"]
    assert (report["question"], report["opened_at"]) == (draft.question, draft.opened_at)


def test_T50_erasure_takes_the_draft_with_what_others_said_and_ones_own_remarks(scene):
    leaver, other = MemberFactory(), MemberFactory()
    theirs, mine = an_opened_draft(scene, scene.author), an_opened_draft(scene, leaver)
    remark(theirs, leaver, sentence="I see wings.")
    remark(mine, other, sentence="I see a beak.")
    kept = remark(theirs, other, sentence="I see feet.")
    actions.erase_member(by=leaver, at=now())
    assert list(Remark.objects.all()) == [kept]
    assert not type(mine).objects.filter(pk=mine.pk).exists()
