"""Runs rungbook on a pseudo-terminal, types into it and waits for what it shows."""

from __future__ import annotations

import codecs
import fcntl
import os
import pty
import re
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from pathlib import Path
from types import TracebackType

TOKEN = re.compile(
    r"\x1b\[(?P<args>[0-9;?]*)[ -/]*(?P<order>[@-~])|\x1b\][^\x07\x1b]*(?:\x07|\x1b\\)|\x1b[=>]|(?P<char>[^\x1b])",
    re.DOTALL,
)
PATIENCE = float(os.environ.get("RUNGBOOK_PATIENCE", "60"))
PROMPT = r"(?m)^[a-z0-9-]+ \|-$"
BOTTOM = re.compile(r"(?:no client|[a-z0-9-]+) \|- .* \|- journal")
ROOT = Path(__file__).parent.parent


class Screen:
    """As much of a terminal as prompts and answers use: printing, moving and erasing, with all that scrolled away kept."""

    def __init__(self, columns: int, rows: int) -> None:
        self.columns, self.rows = columns, rows
        self.lines: list[list[str]] = [[]]
        self.row = self.column = 0
        self.rest = ""

    @property
    def top(self) -> int:
        """The first line that is on the screen now."""
        return max(0, len(self.lines) - self.rows)

    def feed(self, text: str) -> int:
        """Show text; returns how often the cursor's place was asked for."""
        asked, at = 0, 0
        text = self.rest + text
        for match in TOKEN.finditer(text):
            if match.start() != at:
                break
            at = match.end()
            if match["char"] is not None:
                self._put(match["char"])
            elif match["order"] == "n":
                asked += 1
            elif match["order"]:
                self._order(match["order"], match["args"])
        self.rest = text[at:]
        return asked

    def _put(self, char: str) -> None:
        if char == "\r":
            self.column = 0
        elif char == "\n":
            self._down(1)
        elif char == "\b":
            self.column = max(0, self.column - 1)
        elif char >= " ":
            if self.column >= self.columns:
                self.column = 0
                self._down(1)
            line = self.lines[self.row]
            line.extend(" " * (self.column + 1 - len(line)))
            line[self.column] = char
            self.column += 1

    def _down(self, count: int) -> None:
        self.row += count
        while len(self.lines) <= self.row:
            self.lines.append([])

    def _order(self, order: str, args: str) -> None:
        numbers = [int(each) for each in args.strip("?").split(";") if each]
        count = numbers[0] if numbers else 1
        if order == "A":
            self.row = max(self.top, self.row - count)
        elif order == "B":
            self.row = min(len(self.lines) - 1, self.row + count)
        elif order == "C":
            self.column = min(self.columns - 1, self.column + count)
        elif order == "D":
            self.column = max(0, self.column - count)
        elif order in "Hf":
            self.row, self.column = self.top, 0
        elif order == "K":
            del self.lines[self.row][self.column :]
        elif order == "J":
            del self.lines[self.row][self.column :]
            del self.lines[self.row + 1 :]

    @property
    def text(self) -> str:
        """All lines, blanks at their ends taken off."""
        return "\n".join("".join(line).rstrip() for line in self.lines)


class Session:
    """One run of the program on its own terminal; `with` ends it."""

    def __init__(self, *args: str, columns: int = 80, rows: int = 30, **env: str) -> None:
        self.master, slave = pty.openpty()
        self.raw, self.mark = "", 0
        self.screen = Screen(columns, rows)
        self.decoder = codecs.getincrementaldecoder("utf-8")("replace")
        self.resize(columns, rows)
        kept = {name: value for name, value in os.environ.items() if name not in ("COLUMNS", "LINES", "TERM")}
        self.process = subprocess.Popen(
            [sys.executable, "-m", "assistant", *args], stdin=slave, stdout=slave, stderr=slave, cwd=ROOT,
            start_new_session=True, preexec_fn=lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0),
            env={**kept, "TERM": "xterm-256color", "PYTHONUTF8": "1", **env},
        )  # fmt: skip
        os.close(slave)

    def __enter__(self) -> Session:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()
        os.close(self.master)

    def resize(self, columns: int, rows: int = 30) -> None:
        """Change the size of the terminal and tell the program."""
        self.screen.columns, self.screen.rows = columns, rows
        fcntl.ioctl(self.master, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        if hasattr(self, "process"):
            self.process.send_signal(signal.SIGWINCH)

    def type(self, text: str) -> None:
        """Send keys; a long text in pieces, as a terminal does."""
        data = text.encode()
        while data:
            self._pump(0)
            data = data[os.write(self.master, data[:512]) :]

    def line(self, text: str) -> str:
        """Type a line; returns what is shown below it up to the next prompt."""
        self.type(text)
        self.settle()
        return self.enter()

    def enter(self) -> str:
        """Press Enter; returns what is shown up to the next prompt."""
        self.mark = self.screen.row + 1
        self.type("\r")
        return self.until(PROMPT)

    @property
    def text(self) -> str:
        """Everything shown, as it stands now."""
        return self.screen.text

    @property
    def fresh(self) -> str:
        """What is shown since the last Enter, without the bottom line."""
        lines = self.screen.text.splitlines()[self.mark :]
        while lines and (not lines[-1].strip() or BOTTOM.match(lines[-1])):
            lines.pop()
        return "\n".join(lines)

    def until(self, pattern: str) -> str:
        """Wait until a pattern is shown since the last Enter; returns what is shown."""
        end = time.monotonic() + PATIENCE
        while True:
            if re.search(pattern, self.fresh) and not self._pump(0.05):
                return self.fresh
            quiet = not self._pump(0.2)
            if time.monotonic() > end or (quiet and self.process.poll() is not None):
                raise AssertionError(f"waited for {pattern!r}, got:\n{self.text[-3000:]}")

    def settle(self) -> None:
        """Read until nothing more comes for a moment."""
        while self._pump(0.1):
            pass

    def ended(self) -> int:
        """Wait for the program to leave; returns its exit code."""
        end = time.monotonic() + PATIENCE
        while self.process.poll() is None and time.monotonic() < end:
            self._pump(0.1)
        return self.process.wait(timeout=1)

    def _pump(self, seconds: float) -> bool:
        if not select.select([self.master], [], [], seconds)[0]:
            return False
        try:
            data = os.read(self.master, 1 << 16)
        except OSError:
            return False
        text = self.decoder.decode(data)
        self.raw += text
        for _ in range(self.screen.feed(text)):
            place = f"\x1b[{self.screen.row - self.screen.top + 1};{self.screen.column + 1}R"
            os.write(self.master, place.encode())
        return bool(data)
