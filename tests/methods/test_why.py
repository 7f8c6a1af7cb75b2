"""Why a claim stands as it does, and what would turn it, on the small invented release."""

from dataclasses import replace
from math import fsum, log

import pytest

from registry.methods.facts import VoteFact
from registry.methods.policy import FIRST_POLICY, Rates
from registry.methods.standing import decide, turns
from registry.methods.standing.tally import log_odds
from registry.methods.standing.why import in_a_hundred, weight_in_words, why

from .small_release import LOOSE, SmallRelease, verified_baseline


@pytest.fixture
def release():
    """A claim `wheels`, marked on a loose example, by an author who is barred."""
    release = SmallRelease()
    release.variant("a")
    release.difference("wheels", barred=frozenset({"author"}))
    release.example("a1", "ada", shop="Kiosk")
    release.shown("wheels", on="a1")
    return release


def told(release, claim="wheels", **more):
    return why(claim, release.facts, FIRST_POLICY, **more)


def turned(answer):
    return {(turn.to, turn.verdict, turn.way): turn.votes for turn in answer.turns}


def with_votes(facts, claim, verdict, number):
    votes = tuple(VoteFact(claim, f"new{n}", verdict, "photo", seq=1000 + n) for n in range(number))
    return replace(facts, votes=(*facts.votes, *votes))


def test_the_weights_told_add_up_to_the_posterior_that_standing_has(release):
    release.vote("wheels", "rut")
    release.vote("wheels", "sol", "contradicts", LOOSE)
    release.vote("wheels", "tam", basis=LOOSE)
    answer = told(release)
    total = fsum([log_odds(FIRST_POLICY.prior), *(vote.weight for vote in answer.heard)])
    assert total == pytest.approx(log_odds(answer.standing.posterior), abs=1e-12)
    assert [(vote.by, vote.confirms) for vote in answer.heard] == [
        ("rut", True),
        ("sol", False),
        ("tam", True),
    ]
    assert answer.standing == release.decide().claims["wheels"]


def test_weights_are_the_logarithms_of_bayes_factors_and_read_in_words(release):
    # Bayes' rule: 0.80 / 0.20 = 4 times by photo, 0.85 / 0.15 = 5.67 times in hand.
    release.vote("wheels", "rut")
    release.vote("wheels", "tam", basis=LOOSE)
    photo, in_hand = told(release).heard
    assert photo.weight == pytest.approx(log(4))
    assert in_hand.weight == pytest.approx(log(0.85 / 0.15))
    assert (photo.words, in_hand.words) == ("counts fairly for it", "counts strongly for it")
    assert weight_in_words(-log(30)) == "counts very strongly against it"
    assert weight_in_words(log(1.1)) == "counts hardly for it"


def test_the_rates_of_who_voted_are_those_that_standing_uses(release):
    class Known:
        def rates(self, reviewer, trait, in_hand, policy):
            return Rates(0.99, 0.99) if reviewer == "rut" else Rates(0.6, 0.6)

    release.vote("wheels", "rut")
    release.vote("wheels", "sol")
    strong, weak = told(release, reliabilities=Known()).heard
    assert (strong.words, weak.words) == ("counts very strongly for it", "counts a little for it")


def test_each_vote_that_is_not_heard_says_why(release):
    release.link("sol", "tam")
    release.vote("wheels", "author")
    release.vote("wheels", "visitor", counts=False)
    release.vote("wheels", "rut", "cannot_tell")
    release.vote("wheels", "sol")
    release.vote("wheels", "tam")
    answer = told(release)
    assert [vote.by for vote in answer.heard] == ["sol"]
    reasons = {vote.by: vote.reason for vote in answer.unheard}
    assert set(reasons) == {"author", "visitor", "rut", "tam"}
    assert "others must judge it" in reasons["author"]
    assert "no reviewer" in reasons["visitor"]
    assert "neither side" in reasons["rut"]
    assert "count once" in reasons["tam"]
    release.vote("wheels", "tam", "contradicts")
    assert {vote.reason for vote in told(release).unheard if vote.by in ("sol", "tam")} == {
        "Linked to another who voted otherwise: linked members who disagree do not count."
    }


def test_a_reviewers_vote_that_does_not_count_says_whether_an_interest_or_a_rush_is_why(release):
    for by in ("rut", "sol", "tam"):
        release.vote("wheels", by, counts=False)
    answer = told(release, uncounted={"rut": "seller", "sol": "surge"})
    assert answer.heard == ()
    assert {vote.by: vote.reason.partition(":")[0] for vote in answer.unheard} == {
        "rut": "Sells what this is about, and has said so",
        "sol": "Came in a rush of votes, from an account younger than the rush",
        "tam": "Was no reviewer when voting, so it is noted but does not count.",
    }


