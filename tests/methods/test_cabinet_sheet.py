"""A cabinet as a table: what is written is read back, and every slip is named by row and column."""

import pytest

from registry.methods.cabinet_sheet import COLUMNS, read_cabinet, write_cabinet

ROW = {**dict.fromkeys(COLUMNS), "release": "4k7d9xwpm2cx", "condition": "loose", "count": 2, "to_swap": 0}
ACTIVE = [
    "=HYPERLINK(1)",
    "+1",
    "-2",
    "@x",
    "\N{FULLWIDTH EQUALS SIGN}1",
    "'",
    "''",
    "'=1",
    "'tis",
    'a "b", c',
    "café",
]


@pytest.mark.parametrize("text", ACTIVE)
def test_T28_what_is_written_is_read_back_and_no_cell_runs_as_a_formula(text):
    written = write_cabinet([{**ROW, "note": text, "wear": text}])
    cells = written.decode().split("\r\n")[1].split('","')
    assert cells[-1][0] not in "=+-@\t\r\N{FULLWIDTH EQUALS SIGN}"
    entries, faults = read_cabinet(written)
    assert faults == []
    assert (entries[0].words["note"], entries[0].words["wear"]) == (text, text)
    assert entries[0].words["count"] == 2
    assert entries[0].ids == {"release": "4k7d9xwpm2cx"}


def test_T28_exactly_one_apostrophe_is_taken_off():
    entries, _ = read_cabinet(b"release,condition,note\nx,loose,''=1\n")
    assert entries[0].words["note"] == "'=1"


@pytest.mark.parametrize(
    ("text", "line", "field"),
    [
        ("release,condition\nx,loose,more\n", 2, ""),
        ("release,condition,count\nx,loose,two\n", 2, "count"),
        ("release,condition,to_swap\n\nx,loose,-1\n", 3, "to_swap"),
        ("release,condition\n,loose\n", 2, "release"),
        ("release\nx\n", 1, "condition"),
        ("release,condition,colour\nx,loose,1\n", 1, "colour"),
        ("release,condition,release\n", 1, "release"),
        ("release,condition\n", 1, ""),
        ("", 1, ""),
        ('release,condition\n"x,loose\n', 2, ""),
    ],
)
def test_a_slip_is_named_by_row_and_column(text, line, field):
    entries, faults = read_cabinet(text.encode())
    assert entries == []
    assert [(fault.line, fault.field) for fault in faults] == [(line, field)]
    assert faults[0].remedy


def test_a_file_of_a_spreadsheet_with_semicolons_and_a_mark_is_read():
    entries, faults = read_cabinet("\ufeffRelease;Condition;Count\r\nx;Sealed;3\r\n".encode())
    assert faults == []
    assert entries[0].words == {"condition": "sealed", "wear": "", "note": "", "count": 3, "to_swap": 0}


def test_what_is_no_text_or_too_much_of_it_is_one_fault():
    assert [fault.line for fault in read_cabinet(b"release,condition\nx,lo\xffse\n")[1]] == [2]
    assert "bytes" in read_cabinet(b"x" * 1_000_001)[1][0].remedy
    many = "release,condition\n" + "x,loose\n" * 5_001
    assert read_cabinet(many.encode()) == ([], read_cabinet(many.encode())[1])
    assert "5,000" in read_cabinet(many.encode())[1][0].remedy
