"""Processes beside the server's own: in one process Python computes on one core, however many there are."""

from __future__ import annotations

import contextlib
import gc
import pickle
import sys
import threading
from collections import deque
from collections.abc import Callable
from typing import IO, TYPE_CHECKING, Any, TypeVar

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
    """A few processes that work for the server where several ask at once; they end with it, however that ends.

    >>> Helpers(0).do(0, max, 1, 2)
    2
    """

    def __init__(self, count: int) -> None:
        self._count, self._guard = count, threading.Lock()
        self._all: list[subprocess.Popen[bytes]] = []
        self._free: deque[subprocess.Popen[bytes]] = deque()
        self._seats: dict[subprocess.Popen[bytes], int] = {}
        self._begun = self._closed = False

    def start(self) -> None:
        """Begin them, the first time, one after the other; nobody waits for it."""
        with self._guard:
            begun, self._begun = self._begun, True
        if not begun:
            threading.Thread(target=self._begin, args=(self._count,), daemon=True).start()

    def do(self, seat: int, function: Callable[..., T], *args: Any) -> T:
        """What a function of a module gives: worked out by one of them that is free, else here.

        ``seat``: of whom it is worked out for; the one that worked for this seat last is taken before the others.
        What goes wrong there is done again here, so that it is raised as ever.
        """
        try:
            process = self._free_one(seat)
        except IndexError:
            return function(*args)
        try:
            done, found = _ask(process, (function, args))
        except _GONE:
            return function(*args)
        self._free.append(process)
        return found if done else function(*args)

    def within(self, seconds: float, function: Callable[..., T], *args: Any) -> T:
        """What a function of a module gives, if it does not take longer: the process that works it out is ended then.

        Where there are to be no processes it is worked out here, however long that takes.
        Raises ProblemError ``took-too-long``, also where the process ended for want of memory; and of what the function
        raises the problems.
        """
        if not self._count:
            return function(*args)
        self.start()
        try:
            process = self._free.popleft()
        except IndexError:
            process = self._another()
        timer = threading.Timer(seconds, process.kill)
        timer.start()
        try:
            done, found = _ask(process, (function, args))
        except _GONE:
            self._drop(process)
            threading.Thread(target=self._begin, daemon=True).start()
            what = "This takes more time or memory than it may; nothing was changed"
            raise ProblemError(Problem("took-too-long", what, allowed=f"{seconds:g} s")) from None
        finally:
            timer.cancel()
        if len(self._free) < self._count:
            self._free.append(process)
        else:
            self._drop(process)
        if not done and found:
            raise ProblemError(found)
        return found if done else function(*args)

    def _free_one(self, seat: int) -> subprocess.Popen[bytes]:
        with self._guard:
            for _ in range(len(self._free)):
                if self._seats.get(self._free[0]) == seat:
                    break
                self._free.rotate(-1)
            process = self._free.popleft()
            self._seats[process] = seat
            return process

    def close(self) -> None:
        """End them."""
        with self._guard:
            self._begun, self._closed, ended, self._all = True, True, self._all, []
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
        for _ in range(count):
            with contextlib.suppress(*_GONE):
                process = self._another()
                if _ask(process, (_ready, ()))[0]:
                    self._free.append(process)

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
    while True:
        try:
            function, args = pickle.load(into)
        except EOFError:
            return
        try:
            answer: tuple[bool, Any] = (True, function(*args))
        except ProblemError as error:
            answer = (False, error.problems)
        except Exception:  # it is raised where it is done again
            answer = (False, None)
        _send(out, answer)


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


def _ask(process: subprocess.Popen[bytes], what: Any) -> tuple[bool, Any]:
    assert process.stdin is not None
    assert process.stdout is not None
    _send(process.stdin, what)
    answer: tuple[bool, Any] = pickle.load(process.stdout)
    return answer


def _send(pipe: IO[bytes], what: Any) -> None:
    pipe.write(pickle.dumps(what, pickle.HIGHEST_PROTOCOL))
    pipe.flush()
