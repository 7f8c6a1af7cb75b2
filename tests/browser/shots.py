"""A picture of every page, at both widths, in light and in dark, of the demonstration's own data.

    python3 manage.py demo --no-serve
    .venv/bin/python -m tests.browser.shots

The pictures are in `shots/`, which git ignores: `shots/390-light/release.jpg` and so on. The demonstration is copied
first and stays as it is. `--only release,variant` takes only these pages, `--looks 390-light` only this look.
"""

from __future__ import annotations

import argparse
import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
LOOKS = {f"{width}-{scheme}": (width, scheme) for width in (390, 1280) for scheme in ("light", "dark")}
READY = """async () => {
    document.querySelectorAll("img[loading=lazy]").forEach((one) => { one.loading = "eager"; });
    await Promise.all([...document.images].map((one) => one.decode().catch(() => {})));
}"""


def addresses() -> dict[str, tuple[str, str]]:
    """By name, each page's path and who looks at it: anybody, a member, a reviewer, a moderator.

    Of each kind of record the one with most to show; a page that nothing is there for is left out.
    """
    from django.core.exceptions import ObjectDoesNotExist

    found = {}
    for name, who, path in recipes():
        try:
            found[name] = (path(), who)
        except (ObjectDoesNotExist, AttributeError, IndexError):
            continue  # there is no such record
    return found


