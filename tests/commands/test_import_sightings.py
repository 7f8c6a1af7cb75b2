"""`manage.py import_sightings`."""

import io

import pytest
from django.core.management import CommandError, call_command

from registry.models import Sighting
from tests.factories import MemberFactory, VariantFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def member():
    return MemberFactory()


@pytest.fixture
def sheet(tmp_path):
    release = VariantFactory().release.public_id
    file = tmp_path / "seen.csv"
    file.write_text(f"key,release,scope,seen_on,counts\na,{release},peg,2025-05-01,none known = 2\n")
    return file


def run(file, member, **said):
    out, err = io.StringIO(), io.StringIO()
    call_command("import_sightings", file, by=member.email, stdout=out, stderr=err, **said)
    return out.getvalue(), err.getvalue()


def test_a_dry_run_says_what_would_be_kept_and_the_next_keeps_it(member, sheet):
    assert run(sheet, member, dry_run=True)[0] == "1 would be kept, 0 known already, 0 with a fault.\n"
    assert not Sighting.objects.exists()
    assert run(sheet, member)[0] == "1 kept, 0 known already, 0 with a fault.\n"
    assert run(sheet, member)[0] == "0 kept, 1 known already, 0 with a fault.\n"
    assert Sighting.objects.get().by == member


def test_faults_are_named_and_nothing_is_kept(member, sheet):
    sheet.write_text(sheet.read_text() + "b,x,peg,2025-05-01,none known = 2\n")
    assert "Line 3: release" in run(sheet, member, dry_run=True)[1]
    with pytest.raises(CommandError, match="None was kept"):
        run(sheet, member)
    assert not Sighting.objects.exists()


def test_a_file_that_is_not_there_and_a_member_who_is_not_are_named(member, tmp_path, sheet):
    with pytest.raises(CommandError, match="No such file"):
        run(tmp_path / "none.csv", member)
    with pytest.raises(CommandError, match="nobody@example.test"):
        call_command("import_sightings", sheet, by="nobody@example.test")
