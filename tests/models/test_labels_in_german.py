"""Labels, names of built-in rows and model methods' sentences: kept in English, read in the reader's language."""

import json
from datetime import date
from html import unescape

import pytest
from django.apps import apps
from django.db import connection, models
from django.template import Context, Template
from django.utils import translation
from django.utils.functional import Promise

from registry.actions.proposals import add_does_not_apply
from registry.apps import add_built_ins
from registry.methods.canon import canonical
from registry.models import (
    CAUSE_KEY,
    Cause,
    PackKind,
    SearchEntry,
    State,
    Statement,
    StatementKind,
    Trait,
    Variant,
)
from registry.models.base import in_english
from registry.sentences import said
from tests import factories
from tests.web.bracketed import brackets

CLOSED = sorted(models.TextChoices.__subclasses__(), key=lambda one: one.__qualname__)
OURS = [one for one in CLOSED if one.__module__.startswith("registry.models.")]


def shown(thing) -> str:
    return Template("{{ thing }}").render(Context({"thing": thing}))


@pytest.mark.parametrize("choices", OURS, ids=lambda one: one.__qualname__)
def test_every_label_is_translated_where_it_is_read(choices):
    for label in choices.labels:
        assert isinstance(label, Promise)
        english = str(label)
        with translation.override("de"), brackets():
            assert str(label) == unescape(shown(label)) == f"⟦{english}⟧"
        assert str(label) == english


def test_every_closed_list_of_the_models_is_among_them():
    asked = {
        field.choices and tuple(field.choices)
        for model in apps.get_app_config("registry").get_models()
        for field in model._meta.concrete_fields
    }
    assert len(OURS) >= 35
    assert {choices for choices in asked if choices} <= {tuple(one.choices) for one in OURS}


def test_a_label_is_kept_in_english_by_whoever_reads_german():
    with translation.override("de"):
        kept = in_english(Cause.RUNNING_CHANGE.label)
    assert kept == "running change"
    with brackets():
        assert said(kept) == "⟦running change⟧"


@pytest.mark.django_db
def test_built_in_rows_are_born_in_english_whatever_is_read():
    State.objects.filter(trait__key=CAUSE_KEY).delete()
    with translation.override("de"):
        add_built_ins(connection.alias)
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT key, name FROM {State._meta.db_table} ORDER BY id")  # noqa: S608
        kept = cursor.fetchall()
    assert kept == [(cause.value, str(cause.label)) for cause in Cause]


@pytest.mark.django_db
def test_names_of_built_in_rows_are_translated_on_pages_and_stay_english_for_programs():
    trait = Trait.objects.get(key=CAUSE_KEY)
    state = State.objects.select_related("trait").get(trait=trait, key=Cause.DRIFT)
    with brackets():
        assert shown(trait) == "⟦Cause⟧"
        assert shown(state) == shown(state.name) == "⟦drift within the normal range⟧"
        assert shown(state.trait) == "⟦Cause⟧"
        assert f"{state}" == str(state.name) == "drift within the normal range"
        assert json.dumps([state.name]) == '["drift within the normal range"]'
        assert canonical({"name": state.name}) == b'{"name":"drift within the normal range"}'
    state.save()
    assert State.objects.values_list("name", flat=True).get(pk=state.pk) == "drift within the normal range"
    assert State.objects.only("key").get(pk=state.pk).name == "drift within the normal range"


@pytest.mark.django_db
def test_that_a_detail_does_not_apply_is_ours_and_what_people_named_is_theirs():
    trait = factories.TraitFactory(name="Roof crest")
    born, typed = add_does_not_apply(trait), factories.StateFactory(trait=trait, name="running change")
    with brackets():
        assert shown(State.objects.get(pk=born.pk)) == "⟦does not apply⟧"
        assert shown(State.objects.get(pk=typed.pk)) == "running change"
        assert shown(Trait.objects.get(pk=trait.pk)) == "Roof crest"


@pytest.mark.django_db
def test_a_claim_says_its_cause_in_the_readers_language():
    cause = Trait.objects.get(key=CAUSE_KEY)
    claim = factories.ClaimFactory(trait=cause, state=cause.states.get(key=Cause.ALTERED))
    assert str(claim) == "Cause: altered after sale"
    with brackets():
        assert shown(claim) == "⟦⟦Cause⟧: ⟦altered after sale⟧⟧"


@pytest.mark.django_db
def test_an_item_is_named_by_its_condition_and_whose_it_is():
    ours = factories.ExampleFactory(condition="sealed")
    nobodys = factories.ExampleFactory(owner=None, added_by=ours.owner)
    assert str(ours) == f"sealed example of {ours.owner}, {ours.public_id}"
    assert str(nobodys) == f"{nobodys.condition} example {nobodys.public_id}"
    with brackets():
        assert shown(ours).endswith(f"sealed⟧⟧ example of {ours.owner}, {ours.public_id}⟧")


@pytest.mark.django_db
def test_what_tells_packs_apart_in_a_search_is_translated_and_a_makers_name_is_not():
    pack = SearchEntry(
        kind="pack", public_id="4k7d9xwpm2cx", title="Gulls", hint=str(PackKind.TWO_PACK.label)
    )
    line = SearchEntry(kind="line", public_id="4k7d9xwpm2cd", title="Gulls", hint="two-pack")
    SearchEntry.objects.bulk_create([pack, line])
    with brackets():
        hints = {entry.kind: shown(entry.hint) for entry in SearchEntry.objects.all()}
    assert hints == {"pack": "⟦two-pack⟧", "line": "two-pack"}


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        (StatementKind.BEFORE, "Gull was made before Anchor"),
        (StatementKind.ALONGSIDE, "Gull was made alongside Anchor"),
        (StatementKind.ENDED_BY, "Gull was replaced by Anchor"),
        (StatementKind.RETURNED, "Gull came back after Anchor"),
        (StatementKind.PACKED, "Gull and Anchor had both been made by 2026-01-02"),
        (StatementKind.NOT_BEFORE, "Gull was not made before the date 2026-01-02"),
        (StatementKind.NOT_AFTER, "Gull was not made after the date 2026-01-02"),
        (StatementKind.CODED, "Gull carries the code Q26: 2026-01-02 to 2026-03-04"),
    ],
)
def test_every_kind_of_statement_is_one_whole_sentence(kind, words):
    gull, anchor = Variant(title="Gull"), Variant(title="Anchor")
    days = {"on": date(2026, 1, 2), "until": date(2026, 3, 4)}
    statement = Statement(kind=kind, variant=gull, other=anchor, code="Q26", **days)
    assert str(statement) == words
    with brackets():
        assert shown(statement).count("⟦") == 1


def test_every_kind_of_statement_has_its_sentence():
    for kind in StatementKind:
        assert str(Statement(kind=kind, variant=Variant(title="Gull")))
