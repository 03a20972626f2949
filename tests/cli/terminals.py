"""A command at a pseudo-terminal, driven as a person or a scanner drives it."""

from __future__ import annotations

import os
import pty
import select
import signal
import sys
import time
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).parents[2]
#: Longest wait for a prompt; a whole start takes a fraction of it [s].
PATIENCE = 30.0


class Terminal:
    """A process whose input, output and errors are one terminal.

    Parameters
    ----------
    arguments
        Of the command.
    folder
        Where it is run.
    """

    def __init__(self, arguments: Sequence[str], folder: Path) -> None:
        self.text = ""
        self.code: int | None = None
        command = [sys.executable, "-m", "stability.cli.main", *arguments]
        environment = {**os.environ, "PYTHONPATH": str(ROOT), "STABILITY_PERSON": "Ana"}
        self._process, self._end = pty.fork()
        if self._process == 0:  # pragma: no cover - the child becomes the command
            os.chdir(folder)
            os.execve(sys.executable, command, environment)  # noqa: S606 - ours

    def wait_for(self, sign: str = "> ") -> str:
        """Return what is printed until it ends with a sign.

        Raises
        ------
        TimeoutError
            If it does not come.
        """
        begun, seen = time.monotonic(), ""
        while not seen.endswith(sign):
            if time.monotonic() - begun > PATIENCE:
                raise TimeoutError(seen)
            piece = self._read(0.05)
            if piece is None:
                break
            seen += piece
        return seen

    def type(self, line: str) -> str:
        """Type a line; return what is printed until the next prompt."""
        self.press(line + "\n")
        return self.wait_for()

    def press(self, keys: str | bytes) -> None:
        """Press keys and do not wait."""
        os.write(self._end, keys.encode() if isinstance(keys, str) else keys)

    def kill(self) -> None:
        """Cut the power."""
        os.kill(self._process, signal.SIGKILL)
        self.finish()

    def finish(self) -> int:
        """Read the rest and return the exit code; below 0 where it was killed."""
        begun = time.monotonic()
        while self._read(0.2) is not None:
            if time.monotonic() - begun > PATIENCE:
                os.kill(self._process, signal.SIGKILL)
        _, status = os.waitpid(self._process, 0)
        os.close(self._end)
        self.code = os.waitstatus_to_exitcode(status)
        return self.code

    def _read(self, wait: float) -> str | None:
        """Return what has come; None where the other end is closed."""
        ready, _, _ = select.select([self._end], [], [], wait)
        if not ready:
            return ""
        try:
            piece = os.read(self._end, 65_536)
        except OSError:
            return None
        if not piece:
            return None
        text = piece.decode(errors="replace").replace("\r\n", "\n")
        self.text += text
        return text
