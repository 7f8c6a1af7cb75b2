"""Keep the words that people search by in step with the records."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from registry.methods.spelling import number_keys, with_packs_spelled
from registry.models import (
    Assortment,
    Casting,
    Line,
    Maker,
    Pack,
    PackKind,
    Release,
    SearchEntry,
    SearchKind,
    State,
    Trait,
    Variant,
)
from registry.queries.search import folded
from registry.sentences import Sentence

SEARCHED: Mapping[Any, tuple[str, ...]] = {
    Maker: (),
    Line: ("maker",),
    Casting: ("maker",),
    Release: ("casting", "line"),
    Assortment: ("line",),
    Pack: ("line",),
    Trait: ("line", "casting"),
    State: ("trait",),
    Variant: ("release__casting",),
}
"""Whose records have an entry each, with what its words are taken from."""
PACKS = {
    PackKind.SINGLE_CARD: Sentence("single card"),
    PackKind.TWO_PACK: Sentence("two-pack"),
    PackKind.PLAY_SET: Sentence("play set"),
    PackKind.MULTI_PACK: Sentence("multi-pack"),
    PackKind.LOOSE_ONLY: Sentence("loose only"),
}
"""What an entry says of a pack: in English, whoever brings it in."""


def words_in(*parts: object) -> str:
    """The folded words of all parts, repeats removed; of a pack of so many with the figure spelled out too."""
    text = folded(" ".join(str(part) for part in parts if part))
    return " ".join(dict.fromkeys(text.split() + with_packs_spelled(text).split()))


def keys_of(number: str) -> str:
    """What a release number or case code is looked up by. It goes before all other words: a blank ends it."""
    return " ".join(number_keys(folded(number)))


def index(thing: Any) -> None:
    """Write or renew the one search entry of a record; what is merged, gone or built in has none."""
    if any(getattr(thing, word, None) for word in ("merged_into_id", "is_gone", "is_built_in", "is_cause")):
        SearchEntry.objects.filter(public_id=thing.public_id).delete()
        return
    kind, title, hint, said = described(thing)
    SearchEntry.objects.update_or_create(
        public_id=thing.public_id,
        defaults={"kind": kind, "title": title[:160], "hint": hint[:160], "words": words_in(*said)},
    )


def index_with_parts(thing: Any) -> None:
    """Renew the entry of a record and of all whose entries name it."""
    index(thing)
    for part in parts_of(thing):
        index(part)


def index_anew() -> int:
    """Write the entry of every record as it is made today; how many entries there are."""
    for model, related in SEARCHED.items():
        for thing in model.objects.select_related(*related).iterator(chunk_size=500):
            index(thing)
    return SearchEntry.objects.count()


def parts_of(thing: Any) -> Iterable[Any]:
    match thing:
        case Casting():
            yield from thing.traits.all()
            for release in thing.releases.select_related("casting", "line"):
                yield release
                yield from parts_of(release)
        case Release():
            yield from thing.variants.select_related("release__casting")
        case Trait():
            yield from thing.states.select_related("trait")


def described(thing: Any) -> tuple[SearchKind, str, str, tuple[object, ...]]:
    """Kind, title, what tells it from its namesakes, and the words it is found by."""
    nicknames = " ".join(getattr(thing, "nicknames", []))
    words: tuple[object, ...]
    match thing:
        case Maker():
            return SearchKind.MAKER, thing.name, "", (thing.name,)
        case Line():
            return SearchKind.LINE, thing.name, f"{thing.maker}, 1:{thing.scale}", (thing.name, thing.maker)
        case Casting():
            return (
                SearchKind.CASTING,
                thing.name,
                thing.what,
                (thing.name, thing.what, nicknames, thing.maker),
            )
        case Release():
            called = (nicknames, thing.casting, *thing.casting.nicknames)
            words = (
                keys_of(thing.number),
                thing.name,
                thing.number,
                thing.year,
                thing.livery,
                *called,
                thing.line,
            )
            return SearchKind.RELEASE, thing.name, f"{thing.number} · {thing.year}".strip(" ·"), words
        case Assortment():
            return (
                SearchKind.ASSORTMENT,
                thing.name,
                thing.case_code,
                (keys_of(thing.case_code), thing.name, thing.case_code, thing.line),
            )
        case Pack():
            kind = PACKS[PackKind(thing.kind)]
            words = (thing.name, kind, thing.gtin, thing.gtin.lstrip("0"), thing.line)
            return SearchKind.PACK, thing.name, str(kind), words
        case Trait():
            owner = thing.line or thing.casting
            return SearchKind.TRAIT, thing.name, str(owner), (thing.name, thing.key, nicknames, owner)
        case State():
            words = (thing.name, thing.key, nicknames, thing.trait)
            return SearchKind.STATE, thing.name, str(thing.trait), words
        case Variant():
            release = thing.release
            called = (thing.title, nicknames, release.name, release.number, release.casting)
            words = (keys_of(release.number), *called, thing.public_id)
            return SearchKind.VARIANT, thing.title, str(release), words
    raise TypeError(f"{type(thing).__name__} is not searchable")
