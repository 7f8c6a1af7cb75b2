"""What the demo refuses, and that a load which is interrupted leaves nothing behind."""

import importlib.util
import shutil
import socket
import stat
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from registry.errors import InvalidField
from registry.management.scenario.event import Event
from registry.management.scenario.files import ScenarioFault, read_scenario
from registry.management.scenario.names import Names
from registry.management.scenario.timeline import events, play
from registry.models import JournalEntry, Maker, Member
from tests.factories import MakerFactory, MemberFactory

ROOT = Path(__file__).resolve().parents[2]
FIXTURES = ROOT / "fixtures"


@pytest.fixture
def fixtures(tmp_path):
    """A copy of the scenario's text files, and no picture."""
    (tmp_path / "pictures").mkdir()
    shutil.copytree(FIXTURES / "scenario", tmp_path / "scenario")
    shutil.copy(FIXTURES / "pictures" / "truth.json", tmp_path / "pictures")
    return tmp_path


@pytest.mark.django_db
@pytest.mark.parametrize("factory", [MemberFactory, MakerFactory])
def test_a_database_with_other_data_is_refused_and_left_as_it_is(factory):
    factory()
    with pytest.raises(CommandError, match="holds other than demo data.*CASTLORE_HOME"):
        call_command("demo", no_serve=True, stdout=StringIO())
    assert (Member.objects.count(), Maker.objects.count()) in ((1, 0), (0, 1))


@pytest.mark.django_db
def test_a_missing_picture_is_named_before_anything_is_loaded(fixtures):
    with pytest.raises(CommandError, match=r"(\d+) of the \1 pictures are missing in .*\.jpg among them"):
        call_command("demo", no_serve=True, fixtures=fixtures, stdout=StringIO())
    assert not Member.objects.exists()


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("scenario/members.yaml", None),
        ("scenario/happenings.yaml", "reports: [{day: 2024-"),
        ("scenario/catalogue.yaml", "just words"),
        ("pictures/truth.json", "{"),
        ("pictures/truth.json", None),
    ],
)
def test_a_file_that_cannot_be_read_is_named(fixtures, name, content):
    (fixtures / name).unlink()
    if content is not None:
        (fixtures / name).write_text(content)
    with pytest.raises(ScenarioFault, match=f"{name}.* cannot be read"):
        read_scenario(fixtures)


def test_a_picture_that_truth_does_not_know_is_named(fixtures):
    for file in read_pictures():
        (fixtures / "pictures" / file).touch()
    (fixtures / "pictures" / "truth.json").write_text('{"pictures": {}}')
    with pytest.raises(ScenarioFault, match="says nothing of \\d+ pictures"):
        read_scenario(fixtures)


def read_pictures() -> list[str]:
    return list(read_scenario(FIXTURES).pictures)


@pytest.mark.django_db
def test_an_interrupted_load_leaves_nothing():
    history = events(Names(read_scenario(FIXTURES)))[:25]

    def interrupt(done: int) -> None:
        if done == 20:
            assert Member.objects.count() > 10
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        play(history, interrupt)
    assert not Member.objects.exists()
    assert not JournalEntry.objects.exists()


@pytest.mark.django_db
def test_an_event_that_is_refused_is_named_with_its_day():
    [first, *_] = events(Names(read_scenario(FIXTURES)))

    def refused(now: object) -> None:
        raise InvalidField("seen_on", "never", "Give a day that has come.")

    wrong = Event(first.day, "a sighting of nothing", refused)
    with pytest.raises(
        ScenarioFault, match=f"a sighting of nothing, on {first.day}.*Give a day that has come"
    ):
        play([first, wrong], lambda done: None)
    assert not Member.objects.exists()


def test_a_port_that_is_taken_is_refused_at_once(settings):
    settings.DEBUG = True
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        with pytest.raises(CommandError, match="--port: .* Choose another"):
            call_command("demo", port=taken.getsockname()[1], stdout=StringIO())


def test_serving_without_debug_is_refused_at_once(settings):
    settings.DEBUG = False
    with pytest.raises(CommandError, match="CASTLORE_DEBUG says no. Unset it, or add --no-serve"):
        call_command("demo", stdout=StringIO())


@pytest.fixture
def manage(monkeypatch, tmp_path):
    spec = importlib.util.spec_from_file_location("manage", ROOT / "manage.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    monkeypatch.setenv("CASTLORE_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("CASTLORE_SECRET_KEY_FILE", "")
    return module


def test_the_demo_makes_a_secret_once_and_keeps_it_to_itself(manage, monkeypatch, tmp_path):
    manage.keep_secret()
    path = tmp_path / "home" / "secret"
    made = path.read_text()
    assert len(made) >= 50
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert manage.os.environ["CASTLORE_SECRET_KEY_FILE"] == str(path)
    monkeypatch.setenv("CASTLORE_SECRET_KEY_FILE", "")
    manage.keep_secret()
    assert path.read_text() == made


def test_a_secret_that_is_set_is_left_alone(manage, monkeypatch, tmp_path):
    monkeypatch.setenv("CASTLORE_SECRET_KEY", "ours")
    manage.keep_secret()
    assert not (tmp_path / "home").exists()