def test_a_vote_across_a_dispute_is_heard_against_and_names_the_side_it_was_cast_on():
    release = verified_baseline()
    release.dispute("a_wheels")
    release.vote("r_a_wheels", "sol")
    answer = told(release, "a_wheels")
    assert [(vote.by, vote.on, vote.confirms) for vote in answer.heard] == [
        ("rut", "a_wheels", True),
        ("tam", "a_wheels", True),
        ("sol", "r_a_wheels", False),
    ]
    assert [vote.reason for vote in answer.unheard] == [
        "Voted later on the other side of the dispute, and that counts."
    ]
    assert answer.disputes == ("d_a_wheels",)


def test_the_fewest_further_votes_are_the_fewest(release):
    release.vote("wheels", "rut")
    answer = told(release)
    assert turned(answer)["confirmed", "confirms", "photo"] == 2
    against = turned(answer)["refuted", "contradicts", "photo"]
    for number, word in ((against - 1, "open"), (against, "refuted")):
        facts = with_votes(release.facts, "wheels", "contradicts", number)
        assert decide(facts, FIRST_POLICY).claims["wheels"].standing == word


def test_two_owners_do_where_three_by_photo_are_needed(release):
    assert turned(told(release)) == {
        ("confirmed", "confirms", "photo"): 3,
        ("confirmed", "confirms", "in_hand"): 2,
        ("refuted", "contradicts", "photo"): 3,
        ("refuted", "contradicts", "in_hand"): 2,
    }
    assert {turn.words for turn in told(release).turns} >= {
        "Three more votes by photo that confirm it would confirm it.",
        "Two more votes with a photo of an own example that contradict it would refute it.",
    }


def test_a_confirmed_claim_can_be_left_undecided_and_refuted():
    answer = told(verified_baseline(), "a_wheels")
    found = turned(answer)
    assert found["open", "contradicts", "photo"] == 1
    assert found["refuted", "contradicts", "photo"] == 6
    assert {turn.verdict for turn in answer.turns} == {"contradicts"}


def test_where_sealed_proof_is_missing_votes_alone_turn_nothing(release):
    release.change_claim("wheels", alterable=True, seen_in_pack=True)
    release.set(clear_sealed_pack=True)
    answer = told(release)
    confirming = [turn for turn in answer.turns if turn.verdict == "confirms"]
    assert [(turn.to, turn.way, turn.votes) for turn in confirming] == [
        ("confirmed", "photo_and_sealed_example", 3)
    ]
    assert "no sealed example proves it yet" in answer.proof


def test_an_open_dispute_turns_by_votes_on_either_side():
    release = verified_baseline()
    release.dispute("a_wheels")
    release.example("a3", "cy", shop="Pier")
    release.shown("r_a_wheels", on="a3")
    ends = turned(told(release, "r_a_wheels"))
    assert ends["upheld", "contradicts", "photo"] == 3
    assert ends["corrected", "confirms", "photo"] == 6
    for number, due in ((5, None), (6, "corrected")):
        facts = with_votes(release.facts, "r_a_wheels", "confirms", number)
        assert decide(facts, FIRST_POLICY).disputes["d_a_wheels"].due == due


def test_founding_mode_asks_for_a_moderator(release):
    release.set(eligible_reviewers=3)
    answer = told(release)
    assert answer.is_founding_release
    turn = next(turn for turn in answer.turns if turn.to == "confirmed")
    assert (turn.votes, turn.moderator) == (2, True)
    assert "one of them a moderator's" in turn.words


def test_a_closed_claim_turns_no_more(release):
    release.change_claim("wheels", is_open=False)
    assert told(release).turns == ()


def test_no_more_decisions_are_tried_than_promised(release, monkeypatch):
    calls = []
    monkeypatch.setattr(turns, "decide", lambda *given: calls.append(1) or decide(*given))
    release.change_claim("wheels", alterable=True, seen_in_pack=True)
    release.set(clear_sealed_pack=True)
    for number in range(4):
        release.vote("wheels", f"v{number}", "confirms" if number % 2 else "contradicts")
    told(release)
    assert 0 < len(calls) <= turns.MOST_CALLS


def test_a_probability_reads_in_a_hundred():
    assert [in_a_hundred(p) for p in (0.5, 0.9697, 0.9999, 0.0001, 0.031)] == [
        "about 50 in 100",
        "about 97 in 100",
        "more than 99 in 100",
        "less than 1 in 100",
        "about 3 in 100",
    ]
