"""Releases as fate makes them: a verified pair, or next to nothing, and then a run of arbitrary events."""

from dataclasses import replace

from hypothesis import strategies as st

from tests.methods.small_release import LOOSE, PHOTO, SEALED, SmallRelease, verified_pair

MEMBERS = ["rut", "sol", "tam", "una", "ada", "ben", "mod"]
CLAIMS = ["a_wheels", "a_cause", "b_wheels", "b_cause", "b_crest", "r_a_wheels", "r_b_wheels", "r_b_cause"]
EXAMPLES = ["a1", "a2", "b1", "b2", "x1", "x2"]
VIEWS = ["seal_all_round", "rivets", "axles", "base"]
CAUSES = ["running_change", "running_change", "parallel", "baseline", "factory_error", "altered", "not_known"]

members, examples = st.sampled_from(MEMBERS), st.sampled_from(EXAMPLES)
claims = st.sampled_from(CLAIMS)


def is_there(release: SmallRelease, claim: str) -> bool:
    return claim in {each.id for each in release.facts.claims}


def vote(release: SmallRelease, claim, by, verdict, basis, example, counts) -> None:
    if is_there(release, claim):
        release.vote(claim, by, verdict, basis, example=example, counts=counts, moderator=by == "mod")


def dispute(release: SmallRelease, claim, state, by, photo) -> None:
    if f"d_{claim}" not in {dispute.id for dispute in release.facts.disputes}:
        release.dispute(claim, state, by, photo)


def close(release: SmallRelease, claim, is_corrected) -> None:
    if f"d_{claim}" not in {d.id for d in release.facts.disputes if d.is_open}:
        return
    release.change_dispute(f"d_{claim}", is_open=False)
    if is_corrected:
        was = next(each for each in release.facts.claims if each.id == claim)
        release.change_claim(claim, is_open=False)
        release.change_claim(f"r_{claim}", is_difference=was.is_difference, rival_in=None)
    else:
        release.change_claim(f"r_{claim}", is_open=False)


def found(release: SmallRelease, name, owner, condition, case, shop) -> None:
    release.set(examples=tuple(example for example in release.facts.examples if example.id != name))
    release.example(name, owner, condition, case=case, shop=shop)


def show(release: SmallRelease, claim, example, views) -> None:
    if is_there(release, claim) and example in {each.id for each in release.facts.examples}:
        release.shown(claim, on=example, views=tuple(views))


def take_down(release: SmallRelease, place) -> None:
    photos = release.facts.photos
    release.take_down(photos[place % len(photos)].id if photos else "none")


def link(release: SmallRelease, one, other) -> None:
    if one != other:
        release.link(one, other)


def end(release: SmallRelease, variant, event) -> None:
    release.set(
        variants=tuple(replace(v, event=event) if v.id == variant else v for v in release.facts.variants)
    )


def event(step, *values: st.SearchStrategy) -> st.SearchStrategy:
    return st.tuples(st.just(step), st.tuples(*values))


verdicts = st.sampled_from(["confirms", "confirms", "contradicts", "cannot_tell"])
bases = st.sampled_from([PHOTO, LOOSE, SEALED])
disputed = st.sampled_from(["a_wheels", "b_wheels", "b_cause"])
voting = event(
    vote, claims, members, verdicts, bases, st.none() | examples, st.sampled_from([True, True, False])
)
EVENTS = st.one_of(
    voting,
    voting,
    event(SmallRelease.withdraw, claims, members),
    event(dispute, disputed, st.sampled_from(["silver", "altered"]), members, st.booleans()),
    event(close, disputed, st.booleans()),
    event(
        found,
        examples,
        st.none() | members,
        st.sampled_from(["sealed", "boxed", "loose"]),
        st.sampled_from([None, "C-1", "C-2"]),
        st.sampled_from([None, "Kiosk", "Ferry"]),
    ),
    event(show, claims, examples, st.lists(st.sampled_from(VIEWS), unique=True)),
    event(take_down, st.integers(0, 9)),
    event(link, members, members),
    event(end, st.sampled_from("ab"), st.sampled_from([None, None, "struck", "merged"])),
)
TWISTS = st.fixed_dictionaries(
    {},
    optional={
        "clear_sealed_pack": st.booleans(),
        "sealed_unobtainable": st.booleans(),
        "release_accepted": st.just(False),
        "eligible_reviewers": st.integers(3, 6),
    },
)


@st.composite
def releases(draw, most_events: int = 12) -> SmallRelease:
    release = draw(st.sampled_from([verified_pair, sealed_pair, loose_pair, founded_pair, bare_pair]))()
    release.claim("b_crest", "b", "crest", "low", alterable=True)
    release.change_claim("b_cause", state=draw(st.sampled_from(CAUSES)))
    release.set(**draw(TWISTS))
    for step, values in draw(st.lists(EVENTS, max_size=most_events)):
        step(release, *values)
    return release


def bare_pair() -> SmallRelease:
    """The two variants of `verified_pair` without a vote or a photo."""
    return verified_pair().set(votes=(), photos=(), marks=())


def sealed_pair() -> SmallRelease:
    """`verified_pair` with wheels that can be swapped and one sealed example to prove them."""
    release = verified_pair().set(clear_sealed_pack=True)
    release.change_claim("b_wheels", alterable=True, seen_in_pack=True)
    found(release, "b1", "ada", "sealed", None, "Kiosk")
    release.shown("b_wheels", on="b1", views=("seal_all_round",))
    return release


def loose_pair() -> SmallRelease:
    """`verified_pair` with wheels that can be swapped, proved by three loose examples."""
    release = verified_pair()
    release.change_claim("b_wheels", alterable=True)
    release.example("x1", "dora", shop="Lock")
    for example in ("b1", "b2", "x1"):
        release.shown("b_wheels", on=example, views=("rivets", "axles"))
    return release


def founded_pair() -> SmallRelease:
    """`verified_pair` among few reviewers, by two votes each, one of them a moderator's."""
    release = verified_pair().set(votes=(), eligible_reviewers=3)
    for claim in ("a_wheels", "b_wheels", "b_cause"):
        release.vote(claim, "rut")
        release.vote(claim, "mod", moderator=True)
    return release
