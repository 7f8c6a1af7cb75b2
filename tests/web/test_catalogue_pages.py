"""From the start page down to a variant: every page answers, leads on, and spells ids its own way."""

import pytest

from registry import actions
from registry.methods.identifiers import show_id
from registry.methods.standing.wording import unnumbered
from registry.models import Claim, Mark
from registry.queries import browse
from tests.factories import AssortmentItemFactory, ClaimFactory, PackContentFactory
from tests.path import Scene, claim_on, now

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene() -> Scene:
    return Scene()


def test_the_start_page_shows_what_changed_what_waits_and_the_latest_list(client, scene):
    base = scene.baseline()
    waiting = scene.report(scene.gull, base=base, title="Gull on the roof")
    actions.publish_edition(by=scene.moderator, at=now())
    answer = client.get("/")
    assert answer.status_code == 200
    assert base.title in answer.text
    assert waiting.title in answer.text
    assert "Roof crest: gull" in answer.text
    assert "List no. 1" in answer.text


def test_what_changed_is_shown_by_a_picture_of_what_it_differs_in(client, scene):
    base = scene.baseline()
    unseen = scene.report(scene.gull, base=base, title="Gull on the roof")
    answer = client.get("/")
    page = answer.context["page"]
    shown = {variant.pk: page.crops.get(variant.shown_by) for variant in page.changed}
    assert shown[base.pk].claim.variant == base
    assert shown[base.pk].claim.is_difference
    assert shown[unseen.pk] is None
    changed, waiting = answer.text.split('id="waiting"')
    assert f"/marks/{shown[base.pk].public_id}/crop.webp" in changed
    assert changed.count("no picture yet") == 1
    assert waiting.count("no picture yet") == len(page.waiting) > 0


def test_what_waits_is_shown_by_a_picture_of_the_detail_and_a_cause_by_what_differs(client, scene):
    base = scene.baseline()
    gull = scene.report(scene.gull, base=base, cause="running_change", title="Gull on the roof")
    scene.show(gull)
    rival = actions.open_dispute(
        claim=claim_on(base, scene.crest), state=scene.gull, by=scene.author, reason="A gull.", at=now()
    ).rival
    page = client.get("/").context["page"]
    shown = {claim: page.crops[claim.shown_by].claim for claim in page.waiting}
    detail = claim_on(gull, scene.crest)
    cause = Claim.objects.open().get(variant=gull, trait__key="cause")
    assert shown == {detail: detail, cause: detail, rival: claim_on(base, scene.crest)}


def test_a_mark_of_what_was_corrected_is_no_picture_of_what_took_its_place(client, scene):
    base = scene.baseline()
    old = claim_on(base, scene.crest)
    Claim.objects.filter(pk=old.pk).update(closed_at=now())
    new = ClaimFactory(variant=base, trait=scene.crest, state=scene.gull, predecessor=old)
    assert {claim: claim.shown_by for claim in client.get("/").context["page"].waiting} == {new: None}


def test_the_start_page_costs_the_same_however_much_it_shows(scene, django_assert_num_queries):
    base = scene.baseline()
    for n, states in enumerate(([scene.gull], [scene.blue], [scene.gull, scene.blue]), start=1):
        scene.show(scene.report(*states, base=base, cause="running_change", title=f"Change {n}"))
        with django_assert_num_queries(5):
            page = browse.home()
        assert len(page.waiting) == [2, 4, 7][n - 1]
        assert None not in {claim.shown_by for claim in page.waiting}


def test_what_waits_leads_a_member_to_the_vote_and_a_reader_to_the_evidence(client, scene):
    waiting = scene.report(scene.gull, base=scene.baseline())
    claim = claim_on(waiting, scene.gull.trait)
    assert f'href="/claims/{claim.public_id}"' in client.get("/").text
    client.force_login(scene.author)
    assert f'href="/claims/{claim.public_id}/vote"' in client.get("/").text


def test_an_empty_site_says_what_to_do(client):
    assert "Report the first find" in client.get("/").text
    assert "lists makers and lines first" in client.get("/lines").text


def test_each_level_leads_to_the_next(client, scene):
    line, casting = scene.release.line, scene.release.casting
    steps = [
        ("/lines", f"/makers/{line.maker.public_id}"),
        (f"/makers/{line.maker.public_id}", f"/lines/{line.public_id}"),
        (f"/lines/{line.public_id}", f"/castings/{casting.public_id}"),
        (f"/castings/{casting.public_id}", f"/releases/{scene.release.public_id}"),
    ]
    for page, next_page in steps:
        answer = client.get(page)
        assert answer.status_code == 200
        assert f'href="{next_page}"' in answer.text


def test_the_release_shows_only_the_details_that_differ_and_folds_the_rest(client, scene):
    base = scene.baseline()
    scene.change(base, scene.gull)
    answer = client.get(f"/releases/{scene.release.public_id}")
    table = answer.context["table"]
    assert [trait.name for trait in table.traits] == ["Roof crest"]
    assert '<td class="changed">' in answer.text
    assert "2 details on which no difference is known" in answer.text


