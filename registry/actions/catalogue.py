"""Moderators' additions to the catalogue: what is made and how it is sold."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime

from registry.errors import InvalidField
from registry.models import (
    Assortment,
    AssortmentItem,
    Casting,
    JournalEntry,
    Line,
    Maker,
    Member,
    Pack,
    PackContent,
    PackKind,
    PackVersion,
    Release,
    Role,
    Trait,
)
from registry.sentences import Sentence

from . import wording
from .admission import require
from .inspection import adopt
from .journalled import journalled
from .proposals import added, enlist, gtin, refuse_twins
from .settle import locked, settle_release

LONGEST_WHEELBASE_UM = 10**6


@journalled
def add_maker(*, by: Member, at: datetime, name: str) -> Maker:
    require(by, Role.MODERATOR)
    name = wording.line("name", name, 80)
    refuse_twins("name", name, Maker.objects.all(), is_new=True)
    maker = enlist(Maker, "name", name=name)
    added(maker, by, at)
    return maker


@journalled
def add_line(*, by: Member, at: datetime, maker: Maker, name: str, scale: int) -> Line:
    """A product line at 1:`scale`."""
    require(by, Role.MODERATOR)
    name = wording.line("name", name, 80)
    refuse_twins("name", name, maker.lines.all(), is_new=True)
    line = enlist(Line, "name", maker=maker, name=name, scale=wording.whole("scale", scale, 1, 1000))
    added(line, by, at)
    return line


@journalled
def add_casting(
    *,
    by: Member,
    at: datetime,
    maker: Maker,
    name: str,
    what: str = "",
    nicknames: Sequence[str] = (),
    subject: str = "",
    wheelbase_um: int | None = None,
) -> Casting:
    """`wheelbase_um`: micrometres on the model."""
    require(by, Role.MODERATOR)
    name = wording.line("name", name, 80)
    refuse_twins("name", name, Casting.objects.current().filter(maker=maker), is_new=True)
    casting = enlist(
        Casting,
        "name",
        maker=maker,
        name=name,
        what=wording.line("what", what, 80, required=False),
        nicknames=wording.lines("nicknames", nicknames, 60),
        subject=wording.line("subject", subject, 120, required=False),
        wheelbase_um=wording.whole_if_given("wheelbase_um", wheelbase_um, 1, LONGEST_WHEELBASE_UM),
    )
    added(casting, by, at)
    return casting


@journalled
def add_release(
    *,
    by: Member,
    at: datetime,
    casting: Casting,
    line: Line,
    name: str,
    year: int,
    number: str = "",
    livery: str = "",
    nicknames: Sequence[str] = (),
    reissue_of: Release | None = None,
    adopts: Sequence[Trait] = (),
) -> Release:
    """One issue of a casting. It adopts the line's standard checks, or just `adopts` where that is given."""
    require(by, Role.MODERATOR)
    if line.maker_id != casting.maker_id:
        raise InvalidField("line", line.name, Sentence("Choose a line of %(maker)s.", maker=casting.maker))
    name = wording.line("name", name, 120)
    number = wording.line("number", number, 40, required=False)
    livery = wording.line("livery", livery, 120, required=False)
    year = wording.whole("year", year, 1900, at.year + 1)
    siblings = Release.objects.current().filter(
        casting=casting, line=line, year=year, number=number, livery=livery
    )
    refuse_twins("name", name, siblings, is_new=True)
    release = enlist(
        Release,
        "name",
        casting=casting,
        line=line,
        name=name,
        number=number,
        year=year,
        livery=livery,
        nicknames=wording.lines("nicknames", nicknames, 60),
        reissue_of=reissue_of,
    )
    for trait in adopts or line.traits.current():
        adopt(release, trait)
    added(release, by, at, release=release.public_id, accepted=True)
    return release


