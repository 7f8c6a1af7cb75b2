"""Sentences know their parts; who does not ask reads English, and a page has them in the reader's language."""

import json
import pickle
from copy import deepcopy

import orjson
import pytest
from django.template import Context, Template

from registry.actions import wording
from registry.actions.index import PACKS, index
from registry.actions.quotas import CALLED, MONTHS
from registry.actions.two_persons import ask
from registry.errors import InvalidField, NotFound, RegistryError, TooMany
from registry.methods import guards
from registry.methods.canon import canonical
from registry.models import JournalEntry, PackKind, PendingDeed, Role, SearchEntry
from registry.sentences import Sentence, counted, said
from tests.api.caller import Caller, problem
from tests.factories import MemberFactory, ModeratorFactory, PackFactory
from tests.path import now

GERMAN = {
    "%(trait)s as %(state)s": "%(trait)s: %(state)s",
    "one vote on %(about)s": "eine Stimme zu %(about)s",
    "%(n)s votes on %(about)s": "%(n)s Stimmen zu %(about)s",
    "It cannot be empty.": "Das darf nicht leer sein.",
    "Use at most %(most)s characters.": "Höchstens %(most)s Zeichen.",
    "%(field)s: %(shown)s cannot be taken. %(remedy)s": "%(field)s: %(shown)s geht nicht. %(remedy)s",
    "There is no such record.": "Den Eintrag gibt es nicht.",
    "<b> & more": "<b> & mehr",
    "half of 100%": "die Hälfte von 100%",
    "%(share)s%% of them": "%(share)s%% davon",
    "%(fault)s.": "%(fault)s.",
    "it has %(n)s symbols": "er hat %(n)s Zeichen",
}


@pytest.fixture
def german(monkeypatch):
    def translate(one: str, many: str, n: int) -> str:
        words = one if n == 1 else many
        return GERMAN.get(words, words)

    monkeypatch.setattr(Sentence, "translator", staticmethod(translate))


def gull() -> Sentence:
    return Sentence("%(trait)s as %(state)s", trait="roof crest", state="gull")


def test_a_sentence_is_plain_english_to_who_does_not_ask(german):
    votes = counted("one vote on %(about)s", "%(n)s votes on %(about)s", 3, about=gull())
    assert votes == "3 votes on roof crest as gull"
    assert f"{votes}" == str(votes) == "3 votes on roof crest as gull"
    assert type(str(votes)) is str
    assert counted("one vote on %(about)s", "%(n)s votes on %(about)s", 1, about="it") == "one vote on it"


def test_it_is_said_in_the_readers_language_and_so_are_its_parts(german):
    assert said(counted("one vote on %(about)s", "%(n)s votes on %(about)s", 1, about=gull())) == (
        "eine Stimme zu roof crest: gull"
    )
    assert said(counted("one vote on %(about)s", "%(n)s votes on %(about)s", 0, about=gull())) == (
        "0 Stimmen zu roof crest: gull"
    )
    assert said("It cannot be empty.") == "It cannot be empty."  # somebody typed it


@pytest.mark.parametrize(
    ("sentence", "english", "german_words"),
    [
        (Sentence("half of 100%"), "half of 100%", "die Hälfte von 100%"),
        (Sentence("%(share)s%% of them", share=5), "5% of them", "5% davon"),
        (Sentence("%(fault)s.", fault="5%(x)s"), "5%(x)s.", "5%(x)s."),
    ],
)
def test_a_percent_sign_is_only_itself(german, sentence, english, german_words):
    assert sentence == english
    assert said(sentence) == german_words


@pytest.mark.parametrize(
    "sentence",
    [
        Sentence("It cannot be empty."),
        gull(),
        counted("one vote on %(about)s", "%(n)s votes on %(about)s", 2, about=gull()),
    ],
)
def test_its_parts_are_kept_as_json_and_make_it_whole_again(german, sentence):
    kept = orjson.loads(orjson.dumps(sentence.parts()))
    whole = Sentence.of(kept)
    assert whole == sentence
    assert said(whole) == said(sentence)
    assert Sentence.of("as somebody typed it") == "as somebody typed it"


@pytest.mark.parametrize("copied", [lambda it: pickle.loads(pickle.dumps(it)), deepcopy])  # noqa: S301
def test_a_copy_knows_its_parts_too(german, copied):
    votes = counted("one vote on %(about)s", "%(n)s votes on %(about)s", 2, about=gull())
    assert copied(votes) == votes
    assert said(copied(votes)) == "2 Stimmen zu roof crest: gull"


def test_a_template_prints_it_in_the_readers_language_and_escapes_it(german):
    shown = Template("{{ it }}").render(Context({"it": Sentence("<b> & more")}))
    assert shown == "&lt;b&gt; &amp; mehr"
    typed = Sentence("%(trait)s as %(state)s", trait="<i>crest</i>", state="'gull'")
    shown = Template("{{ it }}").render(Context({"it": typed}))
    assert shown == "&lt;i&gt;crest&lt;/i&gt;: &#x27;gull&#x27;"


def test_where_sentences_are_kept_as_json_they_are_their_english(german):
    votes = counted("one vote on %(about)s", "%(n)s votes on %(about)s", 2, about=gull())
    plain = '{"said":"2 votes on roof crest as gull"}'
    assert orjson.dumps({"said": votes}).decode() == canonical({"said": votes}).decode() == plain
    assert json.dumps({"said": votes}, separators=(",", ":")) == plain


