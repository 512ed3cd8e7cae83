"""Processes beside the server's own: one alone computes on one core, and ends nothing that takes too long."""

from __future__ import annotations

import contextlib
import gc
import pickle
import sys
import threading
from collections import deque
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

from palewright.errors import Problem, ProblemError

if TYPE_CHECKING:
    import subprocess

__all__ = ["Helpers", "settle", "work"]

T = TypeVar("T")
_GONE = (OSError, EOFError, ValueError, pickle.UnpicklingError)
"""What is raised where a process has ended, also in the middle of an answer."""
_YOUNG = 20_000
_WORK = "from palewright.web.helper import work; work()"


class Helpers:
    """A few processes that work for the server, which answers others meanwhile; they end with it, however that ends.

    >>> Helpers(0).do(0, 1.0, max, 1, 2)
    2
    """

    def __init__(self, count: int) -> None:
        self._count, self._guard = count, threading.Lock()
        self._all: list[subprocess.Popen[bytes]] = []
        self._free: deque[subprocess.Popen[bytes]] = deque()
        self._seats: dict[subprocess.Popen[bytes], int | None] = {}
        self._begun = self._up = self._closed = False

    def start(self) -> None:
        """Begin them, the first time, one after the other; nobody waits for it."""
        with self._guard:
            begun, self._begun = self._begun, True
        if not begun:
            self._begin(self._count)

    def do(self, seat: int, seconds: float, function: Callable[..., T], *args: Any) -> T:
        """What a function of a module gives, if it does not take longer: the process that works it out is ended then.

        Where there are no processes, or not all are up yet, it is worked out here, however long that takes.
        ``seat``: of whom it is worked out for; the one that worked for this seat last is taken before the others.
        Raises as :meth:`within`.
        """
        if not self._up:
            return function(*args)
        return self._worked(seat, seconds, function, args)

    def within(self, seconds: float, function: Callable[..., T], *args: Any) -> T:
        """The same for what may do harm: never worked out here, if there are to be processes at all.

        Raises ProblemError ``took-too-long``, also where the process ended for want of memory; and of what the function
        raises the problems. What else goes wrong is done again here, so that it is raised as ever.
        """
        if not self._count:
            return function(*args)
        self.start()
        return self._worked(None, seconds, function, args)

    def _worked(self, seat: int | None, seconds: float, function: Callable[..., T], args: tuple[Any, ...]) -> T:
        what = pickle.dumps((function, args), pickle.HIGHEST_PROTOCOL)
        try:
            process = self._free_one(seat) or self._another()
        except OSError:  # they were ended, or no further one can be
            return function(*args)
        timer = threading.Timer(seconds, process.kill)
        timer.start()
        try:
            done, found = _ask(process, what)
        except BaseException as error:
            self._drop(process)
            self._begin()
            if not isinstance(error, _GONE):
                raise
            said = "This takes more time or memory than it may; nothing was changed"
            raise ProblemError(Problem("took-too-long", said, allowed=f"{seconds:g} s")) from None
        finally:
            timer.cancel()
        self._put_back(process)
        if not done and found:
            raise ProblemError(found)
        return found if done else function(*args)

    def _free_one(self, seat: int | None) -> subprocess.Popen[bytes] | None:
        """One that is free, the one of the seat before the others, None where there is none."""
        while True:
            with self._guard:
                for _ in range(len(self._free)):
                    if seat is None or self._seats.get(self._free[0]) == seat:
                        break
                    self._free.rotate(-1)
                if not self._free:
                    return None
                process = self._free.popleft()
                self._seats[process] = seat
            if process.poll() is None:
                return process
            self._drop(process)  # somebody ended it while it had nothing to do
            self._begin()

    def _put_back(self, process: subprocess.Popen[bytes]) -> None:
        with self._guard:
            room = len(self._free) < self._count and process in self._all
            if room:
                self._free.append(process)
        if not room:
            self._drop(process)

    def close(self) -> None:
        """End them."""
        with self._guard:
            self._begun, self._closed, ended, self._all = True, True, self._all, []
            self._up = False
            self._free.clear()
        for process in ended:
            _end(process)

    def _drop(self, process: subprocess.Popen[bytes]) -> None:
        with self._guard:
            if process not in self._all:
                return
            self._all.remove(process)
            self._seats.pop(process, None)
        _end(process)

    def _begin(self, count: int = 1) -> None:
        threading.Thread(target=self._warm, args=(count,), daemon=True).start()

    def _warm(self, count: int) -> None:
        made = 0
        for _ in range(count):
            with contextlib.suppress(OSError):
                made += self._made_ready(self._another())
        self._up = (self._up or made > 0) and not self._closed

    def _made_ready(self, process: subprocess.Popen[bytes]) -> bool:
        with contextlib.suppress(*_GONE):
            if _ask(process, pickle.dumps((_ready, ())))[0]:
                self._put_back(process)
                return True
        self._drop(process)
        return False

    def _another(self) -> subprocess.Popen[bytes]:
        import os
        import subprocess

        command, pipe = [sys.executable, "-P", "-c", _WORK], subprocess.PIPE
        found_here = os.environ | {"PYTHONPATH": os.pathsep.join(path for path in sys.path if path)}
        with self._guard:
            if self._closed:
                raise BrokenPipeError("nobody is to help any more")
            process = subprocess.Popen(command, stdin=pipe, stdout=pipe, env=found_here)
            self._all.append(process)
        return process


