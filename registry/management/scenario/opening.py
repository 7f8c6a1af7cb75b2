"""How the registry opens: its members and what moderators entered in the catalogue, each on its day."""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterator
from datetime import date
from functools import partial
from typing import Any

from allauth.account.models import EmailAddress

from registry import actions
from registry.models import Line, Member, Release, Trait
from registry.queries.reviewers import active_moderators

from .event import Event, Moment
from .files import Spec
from .names import Names


def people_events(names: Names) -> Iterator[Event]:
    """Each member joins, and is given their roles by the first moderator, who had theirs from the command line."""
    for key, spec in names.scenario.members.items():
        yield Event(spec["joined"], f"{spec['name']} joins", partial(join, names, key, spec))
    for link in names.scenario.files["members"]["links"]:
        yield Event(link["day"], f"{link['first']} declares a link", partial(declare_link, names, link))


def join(names: Names, key: str, spec: Spec, now: Moment) -> None:
    at = now()
    member = Member.objects.create_user(
        names.address(key), password=None, display_name=spec["name"], joined_at=at
    )
    EmailAddress.objects.create(user=member, email=member.email, verified=True, primary=True)
    actions.join(member=member, at=at)
    first = names.scenario.files["members"]["first_moderator"]
    for role in spec.get("roles", ()):
        if key == first:
            actions.grant_role(member=member, role=role, by=None, at=now())
        else:
            give_role(names.member(first), member, role, now)


def give_role(by: Member, member: Member, role: str, now: Moment) -> None:
    said = {"member": member.public_id, "role": role}
    by_two("role.grant", said, "They judge with care.", by, now)


def by_two(kind: str, detail: Spec, reason: str, by: Member, now: Moment) -> None:
    """Asked for by one moderator and confirmed by another, once there is one."""
    pending = actions.two_persons.ask(kind=kind, detail=detail, reason=reason, by=by, at=now())
    if pending:
        second = active_moderators().exclude(pk=by.pk).order_by("pk")[0]
        actions.two_persons.confirm(pending=pending, by=second, at=now())


def declare_link(names: Names, link: Spec, now: Moment) -> None:
    first, second = names.member(link["first"]), names.member(link["second"])
    moderator = names.member(names.scenario.files["members"]["first_moderator"])
    actions.declare_link(first=first, second=second, by=moderator, at=now())


def catalogue_events(names: Names) -> Iterator[Event]:
    """The line and all castings on the first day; a release with its single pack when it is first heard of."""
    files, by = names.scenario.files["catalogue"], names.scenario.files["members"]["first_moderator"]
    opened = min(spec["joined"] for spec in names.scenario.members.values())
    yield Event(opened, "the catalogue opens", partial(open_catalogue, names, by))
    heard = first_heard(files["availability"])
    for spec in files["releases"]:
        day = heard[spec["key"]]
        yield Event(day, f"release {spec['key']}", partial(add_release, names, by, spec))
    for spec in files["assortments"]:
        day = max(
            heard[release["key"]] for release in files["releases"] if spec["key"] in release["assortments"]
        )
        yield Event(day, f"assortment {spec['key']}", partial(add_assortment, names, by, spec))
    for spec in files["packs"]:
        day = max(heard[release] for release in spec["contents"])
        yield Event(day, f"pack {spec['key']}", partial(add_pack, names, by, spec))
    for spec in files["availability"]:
        day = max(spec["on"], *(heard[key] for key in releases_of(spec, files["packs"])))
        what = f"{spec.get('release') or spec['pack']} is {spec['kind']}"
        yield Event(day, what, partial(add_availability, names, by, spec))


def first_heard(availability: list[Spec]) -> dict[str, date]:
    """The day of the first fact about each release."""
    heard: dict[str, date] = {}
    for spec in availability:
        if "release" in spec:
            heard[spec["release"]] = min(spec["on"], heard.get(spec["release"], spec["on"]))
    return heard


def releases_of(spec: Spec, packs: list[Spec]) -> list[str]:
    if "release" in spec:
        return [spec["release"]]
    return list(next(pack for pack in packs if pack["key"] == spec["pack"])["contents"])


def open_catalogue(names: Names, by: str, now: Moment) -> None:
    files, moderator = names.scenario.files["catalogue"], names.member(by)
    maker = actions.add_maker(by=moderator, at=now(), name=files["maker"]["name"])
    for spec in files["lines"]:
        line = actions.add_line(by=moderator, at=now(), maker=maker, name=spec["name"], scale=spec["scale"])
        for check in spec["standard_checks"]:
            add_trait(moderator, check, now, line=line)
    for spec in files["castings"]:
        casting = actions.add_casting(
            by=moderator,
            at=now(),
            maker=maker,
            name=spec["name"],
            what=spec["what"],
            nicknames=spec["nicknames"],
            subject=spec["subject"],
            wheelbase_um=spec["wheelbase_um"],
        )
        for trait in spec["traits"]:
            add_trait(moderator, trait, now, casting=casting)


