"""The chain in the words of W3C PROV.

Checked against the terms of PROV-O (W3C Recommendation, 30 April 2013): the table below holds the domain and range
that the ontology gives for each property used. Compact names expand as in JSON-LD 1.1 (W3C Recommendation, 16 July
2020), section 4.1.5.
"""

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

import pytest

from registry.methods.prov import (
    CONTEXT,
    ActivitySource,
    PhotoSource,
    RevisionSource,
    provenance,
)

PROV = "http://www.w3.org/ns/prov#"
CLASSES = {
    "Entity",
    "Activity",
    "Agent",
    "Person",
    "SoftwareAgent",
    "Organization",
    "Plan",
    "Collection",
    "Bundle",
}
WHEN = "xsd:dateTime"
PROPERTIES = {
    "wasRevisionOf": ("Entity", "Entity"),
    "wasDerivedFrom": ("Entity", "Entity"),
    "wasGeneratedBy": ("Entity", "Activity"),
    "wasInvalidatedBy": ("Entity", "Activity"),
    "wasAttributedTo": ("Entity", "Agent"),
    "used": ("Activity", "Entity"),
    "wasAssociatedWith": ("Activity", "Agent"),
    "startedAtTime": ("Activity", WHEN),
    "endedAtTime": ("Activity", WHEN),
    "generatedAtTime": ("Entity", WHEN),
    "invalidatedAtTime": ("Entity", WHEN),
}
"""Each property with its domain and its range."""
NOON = datetime(2026, 6, 1, 12, tzinfo=UTC)
HOUR = timedelta(hours=1)


def chain():
    revisions = [
        RevisionSource(1, "Anchor", "a" * 64, NOON, "submission-s", "ada"),
        RevisionSource(2, "Gull", "b" * 64, NOON + 2 * HOUR, "dispute-d", "ben", parent=1),
    ]
    activities = [
        ActivitySource("submission-s", "submission", NOON, NOON, ("ada",), "Reported.", used_photos=("p1",)),
        ActivitySource(
            "dispute-d",
            "dispute",
            NOON + HOUR,
            NOON + 2 * HOUR,
            ("ben",),
            "A gull.",
            ("p2",),
            used_revisions=(1,),
        ),
        ActivitySource(
            "struck-1", "moderation", NOON + 3 * HOUR, NOON + 3 * HOUR, ("cy",), "Painted.", (), (2,), (2,)
        ),
    ]
    photos = [
        PhotoSource("p1", "ada", NOON, digest="c" * 64),
        PhotoSource("p2", "ben", NOON + HOUR, taken_down_at=NOON + 4 * HOUR),
    ]
    return revisions, activities, photos


def types(node):
    found = node["@type"]
    return {name.removeprefix("prov:") for name in ([found] if isinstance(found, str) else found)}


def faults(document):
    """Everything in the document that PROV-O would not have."""
    nodes, found = {node["@id"]: node for node in document["@graph"]}, []
    if len(nodes) != len(document["@graph"]):
        found.append("an id is told twice")
    for node in nodes.values():
        found += [f"no class: {name}" for name in types(node) - CLASSES]
        for name, value in node.items():
            prefix, _, term = name.partition(":")
            if name.startswith("@"):
                continue
            if prefix not in document["@context"]:
                found.append(f"no prefix: {name}")
            elif prefix == "prov":
                found += property_faults(node, term, value, nodes)
            elif not isinstance(value, str):
                found.append(f"{name} is no text")
    return found


def property_faults(node, term, value, nodes):
    if term not in PROPERTIES:
        return [f"no property: {term}"]
    domain, reach = PROPERTIES[term]
    found = [] if domain in types(node) else [f"{term} of {types(node)}"]
    for one in value if isinstance(value, list) else [value]:
        if reach == WHEN:
            fits = (
                one.get("@type") == WHEN
                and one["@value"].endswith("Z")
                and datetime.fromisoformat(one["@value"])
            )
        else:
            fits = set(one) == {"@id"} and one["@id"] in nodes and reach in types(nodes[one["@id"]])
        found += [] if fits else [f"{term} reaches {one}"]
    return found


