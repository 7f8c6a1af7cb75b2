"""The chain of a variant's revisions in the words of W3C PROV, as JSON-LD.

Source: PROV-O, the PROV Ontology, W3C Recommendation of 30 April 2013; JSON-LD 1.1, W3C Recommendation of 16 July
2020. Labels and reasons are RDF Schema's `label` and `comment`, digests schema.org's `sha256`. No word of our own.

Revisions and photos are entities, what wrote or questioned them activities, members agents named by opaque ids.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Literal

CONTEXT = {
    "prov": "http://www.w3.org/ns/prov#",
    "rdfs": "http://www.w3.org/2000/01/rdf-schema#",
    "schema": "https://schema.org/",
    "xsd": "http://www.w3.org/2001/XMLSchema#",
}
REGISTRY = "#registry"
Node = dict[str, Any]
Kind = Literal["submission", "dispute", "moderation", "revision"]


@dataclass(frozen=True, slots=True)
class PhotoSource:
    """A photograph as evidence; `digest`: SHA-256 in hex, left out once it was taken down."""

    id: str
    owner: str
    added_at: datetime
    digest: str | None = None
    taken_down_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class ActivitySource:
    """What wrote a revision or questioned one. `by`: public ids of members; none: the registry itself.

    `used_revisions`: numbers of those it started from. `invalidated`: of those that it ended.
    """

    id: str
    kind: Kind
    started_at: datetime
    ended_at: datetime | None
    by: tuple[str, ...]
    reason: str
    used_photos: tuple[str, ...] = ()
    used_revisions: tuple[int, ...] = ()
    invalidated: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class RevisionSource:
    """One snapshot. `activity`: the id of the activity that wrote it; `author`: a member, or the registry."""

    number: int
    title: str
    digest: str
    at: datetime
    activity: str
    author: str | None
    parent: int | None = None


def provenance(
    variant: str,
    revisions: Sequence[RevisionSource],
    activities: Sequence[ActivitySource],
    photos: Sequence[PhotoSource],
) -> dict[str, Any]:
    """The document. Ids are addresses relative to the document's own; times are UTC, of type xsd:dateTime.

    Errors: ValueError where a revision names an activity, or an activity a photo or a revision, that is not given.
    """
    check_references(revisions, activities, photos)
    ended = {number: activity for activity in activities for number in activity.invalidated}
    members = {revision.author for revision in revisions} | {photo.owner for photo in photos}
    members |= {member for activity in activities for member in activity.by}
    graph: list[Node] = [
        *(revision_node(variant, it, ended.get(it.number)) for it in revisions),
        *(activity_node(variant, it) for it in activities),
        *(photo_node(it) for it in photos),
        *(member_node(member) for member in sorted(filter(None, members))),
        {
            "@id": REGISTRY,
            "@type": ["prov:Agent", "prov:SoftwareAgent"],
            "rdfs:label": "The registry: it counts votes and writes down what they decide.",
        },
    ]
    return {"@context": CONTEXT, "@graph": graph}


def check_references(
    revisions: Sequence[RevisionSource], activities: Sequence[ActivitySource], photos: Sequence[PhotoSource]
) -> None:
    numbers, ids, pictures = (
        {it.number for it in revisions},
        {it.id for it in activities},
        {it.id for it in photos},
    )
    for revision in revisions:
        if revision.activity not in ids:
            raise ValueError(f"revision {revision.number} names the unknown activity {revision.activity}")
        if revision.parent is not None and revision.parent not in numbers:
            raise ValueError(f"revision {revision.number} names the unknown parent {revision.parent}")
    for activity in activities:
        if missing := set(activity.used_photos) - pictures:
            raise ValueError(f"activity {activity.id} names the unknown photo {min(missing)}")
        if unknown := {*activity.used_revisions, *activity.invalidated} - numbers:
            raise ValueError(f"activity {activity.id} names the unknown revision {min(unknown)}")


def revision_node(variant: str, revision: RevisionSource, ended: ActivitySource | None) -> Node:
    node: Node = {
        "@id": revision_id(variant, revision.number),
        "@type": "prov:Entity",
        "rdfs:label": revision.title,
        "schema:sha256": revision.digest,
        "prov:generatedAtTime": moment(revision.at),
        "prov:wasGeneratedBy": reference(activity_id(variant, revision.activity)),
        "prov:wasAttributedTo": reference(member_id(revision.author)),
    }
    if revision.parent is not None:
        node["prov:wasRevisionOf"] = reference(revision_id(variant, revision.parent))
    if ended:
        node["prov:wasInvalidatedBy"] = reference(activity_id(variant, ended.id))
        node["prov:invalidatedAtTime"] = moment(ended.ended_at or ended.started_at)
    return node


def activity_node(variant: str, activity: ActivitySource) -> Node:
    used = [revision_id(variant, number) for number in activity.used_revisions]
    used += [photo_id(photo) for photo in activity.used_photos]
    node: Node = {
        "@id": activity_id(variant, activity.id),
        "@type": "prov:Activity",
        "rdfs:label": activity.kind,
        "prov:startedAtTime": moment(activity.started_at),
        "prov:wasAssociatedWith": references(member_id(member) for member in activity.by or (None,)),
    }
    if activity.reason:
        node["rdfs:comment"] = activity.reason
    if activity.ended_at:
        node["prov:endedAtTime"] = moment(activity.ended_at)
    if used:
        node["prov:used"] = references(used)
    return node


def photo_node(photo: PhotoSource) -> Node:
    node: Node = {
        "@id": photo_id(photo.id),
        "@type": "prov:Entity",
        "prov:generatedAtTime": moment(photo.added_at),
        "prov:wasAttributedTo": reference(member_id(photo.owner)),
    }
    if photo.digest:
        node["schema:sha256"] = photo.digest
    if photo.taken_down_at:
        node["prov:invalidatedAtTime"] = moment(photo.taken_down_at)
    return node


def member_node(member: str) -> Node:
    return {"@id": member_id(member), "@type": ["prov:Agent", "prov:Person"]}


def revision_id(variant: str, number: int) -> str:
    return f"/v1/variants/{variant}?revision={number}"


def activity_id(variant: str, activity: str) -> str:
    return f"/v1/variants/{variant}/provenance#{activity}"


def photo_id(photo: str) -> str:
    return f"/v1/photos/{photo}"


def member_id(member: str | None) -> str:
    """An id that tells two members apart and nothing else of them."""
    return f"#member-{member}" if member else REGISTRY


def reference(target: str) -> Node:
    return {"@id": target}


def references(targets: Iterable[str]) -> list[Node]:
    return [reference(target) for target in targets]


def moment(at: datetime) -> Node:
    text = at.astimezone(UTC).isoformat().replace("+00:00", "Z")
    return {"@type": "xsd:dateTime", "@value": text}