def add_trait(by: Member, spec: Spec, now: Moment, **owner: Any) -> None:
    trait = actions.add_trait(
        by=by,
        at=now(),
        key=spec["key"],
        name=spec["name"],
        place=spec["place"],
        kind=spec["kind"],
        how_to_inspect=spec["inspect"],
        seen_in_pack=spec["seen_in_pack"],
        alterable=spec["alterable"],
        **owner,
    )
    for state in spec["states"]:
        actions.add_state(
            by=by,
            at=now(),
            trait=trait,
            key=state["key"],
            name=state["name"],
            nicknames=state.get("nicknames", ()),
            is_absence=state.get("absence", False),
            lab=tuple(state["lab"]) if "lab" in state else None,
            lab_tolerance=state.get("tolerance"),
            number=state.get("number"),
            number_tolerance=state.get("number_tolerance"),
            unit=state.get("unit", ""),
        )


def add_release(names: Names, by: str, spec: Spec, now: Moment) -> None:
    moderator, casting, line = names.member(by), names.casting(spec["casting"]), names.line(spec["line"])
    earlier = Release.objects.filter(casting=casting, line=line, year__lt=spec["year"]).order_by("year")
    known = {trait.key: trait for owner in (line, casting) for trait in owner.traits.all()}
    release = actions.add_release(
        by=moderator,
        at=now(),
        casting=casting,
        line=line,
        name=spec["name"],
        number=spec["number"],
        year=spec["year"],
        livery=spec["livery"],
        nicknames=spec["nicknames"],
        reissue_of=earlier.first(),
        adopts=[known[key] for key in spec["adopts"]],
    )
    record_about_states(release, known, spec, moderator, now)


def record_about_states(
    release: Release, known: dict[str, Trait], spec: Spec, moderator: Member, now: Moment
) -> None:
    """The normal range of its shades, and how true it is to the full-size subject."""
    for drift in spec["drift"]:
        actions.record_drift(
            by=moderator,
            at=now(),
            release=release,
            trait=known[drift["trait"]],
            note=drift["note"],
            source=drift["source"],
        )
    for fidelity in spec["fidelity"]:
        actions.set_fidelity(
            by=moderator,
            at=now(),
            release=release,
            state=known[fidelity["trait"]].states.get(key=fidelity["state"]),
            fidelity=fidelity["verdict"],
            subject=release.casting.subject,
            source=fidelity["source"],
        )


def add_assortment(names: Names, by: str, spec: Spec, now: Moment) -> None:
    line: Line = names.line(names.scenario.files["catalogue"]["lines"][0]["key"])
    items = {
        names.release(release["key"]): release["assortments"][spec["key"]]
        for release in names.scenario.files["catalogue"]["releases"]
        if spec["key"] in release["assortments"]
    }
    actions.add_assortment(
        by=names.member(by),
        at=now(),
        line=line,
        name=spec["name"],
        case_code=spec["case_code"],
        opens_on=date.fromisoformat(f"{spec['from']}-01"),
        closes_on=last_day(spec["until"]),
        case_count=spec["case_count"],
        items=items,
    )


def last_day(month: str) -> date:
    """The last day of a month written YYYY-MM."""
    first = date.fromisoformat(f"{month}-01")
    return first.replace(day=monthrange(first.year, first.month)[1])


def add_pack(names: Names, by: str, spec: Spec, now: Moment) -> None:
    contents = {names.release(key): count for key, count in spec["contents"].items()}
    pack = actions.add_pack(
        by=names.member(by),
        at=now(),
        line=next(iter(contents)).line,
        name=spec["name"],
        kind=spec["kind"],
        contents=contents,
        gtin_code=spec["gtin"],
        is_sealed=spec["sealed"],
        is_see_through=spec["see_through"],
    )
    for version in spec["versions"]:
        described = {name: text for name, text in version.items() if name != "key" and text != "none"}
        actions.add_pack_version(by=names.member(by), at=now(), pack=pack, **described)


def add_availability(names: Names, by: str, spec: Spec, now: Moment) -> None:
    actions.add_availability(
        by=names.member(by),
        at=now(),
        release=names.release(spec["release"]) if "release" in spec else None,
        pack=names.pack(spec["pack"]) if "pack" in spec else None,
        region=spec["region"],
        kind=spec["kind"],
        on=spec["on"],
        source=spec["source"],
    )
