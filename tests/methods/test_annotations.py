"""Marks as W3C Web Annotations, held against the MUSTs of the Web Annotation Data Model (from memory; section numbers
are those of the Recommendation of 23 February 2017)."""

import re
from datetime import UTC, datetime, timedelta, timezone

from registry.methods.annotations import MEDIA_TYPE, MarkSource, annotation, moment, page

CONTEXT = "http://www.w3.org/ns/anno.jsonld"
IRI = re.compile(r"(https?|urn):[^\s<>\"{}|\\^`]+")
DATE_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ")
FRAGMENT = re.compile(r"xywh=percent:[\d.]+,[\d.]+,[\d.]+,[\d.]+")
TEXT_KEYS = {"type", "value", "format", "language", "purpose"}
MARK = MarkSource(
    id="https://list.example.org/v1/marks/a/annotation",
    claim="https://list.example.org/v1/claims/b",
    state="https://list.example.org/v1/states/c",
    words="Roof crest: gull",
    picture="https://list.example.org/media/photos/d.jpg",
    picture_licence="CC-BY-4.0",
    fragment="xywh=percent:10,20,30.5,12",
    created=datetime(2025, 3, 1, 10, 0, tzinfo=timezone(timedelta(hours=1))),
    creator="7c2m4xk9dwp8",
    note="the port side",
)


def types_of(node):
    kinds = node.get("type", [])
    return kinds if isinstance(kinds, list) else [kinds]


def faults(told, is_whole=True):
    """What breaks a MUST, in words."""
    found = []
    if is_whole and told.get("@context") != CONTEXT:
        found.append("3.1: 1 or more @context, this one among them")
    if not IRI.fullmatch(told.get("id", "")):
        found.append("3.1: exactly one id, an IRI")
    if "Annotation" not in types_of(told):
        found.append("3.1: type Annotation")
    if not told.get("target"):
        found.append("3.1: 1 or more targets")
    if "created" in told and not DATE_TIME.fullmatch(told["created"]):
        found.append("3.3.1: created is an xsd:dateTime in UTC, with Z")
    if "rights" in told and not IRI.fullmatch(told["rights"]):
        found.append("3.3.7: rights is an IRI")
    for body in told.get("body", ()):
        if "TextualBody" in types_of(body):
            if not isinstance(body.get("value"), str) or set(body) - TEXT_KEYS:
                found.append("3.2.4: a textual body has exactly one value, a string")
        elif not IRI.fullmatch(body.get("source", "")):
            found.append("4: a specific resource has exactly one source, an IRI or what describes it")
    return found + target_faults(told.get("target", {}))


def target_faults(target):
    found, source, selector = [], target.get("source", {}), target.get("selector", {})
    if not IRI.fullmatch(source.get("id", "")):
        found.append("3.2.1: an external resource has exactly one id, an IRI")
    if "FragmentSelector" not in types_of(selector) or not FRAGMENT.fullmatch(selector.get("value", "")):
        found.append("4.2.1: type FragmentSelector and exactly one value")
    if selector.get("conformsTo") != "http://www.w3.org/TR/media-frags/":
        found.append("4.2.1: conformsTo is the specification of the fragment")
    return found


def test_an_annotation_keeps_every_must():
    told = annotation(MARK)
    assert faults(told) == []
    assert [body.get("value") or body["source"] for body in told["body"]] == [
        "Roof crest: gull", MARK.claim, MARK.state, "the port side",
    ]  # fmt: skip
    assert told["creator"] == {"type": "Person", "nickname": "7c2m4xk9dwp8"}
    assert told["created"] == "2025-03-01T09:00:00Z"
    assert told["rights"] == "https://creativecommons.org/publicdomain/zero/1.0/"
    assert told["target"]["source"]["rights"] == "https://creativecommons.org/licenses/by/4.0/"


def test_the_checks_can_fail():
    for broken in (
        {"@context": "x"}, {"id": "/v1/marks/a"}, {"type": "Note"}, {"created": "2025-03-01"}, {"rights": "CC0"},
        {"body": [{"type": "TextualBody"}]}, {"body": [{"type": "SpecificResource"}]}, {"target": {}},
    ):  # fmt: skip
        assert faults({**annotation(MARK), **broken}), broken


def test_who_was_erased_is_not_named_and_no_note_is_no_body():
    told = annotation(
        MarkSource(**{**{n: getattr(MARK, n) for n in MARK.__slots__}, "creator": None, "note": ""})
    )
    assert "creator" not in told
    assert [body["type"] for body in told["body"]] == ["TextualBody", "SpecificResource", "SpecificResource"]


def test_a_page_holds_annotations_and_leads_to_the_next():
    """Sections 5.2 and 5.3: a page has one id, type AnnotationPage and items; all but the last have next."""
    address = "https://list.example.org/v1/photos/d/annotations"
    told = page(address, f"{address}#all", [MARK, MARK], f"{address}?cursor=x")
    assert (told["@context"], told["id"], told["type"]) == (CONTEXT, address, "AnnotationPage")
    assert told["partOf"] == {"id": f"{address}#all", "type": "AnnotationCollection"}
    assert told["next"] == f"{address}?cursor=x"
    assert [faults(item, is_whole=False) for item in told["items"]] == [[], []]
    last = page(address, f"{address}#all", [], None)
    assert "next" not in last
    assert last["items"] == []


def test_the_media_type_names_its_profile_and_moments_are_utc():
    assert MEDIA_TYPE == f'application/ld+json; profile="{CONTEXT}"'
    assert moment(datetime(2025, 1, 1, 0, 0, 0, 999_999, tzinfo=UTC)) == "2025-01-01T00:00:00Z"