def recipes() -> Iterator[tuple[str, str, Callable[[], str]]]:
    from django.db.models import Count, Q

    from registry.models import (
        Assortment,
        CabinetItem,
        Casting,
        Claim,
        ClaimStanding,
        Concern,
        Dispute,
        HeldDispute,
        Mark,
        Measurement,
        Pack,
        Photo,
        Release,
        State,
        Statement,
        Submission,
        Trait,
        Variant,
        VariantStanding,
    )

    release = Release.objects.current().annotate(n=Count("variants", distinct=True)).order_by("-n", "pk")[0]
    of_release = Variant.objects.filter(release=release)
    first = of_release.filter(standing=VariantStanding.VERIFIED).order_by("pk").first() or of_release[0]
    shown = Mark.objects.standing().filter(claim__variant__release=release, claim__closed_at=None)
    marked = shown.values_list("claim__trait").annotate(n=Count("pk")).order_by("-n", "claim__trait")
    trait = Trait.objects.get(pk=marked[0][0])
    claim = (
        Claim.objects.votable()
        .filter(standing=ClaimStanding.OPEN, author__isnull=False)
        .order_by("-urgency", "pk")[0]
    )
    photos = Photo.objects.filter(taken_down_at=None, marks__claim__isnull=False)
    photo = photos.annotate(n=Count("marks")).order_by("-n", "pk")[0]
    draft = Submission.objects.filter(status="draft", opened_at=None).first
    seen = f"held=pack&{trait.public_id}={State.objects.current().filter(trait=trait)[0].public_id}"
    word, one = release.name.split()[0], f"/releases/{release.public_id}"
    item = CabinetItem.objects.order_by("pk").first

    def gloss() -> str:
        finish = Claim.objects.open().filter(gloss_readings__isnull=False).order_by("pk")[0]
        return f"/claims/{finish.public_id}/gloss"

    def shine() -> str:
        mark = Mark.objects.standing().filter(claim__trait__kind="finish").order_by("pk")[0]
        return f"/marks/{mark.public_id}/shine"

    def is_contested() -> Variant:
        contested = Q(standing=VariantStanding.CONTESTED)
        return Variant.objects.filter(contested).order_by("pk").first() or first

    for name, who, path in [
        ("home", "anybody", "/"),
        ("search", "anybody", f"/search?q={word}"),
        ("search-nothing", "anybody", "/search?q=zzzz"),
        ("lines", "anybody", "/lines"),
        ("maker", "anybody", f"/makers/{release.line.maker.public_id}"),
        ("line", "anybody", f"/lines/{release.line.public_id}"),
        ("casting", "anybody", f"/castings/{release.casting.public_id}"),
        ("release", "anybody", one),
        ("identify", "anybody", f"/identify?q={word}"),
        ("identify-line", "anybody", f"/identify?line={release.line.public_id}"),
        ("identify-release", "anybody", f"{one}/identify?{seen}"),
        ("identify-casting", "anybody", f"/castings/{release.casting.public_id}/identify"),
        ("pocket", "anybody", f"/pocket/{release.public_id}"),
        ("sheet", "anybody", f"{one}/sheet"),
        ("order", "anybody", f"{one}/order"),
        ("scarcity", "anybody", f"{one}/scarcity"),
        ("statements", "reviewer", f"{one}/statements"),
        ("report-sighting", "member", f"{one}/sighting"),
        ("count-sighting", "member", f"{one}/sighting?as=count"),
        ("compare-sighting", "member", f"{one}/sighting?as=compared"),
        ("declare-interest", "member", f"{one}/interest"),
        ("put-item", "member", f"/cabinet/put/{release.public_id}?variant={first.public_id}"),
        ("trait", "anybody", f"/traits/{trait.public_id}"),
        ("state", "anybody", f"/states/{shown.filter(claim__trait=trait)[0].claim.state.public_id}"),
        ("variant", "anybody", f"/variants/{first.public_id}"),
        ("revision", "anybody", f"/variants/{first.public_id}?revision=1"),
        ("then", "anybody", f"/variants/{first.public_id}?at=2100-01-01"),
        ("variant-history", "anybody", f"/variants/{first.public_id}/history"),
        ("moderate-variant", "moderator", f"/variants/{first.public_id}/moderate"),
        ("why", "anybody", f"/claims/{claim.public_id}/why"),
        ("vote", "reviewer", f"/claims/{claim.public_id}/vote"),
        ("open-dispute", "member", f"/claims/{claim.public_id}/dispute"),
        ("photo", "reviewer", f"/photos/{photo.public_id}"),
        ("compare", "anybody", f"/compare?variant={claim.variant.public_id}"),
        ("compare-choose", "anybody", f"/compare?a={photo.public_id}"),
        ("line-codes", "moderator", f"/lines/{release.line.public_id}/codes"),
        ("report", "member", f"/report?q={word}"),
        ("review", "reviewer", "/review"),
        ("agree", "reviewer", f"/variants/{first.public_id}/agree?desk=yes"),
        ("quick", "member", f"/quick?release={release.public_id}"),
        ("opened", "anybody", "/open"),
        ("moderation", "moderator", "/moderation"),
        ("look-up", "moderator", f"/moderation/find?q={word}"),
        ("roles", "moderator", "/moderation/members"),
        ("proposed-of-kind", "moderator", "/moderation/casting"),
        ("editions", "anybody", "/lists"),
        ("edition", "anybody", "/lists/1"),
        ("account", "member", "/account"),
        ("erase-account", "member", "/account/erase"),
        ("import-sightings", "member", "/account/sightings/import"),
        ("cabinet", "member", "/cabinet"),
        ("cabinet-file", "member", "/cabinet/file"),
        ("hunt", "member", "/hunt"),
        ("hunt-depth", "member", "/hunt/depth"),
        ("hunt-sheet", "member", "/hunt/sheet"),
        ("watching", "member", "/watching"),
        ("help", "anybody", "/help"),
        ("how-words", "anybody", "/how/words"),
        ("how-lists", "anybody", "/how/lists"),
        ("how-verified", "anybody", "/how/verified"),
        ("how-votes", "reviewer", "/how/votes"),
        ("how-photograph", "anybody", "/how/photograph"),
        ("account_login", "anybody", "/accounts/login/"),
        ("account_signup", "anybody", "/accounts/signup/"),
    ]:
        yield name, who, lambda path=path: path
    corrected = Variant.objects.order_by("-revision_number", "pk").first
    yield "variant-contested", "anybody", lambda: f"/variants/{is_contested().public_id}"
    yield "variant-differences", "anybody", lambda: f"/variants/{corrected().public_id}/differences"
    yield (
        "pack",
        "anybody",
        lambda: f"/packs/{Pack.objects.current().order_by('-gtin', 'pk')[0].public_id}",
    )
    yield "assortment", "anybody", lambda: f"/assortments/{Assortment.objects.order_by('pk')[0].public_id}"
    yield (
        "dispute",
        "moderator",
        lambda: f"/disputes/{Dispute.objects.order_by('outcome', 'pk')[0].public_id}",
    )
    yield "statement", "moderator", lambda: f"/statements/{Statement.objects.order_by('pk')[0].public_id}"
    yield (
        "measure",
        "member",
        lambda: f"/photos/{Measurement.objects.order_by('pk')[0].photo.public_id}/measure",
    )
    yield "gloss", "member", gloss
    yield "shine", "reviewer", shine
    yield (
        "hunt-code",
        "member",
        lambda: f"/hunt/code?code={Pack.objects.current().order_by('-gtin', 'pk')[0].gtin}",
    )
    opened = Submission.objects.exclude(opened_at=None).order_by("pk").first
    yield "open-draft", "member", lambda: f"/open/{opened().public_id}"
    yield "moderate-member", "moderator", lambda: f"/moderation/members/{photo.owner.public_id}"
    yield "change-item", "member", lambda: f"/cabinet/{item().public_id}"
    for step in ("which", "details", "known", "photos", "marks", "sightings", "check"):
        yield f"draft-{step}", "member", lambda step=step: f"/drafts/{draft().public_id}/{step}"

    def proposed() -> str:
        kinds = (Release.objects, Casting.objects)
        one = [thing for kind in kinds for thing in kind.filter(acceptance="proposed")][0]
        return f"/moderation/{one._meta.model_name}/{one.public_id}"

    yield "proposed", "moderator", proposed
    yield "concern", "moderator", lambda: f"/moderation/concerns/{Concern.objects.first().public_id}"
    yield "tell", "member", lambda: f"/tell/variant/{Variant.objects.first().public_id}"
    yield "held", "moderator", lambda: f"/moderation/held/{HeldDispute.objects.first().public_id}"