def by_id(document):
    return {node["@id"]: node for node in document["@graph"]}


def test_only_terms_of_prov_are_used_each_between_what_it_may_join():
    assert faults(provenance("v", *chain())) == []
    assert CONTEXT["prov"] == PROV


def test_the_check_itself_finds_what_is_wrong():
    document = provenance("v", *chain())
    document["@graph"][0]["prov:wasRevisedBy"] = {"@id": "#registry"}
    document["@graph"][1]["prov:wasGeneratedBy"] = {"@id": "#registry"}
    document["@graph"][2]["prov:startedAtTime"] = {"@type": WHEN, "@value": "2026-06-01T12:00:00+02:00"}
    assert len(faults(document)) == 3


def test_the_chain_reads_from_revision_to_revision():
    nodes = by_id(provenance("v", *chain()))
    second = nodes["/v1/variants/v?revision=2"]
    assert second["prov:wasRevisionOf"] == {"@id": "/v1/variants/v?revision=1"}
    assert second["prov:wasGeneratedBy"] == {"@id": "/v1/variants/v/provenance#dispute-d"}
    assert second["prov:wasAttributedTo"] == {"@id": "#member-ben"}
    assert second["schema:sha256"] == "b" * 64
    assert "prov:wasRevisionOf" not in nodes["/v1/variants/v?revision=1"]
    dispute = nodes["/v1/variants/v/provenance#dispute-d"]
    assert dispute["prov:used"] == [{"@id": "/v1/variants/v?revision=1"}, {"@id": "/v1/photos/p2"}]
    assert dispute["prov:startedAtTime"]["@value"] == "2026-06-01T13:00:00Z"
    assert dispute["rdfs:comment"] == "A gull."


def test_what_moderators_ended_is_invalidated_and_a_photo_taken_down_keeps_no_digest():
    nodes = by_id(provenance("v", *chain()))
    assert nodes["/v1/variants/v?revision=2"]["prov:wasInvalidatedBy"]["@id"].endswith("#struck-1")
    assert "prov:wasInvalidatedBy" not in nodes["/v1/variants/v?revision=1"]
    assert nodes["/v1/photos/p1"]["schema:sha256"] == "c" * 64
    assert "schema:sha256" not in nodes["/v1/photos/p2"]
    assert "prov:invalidatedAtTime" in nodes["/v1/photos/p2"]


def test_members_are_opaque_ids_and_nobody_is_the_registry():
    revisions, activities, photos = chain()
    document = provenance("v", [replace(revisions[0], author=None)], [replace(activities[0], by=())], photos)
    assert by_id(document)["/v1/variants/v?revision=1"]["prov:wasAttributedTo"] == {"@id": "#registry"}
    agents = [node for node in document["@graph"] if "Agent" in types(node)]
    assert {node["@id"] for node in agents} == {"#member-ada", "#member-ben", "#registry"}
    assert all(set(node) == {"@id", "@type"} for node in agents if node["@id"] != "#registry")


def test_times_of_any_zone_are_told_in_utc():
    revisions, activities, photos = chain()
    there = NOON.astimezone(timezone(timedelta(hours=-5)))
    document = provenance("v", [replace(revisions[0], at=there)], activities[:1], photos)
    assert document["@graph"][0]["prov:generatedAtTime"]["@value"] == "2026-06-01T12:00:00Z"


@pytest.mark.parametrize(
    ("drop", "said"), [(0, "unknown parent 1"), (1, "unknown activity submission-s"), (2, "unknown photo p1")]
)
def test_a_chain_with_a_gap_is_refused(drop, said):
    sources = list(chain())
    sources[drop] = sources[drop][1:]
    with pytest.raises(ValueError, match=said):
        provenance("v", *sources)