# Refusals -----------------------------------------------------------------------------------------------------------


def kinds_of(refusal: type[RegistryError]) -> list[type[RegistryError]]:
    return [refusal, *(kind for below in refusal.__subclasses__() for kind in kinds_of(below))]


@pytest.mark.parametrize("kind", kinds_of(RegistryError))
def test_every_refusal_carries_a_sentence(kind):
    assert isinstance(kind.message, Sentence)
    if issubclass(kind, InvalidField):
        refusal = kind("name", "", Sentence("It cannot be empty."))
    else:
        refusal = kind(**{"retry_after": 5} if kind is TooMany else {})
        assert str(refusal) == kind.message
    assert isinstance(refusal.args[0], Sentence)
    assert type(str(refusal)) is str


def test_a_refusal_is_said_in_the_readers_language(german):
    assert str(NotFound()) == "There is no such record."
    assert said(NotFound()) == "Den Eintrag gibt es nicht."
    assert said(NotFound(Sentence("It cannot be empty."))) == "Das darf nicht leer sein."


def test_a_field_is_refused_with_its_remedy_in_the_readers_language(german):
    with pytest.raises(InvalidField) as refusal:
        wording.line("name", "  ", 80)
    assert str(refusal.value) == "name: '  ' cannot be taken. It cannot be empty."
    assert said(refusal.value) == "name: '  ' geht nicht. Das darf nicht leer sein."
    with pytest.raises(InvalidField) as refusal:
        wording.line("note", "a" * 900, 40)
    assert said(refusal.value.remedy) == "Höchstens 40 Zeichen."
    assert refusal.value.remedy == "Use at most 40 characters."


def test_a_long_value_is_cut_and_one_with_percent_signs_is_told_as_it_is(german):
    refusal = InvalidField("name", "%(n)s" * 40, "Something typed.")
    assert said(refusal) == f"name: {repr('%(n)s' * 40)[:77]}... geht nicht. Something typed."


def test_a_fault_opens_with_a_large_letter_in_either_language(german):
    fault = Sentence("it has %(n)s symbols", n=3)
    opening = wording.Opening("%(fault)s.", fault=fault)
    assert opening == "It has 3 symbols."
    assert said(opening) == "Er hat 3 Zeichen."
    assert pickle.loads(pickle.dumps(opening)) == opening  # noqa: S301


def test_every_word_that_a_refusal_may_need_is_in_its_table():
    assert CALLED.keys() == guards.QUOTAS.keys()
    assert len(MONTHS) == 12
    assert set(PACKS) == set(PackKind)


def test_what_is_kept_of_a_choice_is_the_english_of_its_label():
    assert {choice: str(choice.label) for choice in PACKS} == PACKS


@pytest.mark.django_db
def test_the_api_refuses_in_english_and_a_key_is_good_for_what_is_mended(monkeypatch):
    monkeypatch.setattr(Sentence, "translator", staticmethod(lambda one, many, n: f"⟦{one}⟧"))
    caller = Caller(ModeratorFactory())
    assert caller.post("/v1/makers", {"name": "Grebe Works"}).status_code == 201
    refused = problem(caller.post("/v1/makers", {"name": "Grebe works"}, key="one"), 422, "twin-exists")
    told = "name: 'Grebe works' is already listed as 'Grebe Works'. Use that one."
    assert refused["detail"] == refused["errors"][0]["detail"] == told
    assert caller.post("/v1/makers", {"name": "Otterholm"}, key="one").status_code == 201
    again = caller.post("/v1/makers", {"name": "Otterholm"}, key="one")
    assert again["Idempotency-Replayed"] == "true"


@pytest.mark.django_db
def test_a_journal_line_with_a_sentence_is_chained_as_its_english(german):
    member = MemberFactory()
    entries = JournalEntry.objects
    entries.record(by=member, verb="trait.added", about=member, at=now(), detail={"said": gull()})
    line = entries.latest("pk")
    assert line.detail["said"] == "roof crest as gull"
    assert type(line.detail["said"]) is str


@pytest.mark.django_db
def test_what_moderators_are_asked_is_kept_in_english(monkeypatch):
    monkeypatch.setattr(Sentence, "translator", staticmethod(lambda one, many, n: f"⟦{one}⟧"))
    first, _ = ModeratorFactory(), ModeratorFactory()
    member = MemberFactory(display_name="Wren")
    detail = {"member": member.public_id, "role": Role.REVIEWER.value}
    ask(kind="role.grant", detail=detail, reason="A steady eye.", by=first, at=now())
    pending = PendingDeed.objects.get()
    assert pending.words == "Make Wren a reviewer"
    assert said(str(pending)) == "⟦Make Wren a reviewer⟧"


@pytest.mark.django_db
def test_a_pack_is_searched_by_the_english_of_its_kind(monkeypatch):
    monkeypatch.setattr(Sentence, "translator", staticmethod(lambda one, many, n: f"⟦{one}⟧"))
    pack = PackFactory(kind=PackKind.TWO_PACK)
    index(pack)
    assert SearchEntry.objects.get(public_id=pack.public_id).hint == "two-pack"
