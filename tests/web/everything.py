"""A small world with something on every page, and the address of each page with who may open it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from registry import actions
from registry.actions.index import index
from registry.models import Claim, Concern, HeldDispute, Mark, Member, Submission, Trait
from tests.coloured import tint
from tests.factories import (
    AssortmentItemFactory,
    CabinetItemFactory,
    CaseContentFactory,
    CastingFactory,
    CodePatternFactory,
    ConcernFactory,
    HeldDisputeFactory,
    InterestFactory,
    LineFactory,
    MemberFactory,
    PackContentFactory,
    PendingDeedFactory,
    ReleaseFactory,
    SightingFactory,
    WatchFactory,
)
from tests.gloss import GlossReadingFactory
from tests.measured import MeasurementFactory
from tests.opened import an_opened_draft
from tests.path import Scene, claim_on, now
from tests.pictures import jpeg


@dataclass
class World:
    """`pages`: by the name of its address, each page's path and the member who looks at it (None: anybody)."""

    scene: Scene
    pages: dict[str, tuple[str, Member | None]]


def world(rows: int = 2, **texts: str) -> World:
    """`rows` of everything that a page lists. `texts` puts a title, note, nickname, reason or caption everywhere."""
    scene = Scene()
    base = scene.report(
        scene.anchor,
        scene.red,
        scene.black,
        title=texts.get("title", "Anchor"),
        nicknames=[texts.get("nickname", "Annie")],
    )
    scene.show(base)
    gull = scene.report(scene.gull, base=base, cause="running_change", title=texts.get("title", "Gull"))
    scene.show(gull)
    for n in range(rows):
        more_of_everything(scene, n, base, gull, texts)
    claim = claim_on(gull, scene.crest)
    dispute = actions.open_dispute(
        claim=claim_on(base, scene.crest),
        state=scene.gull,
        by=scene.author,
        reason=texts.get("reason", "A gull."),
        at=now(),
    )
    shown = base.release.examples.order_by("pk")[0]
    measured = shown.photos.get()
    photo = actions.attach_photo(
        by=shown.owner, at=now(), data=jpeg(), dispute=dispute, caption=texts.get("caption", "The roof"),
        examples=[shown],
    )  # fmt: skip
    for _ in range(rows):
        scene.mark(claim_on(base, scene.crest), photo, shown)
    for one in [photo, measured] * rows:
        MeasurementFactory(photo=one, example=shown, claim=claim, trait=scene.crest, by=scene.author)
    draft = full_draft(scene, base, rows, texts)
    scene.verify(base)
    actions.adopt_fit(fit=actions.make_fit(at=now()), at=now(), reason="The first one.")
    actions.settle_under_new_fit(at=now())
    tint(Mark.objects.select_related("photo__owner"))
    actions.publish_edition(by=scene.moderator, at=now())
    casting = CastingFactory(
        acceptance="proposed", proposed_by=scene.author, name=texts.get("title", "Foghorn")
    )
    CodePatternFactory(line=scene.release.line)
    said = actions.make_statement(
        by=scene.author, at=now(), release=scene.release, kind="before", variant=base, other=gull,
        source_kind="makers_notice", source=texts.get("note", "a trade sheet"),
    )  # fmt: skip
    item = CabinetItemFactory(member=scene.author, release=scene.release, note=texts.get("note", ""))
    index(scene.release)
    pages = addresses(scene, base, gull, claim, dispute, photo, draft, casting, item) | orders(scene, said)
    pages["measure"] = (f"/photos/{measured.public_id}/measure", scene.author)
    pages["shine"] = (f"/marks/{on_a_finish(scene, base).public_id}/shine", scene.reviewers[5])
    pages["gloss"] = (f"/claims/{read_by_meter(scene, base, rows, texts).public_id}/gloss", scene.author)
    return World(scene, pages)


def on_a_finish(scene: Scene, variant: Any) -> Mark:
    """A mark on a finish, on a photograph whose file is there."""
    Trait.objects.filter(pk=scene.stripe.pk).update(kind="finish")
    mark = claim_on(variant, scene.stripe).marks.first()
    assert mark is not None
    default_storage.save(mark.photo.stored_as(), ContentFile(jpeg(mark.photo.width, mark.photo.height)))
    return mark


def read_by_meter(scene: Scene, variant: Any, rows: int, texts: dict[str, str]) -> Claim:
    """A claim on a finish, read by the author on an item of theirs as often as said."""
    claim, example = claim_on(variant, scene.stripe), scene.example(owner=scene.author)
    for _ in range(rows):
        GlossReadingFactory(
            example=example,
            claim=claim,
            trait=scene.stripe,
            by=scene.author,
            instrument=texts.get("note", ""),
        )
    return claim


