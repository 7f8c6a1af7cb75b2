"""Pictures are decoded in processes of their own: what these may take, and what is told when one breaks."""

import os
import resource
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from io import BytesIO
from threading import Barrier

import pytest

from registry.intake import Decoder, DecoderBusy, DecoderFailed, limits, wire, workers
from registry.methods.photo import PictureRefused, clean_picture
from tests.pictures import exif, jpeg, vast_png

MEGABYTES, MEGAPIXELS = 12_000_000, 40_000_000

BAD_CHILD = """
import sys
sys.path.insert(0, {root!r})
from registry.intake import child
real = child.answer
def answer(to, data, **limits):
    {what}
child.answer = answer
child.serve()
"""


@pytest.fixture(scope="module")
def decoder():
    made = Decoder(at_once=1)
    yield made
    made.close()


def breaking(what: str) -> Decoder:
    """A decoder whose process does this with a picture."""
    return Decoder(1, (sys.executable, "-c", BAD_CHILD.format(root=str(workers.ROOT), what=what)))


def decoded(decoder: Decoder, data: bytes):
    return decoder.decode(data, MEGABYTES, MEGAPIXELS)


def idle(decoder: Decoder) -> list[int]:
    return [worker.process.pid for worker in decoder.workers.queue if worker is not None]


def test_what_comes_back_is_what_decoding_here_gives(decoder):
    for upload in (jpeg(), jpeg(900, 500, exif=exif(6)), jpeg(900, 400, (1, 2, 3))):
        assert decoded(decoder, upload) == clean_picture(upload, MEGABYTES, MEGAPIXELS)
    [pid] = idle(decoder)
    with pytest.raises(PictureRefused, match="PDF"):
        decoded(decoder, b"%PDF-1.7\n")
    assert decoded(decoder, jpeg()).width == 120
    assert idle(decoder) == [pid], "a refusal is no reason for another process"


MEASURE = """
import resource, sys, time
from pathlib import Path
from registry.intake import Decoder
from registry.methods.photo import PictureRefused
bomb, first = (Path(name).read_bytes() for name in sys.argv[1:])
decoder = Decoder(at_once=1)
decoder.decode(first, 12_000_000, 40_000_000)
before, started = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, time.process_time()
try:
    decoder.decode(bomb, 12_000_000, 40_000_000)
except PictureRefused as refusal:
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before, time.process_time() - started, refusal)
decoder.close()
"""


def test_T13_a_bomb_is_refused_at_once_and_fills_no_memory_of_who_asks(tmp_path):
    (tmp_path / "bomb").write_bytes(vast_png())
    (tmp_path / "first").write_bytes(jpeg())
    told = subprocess.run(
        [sys.executable, "-c", MEASURE, str(tmp_path / "bomb"), str(tmp_path / "first")],
        cwd=workers.ROOT, check=True, capture_output=True, text=True,
    ).stdout  # fmt: skip
    grown, seconds, why = told.split(" ", 2)
    assert "2,500.0 megapixels" in why
    assert int(grown) < 50_000  # kilobytes on Linux
    assert float(seconds) < 2


def test_T13_the_process_has_these_limits_and_knows_no_secret(decoder):
    decoded(decoder, jpeg())
    [pid] = idle(decoder)
    assert resource.prlimit(pid, resource.RLIMIT_AS)[0] == limits.MEMORY_BYTES
    assert 0 < resource.prlimit(pid, resource.RLIMIT_CPU)[0] <= limits.CPU_SECONDS * (limits.PICTURES + 1)
    assert resource.prlimit(pid, resource.RLIMIT_FSIZE) == (0, 0)
    with open(f"/proc/{pid}/environ", "rb") as told:
        names = {each.partition(b"=")[0] for each in told.read().split(b"\0") if each}
    assert names <= {b"OPENBLAS_NUM_THREADS", b"PYTHONUTF8", b"LC_CTYPE"}
    assert os.getsid(pid) == pid, "an interrupt at the terminal does not reach it"


@pytest.mark.parametrize(
    ("what", "why"),
    [
        ("import os; os._exit(7)", "takes too much"),
        ("import os, signal; os.kill(os.getpid(), signal.SIGSEGV)", "takes too much"),
        ("to.write(b'nonsense' * 9); to.flush()", "takes too much"),
        (
            "child.wire.send(to, {{'width': 4}}, [b'x'])".replace("{{", "{").replace("}}", "}"),
            "takes too much",
        ),
    ],
)
def test_T13_a_process_that_breaks_is_a_refusal_and_another_takes_its_place(what, why):
    broken = breaking(what)
    with pytest.raises(DecoderFailed, match=why):
        decoded(broken, jpeg())
    assert idle(broken) == []
    broken.command = workers.COMMAND
    assert decoded(broken, jpeg()).width == 120
    broken.close()
    assert idle(broken) == []


def test_T13_memory_beyond_the_limit_is_a_refusal():
    hungry = breaking("child.clean_picture = lambda *a: bytearray(600_000_000); real(to, data, **limits)")
    with pytest.raises(DecoderFailed, match="takes too much") as refused:
        decoded(hungry, jpeg())
    assert isinstance(refused.value.__cause__, ValueError), "it answered, though without a picture"