def test_who_does_not_see_what_differs_is_led_to_ask_with_a_picture(client, scene):
    text = client.get(f"/releases/{scene.release.public_id}").text
    assert f'href="/quick?release={scene.release.public_id}"' in text


def test_what_is_not_seen_in_the_pack_can_be_hidden(client, scene):
    scene.release.adoptions.filter(trait=scene.crest).update(seen_in_pack=False)
    base = scene.baseline()
    scene.change(base, scene.gull)
    every = client.get(f"/releases/{scene.release.public_id}")
    in_pack = client.get(f"/releases/{scene.release.public_id}?only=in-pack")
    assert len(every.context["table"].traits) == 1
    assert in_pack.context["table"].traits == []
    assert "that is seen in the pack" in in_pack.text


def test_what_is_set_apart_is_listed_below_with_its_cause(client, scene):
    base = scene.baseline()
    apart = scene.change(base, scene.gull, cause="factory_error")
    answer = client.get(f"/releases/{scene.release.public_id}")
    assert [row.variant for row in answer.context["table"].set_apart] == [apart]
    _, below = answer.text.split("Set apart</h2>")
    assert "factory error" in below
    shown = Mark.objects.filter(claim__variant=apart, claim__state=scene.gull)
    assert any(f"/marks/{mark.public_id}/crop.webp" in below for mark in shown)


def test_a_drift_is_noted_beside_its_detail(client, scene):
    scene.baseline()
    actions.record_drift(
        by=scene.moderator,
        at=now(),
        release=scene.release,
        trait=scene.stripe,
        note="from brick to scarlet",
        source="24 examples",
    )
    assert "normal range: from brick to scarlet" in client.get(f"/releases/{scene.release.public_id}").text


def test_what_full_counts_compared_is_said(client, scene):
    base = scene.baseline()
    actions.report_sighting(
        by=scene.author,
        at=now(),
        release=scene.release,
        scope="case",
        seen_on=now().date(),
        is_full_count=True,
        cases_compared=2,
        count_lines=[{"kind": "variant", "variants": [base], "n": 30}],
    )
    text = client.get(f"/releases/{scene.release.public_id}").text
    assert "30 examples from 2 shipping cases" in text
    assert "no difference was seen" in text


def test_where_many_were_compared_and_no_variant_is_known_the_page_says_what_that_bounds(client, scene):
    actions.report_sighting(
        by=scene.author,
        at=now(),
        release=scene.release,
        scope="case",
        seen_on=now().date(),
        is_full_count=True,
        cases_compared=2,
        count_lines=[{"kind": "none_known", "n": 30}],
    )
    address = f"/releases/{scene.release.public_id}"
    assert f'href="{address}/scarcity"' in client.get(address).text


def test_packs_assortments_details_and_states_have_pages(client, scene):
    pack = PackContentFactory(release=scene.release).pack
    assortment = AssortmentItemFactory(release=scene.release).assortment
    base = scene.baseline()
    for path, words in [
        (f"/packs/{pack.public_id}", scene.release.name),
        (f"/assortments/{assortment.public_id}", scene.release.name),
        (f"/traits/{scene.crest.public_id}", "anchor"),
        (f"/states/{scene.anchor.public_id}", base.title),
    ]:
        answer = client.get(path)
        assert answer.status_code == 200
        assert words in answer.text


def test_another_spelling_of_an_id_leads_to_the_canonical_one(client, scene):
    public_id = scene.release.public_id
    for spelled in (show_id(public_id), public_id.upper(), show_id(public_id).upper()):
        if spelled == public_id:
            continue
        answer = client.get(f"/releases/{spelled}?only=in-pack")
        assert answer.status_code == 301
        assert answer.headers["Location"] == f"/releases/{public_id}?only=in-pack"


def test_an_id_whose_check_symbol_is_wrong_is_not_found_without_a_query(
    client, scene, django_assert_num_queries
):
    public_id = scene.release.public_id
    wrong = public_id[:-1] + ("0" if public_id[-1] != "0" else "1")
    with django_assert_num_queries(0):
        assert client.get(f"/releases/{wrong}").status_code == 404


def test_an_id_of_another_kind_is_not_found(client, scene):
    assert client.get(f"/castings/{scene.release.public_id}").status_code == 404


def test_a_merged_casting_leads_to_its_survivor(client, scene):
    from tests.factories import CastingFactory

    other = CastingFactory(maker=scene.release.casting.maker)
    actions.merge(thing=other, into=scene.release.casting, by=scene.moderator, at=now())
    answer = client.get(f"/castings/{other.public_id}")
    assert answer.status_code == 302
    assert answer.headers["Location"] == f"/castings/{scene.release.casting.public_id}"


def test_wherever_a_standing_is_shown_what_is_missing_stands_beside_it(client, scene):
    base = scene.baseline()
    waiting = scene.report(scene.gull, base=base)
    for path in ("/", f"/releases/{scene.release.public_id}", f"/states/{scene.gull.public_id}"):
        assert f"still missing: {unnumbered(waiting.missing[0])}" in client.get(path).text, path