def more_of_everything(scene: Scene, n: int, base: Any, gull: Any, texts: dict[str, str]) -> None:
    """One row more on each list."""
    variant = scene.report(
        *actions_states(scene, n), base=base, by=scene.reviewers[n % 5], title=texts.get("title", f"Tide {n}")
    )
    scene.show(variant)
    pack = PackContentFactory(release=scene.release).pack
    assortment = AssortmentItemFactory(release=scene.release).assortment
    first_pack, first_assortment = scene.release.packs.first(), scene.release.assortments.first()
    for other in (
        ReleaseFactory(line=scene.release.line, casting=scene.release.casting),
        ReleaseFactory(line=scene.release.line),
    ):
        PackContentFactory(release=other, pack=first_pack or pack)
        AssortmentItemFactory(release=other, assortment=first_assortment or assortment)
    CabinetItemFactory(member=scene.author, release=scene.release)
    CaseContentFactory(variant=variant, assortment=first_assortment or assortment)
    SightingFactory(by=scene.author, release=scene.release)
    CastingFactory(acceptance="proposed", proposed_by=scene.author)
    actions.report_sighting(
        by=scene.author,
        at=now(),
        release=scene.release,
        scope="sealed_pack",
        seen_on=now().date(),
        note=texts.get("note", ""),
        count_lines=[{"kind": "variant", "variants": [one], "n": 1} for one in (base, gull, variant)],
    )
    actions.report_sighting(
        by=scene.reviewers[n % 5],
        at=now(),
        release=scene.release,
        scope="case",
        seen_on=now().date(),
        country="NL",
        is_full_count=True,
        traits_seen=[scene.wheels],
        count_lines=[{"kind": "variant", "variants": [one], "n": 3} for one in (base, variant)],
    )
    actions.make_statement(
        by=scene.author,
        at=now(),
        release=scene.release,
        kind="before",
        variant=base,
        other=variant,
        source_kind="dated_sighting",
        source=texts.get("note", "a kiosk receipt"),
    )
    actions.cast_vote(
        claim=claim_on(variant, scene.wheels),
        by=scene.author,
        at=now(),
        verdict="confirms",
        basis="photo",
        note=texts.get("note", ""),
    )
    actions.make_statement(
        by=scene.reviewers[n % 5], at=now(), release=scene.release, kind="before", variant=base, other=variant,
        source_kind="makers_notice", source=texts.get("note", "a trade sheet"),
    )  # fmt: skip
    CodePatternFactory(line=scene.release.line)
    WatchFactory(member=scene.author, line=scene.release.line if n == 0 else LineFactory())
    actions.create_token(by=scene.author, name=texts.get("note", f"Shelf {n}"), scopes=["read"], at=now())
    actions.open_dispute(
        claim=claim_on(variant, scene.wheels),
        state=scene.black,
        by=scene.author,
        reason=texts.get("reason", "Black."),
        at=now(),
    )
    actions.start_draft(by=scene.author, at=now(), release=scene.release)
    ask_what_differs(scene, n, texts)
    to_look_into(scene, variant, texts)


def ask_what_differs(scene: Scene, n: int, texts: dict[str, str]) -> None:
    """One more opened draft, and one more remark on the first of them."""
    an_opened_draft(scene, scene.author, note=texts.get("note", "An odd crest."))
    actions.add_remark(
        photo=first_opened(scene).photos.get(), by=scene.reviewers[n % 5], at=now(), xywh=(100, 100, 900, 900),
        state=scene.gull, sentence=texts.get("note", "It has wings."),
    )  # fmt: skip


def first_opened(scene: Scene) -> Submission:
    return Submission.objects.opened().filter(author=scene.author).order_by("pk")[0]


def to_look_into(scene: Scene, variant: Any, texts: dict[str, str]) -> None:
    """For the moderators: one more concern, held dispute and deed for two; and an interest of the author's."""
    claim = claim_on(variant, scene.wheels)
    evidence = {"claims": [claim.public_id], "targets": [claim.pk], "one_address": True, "pairs": []}
    concern = Concern.objects.first() or ConcernFactory(evidence=evidence)
    concern.evidence["claims"].append(claim.public_id)
    concern.evidence["pairs"].append(
        {"members": [m.public_id for m in scene.reviewers[:2]], "shared": 15, "close": 15, "one_in": 10**9}
    )
    concern.save()
    concern.members.add(*scene.reviewers, MemberFactory())
    ConcernFactory(kind="surge", claim=claim)
    HeldDisputeFactory(
        claim=claim, state=scene.black, opened_by=scene.author, reason=texts.get("reason", "Black.")
    )
    detail = {"member": scene.author.public_id, "role": "reviewer"}
    actions.suspend(member=MemberFactory(), by=scene.moderator, at=now(), reason=texts.get("reason", "Spam."))
    PendingDeedFactory(detail=detail, asked_by=scene.moderator, reason=texts.get("reason", "Steady."))
    InterestFactory(member=scene.author)


