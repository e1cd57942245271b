"""Worker processes: what one of them does to the others."""

import logging
import multiprocessing
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from ui.jobs import DIED, Bench, Ticket, WorkerDiedError
from vision.reading import ClipSetup, Outcome

SETUP = ClipSetup(0.036)


def test_work_is_done_in_another_process(bench: Bench) -> None:
    first, second = bench.submit(os.getpid).result(), bench.submit(os.getpid).result()
    assert first == second != os.getpid()


def test_a_worker_that_dies_costs_its_task_alone(bench: Bench) -> None:
    dead = bench.submit(os._exit, 3)
    alive = bench.submit(os.getpid)
    with pytest.raises(WorkerDiedError, match="broke off"):
        dead.result()
    assert alive.result() > 0


def test_a_worker_that_dies_between_tasks_costs_none(bench: Bench) -> None:
    worker = bench.submit(os.getpid).result()
    os.kill(worker, signal.SIGKILL)
    assert _noticed(worker)
    assert bench.submit(os.getpid).result() != worker


def test_a_clip_whose_worker_dies_is_unreadable(bench: Bench, tmp_path: Path) -> None:
    ticket = Ticket(tmp_path / "x.mp4", tmp_path / "share", bench.submit(os._exit, 3))
    reading = ticket.reading()
    assert reading.outcome is Outcome.UNREADABLE
    assert reading.reasons == (DIED,)
    assert ticket.done and ticket.share == 1.0


def test_a_fault_of_the_program_is_said_and_logged(
    bench: Bench, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    ticket = Ticket(tmp_path / "x.mp4", tmp_path / "share", bench.submit(int, "frame"))
    with caplog.at_level(logging.ERROR):
        reading = ticket.reading()
    assert "fault of the program" in reading.reasons[0] and "ValueError" in reading.reasons[0]
    assert "invalid literal" in caplog.text


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "is empty (0 bytes)"),
        (b"no clip at all" * 99, "holds no picture"),
        (None, "not there"),
    ],
)
def test_a_file_that_is_no_clip_is_unreadable(
    bench: Bench, tmp_path: Path, content: bytes | None, words: str
) -> None:
    path = tmp_path / "tea.mp4"
    if content is not None:
        path.write_bytes(content)
    reading = bench.measure(path, SETUP).reading()
    assert reading.outcome is Outcome.UNREADABLE
    assert words in reading.reasons[0] and "tea.mp4" in reading.reasons[0]


def test_a_clip_in_which_nothing_moves_is_unreadable(bench: Bench, still_clip: Path) -> None:
    ticket = bench.measure(still_clip, SETUP)
    reading = ticket.reading()
    assert reading.outcome is Outcome.UNREADABLE
    assert reading.facts.frames_read == 60
    assert ticket.share == 1.0


def test_progress_is_what_the_worker_wrote(tmp_path: Path, bench: Bench) -> None:
    share = tmp_path / "share"
    ticket = Ticket(tmp_path / "x.mp4", share, bench.submit(time.sleep, 0.5))
    assert ticket.share == 0.0
    share.write_text("")
    assert ticket.share == 0.0
    share.write_text("0.4200")
    assert ticket.share == 0.42 and not ticket.done


def test_closing_stops_what_is_under_way() -> None:
    bench = Bench(1)
    worker = bench.submit(os.getpid).result()
    bench.submit(time.sleep, 60)
    children = multiprocessing.active_children()
    began = time.perf_counter()
    bench.close()
    assert time.perf_counter() - began < 10
    with pytest.raises(ProcessLookupError):
        os.kill(worker, 0)
    # It ends every worker of the process, also that of the bench the other tests share.
    assert all(_noticed(child.pid) for child in children if child.pid)


def test_a_worker_leaves_the_keyboard_to_its_parent(bench: Bench) -> None:
    worker = bench.submit(os.getpid).result()
    task = bench.submit(time.sleep, 0.5)
    os.kill(worker, signal.SIGINT)
    task.result()
    assert bench.submit(os.getpid).result() == worker


PARENT = """
import os, time
from ui.jobs import Bench
if __name__ == "__main__":
    print(Bench(1).submit(os.getpid).result(), flush=True)
    time.sleep(60)
"""


def test_no_worker_outlives_a_parent_that_is_killed(tmp_path: Path) -> None:
    script = tmp_path / "parent.py"
    script.write_text(PARENT)
    with _started(script) as parent:
        assert parent.stdout is not None
        worker = int(parent.stdout.readline())
        parent.kill()
    assert _gone(worker)


SERVER = """
import os, socket, sys, time
from ui import desk
from ui.serve import serve
def welcome():
    worker = desk.bench().submit(os.getpid).result()
    desk.bench().submit(time.sleep, 60)
    print(worker, desk.upload_folder(), flush=True)
if __name__ == "__main__":
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    serve(port, welcome=welcome)
"""


@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGINT])
def test_a_server_that_is_ended_waits_for_no_worker(tmp_path: Path, how: signal.Signals) -> None:
    script = tmp_path / "server.py"
    script.write_text(SERVER)
    with _started(script) as server:
        assert server.stdout is not None
        worker, uploads = server.stdout.readline().split()
        assert _runs(int(worker)) and Path(uploads).is_dir()
        server.send_signal(how)
        server.wait(20)
    assert _gone(int(worker))
    assert not Path(uploads).exists()


def _started(script: Path) -> subprocess.Popen[str]:
    own = {
        **os.environ,
        "PYTHONPATH": str(Path(__file__).parents[2]),
        "STREAMLIT_SERVER_HEADLESS": "true",
    }
    command = [sys.executable, str(script)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=own)


def _gone(process: int) -> bool:
    """Whether a process ends within a few seconds."""
    return _soon(lambda: not _runs(process))


def _noticed(worker: int) -> bool:
    """Whether its pool sees within a few seconds that it ended: it leaves no zombie then."""
    return _soon(lambda: not Path(f"/proc/{worker}").exists())


def _soon(is_so: Callable[[], bool]) -> bool:
    deadline = time.monotonic() + 10
    while not (found := is_so()) and time.monotonic() < deadline:
        time.sleep(0.02)
    return found


def _runs(process: int) -> bool:
    """Whether a process is there and no zombie."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False
