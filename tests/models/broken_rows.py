"""For each named constraint, a row that breaks it and nothing else; every call tries to insert one."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from registry import models as m
from tests import factories as f
from tests.gloss import GlossReadingFactory
from tests.measured import MeasurementFactory

from .broken_fits import agreed, confused, fit, fit_rate
from .broken_orders import BROKEN_ORDERS

NOON = f.NOON
Breaking = Callable[[], Any]


def twice(factory: Any, **fields: Any) -> None:
    factory(**fields)
    factory(**fields)


def merged_without_survivor(factory: Any) -> Breaking:
    return lambda: factory(acceptance=m.Acceptance.MERGED)


def proposed_into_another(factory: Any) -> Breaking:
    return lambda: factory(acceptance=m.Acceptance.PROPOSED, merged_into=factory())


def role_held_twice() -> None:
    member = f.MemberFactory()
    twice(m.RoleGrant.objects.create, member=member, role="reviewer", granted_at=NOON)


def secret_kept_twice() -> None:
    member = f.MemberFactory()
    m.JournalEntry.objects.record(by=member, verb="member.joined", about=member, at=NOON)
    twice(
        m.JournalSecret.objects.create, entry=m.JournalEntry.objects.get(), path="reason", salt="0", value="r"
    )


def link(first: m.Member, second: m.Member) -> m.MemberLink:
    return m.MemberLink.objects.create(first=first, second=second, declared_by=first, declared_at=NOON)


def link_out_of_order() -> None:
    first, second = f.MemberFactory(), f.MemberFactory()
    link(second, first)


def link_twice() -> None:
    first, second = f.MemberFactory(), f.MemberFactory()
    link(first, second)
    link(first, second)


def token_over_before_it_began() -> None:
    m.Token.objects.create(
        member=f.MemberFactory(), name="list", digest="d", scopes=[], created_at=NOON, expires_at=NOON
    )


def reply_kept_twice() -> None:
    twice(
        m.KeptReply.objects.create,
        member=f.MemberFactory(), method="POST", path="/v1/x", key="k", request_digest="d", created_at=NOON,
    )  # fmt: skip


def pack_version_twice() -> None:
    twice(m.PackVersion.objects.create, pack=f.PackFactory(), name="first card")


def available(**fields: Any) -> m.Availability:
    said = {"kind": "on_sale", "region": "NL", "on": date(2025, 1, 1), "source": "a kiosk", "release": None}
    return m.Availability.objects.create(added_by=f.MemberFactory(), **{**said, **fields})


def built_in_trait_twice() -> None:
    m.Trait.objects.create(key=m.CAUSE_KEY, name="Cause", place="whole", kind="cause")


def trait_of_nothing() -> None:
    f.TraitFactory(line=None, casting=None)


def trait_of_line_and_casting() -> None:
    f.TraitFactory(casting=f.CastingFactory())


def adopted_twice() -> None:
    release = f.ReleaseFactory()
    trait = f.TraitFactory(line=release.line)
    twice(m.Adoption.objects.create, release=release, trait=trait)


def release_state(**fields: Any) -> m.ReleaseState:
    return m.ReleaseState.objects.create(
        **{"release": f.ReleaseFactory(), "state": f.StateFactory(), **fields}
    )


def release_state_twice() -> None:
    twice(release_state, release=f.ReleaseFactory(), state=f.StateFactory())


def drift(**fields: Any) -> m.Drift:
    said = {"note": "the shade wanders", "source": "ten compared", "added_by": f.MemberFactory()}
    return m.Drift.objects.create(release=f.ReleaseFactory(), trait=f.TraitFactory(), **said, **fields)


def photo_twice_in_one_report() -> None:
    twice(f.PhotoFactory, submission=f.SubmissionFactory(), digest="a" * 64)


def example_twice_in_one_photo() -> None:
    twice(m.PhotoExample.objects.create, photo=f.PhotoFactory(), example=f.ExampleFactory())


def merged_variant_without_survivor() -> None:
    f.VariantFactory(standing="merged")


def open_claim_twice() -> None:
    trait = f.TraitFactory()
    twice(f.ClaimFactory, variant=f.VariantFactory(), trait=trait, state=f.StateFactory(trait=trait))


def revision(**fields: Any) -> None:
    said = {"claims": [], "title": "t", "reason": "r", "at": NOON, "digest": "0" * 64}
    m.Revision(**{**said, **fields}).save()


def revision_number_twice() -> None:
    variant = f.VariantFactory()
    revision(variant=variant, number=1)


def second_revision_without_parent() -> None:
    revision(variant=f.VariantFactory(), number=2)


def first_revision_with_parent() -> None:
    parent = f.VariantFactory().revisions.get()
    revision(variant=m.Variant.objects.create(
        release=f.ReleaseFactory(), title="t", sent_at=NOON, changed_at=NOON), number=1, parent=parent)  # fmt: skip


def moderator_event_of_another_kind() -> None:
    m.ModeratorEvent(
        variant=f.VariantFactory(), kind="lost", reason="r", by=f.MemberFactory(), at=NOON
    ).save()


def struck_without_a_code() -> None:
    m.ModeratorEvent(
        variant=f.VariantFactory(), kind="struck", reason="r", by=f.MemberFactory(), at=NOON
    ).save()


def voted_twice_on_a_claim() -> None:
    twice(f.VoteFactory, by=f.ReviewerFactory(), claim=f.ClaimFactory())


def voted_twice_on_a_statement() -> None:
    twice(f.VoteFactory, by=f.ReviewerFactory(), claim=None, statement=f.StatementFactory())


def vote_on_both() -> None:
    f.VoteFactory(statement=f.StatementFactory())


def counted(**fields: Any) -> m.CountLine:
    return m.CountLine.objects.create(
        sighting=f.SightingFactory(), **{"kind": "none_known", "n": 1, **fields}
    )


def dispute(**fields: Any) -> m.Dispute:
    said: dict[str, Any] = {"opened_by": f.MemberFactory(), "reason": "r", "opened_at": NOON}
    return m.Dispute.objects.create(**{**said, **fields})


def rival_of(claim: m.Claim) -> m.Claim:
    return f.ClaimFactory(variant=claim.variant, trait=claim.trait, is_rival=True, since_revision=None)


def claim_disputed_twice() -> None:
    claim = f.ClaimFactory()
    dispute(claim=claim, rival=rival_of(claim))
    dispute(claim=claim, rival=rival_of(claim))


def statement_disputed_twice() -> None:
    twice(dispute, statement=f.StatementFactory())


def edition(number: int) -> None:
    m.Edition(
        number=number, issued_at=NOON, policy=m.Policy.objects.get(version=1), position=1, count=0,
        records_digest="0" * 64, digest="0" * 64, document="{}", issued_by=f.MemberFactory(),
    ).save()  # fmt: skip


def published(position: int, **fields: Any) -> None:
    said = {"variant_public_id": "x" * 12, "revision": 1, "digest": "0" * 64, "record": "{}", "kind": "new"}
    m.PublicationEntry(**{**said, "position": position, "edition_number": 1, **fields}).save()


def published_twice_in_one_edition() -> None:
    variant = f.VariantFactory()
    published(1, variant=variant)
    published(2, variant=variant)


def search_entry_of_another_kind() -> None:
    m.SearchEntry.objects.create(kind="x", public_id="x" * 12, title="t", words="t")


def one_line_twice() -> None:
    twice(f.LineFactory, maker=f.MakerFactory(), name="Quayside")


def one_casting_twice() -> None:
    twice(f.CastingFactory, maker=f.MakerFactory(), name="Brinewagon")


def one_release_twice() -> None:
    casting = f.CastingFactory()
    line = f.LineFactory(maker=casting.maker)
    twice(f.ReleaseFactory, casting=casting, line=line, name="High water", number="1")


def one_assortment_twice() -> None:
    twice(f.AssortmentFactory, line=f.LineFactory(), name="Neap", case_code="N")


def assortment_item_twice() -> None:
    release = f.ReleaseFactory()
    twice(f.AssortmentItemFactory, release=release, assortment=f.AssortmentFactory(line=release.line))


def pack_content_twice() -> None:
    release = f.ReleaseFactory()
    twice(f.PackContentFactory, release=release, pack=f.PackFactory(line=release.line))


def trait_twice_in_a_line() -> None:
    twice(f.TraitFactory, line=f.LineFactory(), key="crest")


def trait_twice_in_a_casting() -> None:
    twice(f.TraitFactory, line=None, casting=f.CastingFactory(), key="crest")


def state_twice_in_a_trait() -> None:
    twice(f.StateFactory, trait=f.TraitFactory(), key="anchor")


BROKEN: list[tuple[str, Breaking]] = [
    *BROKEN_ORDERS,
    ("role_grant_role_known", lambda: f.MemberFactory(roles=["x"])),
    ("journal_secret_once_per_part", secret_kept_twice),
    ("member_erased_is_closed", lambda: f.MemberFactory(erased_at=NOON, is_active=True)),
    ("role_grant_held_once", role_held_twice),
    ("member_link_ordered", link_out_of_order),
    ("member_link_once", link_twice),
    ("token_expires_after_creation", token_over_before_it_began),
    ("kept_reply_once_per_key", reply_kept_twice),
    ("line_once_per_maker", one_line_twice),
    ("line_scale_positive", lambda: f.LineFactory(scale=0)),
    ("casting_acceptance_known", lambda: f.CastingFactory(acceptance="x")),
    ("casting_merged_names_survivor", merged_without_survivor(f.CastingFactory)),
    ("casting_merged_names_survivor", proposed_into_another(f.CastingFactory)),
    ("casting_once_per_maker", one_casting_twice),
    ("release_acceptance_known", lambda: f.ReleaseFactory(acceptance="x")),
    ("release_merged_names_survivor", merged_without_survivor(f.ReleaseFactory)),
    ("release_merged_names_survivor", proposed_into_another(f.ReleaseFactory)),
    ("release_once", one_release_twice),
    ("release_year_plausible", lambda: f.ReleaseFactory(year=1899)),
    ("release_year_plausible", lambda: f.ReleaseFactory(year=2201)),
    ("assortment_once", one_assortment_twice),
    ("assortment_window_in_order",
     lambda: f.AssortmentFactory(opens_on=date(2025, 2, 2), closes_on=date(2025, 2, 1))),
    ("assortment_item_once", assortment_item_twice),
    ("pack_acceptance_known", lambda: f.PackFactory(acceptance="x")),
    ("pack_merged_names_survivor", merged_without_survivor(f.PackFactory)),
    ("pack_merged_names_survivor", proposed_into_another(f.PackFactory)),
    ("pack_kind_known", lambda: f.PackFactory(kind="crate")),
    ("pack_content_once", pack_content_twice),
    ("pack_content_count_positive", lambda: f.PackContentFactory(count=0)),
    ("pack_version_once", pack_version_twice),
    ("availability_of_one_thing", available),
    ("availability_of_one_thing", lambda: available(release=f.ReleaseFactory(), pack=f.PackFactory())),
    ("availability_kind_known", lambda: available(release=f.ReleaseFactory(), kind="rumoured")),
    ("trait_acceptance_known", lambda: f.TraitFactory(acceptance="x")),
    ("trait_merged_names_survivor", merged_without_survivor(f.TraitFactory)),
    ("trait_merged_names_survivor", proposed_into_another(f.TraitFactory)),
    ("trait_place_known", lambda: f.TraitFactory(place="keel")),
    ("trait_kind_known", lambda: f.TraitFactory(kind="smell")),
    ("trait_of_line_or_casting", trait_of_nothing),
    ("trait_of_line_or_casting", trait_of_line_and_casting),
    ("trait_key_once_per_line", trait_twice_in_a_line),
    ("trait_key_once_per_casting", trait_twice_in_a_casting),
    ("trait_key_once_built_in", built_in_trait_twice),
    ("state_acceptance_known", lambda: f.StateFactory(acceptance="x")),
    ("state_merged_names_survivor", merged_without_survivor(f.StateFactory)),
    ("state_merged_names_survivor", proposed_into_another(f.StateFactory)),
    ("state_key_once_per_trait", state_twice_in_a_trait),
    ("state_colour_whole_or_absent", lambda: f.StateFactory(lab_l=5000)),
    ("state_colour_whole_or_absent", lambda: f.StateFactory(lab_l=5000, lab_a=0)),
    ("state_lightness_in_range", lambda: f.StateFactory(lab_l=10_001, lab_a=0, lab_b=0)),
    ("state_lightness_in_range", lambda: f.StateFactory(lab_l=-1, lab_a=0, lab_b=0)),
    ("state_number_has_unit", lambda: f.StateFactory(number=38_000)),
    ("adoption_once", adopted_twice),
    ("release_state_once", release_state_twice),
    ("release_state_fidelity_known", lambda: release_state(fidelity="nearly")),
    ("release_state_fidelity_sourced", lambda: release_state(fidelity="matches", subject="a lorry")),
    ("release_state_fidelity_sourced", lambda: release_state(fidelity="departs", source="a book")),
    ("drift_range_in_order", lambda: drift(low=2, high=1, unit="gu")),
    ("drift_range_in_order", lambda: drift(low=1, high=2)),
    ("submission_status_known", lambda: f.SubmissionFactory(status="x")),
    ("submission_sent_is_whole", lambda: f.SubmissionFactory(status="sent")),
    ("submission_sent_is_whole", lambda: f.SubmissionFactory(status="sent", sent_at=NOON)),
    ("example_condition_known", lambda: f.ExampleFactory(condition="worn")),
    ("photo_licence_known", lambda: f.PhotoFactory(licence="none")),
    ("photo_has_area", lambda: f.PhotoFactory(width=0)),
    ("photo_once_per_submission", photo_twice_in_one_report),
    ("photo_example_once", example_twice_in_one_photo),
    ("mark_has_area", lambda: f.MarkFactory(w=0)),
    ("mark_inside_picture", lambda: f.MarkFactory(x=8001, w=2000)),
    ("mark_inside_picture", lambda: f.MarkFactory(y=9001, h=1000)),
    ("measurement_known_by_known", lambda: MeasurementFactory(known_by="eye")),
    ("measurement_inside_picture", lambda: MeasurementFactory(known_y2=10_001)),
    ("measurement_lengths_positive", lambda: MeasurementFactory(error_um=0)),
    ("measurement_claim_names_trait", lambda: MeasurementFactory(claim=f.ClaimFactory())),
    ("gloss_reading_geometry_known", lambda: GlossReadingFactory(geometry=45)),
    ("gloss_reading_within_what_meters_show", lambda: GlossReadingFactory(tenths=20_001)),
    ("variant_standing_known", lambda: f.VariantFactory(standing="x")),
    ("variant_merged_names_survivor", merged_variant_without_survivor),
    ("variant_merged_names_survivor", lambda: f.VariantFactory(merged_into=f.VariantFactory())),
    ("variant_revision_positive", lambda: f.VariantFactory(revision_number=0)),
    ("claim_standing_known", lambda: f.ClaimFactory(standing="x")),
    ("claim_one_open_per_trait", open_claim_twice),
    ("claim_rival_or_in_a_revision", lambda: f.ClaimFactory(is_rival=True)),
    ("claim_rival_or_in_a_revision", lambda: f.ClaimFactory(since_revision=None)),
    ("claim_closed_after_opened", lambda: f.ClaimFactory(closed_at=NOON - timedelta(seconds=1))),
    ("claim_posterior_in_range", lambda: f.ClaimFactory(posterior=1.01)),
    ("claim_posterior_in_range", lambda: f.ClaimFactory(posterior=-0.01)),
    ("revision_number_once", revision_number_twice),
    ("revision_names_parent", second_revision_without_parent),
    ("revision_names_parent", first_revision_with_parent),
    ("moderator_event_kind_known", moderator_event_of_another_kind),
    ("moderator_event_struck_says_why", struck_without_a_code),
    ("vote_verdict_known", lambda: f.VoteFactory(verdict="perhaps")),
    ("vote_basis_known", lambda: f.VoteFactory(basis="hearsay")),
    ("vote_on_claim_or_statement", lambda: f.VoteFactory(claim=None)),
    ("vote_on_claim_or_statement", vote_on_both),
    ("vote_current_once_per_claim", voted_twice_on_a_claim),
    ("vote_current_once_per_statement", voted_twice_on_a_statement),
    ("vote_state_seen_contradicts", lambda: f.VoteFactory(state_seen=f.StateFactory())),
    ("vote_current_or_ended", lambda: f.VoteFactory(is_current=False)),
    ("vote_current_or_ended", lambda: f.VoteFactory(ended_at=NOON)),
    ("sighting_scope_known", lambda: f.SightingFactory(scope="town")),
    ("sighting_picked_over_known", lambda: f.SightingFactory(picked_over="rather")),
    ("sighting_cases_only_of_full_count", lambda: f.SightingFactory(cases_compared=2)),
    ("sighting_cases_only_of_full_count", lambda: f.SightingFactory(cases_compared=0, is_full_count=True)),
    ("sighting_example_is_one_item", lambda: f.SightingFactory(scope="peg", example=f.ExampleFactory())),
    ("count_line_kind_known", lambda: counted(kind="guess")),
    ("count_line_positive", lambda: counted(n=0)),
    ("dispute_outcome_known", lambda: dispute(statement=f.StatementFactory(), outcome="x", closed_at=NOON)),
    ("dispute_of_claim_or_statement", dispute),
    ("dispute_of_claim_or_statement", lambda: dispute(claim=f.ClaimFactory())),
    ("dispute_open_or_closed", lambda: dispute(statement=f.StatementFactory(), outcome="upheld")),
    ("dispute_open_or_closed", lambda: dispute(statement=f.StatementFactory(), closed_at=NOON)),
    ("dispute_one_open_per_claim", claim_disputed_twice),
    ("dispute_one_open_per_statement", statement_disputed_twice),
    ("edition_names_previous", lambda: edition(number=2)),
    ("publication_entry_kind_known", lambda: published(1, variant=f.VariantFactory(), kind="x")),
    ("publication_entry_once_per_edition", published_twice_in_one_edition),
    ("cabinet_item_condition_known", lambda: f.CabinetItemFactory(condition="worn")),
    ("cabinet_item_count_positive", lambda: f.CabinetItemFactory(count=0)),
    ("cabinet_item_swaps_owned", lambda: f.CabinetItemFactory(count=1, to_swap=2)),
    ("hunt_depth_known", lambda: f.HuntFactory(depth="all")),
    ("fit_prior_in_range", lambda: fit(prior=1_000_000)),
    ("fit_rate_kind_known", lambda: fit_rate(kind="x")),
    ("fit_rate_sensitivity_in_range", lambda: fit_rate(sensitivity=1_000_000)),
    ("fit_rate_specificity_in_range", lambda: fit_rate(specificity=0)),
    ("fit_rate_turns_nobody_round", lambda: fit_rate(sensitivity=400_000, specificity=599_999)),
    ("fit_rate_once", lambda: twice(fit_rate, member=f.MemberFactory())),
    ("fit_rate_once_for_everybody", lambda: twice(fit_rate)),
    ("confusion_once", lambda: twice(confused)),
    ("trait_agreement_once", lambda: twice(agreed)),
    ("search_entry_kind_known", search_entry_of_another_kind),
]  # fmt: skip