def actions_states(scene: Scene, n: int) -> list[Any]:
    """A wheel of its own for each variant."""
    return [
        actions.add_state(by=scene.moderator, at=now(), trait=scene.wheels, key=f"tint_{n}", name=f"tint {n}")
    ]


def full_draft(scene: Scene, base: Any, rows: int, texts: dict[str, str]) -> Any:
    draft = scene.draft(base=base)
    photos = [
        actions.attach_photo(
            by=scene.author,
            at=now(),
            data=jpeg(120, 80, (9 * n % 256, 250 - 9 * n % 200, 99)),
            submission=draft,
        )
        for n in range(rows)
    ]
    content = {
        "title": texts.get("title", "Chrome"),
        "note": texts.get("note", ""),
        "claims": [
            {
                "trait": scene.wheels.public_id,
                "state": scene.chrome.public_id,
                "kind": "difference",
                "base_state": scene.black.public_id,
            }
        ],
        "examples": [
            {"ref": f"e{n}", "condition": "loose", "mine": True, "found_shop": texts.get("note", "kiosk")}
            for n in range(rows)
        ],
        "photos": [{"photo": photo.public_id, "examples": ["ref:e0"], "views": []} for photo in photos],
        "marks": [
            {
                "photo": photo.public_id,
                "example": "ref:e0",
                "trait": scene.wheels.public_id,
                "of": "variant",
                "xywh": "percent:1,2,3,4",
            }
            for photo in photos
        ],
        "sightings": [{"scope": "peg", "seen_on": "2026-03-14", "n": 2, "region": texts.get("note", "")}]
        * rows,
        "proposes": {
            "traits": [
                {"ref": f"t{n}", "name": texts.get("title", f"Rung {n}"), "place": "rear", "kind": "count"}
                for n in range(rows)
            ],
            "states": [
                {"ref": f"s{n}", "trait": scene.crest.public_id, "name": texts.get("title", f"crest {n}")}
                for n in range(rows)
            ],
        },
    }
    return actions.edit_draft(submission=draft, by=scene.author, at=now(), content=content)


