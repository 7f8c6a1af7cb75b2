"""Each command explains itself."""

import pytest
from django.core.management import call_command


@pytest.mark.parametrize(
    ("command", "words"),
    [
        ("demo", ["--no-serve", "--port", "does nothing twice"]),
        ("publish_edition", ["--by EMAIL", "The moderator who publishes."]),
        ("verify_edition", ["DIR_OR_NUMBER", "--previous", "Ends with 1"]),
        ("recompute", ["--check", "change nothing"]),
        ("export", ["--format {ndjson,csv}", "--output FILE"]),
        ("import_sightings", ["FILE", "--by EMAIL", "--dry-run", "nothing and every fault"]),
        ("grant_role", ["EMAIL", "ROLE", "reviewer, moderator"]),
    ],
)
def test_help_says_what_a_command_does_and_takes(command, words, capsys):
    with pytest.raises(SystemExit) as end:
        call_command(command, "--help")
    said = " ".join(capsys.readouterr().out.split())
    assert end.value.code == 0
    assert [word for word in words if word not in said] == []
