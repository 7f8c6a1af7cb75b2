"""The sentences that say what is still missing. Each reads on after "Still missing:"."""

import re
from collections.abc import Sequence

from registry.methods.facts import ClaimFact

_NUMBERS = "no one two three four five six seven eight nine ten eleven twelve".split()


def in_words(number: int) -> str:
    return _NUMBERS[number] if number < len(_NUMBERS) else str(number)


def label(claim: ClaimFact, *, is_rival: bool = False) -> str:
    """What a claim is called inside a sentence; a rival and a cause name their state too."""
    if claim.is_cause:
        return f"the cause being {claim.state.replace('_', ' ')}"
    trait = _inside_a_sentence(claim.trait_name or claim.trait)
    return f"{trait} as {state_name(claim)}" if is_rival else trait


def state_name(claim: ClaimFact) -> str:
    return _inside_a_sentence(claim.state_name or claim.state)


def more_votes(number: int, about: str, *, moderator: bool = False, owners: int = 0) -> str:
    """`owners`: how many votes do if their voters name own photographed examples; 0 leaves it unsaid."""
    if moderator and number == 1:
        sentence = f"a moderator's vote on {about}"
    else:
        sentence = f"{in_words(number)} more {_plural(number, 'vote')} on {about}"
        sentence += ", one of them a moderator's" if moderator else ""
    if owners:
        sentence += f", or {in_words(owners)} by {_plural(owners, 'owner')} with a photo of their own example"
    return sentence


_VOTES = re.compile(
    r"(?:a moderator's vote|\w+ more votes?) on (?P<about>.+?)"
    r"(?:, one of them a moderator's)?(?:, or \w+ by owners? with a photo of their own example)?"
)


def unnumbered(sentence: str) -> str:
    """The sentence without what it tells of the votes cast so far; any but one of `more_votes` as it is.

    >>> unnumbered("two more votes on roof crest, or one by owner with a photo of their own example")
    'more votes on roof crest'
    """
    found = _VOTES.fullmatch(sentence)
    return f"more votes on {found['about']}" if found else sentence


def a_mark(about: str) -> str:
    return f"a mark on a photo that shows {about}"


def the_seal_pictured(about: str) -> str:
    return f"a photo of the seal all round the sealed example that shows {about}"


def a_sealed_example(about: str, *, or_loose: int = 0) -> str:
    sentence = f"one more sealed example of {about}, its seal pictured all round"
    if or_loose:
        example = _plural(or_loose, "example")
        sentence += (
            f", or {in_words(or_loose)} more loose {example} from other owners, rivets and axles pictured"
        )
    return sentence


def dispute_to_end(about: str) -> str:
    return f"the dispute on {about} to end"


def to_be_corrected(claim: ClaimFact) -> str:
    if claim.is_cause:
        return f"another cause: the votes refute {claim.state.replace('_', ' ')}"
    return f"{label(claim)} to be corrected: the votes refute {state_name(claim)}"


def to_be_confirmed(about: str) -> str:
    return f"{about} to be confirmed"


def a_difference() -> str:
    return "a detail named as the difference"


def a_cause() -> str:
    return "a cause to be claimed"


def two_examples(about: str) -> str:
    return f"two independent examples of {about}"


def one_more_example(about: str) -> str:
    return f"one more example of {about}, from another owner and another case, shop or month"


def all_on_one_example(abouts: Sequence[str]) -> str:
    return f"one of two independent examples to show {listed(abouts)} together"


def accept_release() -> str:
    return "a moderator to accept the proposed release"


def accept_detail(claim: ClaimFact) -> str:
    return f"a moderator to accept the proposed {label(claim)}: {state_name(claim)}"


def differ_from(title: str) -> str:
    return f"a detail that tells it from “{title}”, confirmed on both"


def confirmed_there_too(about: str, title: str) -> str:
    return f"{about} to be confirmed on “{title}” too"


def listed(parts: Sequence[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


def _plural(number: int, noun: str) -> str:
    return noun if number == 1 else f"{noun}s"


def _inside_a_sentence(name: str) -> str:
    """ "Front wheels" becomes "front wheels"; "GTIN on the card" stays."""
    return name if name[1:2].isupper() else name[:1].lower() + name[1:]