def addresses(
    scene: Scene,
    base: Any,
    gull: Any,
    claim: Any,
    dispute: Any,
    photo: Any,
    draft: Any,
    casting: Any,
    item: Any,
) -> dict[str, tuple[str, Member | None]]:
    author, reviewer, moderator = scene.author, scene.reviewers[5], scene.moderator
    release = scene.release
    pack, assortment = release.packs.first(), release.assortments.first()
    seen = f"held=pack&{scene.crest.public_id}={scene.anchor.public_id}"
    return {
        "home": ("/", reviewer),
        "search": (f"/search?q={release.name.split()[0]}", reviewer),
        "lines": ("/lines", reviewer),
        "maker": (f"/makers/{release.line.maker.public_id}", reviewer),
        "line": (f"/lines/{release.line.public_id}", reviewer),
        "casting": (f"/castings/{release.casting.public_id}", reviewer),
        "release": (f"/releases/{release.public_id}", reviewer),
        "identify": (f"/identify?q={release.name.split()[0]}", reviewer),
        "identify-line": (f"/identify?line={release.line.public_id}&{seen}", None),
        "identify-release": (f"/releases/{release.public_id}/identify?{seen}", reviewer),
        "identify-casting": (f"/castings/{release.casting.public_id}/identify?{seen}", None),
        "pocket": (f"/pocket/{release.public_id}", reviewer),
        "sheet": (f"/releases/{release.public_id}/sheet", reviewer),
        "order": (f"/releases/{release.public_id}/order", reviewer),
        "scarcity": (f"/releases/{release.public_id}/scarcity", reviewer),
        "report-sighting": (f"/releases/{release.public_id}/sighting", author),
        "pack": (f"/packs/{pack.public_id}", reviewer),
        "assortment": (f"/assortments/{assortment.public_id}", reviewer),
        "trait": (f"/traits/{scene.crest.public_id}", reviewer),
        "state": (f"/states/{scene.anchor.public_id}", reviewer),
        "variant": (f"/variants/{base.public_id}", reviewer),
        "revision": (f"/variants/{base.public_id}?revision={base.revisions.count()}", reviewer),
        "then": (f"/variants/{base.public_id}?at=2100-01-01", reviewer),
        "variant-history": (f"/variants/{base.public_id}/history", reviewer),
        "variant-differences": (f"/variants/{base.public_id}/differences", reviewer),
        "why": (f"/claims/{claim.public_id}/why", reviewer),
        "moderate-variant": (f"/variants/{gull.public_id}/moderate?into={base.public_id}", moderator),
        "vote": (f"/claims/{claim.public_id}/vote", reviewer),
        "open-dispute": (f"/claims/{claim.public_id}/dispute", reviewer),
        "dispute": (f"/disputes/{dispute.public_id}", moderator),
        "photo": (f"/photos/{photo.public_id}", moderator),
        "compare": (f"/compare?a={photo.public_id}&b={photo.public_id}", author),
        "compare-choose": (f"/compare?a={photo.public_id}", author),
        "report": ("/report?q=" + release.name.split()[0], author),
        "draft-which": (f"/drafts/{draft.public_id}/which", author),
        "draft-details": (f"/drafts/{draft.public_id}/details", author),
        "draft-known": (f"/drafts/{draft.public_id}/known", author),
        "draft-photos": (f"/drafts/{draft.public_id}/photos", author),
        "draft-marks": (f"/drafts/{draft.public_id}/marks", author),
        "draft-sightings": (f"/drafts/{draft.public_id}/sightings", author),
        "draft-check": (f"/drafts/{draft.public_id}/check", author),
        "agree": (f"/variants/{base.public_id}/agree?desk=yes", reviewer),
        "quick": (f"/quick?release={release.public_id}", author),
        "opened": ("/open", None),
        "open-draft": (f"/open/{first_opened(scene).public_id}", author),
        "review": ("/review", reviewer),
        "moderation": ("/moderation", moderator),
        "look-up": ("/moderation/find?q=Nobody%20is%20called%20that", moderator),
        "roles": ("/moderation/members", moderator),
        "moderate-member": (f"/moderation/members/{author.public_id}", moderator),
        "proposed-of-kind": ("/moderation/casting", moderator),
        "proposed": (f"/moderation/casting/{casting.public_id}", moderator),
        "concern": (f"/moderation/concerns/{Concern.objects.first().public_id}", moderator),
        "tell": (f"/tell/variant/{base.public_id}", author),
        "held": (f"/moderation/held/{HeldDispute.objects.first().public_id}", moderator),
        "declare-interest": (f"/releases/{release.public_id}/interest", author),
        "editions": ("/lists", None),
        "edition": ("/lists/1", reviewer),
        "account": ("/account", author),
        "erase-account": ("/account/erase", author),
        "cabinet": ("/cabinet", author),
        "put-item": (f"/cabinet/put/{release.public_id}?variant={base.public_id}", author),
        "change-item": (f"/cabinet/{item.public_id}", author),
        "cabinet-file": ("/cabinet/file", author),
        "hunt": ("/hunt", author),
        "hunt-depth": ("/hunt/depth", author),
        "hunt-code": (f"/hunt/code?code={pack.gtin or '06291041500213'}", author),
        "hunt-sheet": ("/hunt/sheet", author),
        "watching": ("/watching", author),
        "help": ("/help", reviewer),
        "how-words": ("/how/words", None),
        "how-lists": ("/how/lists", None),
        "how-verified": ("/how/verified", None),
        "how-votes": ("/how/votes", reviewer),
        "how-photograph": ("/how/photograph", None),
        "account_login": ("/accounts/login/", None),
        "account_signup": ("/accounts/signup/", None),
    }


def orders(scene: Scene, said: Any) -> dict[str, tuple[str, Member | None]]:
    return {
        "count-sighting": (f"/releases/{scene.release.public_id}/sighting?as=count", scene.author),
        "compare-sighting": (f"/releases/{scene.release.public_id}/sighting?as=compared", scene.author),
        "import-sightings": ("/account/sightings/import", scene.author),
        "statements": (f"/releases/{scene.release.public_id}/statements", scene.reviewers[5]),
        "statement": (f"/statements/{said.public_id}", scene.moderator),
        "line-codes": (f"/lines/{scene.release.line.public_id}/codes", scene.moderator),
    }