def _end(process: subprocess.Popen[bytes]) -> None:
    process.kill()
    process.wait()
    for pipe in (process.stdin, process.stdout):
        with contextlib.suppress(OSError):  # of what could no longer be sent
            assert pipe is not None
            pipe.close()


def work() -> None:
    """What the process does: functions and their arguments come in, what they give goes out, until nothing comes."""
    import os
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the server ends it
    into, out = sys.stdin.buffer, os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # a stray print harms no answer
    threading.Thread(target=_end_with_server, daemon=True).start()
    while True:
        try:
            function, args = pickle.load(into)
        except EOFError:
            return
        try:
            answer: tuple[bool, Any] = (True, function(*args))
        except ProblemError as error:
            answer = (False, error.problems)
        except MemoryError:  # the server is not to try
            return
        except Exception:  # it is raised where it is done again
            answer = (False, None)
        out.write(pickle.dumps(answer, pickle.HIGHEST_PROTOCOL))
        out.flush()


def _end_with_server() -> None:
    """End when the other side of the pipe is closed, as where the server was killed: also in the middle of work."""
    import os
    import select

    closed = select.poll()
    closed.register(sys.stdin.fileno(), 0)
    closed.poll()
    os._exit(0)


def _ready() -> None:
    """Load what the work needs: all of it is there once a job has been changed and drawn."""
    from pathlib import Path

    from palewright import drafting
    from palewright.web import desk

    here = Path(__file__).parent
    change = drafting.edits_from_json([{"kind": "set", "path": "site.frost", "value": "30 in"}])
    desk.edit_and_see((here / "sample.yaml").read_text("utf-8"), change, here, "en", None)
    settle()


def settle() -> None:
    """Leave out what is loaded by now, and most of what an edit makes, where garbage is looked for.

    With 700 young objects before a look, as usual, looking is a fourteenth of the work, and looking through all of them
    keeps a person waiting for 90 ms.
    """
    gc.freeze()
    gc.set_threshold(_YOUNG, 20, 20)


def _ask(process: subprocess.Popen[bytes], what: bytes) -> tuple[bool, Any]:
    assert process.stdin is not None
    assert process.stdout is not None
    process.stdin.write(what)
    process.stdin.flush()
    answer: tuple[bool, Any] = pickle.load(process.stdout)
    return answer
