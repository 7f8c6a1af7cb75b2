"""A release in the making, for tests: each call adds one thing, `decide()` says where everything stands.

The scenario is invented: the *Kelp Runner*, a flatbed of the line *Quayside 64*.
"""

from dataclasses import dataclass, field, replace

from registry.methods.facts import (
    ClaimFact,
    DisputeFact,
    ExampleFact,
    MarkFact,
    PhotoFact,
    ReleaseFacts,
    VariantFact,
    VoteFact,
)
from registry.methods.policy import EQUAL, FIRST_POLICY
from registry.methods.standing import ReleaseStanding, decide

PHOTO, LOOSE, SEALED = "photo", "own_loose", "own_sealed"


@dataclass
class SmallRelease:
    """Facts under construction; ten eligible reviewers unless told otherwise, so not in founding mode."""

    facts: ReleaseFacts = field(default_factory=lambda: ReleaseFacts(eligible_reviewers=10))
    clock: int = 0

    def _add(self, **more) -> None:
        self.facts = replace(
            self.facts, **{kind: (*getattr(self.facts, kind), fact) for kind, fact in more.items()}
        )

    def _tick(self) -> int:
        self.clock += 1
        return self.clock

    def set(self, **changes) -> "SmallRelease":
        self.facts = replace(self.facts, **changes)
        return self

    def variant(self, name: str, cause: str = "running_change", event: str | None = None) -> str:
        """A variant with its claim on cause, whose id is the variant's with `_cause`."""
        self._add(variants=VariantFact(name, self._tick(), title=f"The {name} one", event=event))
        self.claim(f"{name}_cause", name, trait="cause", state=cause, is_cause=True)
        return name

    def claim(
        self, name: str, variant: str = "a", trait: str = "wheels", state: str = "black", **more
    ) -> str:
        more = {"trait_name": trait.capitalize(), "state_name": state, **more}
        self._add(claims=ClaimFact(name, variant, trait, state, **more))
        return name

    def difference(
        self, name: str, variant: str = "a", trait: str = "wheels", state: str = "black", **more
    ) -> str:
        return self.claim(name, variant, trait, state, is_difference=True, **more)

    def vote(self, claim: str, by: str, verdict: str = "confirms", basis: str = PHOTO, **more) -> VoteFact:
        self.withdraw(claim, by)
        vote = VoteFact(claim, by, verdict, basis, **{"seq": self._tick(), **more})
        self._add(votes=vote)
        return vote

    def withdraw(self, claim: str, by: str) -> None:
        self.set(votes=tuple(v for v in self.facts.votes if (v.claim, v.by) != (claim, by)))

    def confirmed_by(self, *members: str, claim: str) -> None:
        for member in members:
            self.vote(claim, member)

    def example(self, name: str, owner: str | None, condition: str = "loose", **found) -> str:
        self._add(examples=ExampleFact(name, owner, condition, **found))
        return name

    def photo(self, name: str, *examples: str, views: tuple[str, ...] = (), owner: str = "camera") -> str:
        self._add(photos=PhotoFact(name, owner, examples, frozenset(views)))
        return name

    def take_down(self, name: str) -> None:
        self.set(photos=tuple(replace(p, down=p.down or p.id == name) for p in self.facts.photos))

    def mark(self, claim: str, example: str, photo: str) -> None:
        self._add(marks=MarkFact(claim, example, photo))

    def shown(self, *claims: str, on: str, views: tuple[str, ...] = ()) -> None:
        """A photo of the example with a mark for each claim."""
        photo = self.photo(f"photo_{self._tick()}", on, views=views)
        for claim in claims:
            self.mark(claim, on, photo)

    def dispute(self, claim: str, rival_state: str = "gold", by: str = "objector", photo: bool = True) -> str:
        """A dispute `d_CLAIM` that opens the rival claim `r_CLAIM`."""
        known = next(each for each in self.facts.claims if each.id == claim)
        rival = replace(
            known,
            id=f"r_{claim}",
            state=rival_state,
            state_name=rival_state,
            rival_in=f"d_{claim}",
            is_difference=False,
            barred=frozenset({by}),
        )
        seq = self._tick()
        self._add(claims=rival, disputes=DisputeFact(f"d_{claim}", claim, rival.id, by, photo=photo, seq=seq))
        return f"d_{claim}"

    def change_claim(self, name: str, **changes) -> None:
        self.set(claims=tuple(replace(c, **changes) if c.id == name else c for c in self.facts.claims))

    def change_dispute(self, name: str, **changes) -> None:
        self.set(disputes=tuple(replace(d, **changes) if d.id == name else d for d in self.facts.disputes))

    def link(self, one: str, other: str) -> None:
        self.set(links=self.facts.links | {frozenset((one, other))})

    def decide(self, policy=FIRST_POLICY, reliabilities=EQUAL) -> ReleaseStanding:
        return decide(self.facts, policy, reliabilities)

    def claim_standing(self, name: str):
        return self.decide().claims[name]

    def variant_standing(self, name: str):
        return self.decide().variants[name]


def verified_baseline() -> SmallRelease:
    """One variant `a`, verified: claim `a_wheels` confirmed by three, on two independent examples."""
    release = SmallRelease()
    release.variant("a", cause="baseline")
    release.difference("a_wheels", "a", "wheels", "black")
    release.example("a1", "ada", shop="Kiosk", month="2024-03")
    release.example("a2", "ben", shop="Ferry", month="2024-04")
    release.shown("a_wheels", on="a1")
    release.shown("a_wheels", on="a2")
    release.confirmed_by("rut", "sol", "tam", claim="a_wheels")
    return release


def verified_pair() -> SmallRelease:
    """`verified_baseline` and a running change `b`, verified too: gold wheels where `a` has black ones."""
    release = verified_baseline()
    release.variant("b", cause="running_change")
    release.difference("b_wheels", "b", "wheels", "gold", base_claim="a_wheels")
    release.example("b1", "ada", shop="Kiosk", month="2024-06")
    release.example("b2", "cy", shop="Ferry", month="2024-07")
    release.shown("b_wheels", on="b1")
    release.shown("b_wheels", on="b2")
    release.confirmed_by("rut", "sol", "tam", claim="b_wheels")
    release.confirmed_by("rut", "sol", "tam", claim="b_cause")
    return release
