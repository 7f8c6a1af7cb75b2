"""The chain of the journal: its digests against hashlib and a hand-written line, and what verifying finds."""

import hashlib
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.methods.chain import (
    BEGINNING,
    Entry,
    Finding,
    Head,
    commitment,
    entry_digest,
    linked,
    personal_parts,
    replaced,
    verify,
)

AT = datetime(2026, 1, 2, 3, 4, 5, 6, tzinfo=UTC)


def line(n: int, **said) -> Entry:
    return Entry(**{
        "number": 0, "verb": "vote.cast", "about_kind": "claim", "about_id": "c1", "at": AT + timedelta(n), "by": "m1",
        "detail": {"n": n, "example": None}, **said,
    })  # fmt: skip


def chain(length: int = 9) -> list[Entry]:
    return list(linked(line(n) for n in range(1, length + 1)))


def found(entries: list[Entry], *heads: Head) -> tuple[int, str] | None:
    """Number and kind of the first fault, reading in order of number."""
    fault = verify(sorted(entries, key=lambda entry: entry.number), heads, len(entries)).fault
    return (fault.number, fault.kind) if fault else None


def reseal(entry: Entry, **said) -> Entry:
    """Changed by somebody who knows how to seal a line."""
    changed = replace(entry, **said)
    return replace(changed, digest=entry_digest(changed, changed.previous))


def renumbered(entries: list[Entry], by: int) -> list[Entry]:
    return [replace(entry, number=entry.number + by) for entry in entries]


def test_a_digest_is_sha_256_over_the_line_spelled_as_rfc_8785_says():
    written = (
        '{"about":{"id":"c1","kind":"claim"},"at":"2026-01-03T03:04:05.000006+00:00","by":null,'
        '"detail":{"example":null,"n":1},"number":7,"previous":"' + BEGINNING + '","verb":"vote.cast"}'
    )
    entry = line(1, by=None)
    assert entry_digest(entry, BEGINNING, 7) == hashlib.sha256(written.encode()).hexdigest()


def test_the_same_moment_in_another_zone_is_the_same_line():
    entry = line(1)
    elsewhere = replace(entry, at=entry.at.astimezone(timezone(timedelta(hours=5))))
    assert entry_digest(entry, BEGINNING) == entry_digest(elsewhere, BEGINNING)


def test_a_whole_chain_holds_and_ends_with_its_last_digest():
    entries = chain()
    assert verify(entries) == Finding(9, entries[-1].digest)
    assert verify([]) == Finding(0, BEGINNING)
    assert [entry.number for entry in entries] == list(range(1, 10))


def test_linking_goes_on_where_it_stopped():
    entries = chain()
    assert list(linked((line(n) for n in range(6, 10)), entries[4].digest, 5)) == entries[5:]


@pytest.mark.parametrize("number", [1, 2, 5, 8, 9])
@pytest.mark.parametrize("said", [
    {"verb": "vote.withdrawn"}, {"about_kind": "photo"}, {"about_id": "c2"}, {"at": AT}, {"by": "m2"}, {"by": None},
    {"detail": {"n": 0, "example": None}}, {"detail": {"n": 0.5}}, {"digest": "f" * 64},
])  # fmt: skip
def test_T52_an_edited_line_is_the_first_bad_one(number, said):
    entries = chain()
    entries[number - 1] = replace(entries[number - 1], **said)
    assert found(entries) == (number, "changed")


def test_T52_a_null_that_is_left_out_is_a_change():
    entries = chain()
    entries[3] = replace(entries[3], detail={"n": 4})
    assert found(entries) == (4, "changed")


@pytest.mark.parametrize("number", [1, 2, 5, 7])
def test_T52_an_edited_line_that_was_sealed_anew_does_not_lead_to_the_next(number):
    entries = chain()
    entries[number - 1] = reseal(entries[number - 1], verb="vote.withdrawn")
    assert found(entries) == (number, "changed")


@pytest.mark.parametrize("number", [1, 2, 5, 8])
def test_T52_a_deleted_line_is_missing(number):
    entries = chain()
    del entries[number - 1]
    assert found(entries) == (number, "missing")