@journalled
def add_assortment(
    *,
    by: Member,
    at: datetime,
    line: Line,
    name: str,
    case_code: str = "",
    opens_on: date | None = None,
    closes_on: date | None = None,
    case_count: int | None = None,
    items: Mapping[Release, int | None] | None = None,
) -> Assortment:
    """A retail mix; `items` gives each release's count per case, None where it is not known."""
    require(by, Role.MODERATOR)
    if opens_on and closes_on and closes_on < opens_on:
        raise InvalidField(
            "closes_on", closes_on.isoformat(), Sentence("The window cannot close before it opens.")
        )
    name, case_code = (
        wording.line("name", name, 120),
        wording.line("case_code", case_code, 40, required=False),
    )
    if line.assortments.filter(name=name, case_code=case_code).exists():
        raise InvalidField("name", name, Sentence("This assortment is already listed."))
    assortment = enlist(
        Assortment,
        "name",
        line=line,
        name=name,
        case_code=case_code,
        opens_on=opens_on,
        closes_on=closes_on,
        case_count=wording.whole_if_given("case_count", case_count, 1, 1000),
    )
    AssortmentItem.objects.bulk_create(
        AssortmentItem(
            assortment=assortment,
            release=release,
            per_case=wording.whole_if_given("items", count, 1, 1000),
        )
        for release, count in (items or {}).items()
    )
    added(assortment, by, at)
    return assortment


@journalled
def add_pack(
    *,
    by: Member,
    at: datetime,
    line: Line,
    name: str,
    kind: str,
    contents: Mapping[Release, int],
    gtin_code: str = "",
    is_sealed: bool = True,
    is_see_through: bool = True,
) -> Pack:
    """How releases are sold. `gtin_code` may be a GTIN-8, 12, 13 or 14; one may cover a whole assortment."""
    require(by, Role.MODERATOR)
    name = wording.line("name", name, 120)
    refuse_twins("name", name, line.packs.filter(releases__in=contents).distinct(), is_new=True)
    pack = Pack.objects.create(
        line=line,
        name=name,
        kind=wording.choice("kind", kind, PackKind),
        gtin=gtin("gtin", gtin_code),
        is_sealed=is_sealed,
        is_see_through=is_see_through,
    )
    PackContent.objects.bulk_create(
        PackContent(pack=pack, release=release, count=wording.whole("contents", count, 1, 1000))
        for release, count in contents.items()
    )
    releases = sorted(release.public_id for release in contents)
    added(pack, by, at, releases=releases, sealed=is_sealed, see_through=is_see_through)
    for release in sorted(contents, key=lambda each: each.pk):
        settle_release(release=release, at=at)
    return pack


@journalled
def add_pack_version(
    *,
    by: Member,
    at: datetime,
    pack: Pack,
    name: str,
    card_art: str = "",
    language: str = "",
    blister: str = "",
    insert: str = "",
    codes: str = "",
) -> PackVersion:
    """A packaging change. It never makes a new variant of the vehicle."""
    require(by, Role.MODERATOR)
    name = wording.line("name", name, 80)
    if pack.versions.filter(name=name).exists():
        raise InvalidField("name", name, Sentence("This version is already listed."))
    version = enlist(
        PackVersion,
        "name",
        pack=pack,
        name=name,
        card_art=wording.line("card_art", card_art, 120, required=False),
        language=wording.line("language", language, 40, required=False),
        blister=wording.line("blister", blister, 80, required=False),
        insert=wording.line("insert", insert, 80, required=False),
        codes=wording.line("codes", codes, 120, required=False),
    )
    added(version, by, at)
    return version


@journalled
def mark_sealed_unobtainable(*, by: Member, at: datetime, release: Release, value: bool = True) -> None:
    """Sealed examples of the release are not to be had, so three loose ones may stand in for one."""
    require(by, Role.MODERATOR)
    kept = locked(release)
    kept.sealed_unobtainable = value
    kept.save(update_fields=["sealed_unobtainable"])
    detail = {"release": release.public_id, "value": value}
    JournalEntry.objects.record(by=by, verb="sealed.unobtainable", about=release, at=at, detail=detail)
    settle_release(release=release, at=at)
