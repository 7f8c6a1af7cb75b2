"""One deed for each action that writes: what it needs, who may do it, and the verb of its journal line."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial
from typing import Any

from registry import actions
from registry.models import Claim, Dispute, HeldDispute, Mark, Member, Role, Sighting, Statement, Variant
from tests import opened
from tests.factories import (
    NOON,
    AssortmentItemFactory,
    CabinetItemFactory,
    ConcernFactory,
    HeldDisputeFactory,
    InterestFactory,
    MemberFactory,
    ModeratorFactory,
    PackFactory,
    PhotoFactory,
    ReviewerFactory,
    StateFactory,
    SubmissionFactory,
    TraitFactory,
    WatchFactory,
)
from tests.gloss import GlossReadingFactory
from tests.measured import MeasurementFactory
from tests.path import Scene, claim_on, now
from tests.pictures import jpeg

Call = Callable[[], Any]


@dataclass(frozen=True)
class Deed:
    action: str
    verb: str
    arrange: Callable[[Scene, Member], Call]
    role: Role | None = None

    def __str__(self) -> str:
        return self.action


def call(action: str, by: Member, **said: Any) -> Call:
    return partial(getattr(actions, action), by=by, at=now(), **said)


def digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def a_claim(scene: Scene) -> Claim:
    return claim_on(scene.report(scene.anchor, scene.red), scene.crest)


def a_mark(scene: Scene, by: Member) -> Mark:
    claim, example = a_claim(scene), scene.example(owner=by)
    scene.mark(claim, scene.photo(example), example)
    return Mark.objects.get()


def a_sighting(scene: Scene, by: Member) -> Sighting:
    return actions.report_sighting(**said_of_a_sighting(scene), by=by, at=now())


def said_of_a_sighting(scene: Scene) -> dict[str, Any]:
    lines = [{"kind": "none_known", "n": 3}]
    return {"release": scene.release, "scope": "peg", "seen_on": date(2026, 5, 1), "count_lines": lines}


def a_sheet(scene: Scene) -> bytes:
    return f"release,scope,seen_on,counts\n{scene.release.public_id},peg,2026-05-01,none known = 2\n".encode()


def said_of_a_statement(scene: Scene) -> dict[str, Any]:
    base = scene.report(scene.anchor)
    return {
        "release": scene.release, "kind": "before", "variant": base,
        "other": scene.report(scene.gull, base=base), "source_kind": "dated_sighting", "source": "a kiosk receipt",
    }  # fmt: skip


def a_statement(scene: Scene, by: Member) -> Statement:
    return actions.make_statement(**said_of_a_statement(scene), by=by, at=now())


def a_dispute(scene: Scene, by: Member) -> Dispute:
    return actions.open_dispute(
        claim=a_claim(scene), state=scene.gull, reason="I see a gull.", by=by, at=now()
    )


def a_held_dispute(scene: Scene) -> HeldDispute:
    return HeldDisputeFactory(claim=a_claim(scene), state=scene.gull)


def a_settled_claim(scene: Scene) -> Claim:
    """One that a dispute corrected long ago, shown by a mark."""
    variant = scene.report(scene.anchor, scene.red)
    scene.show(variant)
    claim = claim_on(variant, scene.crest)
    early = now() - timedelta(days=60)
    dispute = actions.open_dispute(
        claim=claim, state=scene.gull, reason="I see a gull.", by=MemberFactory(), at=early
    )
    Claim.objects.filter(pk=claim.pk).update(closed_at=now())
    Dispute.objects.filter(pk=dispute.pk).update(outcome="corrected", closed_at=early)
    return claim


def a_voted_claim(scene: Scene, by: Member) -> Claim:
    claim = a_claim(scene)
    actions.cast_vote(claim=claim, by=by, at=now(), verdict="confirms", basis="photo")
    return claim


def a_verified_variant(scene: Scene, by: Member) -> Variant:
    return scene.baseline()


def sending(scene: Scene, by: Member) -> Call:
    claims = [{"trait": scene.crest.public_id, "state": scene.gull.public_id}]
    return call("send_submission", by, submission=scene.draft(by=by, claims=claims))


def marking(scene: Scene, by: Member) -> Call:
    claim, example = a_claim(scene), scene.example()
    return call(
        "mark_region", by, photo=scene.photo(example), example=example, claim=claim, xywh=(0, 0, 5000, 5000)
    )


def measuring(scene: Scene, by: Member) -> Call:
    example = scene.example()
    points = {"reference": [[1000, 5000], [5000, 5000]], "measured": [[2500, 5000], [3500, 5000]]}
    said = {"photo": scene.photo(example), "example": example, "known_by": "ruler", "known_um": 40_000}
    return call("measure_on_photo", by, **said, **points)


def reading_gloss(scene: Scene, by: Member) -> Call:
    coat = TraitFactory(line=scene.release.line, kind="finish", adopted_by=scene.release)
    return call("add_gloss_reading", by, example=scene.example(), trait=coat, geometry=60, tenths=124)


def sampling(scene: Scene, by: Member) -> Call:
    mark = a_mark(scene, MemberFactory())
    return call("set_sample", by, release=scene.release, state=scene.anchor, mark=mark)


def publishing(scene: Scene, by: Member) -> Call:
    scene.baseline()
    return call("publish_edition", by)


def learning(scene: Scene, by: Member) -> Call:
    scene.baseline()
    return call("make_fit", by)


def adopting(scene: Scene, by: Member) -> Call:
    scene.baseline()
    return call("adopt_fit", by, fit=actions.make_fit(at=now()), reason="Made this month.")


def ending_a_token(scene: Scene, by: Member) -> Call:
    token, _ = actions.create_token(by=by, name="list", scopes=["read"], at=now())
    return call("revoke_token", by, token=token)


def reinstating(scene: Scene, by: Member) -> Call:
    return call("reinstate", by, member=MemberFactory(is_active=False), reason="It was a mistake.")


def merging(scene: Scene, by: Member) -> Call:
    base = scene.report(scene.anchor, scene.red)
    variant, into = scene.report(scene.gull, base=base), scene.report(scene.gull, scene.blue, base=base)
    return call("merge_variants", by, variant=variant, into=into, reason="One.", seconded_by=scene.moderator)


def splitting(scene: Scene, by: Member) -> Call:
    parts = [actions.Part("Gull", [scene.gull])]
    return call("split_variant", by, variant=scene.report(scene.anchor), parts=parts, reason="Two.")


def restoring(scene: Scene, by: Member) -> Call:
    said = {"variant": scene.report(scene.anchor), "reason": "Painted."}
    actions.strike_variant(
        **said, by=scene.moderator, seconded_by=ModeratorFactory(), at=now(), reason_code="hoax"
    )
    return call("restore_variant", by, **said)


def telling_a_case(scene: Scene, by: Member) -> Call:
    variant = scene.report(scene.anchor)
    assortment = AssortmentItemFactory(release=scene.release).assortment
    return call("say_case_content", by, assortment=assortment, variant=variant, per_case=1, source="Label")


def seeing(scene: Scene, by: Member) -> Call:
    photo = scene.photo(scene.example())
    photo.submission.shot_codes.create(code="K7DXW4", issued_at=photo.added_at)
    return call("see_code", by, photo=photo, code="k7d-xw4")


def placing_a_chart(scene: Scene, by: Member) -> Call:
    grey = jpeg(60, 40, (119, 119, 119))
    photo = actions.attach_photo(by=by, at=now(), data=grey, submission=scene.draft(by=by))
    corners = [(10, 10), (90, 10), (90, 90), (10, 90)]
    return call("place_chart", by, photo=photo, kind="grey_card", corners=corners)


MODERATOR = Role.MODERATOR
DEEDS = [
    Deed("start_draft", "submission.started", lambda s, by: call("start_draft", by, release=s.release)),
    Deed("edit_draft", "submission.edited", lambda s, by: call(
        "edit_draft", by, submission=s.draft(by=by), content={"title": "Gull crest"})),
    Deed("withdraw_draft", "submission.withdrawn", lambda s, by: call(
        "withdraw_draft", by, submission=s.draft(by=by))),
    Deed("send_submission", "submission.sent", sending),
    Deed("attach_photo", "photo.attached", lambda s, by: call(
        "attach_photo", by, submission=s.draft(by=by), data=jpeg())),
    Deed("describe_photo", "photo.described", lambda s, by: call(
        "describe_photo", by, photo=PhotoFactory(submission__author=by), views=["base"])),
    Deed("open_draft", "submission.opened", opened.opening),
    Deed("close_draft", "submission.closed", opened.closing),
    Deed("add_remark", "remark.added", opened.remarking),
    Deed("remove_remark", "remark.removed", opened.taking_a_remark_away),
    Deed("discard_photo", "photo.discarded", lambda s, by: call(
        "discard_photo", by, photo=actions.attach_photo(by=by, at=now(), submission=s.draft(by=by), data=jpeg()))),
    Deed("give_code", "submission.code_given", lambda s, by: call(
        "give_code", by, submission=SubmissionFactory(author=by))),
    Deed("see_code", "photo.code_seen", seeing),
    Deed("add_example", "example.added", lambda s, by: call(
        "add_example", by, release=s.release, condition="loose")),
    Deed("take_down_photo", "photo.taken_down", lambda s, by: call(
        "take_down_photo", by, photo=PhotoFactory(), reason="A face is in it."), MODERATOR),
    Deed("restore_photo", "photo.restored", lambda s, by: call(
        "restore_photo", by, photo=PhotoFactory(taken_down_at=NOON, upload_digest=digest(jpeg())), reason="It is hers.",
        data=jpeg()), MODERATOR),
    Deed("mark_region", "mark.added", marking),
    Deed("remove_mark", "mark.removed", lambda s, by: call(
        "remove_mark", by, mark=a_mark(s, by), reason="It shows the shadow.")),
    Deed("measure_on_photo", "measurement.added", measuring),
    Deed("remove_measurement", "measurement.removed", lambda s, by: call(
        "remove_measurement", by, measurement=MeasurementFactory(by=by), reason="I slipped.")),
    Deed("add_gloss_reading", "glossreading.added", reading_gloss),
    Deed("remove_gloss_reading", "glossreading.removed", lambda s, by: call(
        "remove_gloss_reading", by, reading=GlossReadingFactory(by=by), reason="I slipped.")),
    Deed("place_chart", "photo.chart_placed", placing_a_chart),
    Deed("report_sighting", "sighting.reported", lambda s, by: call(
        "report_sighting", by, **said_of_a_sighting(s))),
    Deed("import_sightings", "sightings.imported", lambda s, by: call(
        "import_sightings", by, data=a_sheet(s))),
    Deed("withdraw_sighting", "sighting.withdrawn", lambda s, by: call(
        "withdraw_sighting", by, sighting=a_sighting(s, by))),
    Deed("make_statement", "statement.made", lambda s, by: call(
        "make_statement", by, **said_of_a_statement(s))),
    Deed("close_statement", "statement.closed", lambda s, by: call(
        "close_statement", by, statement=a_statement(s, by))),
    Deed("add_code_pattern", "codepattern.added", lambda s, by: call(
        "add_code_pattern", by, line=s.release.line, name="Lower flap", template="{Y}{ww}", dates="packing",
        first_year=2020, source="forty flaps compared"), MODERATOR),
    Deed("cast_vote", "vote.cast", lambda s, by: call(
        "cast_vote", by, claim=a_claim(s), verdict="confirms", basis="photo")),
    Deed("cast_votes", "vote.cast", lambda s, by: call(
        "cast_votes", by, opinions=[{"claim": a_claim(s), "verdict": "confirms", "basis": "photo"}])),
    Deed("agree_with_example", "vote.cast", lambda s, by: call(
        "agree_with_example", by, variant=s.report(s.anchor), example=s.example(owner=by), base_revision=1)),
    Deed("vote_on_sides", "vote.cast", lambda s, by: call(
        "vote_on_sides", by, dispute=a_dispute(s, MemberFactory()), side="rival", basis="photo")),
    Deed("withdraw_vote", "vote.withdrawn", lambda s, by: call("withdraw_vote", by, claim=a_voted_claim(s, by))),
    Deed("open_dispute", "dispute.opened", lambda s, by: call(
        "open_dispute", by, claim=a_claim(s), state=s.gull, reason="I see a gull.")),
    Deed("withdraw_dispute", "dispute.closed", lambda s, by: call("withdraw_dispute", by, dispute=a_dispute(s, by))),
    Deed("close_dispute", "dispute.closed", lambda s, by: call(
        "close_dispute", by, dispute=a_dispute(s, MemberFactory()), reason="The photo is of another."), MODERATOR),
    Deed("merge_variants", "variant.merged", merging, MODERATOR),
    Deed("split_variant", "variant.parted", splitting, MODERATOR),
    Deed("strike_variant", "variant.struck", lambda s, by: call(
        "strike_variant", by, variant=s.report(s.anchor), reason_code="hoax", reason="Painted.",
        seconded_by=s.moderator), MODERATOR),
    Deed("restore_variant", "variant.restored", restoring, MODERATOR),
    Deed("retitle_variant", "variant.retitled", lambda s, by: call(
        "retitle_variant", by, variant=s.report(s.anchor), title="First tide", reason="Shorter."), MODERATOR),
    Deed("add_maker", "maker.added", lambda s, by: call("add_maker", by, name="Sluice Works"), MODERATOR),
    Deed("add_line", "line.added", lambda s, by: call(
        "add_line", by, maker=s.release.line.maker, name="Dock 43", scale=43), MODERATOR),
    Deed("add_casting", "casting.added", lambda s, by: call(
        "add_casting", by, maker=s.release.line.maker, name="Foghorn"), MODERATOR),
    Deed("add_release", "release.added", lambda s, by: call(
        "add_release", by, casting=s.release.casting, line=s.release.line, name="Foghorn, low tide", year=2026),
        MODERATOR),
    Deed("add_assortment", "assortment.added", lambda s, by: call(
        "add_assortment", by, line=s.release.line, name="Neap tide", items={s.release: 2}), MODERATOR),
    Deed("add_pack", "pack.added", lambda s, by: call(
        "add_pack", by, line=s.release.line, name="Card", kind="single_card", contents={s.release: 1}), MODERATOR),
    Deed("add_pack_version", "packversion.added", lambda s, by: call(
        "add_pack_version", by, pack=PackFactory(), name="second card"), MODERATOR),
    Deed("add_availability", "availability.added", lambda s, by: call(
        "add_availability", by, release=s.release, region="NL", kind="on_sale", on=date(2025, 2, 1),
        source="a leaflet"), MODERATOR),
    Deed("add_trait", "trait.added", lambda s, by: call(
        "add_trait", by, line=s.release.line, key="winch", name="Winch", place="front", kind="part"), MODERATOR),
    Deed("add_state", "state.added", lambda s, by: call(
        "add_state", by, trait=s.crest, key="heron", name="heron"), MODERATOR),
    Deed("adopt_trait", "trait.adopted", lambda s, by: call(
        "adopt_trait", by, release=s.release, trait=TraitFactory(line=s.release.line)), MODERATOR),
    Deed("set_fidelity", "fidelity.set", lambda s, by: call(
        "set_fidelity", by, release=s.release, state=s.anchor, fidelity="made_up_subject"), MODERATOR),
    Deed("set_sample", "sample.set", sampling, MODERATOR),
    Deed("record_drift", "drift.recorded", lambda s, by: call(
        "record_drift", by, release=s.release, trait=s.stripe, note="It wanders.", source="ten compared"),
        MODERATOR),
    Deed("mark_sealed_unobtainable", "sealed.unobtainable", lambda s, by: call(
        "mark_sealed_unobtainable", by, release=s.release), MODERATOR),
    Deed("accept", "trait.accepted", lambda s, by: call(
        "accept", by, thing=TraitFactory(acceptance="proposed")), MODERATOR),
    Deed("rename", "state.renamed", lambda s, by: call(
        "rename", by, thing=s.anchor, name="fouled anchor"), MODERATOR),
    Deed("merge", "state.merged", lambda s, by: call(
        "merge", by, thing=s.anchor, into=StateFactory(trait=s.crest)), MODERATOR),
    Deed("publish_edition", "edition.published", publishing, MODERATOR),
    Deed("make_fit", "fit.made", learning, MODERATOR),
    Deed("adopt_fit", "fit.adopted", adopting, MODERATOR),
    Deed("grant_role", "role.granted", lambda s, by: call(
        "grant_role", by, member=MemberFactory(), role="reviewer", seconded_by=s.moderator), MODERATOR),
    Deed("revoke_role", "role.revoked", lambda s, by: call(
        "revoke_role", by, member=s.reviewers[0], role="reviewer", reason="Away."), MODERATOR),
    Deed("declare_link", "link.declared", lambda s, by: call(
        "declare_link", by, first=MemberFactory(), second=MemberFactory()), MODERATOR),
    Deed("release_held", "dispute.released", lambda s, by: call(
        "release_held", by, held=a_held_dispute(s)), MODERATOR),
    Deed("decline_held", "dispute.declined", lambda s, by: call(
        "decline_held", by, held=a_held_dispute(s), reason="It says nothing new."), MODERATOR),
    Deed("declare_interest", "interest.declared", lambda s, by: call(
        "declare_interest", by, thing=s.release)),
    Deed("end_interest", "interest.ended", lambda s, by: call(
        "end_interest", by, interest=InterestFactory(member=by, release=s.release))),
    Deed("answer_control", "control.answered", lambda s, by: call(
        "answer_control", by, claim=a_settled_claim(s), verdict="confirms", basis="photo")),
    Deed("close_concern", "concern.closed", lambda s, by: call(
        "close_concern", by, concern=ConcernFactory(), outcome="unfounded", reason="One household."), MODERATOR),
    Deed("tell_moderators", "concern.told", lambda s, by: call(
        "tell_moderators", by, about=PhotoFactory(), reason="It shows a door.")),
    Deed("create_token", "token.created", lambda s, by: call(
        "create_token", by, name="list", scopes=["read"])),
    Deed("revoke_token", "token.revoked", ending_a_token),
    Deed("suspend", "member.suspended", lambda s, by: call(
        "suspend", by, member=ReviewerFactory(), reason="Spam."), MODERATOR),
    Deed("reinstate", "member.reinstated", reinstating, MODERATOR),
    Deed("erase_member", "member.erased", lambda s, by: call("erase_member", by)),
    Deed("put_item", "cabinet.put", lambda s, by: call("put_item", by, release=s.release, condition="loose")),
    Deed("own_one", "cabinet.put", lambda s, by: call("own_one", by, release=s.release, condition="sealed")),
    Deed("import_cabinet", "cabinet.imported", lambda s, by: call(
        "import_cabinet", by, data=f"release,condition\n{s.release.public_id},loose\n".encode())),
    Deed("change_item", "cabinet.changed", lambda s, by: call(
        "change_item", by, item=CabinetItemFactory(member=by), count=2)),
    Deed("set_hunt", "hunt.set", lambda s, by: call("set_hunt", by, depth="release", lines=[s.release.line])),
    Deed("take_item_out", "cabinet.taken_out", lambda s, by: call(
        "take_item_out", by, item=CabinetItemFactory(member=by))),
    Deed("say_case_content", "case.told", telling_a_case, MODERATOR),
    Deed("follow", "watch.added", lambda s, by: call("follow", by, casting=s.release.casting)),
    Deed("unfollow", "watch.removed", lambda s, by: call("unfollow", by, watch=WatchFactory(member=by))),
    Deed("tell_by_mail", "watch.changed", lambda s, by: call(
        "tell_by_mail", by, watch=WatchFactory(member=by), by_mail=True)),
]  # fmt: skip

BELONGINGS: dict[str, Callable[[Scene], dict[str, Any]]] = {
    "unfollow": lambda s: {"watch": WatchFactory()},
    "tell_by_mail": lambda s: {"watch": WatchFactory(), "by_mail": True},
    "edit_draft": lambda s: {"submission": s.draft(), "content": {}},
    "withdraw_draft": lambda s: {"submission": s.draft()},
    "send_submission": lambda s: {"submission": s.draft()},
    "attach_photo": lambda s: {"submission": SubmissionFactory(), "data": jpeg()},
    "describe_photo": lambda s: {"photo": PhotoFactory(), "views": ["base"]},
    "give_code": lambda s: {"submission": s.draft()},
    "see_code": lambda s: {"photo": PhotoFactory(), "code": "K7DXW4"},
    "withdraw_sighting": lambda s: {"sighting": a_sighting(s, s.author)},
    "revoke_token": lambda s: {
        "token": actions.create_token(by=s.author, name="t", scopes=["read"], at=now())[0]
    },
    "end_interest": lambda s: {"interest": InterestFactory(release=s.release)},
    "answer_control": lambda s: {"claim": a_claim(s), "verdict": "confirms", "basis": "photo"},
    "change_item": lambda s: {"item": CabinetItemFactory(), "count": 2},
    "take_item_out": lambda s: {"item": CabinetItemFactory()},
}
"""Things of another member that an action must not find: not even that they are there may show."""