@pytest.mark.parametrize("number", [1, 2, 5, 8])
def test_T52_a_deleted_line_is_missing_though_the_rest_moved_up(number):
    entries = chain()
    assert found(entries[: number - 1] + renumbered(entries[number:], -1)) == (number, "missing")


@pytest.mark.parametrize("number", [1, 2, 5, 9])
def test_T52_a_line_put_in_is_inserted(number):
    entries = chain()
    kept, moved = entries[: number - 1], renumbered(entries[number - 1 :], 1)
    before = kept[-1].digest if kept else BEGINNING
    forged = replace(line(99), number=number, previous=before, digest="e" * 64)
    assert found([*kept, forged, *moved]) == (number, "inserted")
    assert found([*kept, reseal(forged), *moved]) == (number, "inserted")


def test_T52_a_line_with_a_number_that_is_taken_is_inserted():
    entries = chain()
    assert found([*entries, replace(line(99), number=5)]) == (5, "inserted")


def test_T52_a_line_at_the_end_that_does_not_follow_is_inserted():
    entries = chain()
    assert found([*entries, reseal(replace(line(99), number=10, previous=BEGINNING))]) == (10, "inserted")


@pytest.mark.parametrize(("one", "other"), [(1, 2), (4, 5), (8, 9), (2, 7), (1, 9), (3, 9)])
def test_T52_lines_that_changed_places_are_reordered(one, other):
    entries = chain()
    a, b = entries[one - 1], entries[other - 1]
    entries[one - 1], entries[other - 1] = replace(b, number=one), replace(a, number=other)
    assert found(entries) == (one, "reordered")


def test_T52_a_tail_that_was_cut_off_is_seen_against_a_published_head():
    entries = chain()
    head = Head(8, entries[7].digest, "List no. 3")
    assert found(entries, head) is None
    assert found(entries[:8], head) is None
    finding = verify(entries[:6], [head])
    assert (finding.fault.number, finding.fault.kind, finding.size) == (7, "cut off", 6)
    assert "List no. 3" in finding.fault.words


def test_T52_a_whole_tail_written_anew_is_seen_against_a_published_head():
    entries = chain()
    forged = list(linked((line(n, verb="vote.withdrawn") for n in range(5, 10)), entries[3].digest, 4))
    assert found(entries[:4] + forged) is None
    assert found(entries[:4] + forged, Head(7, entries[6].digest, "List no. 3")) == (7, "changed")


def test_a_commitment_is_sha_256_over_the_salt_and_the_value_as_json():
    salt = "00ff" * 16
    assert commitment(salt, "Spam.") == hashlib.sha256(bytes.fromhex(salt) + b'"Spam."').hexdigest()
    assert commitment("11" * 32, "Spam.") != commitment(salt, "Spam.")


def test_personal_parts_are_found_wherever_they_stand():
    detail = {
        "id": "p1",
        "reason": "Spam.",
        "photos": [{"caption": "Mine"}, {"caption": ""}],
        "of": {"note": "n"},
    }
    parts = personal_parts(detail)
    assert parts == {"reason": "Spam.", "photos.0.caption": "Mine", "of.note": "n"}
    hidden = replaced(detail, dict.fromkeys(parts, "x"))
    assert hidden == {
        "id": "p1",
        "reason": "x",
        "photos": [{"caption": "x"}, {"caption": ""}],
        "of": {"note": "x"},
    }
    assert replaced(hidden, parts) == detail


@given(st.data())
def test_T52_no_single_change_goes_unseen(data):
    """Whichever line is edited, deleted, moved or doubled: it is found, and not after where it is."""
    entries = chain(data.draw(st.integers(2, 12)))
    at = data.draw(st.integers(0, len(entries) - 1))
    head = Head(len(entries), entries[-1].digest, "a list")
    match data.draw(st.sampled_from(["edit", "delete", "swap", "double"])):
        case "edit":
            entries[at] = replace(entries[at], detail={"n": -1})
        case "delete":
            del entries[at]
        case "swap":
            other = data.draw(st.integers(0, len(entries) - 1).filter(lambda n: n != at))
            a, b = entries[at], entries[other]
            entries[at], entries[other] = replace(b, number=a.number), replace(a, number=b.number)
            at = min(at, other)
        case _:
            entries.insert(at, entries[at])
    assert found(entries, head)[0] == at + 1