def people() -> dict[str, Any]:
    """The member whose cabinet is fullest, a reviewer, a moderator; None for anybody."""
    from django.db.models import Count

    from registry.models import Member, Role, RoleGrant

    def first(role: str) -> Member:
        return RoleGrant.objects.filter(role=role, revoked_at=None).order_by("pk")[0].member

    owner = Member.objects.annotate(n=Count("cabinet")).order_by("-n", "pk")[0]
    return {
        "anybody": None,
        "member": owner,
        "reviewer": first(Role.REVIEWER),
        "moderator": first(Role.MODERATOR),
    }


def begin_reports(member: Any) -> None:
    """The demonstration leaves this member no draft: one on what a sent report held."""
    from django.utils import timezone

    from registry import actions
    from registry.models import Claim

    claim = (
        Claim.objects.open()
        .filter(base_claim__isnull=False)
        .select_related("trait", "state", "variant__release")[0]
    )
    said = {"trait": claim.trait.public_id, "state": claim.state.public_id, "kind": "difference"}
    draft = actions.start_draft(
        by=member, at=timezone.now(), release=claim.variant.release, differs_from=claim.base_claim.variant,
        content={"claims": [said], "examples": [{"ref": "e1", "condition": "loose", "mine": True}]},
    )  # fmt: skip
    picture = min((ROOT / "fixtures" / "pictures").glob("*.jpg")).read_bytes()
    photo = actions.attach_photo(by=member, at=timezone.now(), data=picture, submission=draft)
    content = {
        **draft.content,
        "photos": [{"photo": photo.public_id, "examples": ["ref:e1"], "views": ["left"]}],
    }
    actions.edit_draft(submission=draft, by=member, at=timezone.now(), content=content)


@contextmanager
def site(home: Path) -> Iterator[str]:
    """The site, served on a free port of this machine while the pictures are taken."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "manage.py", "runserver", "--noreload", f"127.0.0.1:{port}"]
    with (home / "site.log").open("w") as log:
        served = subprocess.Popen(command, cwd=ROOT, stdout=log, stderr=log)  # noqa: S603  (our own words)
        try:
            for _ in range(100):
                with socket.socket() as probe:
                    if probe.connect_ex(("127.0.0.1", port)) == 0:
                        break
                time.sleep(0.2)
            yield f"http://127.0.0.1:{port}"
        finally:
            served.terminate()
            served.wait()


def take(out: Path, looks: list[str], only: set[str], at: str) -> None:
    from playwright.sync_api import sync_playwright

    from tests.browser.conftest import QUIET, session_of

    pages, who = addresses(), people()
    chosen = {name: page for name, page in pages.items() if not only or name in only}
    missing = [name for name, _, _ in recipes() if name not in pages]
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=QUIET)
        for look in looks:
            width, scheme = LOOKS[look]
            (out / look).mkdir(parents=True, exist_ok=True)
            for role, member in who.items():
                context = browser.new_context(viewport={"width": width, "height": 844}, color_scheme=scheme)
                if member is not None:
                    context.add_cookies([session_of(member, at)])
                window = context.new_page()
                for name, (path, needs) in chosen.items():
                    if needs == role:
                        answer = window.goto(at + path)
                        window.evaluate(READY)
                        if window.locator("script[type=module]").count():
                            window.wait_for_load_state("networkidle")
                        window.screenshot(
                            path=out / look / f"{name}.jpg", type="jpeg", quality=70, full_page=True
                        )
                        if answer is None or answer.status != 200:
                            print(f"{look} {name}: {answer and answer.status} at {path}")
                context.close()
            print(f"{look}: {len(chosen)} pages", flush=True)
        browser.close()
    print(f"In {out}. The demonstration has nothing to show on: {', '.join(missing) or 'none'}.")


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--out", type=Path, default=ROOT / "shots")
    asked.add_argument("--looks", default=",".join(LOOKS), help=f"some of {', '.join(LOOKS)}")
    asked.add_argument("--only", default="", help="names of pages, separated by commas")
    said = asked.parse_args()
    demo = Path(os.environ.get("CASTLORE_HOME") or ROOT / ".castlore")
    if not (demo / "castlore.sqlite3").exists():
        sys.exit(f"There is no demonstration in {demo}: run `python3 manage.py demo --no-serve` first.")
    with tempfile.TemporaryDirectory(prefix="castlore-shots-") as folder:
        home = Path(folder, "home")
        shutil.copytree(demo, home)
        os.environ |= {
            "CASTLORE_HOME": str(home),
            "CASTLORE_DEBUG": "yes",
            "CASTLORE_SECOND_STEP": "no",
            "DJANGO_SETTINGS_MODULE": "registry.conf.settings",
            "DJANGO_ALLOW_ASYNC_UNSAFE": "true",  # Playwright keeps an event loop in this thread
        }
        os.environ.pop("DATABASE_URL", None)
        import django

        django.setup()
        from django.core.management import call_command

        call_command("migrate", verbosity=0)
        begin_reports(people()["member"])
        with site(home) as at:
            take(said.out, said.looks.split(","), set(filter(None, said.only.split(","))), at)


if __name__ == "__main__":
    main()
