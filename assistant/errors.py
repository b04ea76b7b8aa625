"""What a user sees when something they gave cannot be used."""

from __future__ import annotations

from dataclasses import dataclass


class InputError(Exception):
    """Bad use or bad input: one line `where: what: fix`, exit code 2."""

    def __init__(self, what: str, where: str = "", fix: str = "") -> None:
        self.what, self.where, self.fix = what, where, fix
        super().__init__(": ".join(part for part in (where, what, fix) if part))


@dataclass(frozen=True, order=True)
class Fault:
    """One thing wrong in a knowledge file; prints as `file:line: what: fix`."""

    file: str
    line: int
    what: str
    fix: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.what}: {self.fix}"
