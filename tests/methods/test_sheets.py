"""Files of sightings. The csv and json modules of the standard library write what is read here (RFC 4180, RFC 8259)."""

import csv
import io
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.methods.sheets import COLUMNS, MOST_BYTES, MOST_LINES, Fault, Row, read_sheet

ONE = {
    "release": "r",
    "scope": "peg",
    "seen_on": "2026-05-01",
    "count_lines": [{"kind": "none_known", "n": 2}],
}


def table(*rows, head="release,scope,seen_on,counts"):
    return read_sheet("\r\n".join([head, *rows]).encode())


def faults(data):
    rows, found = read_sheet(data)
    assert rows == []
    return found


def test_each_line_of_ndjson_is_one_sighting():
    text = json.dumps(ONE) + "\n\n" + json.dumps(ONE | {"key": "k"}) + "\n"
    assert read_sheet(text.encode()) == ([Row(1, ONE), Row(3, ONE | {"key": "k"})], [])


def test_each_row_of_a_table_is_one_sighting_with_its_counts():
    rows, wrong = table("r,peg,2026-05-01,A-B = 3; A or B=1;None known = 2; could not tell=4")
    assert wrong == []
    assert [(c["kind"], c.get("variants"), c["n"]) for c in rows[0].said["count_lines"]] == [
        ("variant", ["a-b"], 3), ("one_of_these", ["a", "b"], 1), ("none_known", None, 2), ("could_not_tell", None, 4),
    ]  # fmt: skip


def test_semicolons_may_separate_cells_and_empty_cells_say_nothing():
    head = "release;scope;seen_on;is_full_count;total;condition;traits_seen;counts;note"
    rows, wrong = table('r;case;2026-05-01;Yes;72;sealed;t1 t2;"none known = 72";', head=head)
    assert wrong == []
    assert rows[0].said == {
        "release": "r", "scope": "case", "seen_on": "2026-05-01", "is_full_count": True, "total": 72,
        "traits_seen": ["t1", "t2"], "count_lines": [{"kind": "none_known", "n": 72, "condition": "sealed"}],
    }  # fmt: skip


@given(st.lists(st.text(st.characters(exclude_categories=["Cs"]), max_size=30), min_size=1, max_size=5))
def test_a_note_reads_back_as_it_was_written(notes):
    sheet, lines = io.StringIO(newline=""), []
    writer = csv.writer(sheet)
    writer.writerow(["release", "scope", "seen_on", "counts", "note"])
    for note in notes:
        writer.writerow(["r", "peg", "2026-05-01", "none known = 1", note])
        lines.append(json.dumps(ONE | {"note": note}))
    rows, wrong = read_sheet(sheet.getvalue().encode())
    assert (wrong, [row.said.get("note", "") for row in rows]) == ([], [note.strip() for note in notes])
    rows, wrong = read_sheet("\n".join(lines).encode())
    assert (wrong, [row.said["note"] for row in rows]) == ([], notes)


def test_rows_are_counted_by_the_lines_they_begin_on():
    head = "release,scope,seen_on,counts,note"
    rows, wrong = table('r,peg,2026-05-01,none known=1,"two\nlines"', "r,peg,2026-05-01,oops,x", head=head)
    assert [row.line for row in rows] == [2]
    assert wrong == [Fault(4, "counts", "oops", "Write what was seen, = and how many.")]
    assert str(wrong[0]) == "Line 4: counts 'oops': Write what was seen, = and how many."


@pytest.mark.parametrize(
    ("head", "row", "line", "field"),
    [
        ("release,scope,counts", "r,peg,none known=1", 1, "seen_on"),
        ("release,scope,seen_on,counts,price", "r,peg,d,none known=1,3", 1, "price"),
        ("release,scope,seen_on,counts,scope", "r,peg,d,none known=1,peg", 1, "scope"),
        ("release,scope,seen_on,counts", "r,peg,d", 2, ""),
        ("release,scope,seen_on,counts", "r,peg,d,none known=-1", 2, "counts"),
        ("release,scope,seen_on,counts", "r,peg,d,none known=1e9", 2, "counts"),
        ("release,scope,seen_on,counts,total", "r,peg,d,none known=1,٣", 2, "total"),
        ("release,scope,seen_on,counts,is_offer", "r,peg,d,none known=1,maybe", 2, "is_offer"),
        ("release,scope,seen_on,counts", 'r,"peg,d,none known=1', 2, ""),
    ],
)
def test_what_is_wrong_with_a_table_is_named_by_line_and_column(head, row, line, field):
    _, wrong = table(row, head=head)
    assert [(fault.line, fault.field) for fault in wrong] == [(line, field)]


@pytest.mark.parametrize(
    "text",
    ['{"a": 1, "a": 2}', '{"total": NaN}', "{", '{"by": "me"}', '{"x": ' + "[" * 100_000, '{"n": ' + "9" * 5_000 + "}"],
)  # fmt: skip
def test_what_is_no_plain_object_is_a_fault_of_its_line(text):
    assert [fault.line for fault in faults(text.encode())] == [1]


def test_a_file_that_cannot_be_read_at_all_is_one_fault():
    assert "no sighting" in faults(b" \n")[0].remedy
    assert "no sighting" in faults(b"")[0].remedy
    assert faults(b"release\n\xff\xfe")[0].line == 2
    assert f"{MOST_BYTES:,}" in faults(b"x" * (MOST_BYTES + 1))[0].remedy
    many = "\n".join(['{"key": "k"}'] * (MOST_LINES + 1))
    assert f"{MOST_LINES:,}" in faults(many.encode())[0].remedy


def test_every_column_is_explained_in_the_words_of_the_api():
    assert set(COLUMNS) >= {"key", "total", "is_offer", "no_difference"}
