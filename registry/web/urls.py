"""Every page's address. Ids may be typed in any spelling; the canonical one is answered."""

from __future__ import annotations

from django.urls import path

from .naming import page
from .views import (
    account,
    browse,
    cabinet,
    disputes,
    editions,
    events,
    files,
    guides,
    history,
    moderation,
    photos,
    report,
    report_evidence,
    report_send,
    review,
    search,
    sightings,
    variants,
    why,
)

urlpatterns = [
    page("", browse.home, "home"),
    page("search", search.search, "search"),
    # The catalogue
    page("lines", browse.lines, "lines"),
    page("makers/<id:public_id>", browse.maker, "maker"),
    page("lines/<id:public_id>", browse.line, "line"),
    page("castings/<id:public_id>", browse.casting, "casting"),
    page("releases/<id:public_id>", browse.release, "release"),
    page("releases/<id:public_id>/sighting", sightings.report_sighting, "report-sighting"),
    page("packs/<id:public_id>", browse.pack, "pack"),
    page("assortments/<id:public_id>", browse.assortment, "assortment"),
    page("traits/<id:public_id>", browse.trait, "trait"),
    page("states/<id:public_id>", browse.state, "state"),
    # The record
    page("variants/<id:public_id>", variants.variant, "variant"),
    page("variants/<id:public_id>/history", history.all_that_happened, "variant-history"),
    page("variants/<id:public_id>/differences", history.what_differs, "variant-differences"),
    page("variants/<id:public_id>/moderate", events.moderate_variant, "moderate-variant"),
    page("claims/<id:public_id>", variants.claim, "claim"),
    page("claims/<id:public_id>/why", why.claim, "why"),
    page("claims/<id:public_id>/vote", review.vote, "vote"),
    page("claims/<id:public_id>/vote/withdraw", review.withdraw_vote, "withdraw-vote"),
    page("claims/<id:public_id>/dispute", disputes.open_dispute, "open-dispute"),
    page("disputes/<id:public_id>", disputes.dispute, "dispute"),
    page("disputes/<id:public_id>/vote", disputes.vote, "dispute-vote"),
    page("disputes/<id:public_id>/photo", disputes.add_photo, "dispute-photo"),
    page("disputes/<id:public_id>/withdraw", disputes.withdraw, "withdraw-dispute"),
    page("disputes/<id:public_id>/close", disputes.close, "close-dispute"),
    page("photos/<id:public_id>", photos.photo, "photo"),
    page("photos/<id:public_id>/say", photos.say, "photo-say"),
    path("media/<path:path>", files.photo_file, name="photo-file"),
    # Reporting
    page("report", report.report, "report"),
    page("report/begin", report.begin, "begin-report"),
    page("drafts/<id:public_id>/which", report.which, "draft-which"),
    page("drafts/<id:public_id>/details", report.details, "draft-details"),
    page("drafts/<id:public_id>/photos", report_evidence.photos, "draft-photos"),
    page("drafts/<id:public_id>/photos/upload", report_evidence.upload, "draft-upload"),
    page("drafts/<id:public_id>/marks", report_evidence.marks, "draft-marks"),
    page("drafts/<id:public_id>/check", report_send.check, "draft-check"),
    page("drafts/<id:public_id>/withdraw", report.withdraw, "withdraw-draft"),
    # Reviewing and moderating
    page("review", review.desk, "review"),
    page("moderation", moderation.moderation, "moderation"),
    page("moderation/roles", moderation.grant_role, "grant-role"),
    page("moderation/roles/<id:public_id>/revoke", moderation.revoke_role, "revoke-role"),
    page("moderation/lists/publish", editions.publish, "publish-edition"),
    page("moderation/<slug:kind>/<id:public_id>", moderation.proposed, "proposed"),
    # Published lists
    page("lists", editions.editions, "editions"),
    page("lists/<int:number>", editions.edition, "edition"),
    # Mine
    page("account", account.account, "account"),
    page("account/export", account.export, "export-mine"),
    page("account/erase", account.erase, "erase-account"),
    page("account/tokens", account.make_token, "make-token"),
    page("account/tokens/<id:public_id>/revoke", account.revoke_token, "revoke-token"),
    page("account/sightings/<id:public_id>/withdraw", account.withdraw_sighting, "withdraw-sighting"),
    page("cabinet", cabinet.cabinet, "cabinet"),
    page("cabinet/put/<id:public_id>", cabinet.put, "put-item"),
    page("cabinet/<id:public_id>", cabinet.change, "change-item"),
    page("cabinet/<id:public_id>/take-out", cabinet.take_out, "take-item-out"),
    # Guides
    page("how/verified", guides.how_verified, "how-verified"),
    page("how/votes", guides.how_votes, "how-votes"),
    page("how/photograph", guides.how_photograph, "how-photograph"),
]