def test_T13_processor_time_beyond_the_limit_ends_the_process():
    slow = breaking("while True: pass")
    slow.command = (
        *slow.command[:2],
        slow.command[2].replace("child.serve()", "child.CPU_SECONDS = 0; child.serve()"),
    )
    started = time.process_time(), time.monotonic()
    with pytest.raises(DecoderFailed, match="takes too much"):
        decoded(slow, jpeg())
    assert time.process_time() - started[0] < 1, "the time was spent there, not here"
    assert time.monotonic() - started[1] < limits.WALL_SECONDS, "nobody had to kill it"


def test_T13_waiting_beyond_the_limit_ends_the_process(monkeypatch):
    sleeping = breaking("import time; time.sleep(60)")
    monkeypatch.setattr(workers, "WALL_SECONDS", 3)
    with pytest.raises(DecoderFailed, match="takes too much"):
        decoded(sleeping, jpeg())
    assert idle(sleeping) == []


def test_a_process_that_does_not_start_is_said_and_logged(caplog):
    with pytest.raises(DecoderFailed, match="Try again later"):
        decoded(Decoder(1, (sys.executable, "-c", "raise SystemExit(1)")), jpeg())
    assert "does not start" in caplog.text


def test_T13_the_third_waits_for_its_turn_and_is_told_when_it_waited_long(decoder, monkeypatch):
    taken = decoder.workers.get()
    monkeypatch.setattr(workers, "WAIT_SECONDS", 0.05)
    with pytest.raises(DecoderBusy):
        decoded(decoder, jpeg())
    decoder.workers.put(taken)
    together, uploads = Barrier(3), [jpeg(100 + n, 80) for n in range(3)]
    monkeypatch.setattr(workers, "WAIT_SECONDS", 30)

    def send(n: int) -> int:
        together.wait()
        return decoded(decoder, uploads[n]).width

    with ThreadPoolExecutor(3) as pool:
        assert list(pool.map(send, range(3))) == [100, 101, 102], "everybody gets their own picture"


def test_T13_two_wait_at_most_so_that_pages_are_still_served(decoder):
    for _ in range(1 + limits.WAITING):
        assert decoder.places.acquire(blocking=False)
    with pytest.raises(DecoderBusy):
        decoded(decoder, jpeg())
    for _ in range(1 + limits.WAITING):
        decoder.places.release()
    assert decoded(decoder, jpeg(100, 80)).width == 100
    assert len(idle(decoder)) == 1


def test_a_process_is_replaced_after_its_share(decoder):
    decoded(decoder, jpeg())
    [first] = idle(decoder)
    decoder.workers.queue[-1].left = 1
    decoded(decoder, jpeg())
    assert idle(decoder) == [first]
    decoded(decoder, jpeg())
    [second] = idle(decoder)
    assert second != first


@pytest.mark.parametrize(
    "garbled",
    [
        b"\0",
        b"\0\0\0\0",
        b"\xff\xff\xff\xff",
        b"\0\0\0\x02[]",
        b"\0\0\0\x09{\"a\": 1}",
        b"\0\0\0\x0f{\"pieces\":[-1]}",
        b"\0\0\0\x0f{\"pieces\":[99]}",
        b"\0\0\0\x0e{\"pieces\":[5]}ab",
    ],
)  # fmt: skip
def test_a_garbled_message_is_told_from_a_closed_pipe(garbled):
    assert wire.receive(BytesIO(), 9) is None
    with pytest.raises(wire.Garbled):
        wire.receive(BytesIO(garbled), 9)
    whole = BytesIO()
    wire.send(whole, {"a": 1}, [b"abc", b""])
    whole.seek(0)
    assert wire.receive(whole, 9) == ({"a": 1}, [b"abc", b""])


def test_a_refusal_comes_back_with_its_parts_so_that_it_can_be_translated(decoder):
    with pytest.raises(PictureRefused) as refused:
        decoded(decoder, vast_png())
    with pytest.raises(PictureRefused) as here:
        clean_picture(vast_png(), MEGABYTES, MEGAPIXELS)
    sentence = refused.value.args[0]
    assert sentence == here.value.args[0]
    assert sentence.parts() == here.value.args[0].parts()
    assert "megapixels" in sentence.one
    assert sentence.given["most"] == "40"


@pytest.mark.parametrize(
    "foreign",
    [
        "'Your account is closed: write to ...'",
        "['The file is empty.', '', {}]",
        "['hacked', {}]",
        "['too_long', {'width': '9', 'height': '9'}]",
        "['too_long', {'width': '9', 'height': '9', 'most': '9', 'n': '1'}]",
        "['too_long', {'width': '9', 'height': '9', 'most': '%(width)s <b>'}]",
        "['too_long', {'width': 9, 'height': '9', 'most': '9'}]",
        "['empty', {'n': '2'}]",
        "[['empty'], {}]",
        "None",
    ],
)
def test_T13_words_that_are_not_ours_are_no_refusal(foreign):
    broken = breaking(
        "child.wire.send(to, {'refused': " + foreign.replace("{", "{{").replace("}", "}}") + "})"
    )
    broken.command = (*broken.command[:2], broken.command[2].replace("{{", "{").replace("}}", "}"))
    with pytest.raises(DecoderFailed, match="takes too much"):
        decoded(broken, jpeg())
    assert idle(broken) == []
